"""A package of an older program, brought up to the tables of today by the book's own migrations.

Its tables are read into a book of their own in a temporary folder, made at the revision at which they were
written, with the tables as they were then. That book is upgraded as any older book is, and
what it then holds is written as tables of today. So there is one way in which older records become newer
ones, the migrations, and one in which a package becomes a book.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, MetaData

from wellbook.errors import BookError, WellbookError
from wellbook.exchange.package_description import (
    Described,
    Description,
    by_name,
)
from wellbook.exchange.package_loading import load_tables
from wellbook.exchange.package_out import write_tables
from wellbook.exchange.package_tables import package_tables
from wellbook.store.book import SCHEMA_REVISION, Book, migrate
from wellbook.store.places import book_url


@dataclass(frozen=True, slots=True)
class Source:
    """Where tables of today are, and what is said of the file of each."""

    folder: Path
    described: Mapping[str, Described]


@contextmanager
def tables_of_today(
    said: Description, folder: Path, tell: Callable[[str], None]
) -> Iterator[Source]:
    """The tables of a package as those of today, there until the end of the context.

    Parameters
    ----------
    said
        The description of the package in the folder.
    tell
        Takes a line, where the package is an older one.

    Raises
    ------
    WellbookError
        If its tables are not as its description or its revision wants them, or cannot be brought up.
    """
    if said.revision == SCHEMA_REVISION:
        yield Source(folder, said.of(package_tables()))
        return
    tell(
        f"this package is of an older program: upgrading from {said.revision} to {SCHEMA_REVISION}"
    )
    with tempfile.TemporaryDirectory(prefix="wellbook-") as room:
        yield _brought_up(folder, said, Path(room))


def _brought_up(folder: Path, said: Description, room: Path) -> Source:
    book = Book(book_url(room / "older.book"))
    try:
        migrate(book, said.revision)
        with book.writing() as connection:
            tables = [
                table.in_order(said.fields_of(table.name))
                for table in package_tables(_as_they_were(connection))
            ]
            load_tables(connection, folder, tables, said.of(tables))
        migrate(book)
        with book.reading() as connection:
            resources = by_name(write_tables(connection, room))
    except BookError as error:
        raise _not_upgraded(folder, said, error.message) from error
    except OSError as error:
        raise _not_upgraded(folder, said, f"{error.strerror or error} ({room.parent})") from error
    finally:
        book.close()
    today = Description(room, SCHEMA_REVISION, resources)
    return Source(room, today.of(package_tables()))


def _as_they_were(connection: Connection) -> MetaData:
    """The tables of the revision that a book stands at, as the book itself has them."""
    tables = MetaData()
    tables.reflect(connection, only=lambda name, _: name != "alembic_version")
    return tables


def _not_upgraded(folder: Path, said: Description, why: str) -> WellbookError:
    return WellbookError(
        f"the upgrade of this package from {said.revision} to {SCHEMA_REVISION} did not work out,"
        f" nothing was written: {why}",
        where=str(folder),
    )
