"""A book's truth as plain values, to hold two states of it against each other."""

from __future__ import annotations

import json

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.kept import kept_tables
from wellbook.store.rows import plain, records

APART = ("change", "decided_pair")
"""What is only ever added to: the change log, and what was decided of doubles."""


def picture(connection: Connection) -> dict[str, list[str]]:
    """The rows of each table of the truth, by uids, in an order of their own."""
    kept = kept_tables()
    uids = {
        k.name: {row.id: row.uid for row in connection.execute(select(k.table.c.id, k.table.c.uid))}
        for k in kept
        if k.has_uid and "id" in k.table.c
    }
    found: dict[str, list[str]] = {}
    for k in kept:
        if k.name in APART:
            continue
        query = select(k.table) if k.which is None else select(k.table).where(k.which)
        found[k.name] = sorted(
            json.dumps(
                {
                    c.name: uids[k.points[c.name].name].get(row[c.name])
                    if c.name in k.points
                    else plain(row[c.name])
                    for c in k.columns
                }
            )
            for row in records(connection, query)
        )
    return found


def derived(connection: Connection) -> list[str]:
    """The ledger and the parts, by the wells' tags."""
    due, part, well = t.due, t.component, t.well
    # A position only tells the rows of a well apart.
    said = [column for column in due.c if column.name != "position"]
    owed = select(well.c.tag, *said).join(due, due.c.well_id == well.c.id)
    parts = select(well.c.tag, part).join(part, part.c.well_id == well.c.id)
    return sorted(
        json.dumps({k: plain(v) for k, v in row.items() if k not in ("id", "well_id")})
        for query in (owed, parts)
        for row in records(connection, query)
    )
