"""Two records as they are set side by side, before somebody decides whether they are one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, func, select

from wellbook.store import tables as t
from wellbook.store.rows import by_id
from wellbook.store.said_records import customers_said, wells_said
from wellbook.terms import PairOf

Card = dict[str, Any]
"""What is shown of a record, in its order; `name` is by what a command names it."""


def cards(connection: Connection, what: PairOf, numbers: Sequence[int]) -> list[Card]:
    """The cards of some records."""
    if what is PairOf.CUSTOMER:
        return [_customer(connection, number) for number in numbers]
    return [_well(connection, number) for number in numbers]


def _customer(connection: Connection, number: int) -> Card:
    row, said = by_id(connection, t.customer, number), customers_said(connection, [number])[number]
    point = t.contact_point
    ways = select(point.c.value).where(point.c.customer_id == number, point.c.way == "phone")
    return {
        "name": str(number),
        "customer": row["name"],
        "phone": list(connection.execute(ways.order_by(point.c.id)).scalars()),
        "email": list(said.emails),
        "where": [p.words + (" (left)" if p.left else "") for p in said.places],
        "notes": row["notes"],
    }


def _well(connection: Connection, number: int) -> Card:
    row, said = by_id(connection, t.well, number), wells_said(connection, [number])[number]
    sheets = select(func.count()).where(t.sheet.c.well_id == number, t.sheet.c.status == "valid")
    spot = (said.place.latitude, said.place.longitude)
    return {
        "name": row["tag"],
        "whose": f"{row['role']}, {row['status'].replace('_', ' ')}",
        "permit": said.permit_no,
        "owner": said.owner,
        "where": said.place.words,
        "spot": "" if spot[0] is None or spot[1] is None else f"{spot[0]:.5f}, {spot[1]:.5f}",
        "depth": "" if said.depth_ft is None else f"{said.depth_ft:g} ft",
        "drilled": said.drilled.text if said.drilled is not None and said.drilled.known else "",
        "driller": said.driller,
        "sheets": connection.execute(sheets).scalar_one(),
    }
