"""Rows that follow from the sheets of some wells, held against those that stand there.

A sheet more changes little of what follows from all of them. Only from the first row on that differs
are a well's rows taken out and put in anew: what stays costs a look, where to write it again would
cost its place in every index. Rows stand in the order of their numbers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Dialect, Table, delete

from wellbook.store import tables as t
from wellbook.store.in_bulk import Row, added, cells_of, put_rows
from wellbook.store.loading.plain_rows import plain_rows
from wellbook.store.rows import batches
from wellbook.terms import Kind

Cells = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """A table of derived rows, and those whose rows belong to one of its rows.

    Parameters
    ----------
    by
        The column in which the others have the row's number.
    others
        In which tables something may belong to a row.
    """

    table: Table
    by: str = ""
    others: Callable[[Row], Iterable[Table]] = lambda _row: ()


COMPONENTS = Place(
    t.component,
    "component_id",
    lambda row: (t.component_claim, t.PART_TABLES[Kind(row["kind"])]),
)
SAMPLES = Place(t.water_sample, "sample_id", lambda _: (t.water_result,))
READINGS, BORE, INSPECTIONS, FOUND = (
    Place(table) for table in (t.observation, t.bore_interval, t.cable_inspection, t.found)
)


@dataclass(frozen=True, slots=True)
class Derived:
    """A row with all its columns but the number, and so what belongs to it, by table."""

    row: Row
    belonging: Mapping[Table, Sequence[Row]] = field(default_factory=dict)


@dataclass(slots=True)
class _Standing:
    """One that stands there: its number, and its cells as the engine gives them."""

    number: int
    row: Row
    belonging: dict[Table, list[Cells]] = field(default_factory=lambda: defaultdict(list))


def settle(
    connection: Connection, place: Place, well_ids: Sequence[int], rows: Iterable[Derived]
) -> None:
    """Let these rows of some wells stand there, and no others that follow from a sheet."""
    told: dict[int, list[Derived]] = defaultdict(list)
    for derived in rows:
        told[derived.row["well_id"]].append(derived)
    standing = _standing(connection, place, well_ids)
    gone: list[_Standing] = []
    new: list[Derived] = []
    for well_id in well_ids:
        there, wanted = standing.get(well_id, []), told.get(well_id, [])
        same = _same(connection.dialect, place, there, wanted)
        gone += there[same:]
        new += wanted[same:]
    _take_out(connection, place, gone)
    _put_in(connection, place, new)


def _standing(
    connection: Connection, place: Place, well_ids: Sequence[int]
) -> dict[int, list[_Standing]]:
    """What follows from sheets there, by well."""
    names = _columns(place.table, "id")
    standing: dict[int, list[_Standing]] = defaultdict(list)
    of: dict[Table, dict[int, _Standing]] = defaultdict(dict)
    columns = ("id", *names)
    for well_id, number, *cells in plain_rows(
        connection, place.table, "well_id", well_ids, columns, order="id"
    ):
        one = _Standing(number, dict(zip(names, cells, strict=True)))
        # What was entered with the well has no sheet, and stays.
        if one.row.get("sheet_root_uid", "") is not None:
            standing[well_id].append(one)
            for other in place.others(one.row):
                of[other][number] = one
    for other, some in of.items():
        columns = _columns(other, place.by)
        for number, *cells in plain_rows(connection, other, place.by, some, columns):
            some[number].belonging[other].append(tuple(cells))
    return standing


def _same(
    dialect: Dialect, place: Place, there: Sequence[_Standing], wanted: Sequence[Derived]
) -> int:
    """How many rows, from the first on, stand there as they are wanted."""
    shaped = cells_of(dialect, place.table, _columns(place.table, "id"))
    for n, (one, derived) in enumerate(zip(there, wanted, strict=False)):
        if tuple(one.row.values()) != shaped(derived.row):
            return n
        for other in place.others(one.row):
            shaped_other = cells_of(dialect, other, _columns(other, place.by))
            rows = {shaped_other(row) for row in derived.belonging.get(other, ())}
            if rows != set(one.belonging[other]):
                return n
    return min(len(there), len(wanted))


def _take_out(connection: Connection, place: Place, gone: Sequence[_Standing]) -> None:
    """Rows taken out with what belongs to them."""
    numbers: dict[Table, list[int]] = defaultdict(list)
    for one in gone:
        for other in place.others(one.row):
            numbers[other].append(one.number)
    for other, some in numbers.items():
        for batch in batches(some):
            connection.execute(delete(other).where(other.c[place.by].in_(batch)))
    for batch in batches([one.number for one in gone]):
        connection.execute(delete(place.table).where(place.table.c.id.in_(batch)))


def _put_in(connection: Connection, place: Place, new: Sequence[Derived]) -> None:
    """Rows put in with what belongs to them."""
    if not any(derived.belonging for derived in new):
        put_rows(connection, place.table, (derived.row for derived in new))
        return
    made = added(connection, place.table, [derived.row for derived in new])
    belonging: dict[Table, list[Row]] = defaultdict(list)
    for number, derived in zip(made, new, strict=True):
        for other, rows in derived.belonging.items():
            belonging[other] += [{place.by: number, **row} for row in rows]
    for other, rows in belonging.items():
        put_rows(connection, other, rows)


@lru_cache(maxsize=64)
def _columns(table: Table, but: str) -> tuple[str, ...]:
    return tuple(column.name for column in table.c if column.name != but)
