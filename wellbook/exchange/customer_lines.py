"""Customers with all that one needs to reach them, for the office's workbook and for contacts alike."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.rows import AT_ONCE, Record, records
from wellbook.store.stays import residents
from wellbook.terms import ContactWay


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """A property where a customer is."""

    road: str
    town: str
    region: str
    postcode: str

    @property
    def words(self) -> str:
        """All of it that is known."""
        return ", ".join(x for x in (self.road, self.town, self.region, self.postcode) if x)


@dataclass(frozen=True, slots=True)
class CustomerLine:
    """A customer as of a day: how to reach him, where he is, and the tags of the wells there."""

    uid: str
    name: str
    notes: str
    contract_month: int | None
    phones: tuple[str, ...]
    emails: tuple[str, ...]
    posts: tuple[str, ...]
    places: tuple[PlaceLine, ...]
    wells: tuple[str, ...]
    e164: Mapping[str, str]
    """Of telephone numbers that are valid ones, as they are written, the number (ITU-T E.164)."""


def customer_lines(connection: Connection, today: date) -> Iterator[CustomerLine]:
    """All customers in the order of their numbers, some hundreds at a time."""
    person, last = t.customer, 0
    query = select(person).order_by(person.c.id).limit(AT_ONCE)
    while people := records(connection, query.where(person.c.id > last)):
        yield from _lines(connection, people, today)
        last = people[-1]["id"]


def _lines(connection: Connection, people: Sequence[Record], today: date) -> Iterator[CustomerLine]:
    numbers = [p["id"] for p in people]
    ways, whole = _ways(connection, numbers)
    places, wells = _places(connection, numbers, today)
    for p in people:
        number = p["id"]
        yield CustomerLine(
            uid=p["uid"],
            name=p["name"],
            notes=p["notes"],
            contract_month=p["contract_month"],
            phones=tuple(ways.get((number, ContactWay.PHONE), ())),
            emails=tuple(ways.get((number, ContactWay.EMAIL), ())),
            posts=tuple(ways.get((number, ContactWay.POST), ())),
            places=tuple(places.get(number, ())),
            wells=tuple(wells.get(number, ())),
            e164=whole.get(number, {}),
        )


def _ways(
    connection: Connection, numbers: list[int]
) -> tuple[dict[tuple[int, str], list[str]], dict[int, dict[str, str]]]:
    point = t.contact_point
    query = select(point).where(point.c.customer_id.in_(numbers)).order_by(point.c.id)
    found: dict[tuple[int, str], list[str]] = {}
    whole: dict[int, dict[str, str]] = {}
    for row in records(connection, query):
        found.setdefault((row["customer_id"], row["way"]), []).append(row["value"])
        if row["e164"]:
            whole.setdefault(row["customer_id"], {})[row["value"]] = row["e164"]
    return found, whole


def _places(
    connection: Connection, numbers: list[int], today: date
) -> tuple[dict[int, list[PlaceLine]], dict[int, list[str]]]:
    """Where each customer is today, and the wells there."""
    stays, site, well = t.occupancy, t.site, t.well
    at = select(stays.c.site_id).where(stays.c.customer_id.in_(numbers))
    there = residents(connection, connection.execute(at).scalars(), today)
    places: dict[int, list[PlaceLine]] = {}
    wells: dict[int, list[str]] = {}
    some = select(site).where(site.c.id.in_(sorted(there))).order_by(site.c.id)
    for row in records(connection, some):
        place = PlaceLine(row["road"], row["town"], row["region"], row["postcode"])
        places.setdefault(there[row["id"]], []).append(place)
    standing = select(well.c.site_id, well.c.tag).where(well.c.site_id.in_(sorted(there)))
    for site_id, tag in connection.execute(standing.order_by(well.c.id)):
        wells.setdefault(there[site_id], []).append(tag)
    return places, wells
