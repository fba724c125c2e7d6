"""Customers and wells of the book as they are compared with others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, select

from wellbook.likeness.customers import CustomerSaid
from wellbook.likeness.places import PlaceSaid
from wellbook.likeness.wells import WellSaid
from wellbook.store import tables as t
from wellbook.store.rows import Record, batches, get_when, records
from wellbook.store.words import names_in
from wellbook.terms import ContactWay, Quantity


def customers_said(connection: Connection, numbers: Iterable[int]) -> dict[int, CustomerSaid]:
    """Some customers, with numbers in E.164 where they are valid."""
    wanted = sorted(set(numbers))
    phones: dict[int, list[str]] = defaultdict(list)
    emails: dict[int, list[str]] = defaultdict(list)
    places: dict[int, list[PlaceSaid]] = defaultdict(list)
    names: dict[int, str] = {}
    person, point, stays = t.customer, t.contact_point, t.occupancy
    for some in batches(wanted):
        names |= {
            row.id: row.name
            for row in connection.execute(
                select(person.c.id, person.c.name).where(person.c.id.in_(some))
            )
        }
        ways = select(point).where(point.c.customer_id.in_(some)).order_by(point.c.id)
        for row in records(connection, ways):
            if row["way"] == ContactWay.PHONE:
                phones[row["customer_id"]].append(row["e164"] or row["value"])
            elif row["way"] == ContactWay.EMAIL:
                emails[row["customer_id"]].append(row["value"])
        query = (
            select(t.site, stays.c.customer_id, stays.c.until_text)
            .join(stays, stays.c.site_id == t.site.c.id)
            .where(stays.c.customer_id.in_(some))
            .order_by(stays.c.id)
        )
        for row in records(connection, query):
            left = row["until_text"] is not None
            places[row["customer_id"]].append(place_said(row, left=left))
    return {
        n: CustomerSaid(names[n], tuple(phones[n]), tuple(emails[n]), tuple(places[n]))
        for n in wanted
    }


def place_said(row: Record, *, left: bool = False) -> PlaceSaid:
    """A property as it is compared."""
    same = ("road", "town", "postcode", "latitude", "longitude")
    return PlaceSaid(**{name: row[name] for name in same}, left=left)


def wells_said(connection: Connection, numbers: Iterable[int]) -> dict[int, WellSaid]:
    """Some wells, with who is at their place."""
    wanted = sorted(set(numbers))
    found: dict[int, WellSaid] = {}
    for some in batches(wanted):
        depths, owners, places = (
            _depths(connection, some),
            _owners(connection, some),
            _places(connection, some),
        )
        for row in records(connection, select(t.well).where(t.well.c.id.in_(some))):
            found[row["id"]] = WellSaid(
                row["permit_no"],
                (row["tag"], *names_in(row["notes"])),
                places.get(row["id"], PlaceSaid()),
                owners.get(row["id"], ""),
                row["driller"],
                get_when(row, "drilled"),
                depths.get(row["id"]),
            )
    return found


def _depths(connection: Connection, wells: Any) -> dict[int, float]:
    """A depth of each: the last that was written down."""
    seen = t.observation
    query = select(seen.c.well_id, seen.c.value).where(
        seen.c.well_id.in_(wells),
        seen.c.quantity == Quantity.DEPTH_FT.value,
        seen.c.value.is_not(None),
    )
    return {row.well_id: row.value for row in connection.execute(query.order_by(seen.c.id))}


def _owners(connection: Connection, wells: Any) -> dict[int, str]:
    well, stays = t.well, t.occupancy
    query = (
        select(well.c.id, t.customer.c.name)
        .join(stays, stays.c.site_id == well.c.site_id)
        .join(t.customer, t.customer.c.id == stays.c.customer_id)
        .where(well.c.id.in_(wells), stays.c.until_text.is_(None))
        .order_by(stays.c.id.desc())
    )
    return {row[0]: row[1] for row in connection.execute(query)}


def _places(connection: Connection, wells: Any) -> dict[int, PlaceSaid]:
    query = (
        select(t.well.c.id.label("well_id"), t.site)
        .join(t.site, t.site.c.id == t.well.c.site_id)
        .where(t.well.c.id.in_(wells))
    )
    return {row["well_id"]: place_said(row) for row in records(connection, query)}
