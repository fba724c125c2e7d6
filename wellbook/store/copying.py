"""A whole book copied to another place: from a file to a server, back, or between two of a kind.

All rows are taken with their numbers and identities, derived ones too, so that nothing has to be worked
out anew. The source is read in one look, which sees none of what others write meanwhile; the target is
written in one transaction and is there whole or not at all. Before it counts, each of its tables is held
against what was read, by the number of its rows and a sum over them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Double, Table, delete, exists, select

from wellbook.errors import BookError
from wellbook.store import tables as t
from wellbook.store.attachments import files_of
from wellbook.store.book import (
    SCHEMA_REVISION,
    Book,
    making,
    same_place,
    stored_revision,
    use_write_ahead_log,
)
from wellbook.store.fault_words import translated
from wellbook.store.in_bulk import count_on, put_rows
from wellbook.store.kept_files import KeptFiles
from wellbook.store.places import book_url
from wellbook.store.swapping import logs_aside
from wellbook.whole_files import new_file

_AT_ONCE = 1000
"""How many rows are held in memory."""
_MODULUS = 1 << 256


@dataclass(frozen=True, slots=True)
class Summed:
    """How many rows a table has, and a sum over all of them.

    Parameters
    ----------
    rows
        How many.
    digest
        SHA-256 of each row, added up: the same whatever the order in which an engine gives them.
    """

    rows: int
    digest: str


@dataclass(frozen=True, slots=True)
class Copied:
    """What a copy came to.

    Parameters
    ----------
    tables
        Of each table its rows and their sum, which are those of both books.
    files
        How many contents of attached files lie beside the copy, each held against its sum.
    files_wrong
        The sum of each content that the source lacks, or has changed, with what is wrong with it:
        its row is in the copy, as it is in the source.
    """

    tables: dict[str, Summed]
    files: int
    files_wrong: dict[str, str]

    @property
    def rows(self) -> int:
        """The rows of all tables."""
        return sum(one.rows for one in self.tables.values())


def copy_book(
    source: Book,
    place: str | Path,
    *,
    with_files: bool = True,
    progress: Callable[[str, int], None] = lambda _table, _rows: None,
) -> Copied:
    """Copy a book, which is at this program's revision, into a place where none is.

    Parameters
    ----------
    place
        A path or a URL. An empty book that was just made is taken for none: the copy has the
        identity of the source.
    with_files
        Also copy the contents of attached files: beside a file's book, else into the folder that
        the shop names. Without, their rows are copied alone.
    progress
        Takes a table and how many of its rows have been copied.

    Raises
    ------
    BookError
        If there is a book already, or one of the two cannot be read or written.
    WellbookError
        If there is a file of that name, or no folder for the files can be reached.
    """
    target = Book(book_url(place))
    if same_place(source, target):
        raise BookError("this is the book itself; name another place", where=target.name)
    with source.reading() as its:
        folders = _folders(source, its, target) if with_files else None
        with _empty(target) as mine:
            read = {x.name: _copy(its, mine, x, source.name, progress) for x in _TABLES}
            whole, wrong = _contents(its, *folders) if folders else (0, {})
            _compare(read, summed(mine))
    return Copied(read, whole, wrong)


_TABLES: tuple[Table, ...] = tuple(t.METADATA.sorted_tables)
"""Each after those that it points to."""


def summed(connection: Connection) -> dict[str, Summed]:
    """Each table's rows and their sum; alike on both engines where the books are."""
    found = {}
    for table in _TABLES:
        total = _Sum(table)
        for some in _batches(connection, table):
            total.take(some)
        found[table.name] = total.result
    return found


# -- where to --------------------------------------------------------------------------------------


