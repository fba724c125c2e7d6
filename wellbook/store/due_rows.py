"""Rows of the ledger, compared with what stands there, so that only what differs is written."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import count, filterfalse
from typing import Any

from sqlalchemy import Connection, bindparam, delete, select

from wellbook.rules.finding import Finding
from wellbook.store import tables as t
from wellbook.store.in_bulk import lay_rows
from wellbook.store.rows import plain

Said = tuple[Any, ...]
"""A row of the ledger without its position: whose it is, and what is said."""

Place = tuple[int, str, int]
"""Where a row stands: of which well, by which rule, and a position that tells such rows apart."""

_KEY = ("well_id", "rule", "position")
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


@dataclass(frozen=True, slots=True)
class Changes:
    """By what the ledger differs from what is said now: places that become empty, and places with what
    they have from now on. Both in their order, so that the ledger is written from its begin to its end.
    """

    gone: Sequence[Place]
    come: Sequence[tuple[Place, Said]]


class Standing:
    """What stands in the ledger of some wells: kept where it is said again."""

    def __init__(self, rows: Iterable[tuple[int, Said]]) -> None:
        self._positions: dict[Said, list[int]] = defaultdict(list)
        self._kept: dict[tuple[int, str], set[int]] = defaultdict(set)
        for position, said in rows:
            self._positions[said].append(position)

    def keeps(self, said: Said) -> bool:
        """Whether a row stands there that says this; it is kept then."""
        positions = self._positions.get(said)
        if not positions:
            return False
        self._kept[said[:2]].add(positions.pop())
        return True

    def left(self) -> set[Place]:
        """Where the rows stand that nothing was kept for."""
        return {(*said[:2], n) for said, positions in self._positions.items() for n in positions}

    def free(self, whose: tuple[int, str]) -> Iterator[int]:
        """The positions of a rule at a well that no row keeps, from 0 on."""
        return filterfalse(self._kept.get(whose, set()).__contains__, count())

    def changes(self, new: Iterable[Said]) -> Changes:
        """What differs once it is known what is kept, and what is new."""
        free: dict[tuple[int, str], Iterator[int]] = {}
        come: list[tuple[Place, Said]] = []
        for said in new:
            whose = said[:2]
            if whose not in free:
                free[whose] = self.free(whose)
            come.append(((*whose, next(free[whose])), said))
        come.sort()
        return Changes(sorted(self.left() - {place for place, _ in come}), come)


def standing_rows(
    connection: Connection, well_ids: Sequence[int], names: Collection[str] | None
) -> Standing:
    """What stands in the ledger of some wells, by some rules or (None) by whatever rule."""
    query = select(t.due.c.position, *(t.due.c[name] for name in _NAMES))
    query = query.where(t.due.c.well_id.in_(well_ids))
    if names is not None:
        query = query.where(t.due.c.rule.in_(sorted(names)))
    return Standing((row[0], tuple(row[1:])) for row in connection.execute(query).fetchall())


def make_changes(connection: Connection, changes: Changes) -> None:
    """Empty the places that have nothing any more, and lay the rows that came into theirs."""
    if changes.gone:
        one = delete(t.due).where(*(t.due.c[name] == bindparam(f"of_{name}") for name in _KEY))
        parameters = [
            {f"of_{name}": cell for name, cell in zip(_KEY, place, strict=True)}
            for place in changes.gone
        ]
        connection.execute(one, parameters)
    rows = [
        {"position": position, **dict(zip(_NAMES, said, strict=True))}
        for (_, _, position), said in changes.come
    ]
    lay_rows(connection, t.due, rows)
