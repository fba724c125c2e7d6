"""Rows of a table by some numbers, as plain tuples of what the engine gave.

A hole is made of some forty rows. By the library's own way each of them would cost more on its way
than all that is made of it: the statement is put together anew, each value goes through its type, each
row becomes a mapping. Here a statement is a text that is kept, asked of the engine's own driver within
the caller's transaction, and a row is a tuple; `cells` reads what is in it, alike on either engine.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Dialect, Table
from sqlalchemy.exc import DBAPIError

Row = tuple[Any, ...]
Rows = Mapping[Any, Sequence[Row]]
"""Rows by the value of the column that was asked by, in the order of their numbers."""

_MOST = 512
"""How many values one statement asks for: a power of two."""


def rows_by(
    connection: Connection,
    table: Table,
    by: str,
    keys: Iterable[Any],
    columns: Sequence[str],
    *,
    order: str = "",
) -> Rows:
    """A table's rows by one of its columns.

    Parameters
    ----------
    by
        The column whose values are asked for.
    keys
        These values, each once.
    columns
        What each row has behind the value of `by`, which stands first in it.
    order
        The column by which the rows of one value are ordered; none where there is one row at most.
    """
    grouped: dict[Any, list[Row]] = defaultdict(list)
    for row in plain_rows(connection, table, by, keys, columns, order=order):
        grouped[row[0]].append(row)
    return grouped


def plain_rows(
    connection: Connection,
    table: Table,
    by: str,
    keys: Iterable[Any],
    columns: Sequence[str],
    *,
    order: str = "",
) -> Iterator[Row]:
    """The same one after another, ordered within each value of the column only."""
    wanted = list(keys)
    names = (by, *columns)
    for start in range(0, len(wanted), _MOST):
        some = wanted[start : start + _MOST]
        # The last value is asked for again until the number is a power of two, so that a handful of
        # texts serve for any number of values.
        size = 1 << (len(some) - 1).bit_length()
        some += some[-1:] * (size - len(some))
        text = _text(connection.dialect, table, names, order, size)
        yield from _asked(connection, text, some)


def _asked(connection: Connection, text: str, values: Sequence[Any]) -> list[Row]:
    """What the driver gives; what it complains of comes as it would from the library."""
    driver = connection.dialect.loaded_dbapi.Error
    try:
        with closing(connection.connection.cursor()) as cursor:
            cursor.execute(text, values)
            return list(cursor.fetchall())
    except driver as error:
        raise DBAPIError.instance(text, None, error, driver) from error


@lru_cache(maxsize=512)
def _text(dialect: Dialect, table: Table, names: Sequence[str], order: str, size: int) -> str:
    quoted = dialect.identifier_preparer.quote
    listed = ", ".join(quoted(table.c[name].name) for name in names)
    mark = "?" if dialect.paramstyle == "qmark" else "%s"
    text = f"SELECT {listed} FROM {quoted(table.name)} WHERE {quoted(names[0])}"
    text += f" IN ({', '.join([mark] * size)})"
    # In the order of an index on both, so that nothing has to be sorted.
    return f"{text} ORDER BY {quoted(names[0])}, {quoted(order)}" if order else text
