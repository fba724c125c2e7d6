"""A package read back into an empty book, which is then equal to the one it was written from.

Every value is read by the book's own tables, every row it points to is looked for, every file is
held against its sum, all in one transaction: what is wrong is said with file, row and field, and the book
is as empty as before. Rows are written some hundreds at a time. Then what is derived is made anew.

A package of an older program is brought up to the tables of today first (`package_older`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, delete, false, insert, select, true

from wellbook.errors import WellbookError
from wellbook.exchange.package_description import read_description
from wellbook.exchange.package_files import take_in
from wellbook.exchange.package_loading import load_tables
from wellbook.exchange.package_older import tables_of_today
from wellbook.exchange.package_tables import package_tables
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.freshness import derive_anew
from wellbook.store.keys import fill_keys


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
        Takes a line: that the package is an older one; of a water system whose sheets the replay
        refuses, so that its string is not there.

    Raises
    ------
    WellbookError
        If the book is not empty, or anything of the package is not as it should be; nothing is
        then written.
    """
    said = read_description(folder)
    with book.writing() as connection:
        own = _make_room(connection, book)
        with tables_of_today(said, folder, tell) as source:
            rows = load_tables(connection, source.folder, package_tables(), source.described)
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