@contextmanager
def _empty(target: Book) -> Iterator[Connection]:
    """A transaction in a book without a row; a file takes its name only when all is in it."""
    there = not target.is_file or target.path.exists()
    revision = stored_revision(target) if there else None
    if revision is None and target.is_file:
        with new_file(target.path) as path:
            part = Book(book_url(path))
            with making(part) as connection:
                yield connection
            use_write_ahead_log(part)
            logs_aside(target.path)
    elif revision is None:
        with making(target) as connection:
            yield connection
    elif revision != SCHEMA_REVISION:
        raise BookError(
            f"there is a book of another revision ({revision}); choose another place",
            where=target.name,
        )
    else:
        with target.writing() as connection:
            _make_room(connection, target)
            yield connection


def _make_room(connection: Connection, target: Book) -> None:
    for table in _TABLES:
        if table is not t.book and connection.execute(select(exists(select(table)))).scalar():
            raise BookError(
                "there is a book already, and it is not empty; choose another place, or put two"
                " books together with: wellbook merge",
                where=target.name,
            )
    connection.execute(delete(t.book))


# -- the rows --------------------------------------------------------------------------------------


def _copy(
    its: Connection,
    mine: Connection,
    table: Table,
    source: str,
    progress: Callable[[str, int], None],
) -> Summed:
    total, names = _Sum(table), [column.name for column in table.c]
    batches = _batches(its, table)
    while some := _next(batches, source):
        put_rows(mine, table, (dict(zip(names, row, strict=True)) for row in some))
        total.take(some)
        progress(table.name, total.rows)
    if "id" in table.c:
        count_on(mine, table)
    return total.result


def _next(batches: Iterator[Sequence[Any]], source: str) -> Sequence[Any] | None:
    # What the source says is told with the source's name, not with that of the book written to.
    with translated(source):
        return next(batches, None)


def _batches(connection: Connection, table: Table) -> Iterator[Sequence[Any]]:
    """The rows by their key, some at a time, read as they are asked for on either engine."""
    query = select(table).order_by(*table.primary_key)
    yield from connection.execute(query, execution_options={"yield_per": _AT_ONCE}).partitions()


class _Sum:
    """Rows added up, each as a JSON list of its values: what both engines give for the same row."""

    def __init__(self, table: Table) -> None:
        self.rows = 0
        self._total = 0
        self._broken = [n for n, c in enumerate(table.c) if isinstance(c.type, Double)]

    def take(self, rows: Sequence[Sequence[Any]]) -> None:
        for row in rows:
            values = list(row)
            for n in self._broken:
                if values[n] is not None:
                    # An embedded file keeps no sign of a nought.
                    values[n] += 0.0
            line = json.dumps(values, default=str).encode()
            self._total += int.from_bytes(hashlib.sha256(line).digest())
        self.rows += len(rows)

    @property
    def result(self) -> Summed:
        return Summed(self.rows, f"{self._total % _MODULUS:064x}")


def _compare(read: dict[str, Summed], written: dict[str, Summed]) -> None:
    for name, one in read.items():
        other = written[name]
        if one != other:
            raise BookError(
                f"the copy is not equal to the book: {name} has {one.rows} rows there and"
                f" {other.rows} here, or one of them differs; nothing was written"
            )


# -- the files -------------------------------------------------------------------------------------


def _folders(source: Book, its: Connection, target: Book) -> tuple[KeptFiles, KeptFiles] | None:
    """Where the contents are and where they go; None where no well has a file."""
    if not its.execute(select(exists(select(t.attachment)))).scalar():
        return None
    return files_of(source, its), files_of(target, its)


def _contents(its: Connection, there: KeptFiles, here: KeptFiles) -> tuple[int, dict[str, str]]:
    """How many lie beside the copy, and what is wrong with the others."""
    query = select(t.attachment.c.sha256).distinct().order_by(t.attachment.c.sha256)
    sums = list(its.execute(query).scalars())
    wrong = {}
    for sha256 in sums:
        if not here.wrong(sha256):
            continue
        if said := there.wrong(sha256):
            wrong[sha256] = said
        else:
            here.adopt(there.path(sha256), sha256)
    return len(sums) - len(wrong), wrong
