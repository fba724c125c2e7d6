"""The tables of a package, read into tables of a book: value by value, row by row, held against their sums.

The tables are given: those of today, or those of the revision at which an older package was written.
Every value is read as its column wants it, every row it points to is looked for; what is wrong is said with
file, row and field. Rows are written some hundreds at a time, in the caller's transaction.
"""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import Connection, insert, select
from sqlalchemy.exc import DBAPIError

from wellbook.errors import WellbookError
from wellbook.exchange.package_description import Described
from wellbook.exchange.package_rows import Row, RowReader
from wellbook.exchange.package_tables import NUMBER, PackageTable
from wellbook.store.in_bulk import count_on
from wellbook.store.rows import AT_ONCE

_LONGEST_CELL = 64 * 1024 * 1024
"""In signs. A letter or a sheet has some thousands; what is longer is no cell but a broken file."""


def load_tables(
    connection: Connection,
    folder: Path,
    tables: Iterable[PackageTable],
    described: Mapping[str, Described],
) -> dict[str, int]:
    """Read the files of tables, each after those that it points to, into the empty tables.

    Parameters
    ----------
    described
        What the package says of each table's file.

    Returns
    -------
    How many rows each has.

    Raises
    ------
    WellbookError
        If anything is not as it should be; the caller's transaction is then to be undone.
    """
    return {table.name: _take(connection, folder, table, described[table.name]) for table in tables}


def _take(connection: Connection, folder: Path, table: PackageTable, said: Described) -> int:
    """Read one table's file into the book; gives how many rows it has."""
    reader = RowReader(table, of_server=connection.dialect.name != "sqlite")
    count = 0
    with _opened(folder / table.path) as raw:
        summed = _Summed(raw)
        rows = _rows(summed, table)
        while some := [reader.read(row) for row in islice(rows, AT_ONCE)]:
            _point(connection, table, some)
            _write(connection, table, some)
            count += len(some)
        _check_sum(summed, count, table, said)
    if any(field.name == NUMBER and field.column.name == "id" for field in table.fields):
        count_on(connection, table.kept.table)
    return count


# -- the file ----------------------------------------------------------------------------------


@contextmanager
def _opened(path: Path) -> Iterator[BinaryIO]:
    try:
        with path.open("rb") as file:
            yield file
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=str(path)) from None


class _Summed(io.RawIOBase):
    """A file whose sum is taken while it is read."""

    def __init__(self, file: BinaryIO) -> None:
        super().__init__()
        self._file = file
        self.sum = hashlib.sha256()

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        chunk = self._file.read(len(buffer))
        buffer[: len(chunk)] = chunk
        self.sum.update(chunk)
        return len(chunk)


def _rows(raw: _Summed, table: PackageTable) -> Iterator[tuple[int, list[str]]]:
    """The rows behind the header, each with its number as a spreadsheet counts them."""
    lines = io.TextIOWrapper(io.BufferedReader(raw), encoding="utf-8", newline="")
    before = csv.field_size_limit(_LONGEST_CELL)
    number = 0
    try:
        for number, cells in enumerate(csv.reader(_bounded(lines), strict=True), 1):
            if number == 1:
                _check_header(cells, table)
            else:
                yield number, cells
        if not number:
            raise WellbookError("the file is empty; it has not even a header", where=table.path)
    except csv.Error as error:
        raise WellbookError(
            f"cannot be read as CSV: {error}", where=f"{table.path}, row {number + 1}"
        ) from None
    except UnicodeDecodeError:
        raise WellbookError(
            "is not UTF-8 text here", where=f"{table.path}, after row {number}"
        ) from None
    finally:
        csv.field_size_limit(before)


def _bounded(lines: io.TextIOWrapper) -> Iterator[str]:
    """Lines, none of which is longer than memory should be asked for."""
    while line := lines.readline(_LONGEST_CELL):
        if len(line) == _LONGEST_CELL:
            raise csv.Error("a line is far too long")
        yield line


def _check_header(cells: Sequence[str], table: PackageTable) -> None:
    wanted = [field.name for field in table.fields]
    if list(cells) != wanted:
        raise WellbookError(
            f"the header should be: {','.join(wanted)}", where=f"{table.path}, row 1"
        )


def _check_sum(file: _Summed, rows: int, table: PackageTable, said: Described) -> None:
    if file.sum.hexdigest() != said.sha256 or rows != said.rows:
        raise WellbookError(
            f"it is not the file that the package was written with: {rows} rows here,"
            f" {said.rows} there, or one of them differs; take it from a good copy",
            where=table.path,
        )


# -- into the book -----------------------------------------------------------------------------


def _point(connection: Connection, table: PackageTable, rows: Sequence[Row]) -> None:
    """Put the number of what each row points to in the place of its uid."""
    for field in table.fields:
        if not field.points_to:
            continue
        other = table.kept.points[field.column.name]
        wanted = {row.values[field.name] for row in rows} - {None}
        query = select(other.c.uid, other.c.id).where(other.c.uid.in_(sorted(wanted)))
        known = {row.uid: row.id for row in connection.execute(query)}
        for row in rows:
            uid = row.values[field.name]
            if uid is not None and uid not in known:
                raise row.refused(field, f"there is no {field.points_to} '{uid}' in the package")
            row.values[field.name] = known.get(uid)


def _write(connection: Connection, table: PackageTable, rows: Sequence[Row]) -> None:
    into = table.kept.table
    names = {field.name: field.column.name for field in table.fields}
    values = [{names[name]: value for name, value in row.values.items()} for row in rows]
    # What is worked out anew and may not be empty: nothing that is derived is there yet.
    unsaid = {name: "" for name in _UNSAID.get(table.name, ()) if name in into.c}
    values = [{**one, **unsaid} for one in values]
    try:
        with connection.begin_nested():
            connection.execute(insert(into), values)
    except DBAPIError as error:
        raise _refusal(connection, table, rows, values) from error


_UNSAID = {"book": ("ledger_fingerprint",)}


def _refusal(
    connection: Connection,
    table: PackageTable,
    rows: Sequence[Row],
    values: Sequence[Mapping[str, Any]],
) -> WellbookError:
    """Which row of some the book does not take, found by writing them one by one."""
    for row, one in zip(rows, values, strict=True):
        try:
            with connection.begin_nested():
                connection.execute(insert(table.kept.table), [one])
        except DBAPIError as error:
            first = str(error.orig).strip().splitlines()[0]
            return WellbookError(
                f"the book does not take this row, or has one like it already: {first}",
                where=f"{table.path}, row {row.number}",
            )
    return WellbookError("the book does not take these rows together", where=table.path)
