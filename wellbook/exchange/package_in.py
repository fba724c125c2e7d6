"""A package read back into an empty book, which is then equal to the one it was written from.

Every value is read by the book's own tables, every row it points to is looked for, every file is
held against its sum, all in one transaction: what is wrong is said with file, row and field, and the book
is as empty as before. Rows are written some hundreds at a time. Then what is derived is made anew.

A package of another revision of the tables is refused: an older program reads it, and the book that it
makes upgrades itself. So there is one way in which older records become newer ones, the migrations.
"""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any, BinaryIO

from sqlalchemy import Connection, delete, false, func, insert, select, text, true
from sqlalchemy.exc import DBAPIError

from wellbook.errors import WellbookError
from wellbook.exchange.package_description import Described, read_description
from wellbook.exchange.package_files import take_in
from wellbook.exchange.package_rows import Row, RowReader
from wellbook.exchange.package_tables import NUMBER, PackageTable, package_tables
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.freshness import derive_anew
from wellbook.store.keys import fill_keys
from wellbook.store.rows import AT_ONCE

_LONGEST_CELL = 64 * 1024 * 1024
"""In signs. A letter or a sheet has some thousands; what is longer is no cell but a broken file."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What came in: how many rows of each table, and how many files of wells."""

    rows: dict[str, int]
    files: int


def read_package(
    book: Book, folder: Path, tell: Callable[[str], None] = lambda _line: None
) -> Taken:
    """Make an empty book equal to the one that a package was written from.

    Parameters
    ----------
    tell
        Takes a line of a water system whose sheets the replay refuses: its string is then not there.

    Raises
    ------
    WellbookError
        If the book is not empty, or anything of the package is not as it should be; nothing is
        then written.
    """
    described = read_description(folder)
    with book.writing() as connection:
        own = _make_room(connection, book)
        rows = {
            table.name: _take(connection, folder, table, described[table.name])
            for table in package_tables()
        }
        _keep_own_folder(connection, own)
        fill_keys(connection)
        files = take_in(book, connection, folder)
        for line in derive_anew(connection):
            tell(line)
    return Taken(rows, files)


def _make_room(connection: Connection, book: Book) -> str | None:
    """Look whether the book is empty; it then becomes the one of the package, with its identity.

    Returns
    -------
    Where the book's own files of wells are to be, where it says so: which is no matter of a package.
    """
    fact, line = t.shop_fact, t.change
    may_be = {
        t.book.name: false(),
        fact.name: fact.c.name != _FILES,
        line.name: (line.c.what != "shop") | (line.c.row_uid != _FILES),
    }
    for table in package_tables():
        full = select(table.kept.table).where(may_be.get(table.name, true())).limit(1)
        if connection.execute(full).first() is not None:
            raise WellbookError(
                "this book is not empty; a package is read into a new one (wellbook init), and two books"
                " are put together with: wellbook merge",
                where=book.name,
            )
    own = connection.execute(select(fact.c.value).where(fact.c.name == _FILES)).scalar()
    for emptied in (t.book, fact, line):
        connection.execute(delete(emptied))
    return own


_FILES = "files"
"""The fact of the shop that says where a server's book has its files."""


def _keep_own_folder(connection: Connection, own: str | None) -> None:
    """Of a server's book the folder is its own, never that of the book which the package is from."""
    if connection.dialect.name == "sqlite":
        return
    connection.execute(delete(t.shop_fact).where(t.shop_fact.c.name == _FILES))
    if own is not None:
        connection.execute(insert(t.shop_fact).values(name=_FILES, value=own))


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
        _count_on(connection, table)
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
    if into is t.book:
        values = [{**one, "ledger_fingerprint": ""} for one in values]
    try:
        with connection.begin_nested():
            connection.execute(insert(into), values)
    except DBAPIError as error:
        raise _refusal(connection, table, rows, values) from error


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


def _count_on(connection: Connection, table: PackageTable) -> None:
    """Let a server go on counting behind the highest number; a file does so by itself."""
    if connection.dialect.name == "sqlite":
        return
    name = table.name
    highest = connection.execute(select(func.max(table.kept.table.c.id))).scalar()
    if highest is not None:
        counter = text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :highest)")
        connection.execute(counter, {"name": name, "highest": highest})
