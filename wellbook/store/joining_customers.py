"""What becomes of two customers who are one."""

from __future__ import annotations

import re
from typing import Any

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.rows import Record, get_when, put_when, records
from wellbook.store.steps import Steps, kept_of
from wellbook.store.wells import refresh
from wellbook.store.word_index import wells_of
from wellbook.terms import KNOWN_AS, ContactWay


def join_customer_rows(
    connection: Connection, _who: str, steps: Steps, one: Record, other: Record
) -> tuple[list[str], list[str]]:
    """Unite two customers under the first; what differed, and nothing of wells."""
    differed = [] if one["name"] == other["name"] else [KNOWN_AS + other["name"]]
    _ways(connection, steps, one["id"], other["id"])
    differed += unite_stays(connection, steps, t.occupancy.c.customer_id, one["id"], other["id"])
    steps.repoint(t.customer, other["id"], one["id"], {})
    values: dict[str, Any] = {}
    for name, words in (("remind_by", "reminders by"), ("contract_month", "contract in month")):
        if one[name] is None:
            values[name] = other[name]
        elif other[name] is not None and other[name] != one[name]:
            differed.append(f"{words} {other[name]}, as customer {other['name']}")
    values["notes"] = with_lines(one["notes"], [*other["notes"].splitlines(), *differed])
    table = kept_of(t.customer)
    steps.remove(table, other)
    steps.change(table, one, values)
    refresh(connection, wells_of(connection, [one["id"]]))
    return differed, []


def with_lines(notes: str, lines: list[str]) -> str:
    """Notes with more lines, none of them twice."""
    there = notes.splitlines()
    new = [line for line in dict.fromkeys(lines) if line.strip() and line not in there]
    return "\n".join([*there, *new])


def _ways(connection: Connection, steps: Steps, one: int, other: int) -> None:
    """A way to reach both is written once, unless the second says more of it."""
    table, point = kept_of(t.contact_point), t.contact_point
    mine = records(connection, select(point).where(point.c.customer_id == one))
    known = {(row["way"], _address(row)) for row in mine}
    written = {(row["way"], row["value"].strip().lower()) for row in mine}
    for row in records(connection, select(point).where(point.c.customer_id == other)):
        bare = row["way"] != ContactWay.PHONE or not re.search(r"[^\W\d_]", row["value"])
        same = (row["way"], row["value"].strip().lower()) in written
        if same or (bare and (row["way"], _address(row)) in known):
            steps.remove(table, row)


def _address(row: Record) -> str:
    return str(row["e164"] or row["digits"] or row["value"].strip().lower())


def unite_stays(
    connection: Connection, steps: Steps, column: Any, one: int, other: int
) -> list[str]:
    """Of two who were at one property to the same day, one stay is kept: with the better beginning.

    Parameters
    ----------
    column
        By what the stays of the two are told: the customer, or the property.
    """
    table, stays = kept_of(t.occupancy), t.occupancy
    same = stays.c.site_id if column.name == "customer_id" else stays.c.customer_id
    mine = records(connection, select(stays).where(column == one).order_by(stays.c.id))
    differed: list[str] = []
    for row in records(connection, select(stays).where(column == other).order_by(stays.c.id)):
        match = [
            m
            for m in mine
            if m[same.name] == row[same.name] and get_when(m, "until") == get_when(row, "until")
        ]
        if not match:
            continue
        begun, also = get_when(match[0], "since"), get_when(row, "since")
        if also is not None and also.known and also != begun:
            if begun is None or not begun.known:
                steps.change(table, match[0], put_when("since", also))
            else:
                differed.append(f"there since {also}, by the other record ({begun} is kept)")
        steps.remove(table, row)
    return differed
