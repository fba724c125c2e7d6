"""Cards and lists of customers, properties and wells, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, func, select

from wellbook.store import tables as t
from wellbook.store.rows import by_id, get_when, plain, records, table_of
from wellbook.store.wells import customers, sites
from wellbook.terms import Role


def _stay(row: Mapping[str, Any]) -> dict[str, Any]:
    return {"since": get_when(row, "since"), "until": get_when(row, "until")}


def _where(row: Mapping[str, Any]) -> str:
    return ", ".join(x for x in (row["road"], row["town"]) if x)


def customer_card(connection: Connection, number: int) -> dict[str, Any]:
    """A customer with contacts and wells, past ones too."""
    row = by_id(connection, t.Customer, number)
    ways = select(table_of(t.ContactPoint)).where(t.ContactPoint.customer_id == number)
    stays = (
        select(table_of(t.Occupancy), t.Well.tag, t.Site.road, t.Site.town)
        .join(t.Site, t.Site.id == t.Occupancy.site_id)
        .outerjoin(t.Well, t.Well.site_id == t.Site.id)
        .where(t.Occupancy.customer_id == number)
        .order_by(t.Well.tag)
    )
    return {
        "number": number,
        "name": row["name"],
        "notes": row["notes"],
        "contacts": [
            {k: r[k] for k in ("way", "value", "may_use")} for r in records(connection, ways)
        ],
        "wells": [
            {"tag": r["tag"] or "", "where": _where(r), **_stay(r)}
            for r in records(connection, stays)
        ],
    }


def customer_list(connection: Connection, words: str = "") -> list[dict[str, Any]]:
    """Customers by name, with a telephone number and their wells."""
    phones: dict[int, str] = {}
    ways = select(t.ContactPoint.customer_id, t.ContactPoint.value).where(
        t.ContactPoint.way == "phone"
    )
    for customer, value in connection.execute(ways.order_by(t.ContactPoint.id)):
        phones.setdefault(customer, value)
    tags: dict[int, list[str]] = {}
    stays = (
        select(t.Occupancy.customer_id, t.Well.tag)
        .join(t.Well, t.Well.site_id == t.Occupancy.site_id)
        .where(t.Occupancy.until_text.is_(None))
        .order_by(t.Well.tag)
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
    row = by_id(connection, t.Site, number)
    stays = (
        select(table_of(t.Occupancy), t.Customer.name)
        .join(t.Customer, t.Customer.id == t.Occupancy.customer_id)
        .where(t.Occupancy.site_id == number)
        .order_by(t.Occupancy.id)
    )
    wells = select(t.Well.tag).where(t.Well.site_id == number).order_by(t.Well.tag)
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
        select(t.Site.id, t.Well.tag).join(t.Well, t.Well.site_id == t.Site.id).order_by(t.Well.tag)
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
    row = by_id(connection, t.Well, number)
    system = by_id(connection, t.WaterSystem, row["system_id"])
    place = by_id(connection, t.Site, row["site_id"]) if row["site_id"] else None
    mates = select(t.Well.tag).where(t.Well.system_id == row["system_id"], t.Well.id != number)
    drawn = (
        select(t.Site.road, t.Site.town)
        .join(t.SystemSite, t.SystemSite.site_id == t.Site.id)
        .where(t.SystemSite.system_id == row["system_id"])
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
        select(t.Well.tag, t.Well.role, t.Well.status, t.Site.road, t.Site.town)
        .outerjoin(t.Site, t.Site.id == t.Well.site_id)
        .order_by(t.Well.tag)
    )
    if town:
        query = query.where(func.lower(t.Site.town) == town.lower())
    if role:
        query = query.where(t.Well.role == role)
    if status:
        query = query.where(t.Well.status == status)
    return [{k: v or "" for k, v in row.items()} for row in records(connection, query)]


def towns(connection: Connection) -> list[str]:
    """The towns in which the shop's own wells are."""
    query = (
        select(t.Site.town)
        .join(t.Well, t.Well.site_id == t.Site.id)
        .where(t.Well.role == Role.OURS.value, t.Site.town != "")
    )
    return sorted(connection.execute(query.distinct()).scalars())
