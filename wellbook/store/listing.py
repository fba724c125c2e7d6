"""Cards and lists of customers, properties and wells, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, func, select

from wellbook.errors import NotFoundError
from wellbook.store import tables as t
from wellbook.store.consents import answers, history, permission
from wellbook.store.rows import by_id, get_when, plain, records
from wellbook.store.wells import customers, sites
from wellbook.terms import ContactWay, Role


def _stay(row: Mapping[str, Any]) -> dict[str, Any]:
    return {"since": get_when(row, "since"), "until": get_when(row, "until")}


def _where(row: Mapping[str, Any]) -> str:
    return ", ".join(x for x in (row["road"], row["town"]) if x)


def customer_card(connection: Connection, number: int) -> dict[str, Any]:
    """A customer with contacts and wells, past ones too."""
    row = by_id(connection, t.customer, number)
    said = answers(connection, [number])
    ways = select(t.contact_point).where(t.contact_point.c.customer_id == number)
    stays = (
        select(t.occupancy, t.well.c.tag, t.site.c.road, t.site.c.town)
        .join(t.site, t.site.c.id == t.occupancy.c.site_id)
        .outerjoin(t.well, t.well.c.site_id == t.site.c.id)
        .where(t.occupancy.c.customer_id == number)
        .order_by(t.well.c.tag)
    )
    return {
        "number": number,
        "name": row["name"],
        "notes": row["notes"],
        "remind_by": row["remind_by"] or "",
        "consents": [
            {k: plain(r[k]) for k in ("way", "answer", "on_day", "how", "who")}
            for r in history(connection, number)
        ],
        "contract_month": row["contract_month"],
        "contacts": [
            {
                "way": r["way"],
                "value": r["value"],
                "e164": r["e164"] or "",
                "may_use": permission(said, number, ContactWay(r["way"])).value,
            }
            for r in records(connection, ways)
        ],
        "wells": [
            {"tag": r["tag"] or "", "where": _where(r), **_stay(r)}
            for r in records(connection, stays)
        ],
    }


def customer_list(connection: Connection, words: str = "") -> list[dict[str, Any]]:
    """Customers by name, with a telephone number and their wells."""
    phones: dict[int, str] = {}
    ways = select(t.contact_point.c.customer_id, t.contact_point.c.value).where(
        t.contact_point.c.way == "phone"
    )
    for customer, value in connection.execute(ways.order_by(t.contact_point.c.id)):
        phones.setdefault(customer, value)
    tags: dict[int, list[str]] = {}
    stays = (
        select(t.occupancy.c.customer_id, t.well.c.tag)
        .join(t.well, t.well.c.site_id == t.occupancy.c.site_id)
        .where(t.occupancy.c.until_text.is_(None))
        .order_by(t.well.c.tag)
    )
    for customer, tag in connection.execute(stays):
        tags.setdefault(customer, []).append(tag)
    return [
        {
            "number": c["id"],
            "name": c["name"],
            "phone": phones.get(c["id"], ""),
            "wells": tags.get(c["id"], []),
        }
        for c in customers(connection, words)
    ]


def site_card(connection: Connection, number: int) -> dict[str, Any]:
    """A property with who was there and its wells."""
    row = by_id(connection, t.site, number)
    stays = (
        select(t.occupancy, t.customer.c.name)
        .join(t.customer, t.customer.c.id == t.occupancy.c.customer_id)
        .where(t.occupancy.c.site_id == number)
        .order_by(t.occupancy.c.id)
    )
    wells = select(t.well.c.tag).where(t.well.c.site_id == number).order_by(t.well.c.tag)
    same = "road town region postcode latitude longitude access well_head notes".split()
    return {
        "number": number,
        "where": _where(row),
        **{name: row[name] for name in same},
        "occupants": [{"name": r["name"], **_stay(r)} for r in records(connection, stays)],
        "wells": list(connection.execute(wells).scalars()),
    }


def site_list(connection: Connection, words: str = "") -> list[dict[str, Any]]:
    """Properties by town and road, with their wells."""
    tags: dict[int, list[str]] = {}
    for site, tag in connection.execute(
        select(t.site.c.id, t.well.c.tag)
        .join(t.well, t.well.c.site_id == t.site.c.id)
        .order_by(t.well.c.tag)
    ):
        tags.setdefault(site, []).append(tag)
    return [
        {
            "number": s["id"],
            "road": s["road"],
            "town": s["town"],
            "wells": tags.get(s["id"], []),
        }
        for s in sites(connection, words)
    ]


def well_card(connection: Connection, number: int) -> dict[str, Any]:
    """What is kept of a well itself."""
    row = by_id(connection, t.well, number)
    system = by_id(connection, t.water_system, row["system_id"])
    place = by_id(connection, t.site, row["site_id"]) if row["site_id"] else None
    mates = select(t.well.c.tag).where(
        t.well.c.system_id == row["system_id"], t.well.c.id != number
    )
    drawn = (
        select(t.site.c.road, t.site.c.town)
        .join(t.system_site, t.system_site.c.site_id == t.site.c.id)
        .where(t.system_site.c.system_id == row["system_id"])
    )
    same = "tag permit_no role use status construction flowing driller".split()
    return {
        **{name: row[name] for name in same},
        "drilled_on": get_when(row, "drilled"),
        "stick_up_ft": row["stick_up_ft"],
        "frost_depth_ft": row["frost_depth_ft"],
        "entered_on": plain(row["entered_on"]),
        "notes": row["notes"],
        "site": _where(place) if place else "",
        "rise_to_tank_ft": system["rise_to_tank_ft"],
        "shares_tank_with": list(connection.execute(mates).scalars()),
        "serves": [_where(r) for r in records(connection, drawn)],
    }


def well_list(
    connection: Connection, *, town: str = "", role: str = "", status: str = ""
) -> list[dict[str, Any]]:
    """Wells by tag, with where they are."""
    query = (
        select(t.well.c.tag, t.well.c.role, t.well.c.status, t.site.c.road, t.site.c.town)
        .outerjoin(t.site, t.site.c.id == t.well.c.site_id)
        .order_by(t.well.c.tag)
    )
    if town:
        query = query.where(func.lower(t.site.c.town) == town.lower())
    if role:
        query = query.where(t.well.c.role == role)
    if status:
        query = query.where(t.well.c.status == status)
    return [{k: v or "" for k, v in row.items()} for row in records(connection, query)]


def towns(connection: Connection) -> list[str]:
    """The towns in which the shop's own wells are."""
    query = (
        select(t.site.c.town)
        .join(t.well, t.well.c.site_id == t.site.c.id)
        .where(t.well.c.role == Role.OURS.value, t.site.c.town != "")
    )
    return sorted(connection.execute(query.distinct()).scalars())


def known_town(connection: Connection, town: str) -> None:
    """Refuse a town where no well is: that nothing is due there would be no answer.

    Raises
    ------
    NotFoundError
        With the towns that there are.
    """
    known = towns(connection)
    if town.casefold() not in {one.casefold() for one in known}:
        raise NotFoundError(f"no well is in '{town}'; there are: {', '.join(known)}")
