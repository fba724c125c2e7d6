"""Rows of the ledger, compared with what stands there, so that only what differs is written."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from itertools import count, filterfalse
from typing import Any

from sqlalchemy import BindParameter, Connection, bindparam, delete, select

from wellbook.rules.finding import Finding
from wellbook.store import tables as t
from wellbook.store.in_bulk import put_rows
from wellbook.store.rows import batches, plain

Said = tuple[Any, ...]
"""A row of the ledger without its position: whose it is, and what is said."""

_NAMES = tuple(column.name for column in t.due.c if column.name != "position")
_as_json = json.JSONEncoder(default=plain).encode


def row_of(well_id: int, f: Finding) -> Said:
    """A finding of a well as its row has it."""
    return (
        well_id,
        f.rule,
        f.subject,
        f.occurrence,
        f.may_from or date.min,
        f.may_from,
        f.surely_from,
        f.until,
        f.severity.value,
        f.occasion.value,
        f.reason,
        f.action,
        f.source,
        f.counts_from,
        _as_json(f.numbers),
        f.to_customer,
    )


class Standing:
    """What stands in the ledger of some wells: kept where it is said again, else to be taken out."""

    def __init__(self, rows: Iterable[tuple[int, Said]]) -> None:
        self._positions: dict[Said, list[int]] = defaultdict(list)
        for position, said in rows:
            self._positions[said].append(position)

    def keeps(self, said: Said) -> bool:
        """Whether a row stands there that says this; it is kept then."""
        positions = self._positions.get(said)
        if not positions:
            return False
        positions.pop()
        return True

    def left(self) -> list[dict[str, int]]:
        """The rows that nothing was kept for."""
        return [
            {"of_well": said[0], "at": n}
            for said, positions in self._positions.items()
            for n in positions
        ]


def standing_rows(
    connection: Connection, well_ids: Sequence[int], names: Collection[str] | None
) -> Standing:
    """What stands in the ledger of some wells, by some rules or (None) by whatever rule."""
    query = select(t.due.c.position, *(t.due.c[name] for name in _NAMES))
    query = query.where(t.due.c.well_id.in_(well_ids))
    if names is not None:
        query = query.where(t.due.c.rule.in_(sorted(names)))
    return Standing((row[0], tuple(row[1:])) for row in connection.execute(query).fetchall())


def change_rows(connection: Connection, gone: list[dict[str, int]], new: Sequence[Said]) -> None:
    """Take rows out, and put rows in at positions that are free: a position only tells them apart."""
    if gone:
        well: BindParameter[int] = bindparam("of_well")
        at: BindParameter[int] = bindparam("at")
        one = delete(t.due).where(t.due.c.well_id == well, t.due.c.position == at)
        connection.execute(one, gone)
    if new:
        free = _free_positions(connection, sorted({said[0] for said in new}))
        rows = [(said[0], next(free[said[0]]), *said[1:]) for said in new]
        names = ("well_id", "position", *_NAMES[1:])
        put_rows(connection, t.due, [dict(zip(names, r, strict=True)) for r in sorted(rows)])


def _free_positions(connection: Connection, well_ids: Sequence[int]) -> dict[int, Iterator[int]]:
    """For each well the positions that no row of its has, from 0 on."""
    taken: dict[int, set[int]] = {number: set() for number in well_ids}
    for some in batches(well_ids):
        query = select(t.due.c.well_id, t.due.c.position).where(t.due.c.well_id.in_(some))
        for number, position in connection.execute(query):
            taken[number].add(position)
    return {n: filterfalse(of_one.__contains__, count()) for n, of_one in taken.items()}
