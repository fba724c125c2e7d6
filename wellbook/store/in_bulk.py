"""Many rows of one table, written at once.

The statement and what its values need on their way are made once for all rows: the library's own way
makes them anew for each row, which of many small rows is the larger part of the work.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Dialect, Table, func, insert, select

from wellbook.store import tables as t
from wellbook.store.identity import new_uid
from wellbook.store.rows import as_json, batches, moment

Row = dict[str, Any]
Shape = Callable[[Row], Any]


def put_rows(connection: Connection, table: Table, rows: Iterable[Row]) -> None:
    """Add rows that all name the same columns; of none, nothing is done."""
    listed = list(rows)
    if listed:
        text, shaped = _insert(connection.dialect, table, tuple(listed[0]))
        connection.exec_driver_sql(text, [shaped(row) for row in listed])


def lay_rows(connection: Connection, table: Table, rows: Sequence[Row]) -> None:
    """The same, each in the place of the row that has its key already."""
    if rows:
        text, shaped = _insert_over(connection.dialect, table, tuple(rows[0]))
        connection.exec_driver_sql(text, [shaped(row) for row in rows])


def added(
    connection: Connection, table: Table, rows: Sequence[Row], *, by: str = "uid"
) -> list[int]:
    """Add such rows and give their numbers, in the order of the rows.

    They are found again by a column that is unlike in all rows: with RETURNING in the order of the
    rows the engine of a file would be given one row at a time.
    """
    numbers: dict[str, int] = {}
    for some in batches(rows):
        put_rows(connection, table, some)
        own = table.c[by]
        made = select(own, table.c.id).where(own.in_([row[by] for row in some]))
        numbers |= {row[0]: row[1] for row in connection.execute(made)}
    return [numbers[row[by]] for row in rows]


def log_added(connection: Connection, who: str, table: Table, rows: Sequence[Row]) -> None:
    """Write a line of the change log for each of many rows that were added."""
    at = moment(connection)
    lines = [
        {
            "uid": new_uid(),
            "at": at,
            "who": who,
            "action": "add",
            "what": table.name,
            "row_uid": row["uid"],
            "old": None,
            "new": as_json(row),
        }
        for row in rows
    ]
    put_rows(connection, t.change, lines)


def count_on(connection: Connection, table: Table) -> None:
    """Let a server number on behind rows that came with their numbers; a file does so by itself."""
    if connection.dialect.name == "sqlite":
        return
    highest = connection.execute(select(func.max(table.c.id))).scalar()
    if highest is not None:
        counter = func.pg_get_serial_sequence(table.name, "id")
        connection.execute(select(func.setval(counter, highest)))


def cells_of(
    dialect: Dialect, table: Table, names: tuple[str, ...]
) -> Callable[[Row], tuple[Any, ...]]:
    """What makes of a row the cells of some columns, as the engine takes and gives them."""
    made = _bound(dialect, table, names)
    return lambda row: tuple([f(row[n]) if f else row[n] for n, f in made])


@lru_cache(maxsize=128)
def _bound(
    dialect: Dialect, table: Table, names: tuple[str, ...]
) -> Sequence[tuple[str, Callable[[Any], Any] | None]]:
    """For each column what a value needs on its way to the engine."""
    return [(n, table.c[n].type.dialect_impl(dialect).bind_processor(dialect)) for n in names]


@lru_cache(maxsize=64)
def _insert(dialect: Dialect, table: Table, names: tuple[str, ...]) -> tuple[str, Shape]:
    """The statement for rows of these columns, and what makes of a row what it takes."""
    compiled = insert(table).compile(dialect=dialect, column_keys=list(names))
    if compiled.positiontup is None:
        by_name = _bound(dialect, table, names)
        return str(compiled), lambda row: {n: f(row[n]) if f else row[n] for n, f in by_name}
    return str(compiled), cells_of(dialect, table, tuple(compiled.positiontup))


@lru_cache(maxsize=8)
def _insert_over(dialect: Dialect, table: Table, names: tuple[str, ...]) -> tuple[str, Shape]:
    text, shaped = _insert(dialect, table, names)
    key = [column.name for column in table.primary_key]
    # Both engines read this alike; the library has it for each by itself.
    new = ", ".join(f"{n} = excluded.{n}" for n in names if n not in key)
    return f"{text} ON CONFLICT ({', '.join(key)}) DO UPDATE SET {new}", shaped
