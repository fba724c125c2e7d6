"""The other book of a merge: opened so that nothing of it is ever changed."""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Connection

from wellbook.errors import BookError
from wellbook.store.book import (
    SCHEMA_REVISION,
    Book,
    book_url,
    migrate,
    same_place,
    stored_revision,
    translated,
)


@contextmanager
def other_book(place: str, mine: Book) -> Iterator[Connection]:
    """Another book to be read; what is written into it while it is open is let go of.

    A file is copied first, with what its log of writes still holds, and the copy is upgraded.

    Raises
    ------
    BookError
        If it is this book, no book, or newer or (on a server) older than this program.
    """
    book = Book(book_url(place))
    if book.is_file and book.path.is_dir():
        raise BookError(
            "is a folder; name the book's file (an export is brought into a new book first: wellbook"
            " --book NEW.book init, then wellbook --book NEW.book import FOLDER)",
            where=book.name,
        )
    if book.is_file and not book.path.is_file():
        raise BookError("there is no book here", where=book.name)
    if same_place(mine, book):
        raise BookError("this is the open book itself; name the other one", where=book.name)
    if not book.is_file:
        with _undone(_at_this_revision(book)) as connection:
            yield connection
        return
    with tempfile.TemporaryDirectory() as folder:
        copy = Book(book_url(Path(folder) / "other.book"))
        _copy(book, copy.path)
        _at_this_revision(copy, book.name)
        with _undone(copy) as connection:
            yield connection
        copy.close()


def _copy(book: Book, target: Path) -> None:
    # Where nothing waits in the log of writes the file alone is read, so that no other file appears
    # beside it: it may be on a stick that cannot be written.
    log = book.path.with_name(f"{book.path.name}-wal")
    waits = log.exists() and log.stat().st_size > 0
    how = "mode=ro" if waits else "mode=ro&immutable=1"
    uri = f"{book.path.resolve().as_uri()}?{how}"
    with (
        translated(book.name),
        closing(sqlite3.connect(uri, uri=True)) as source,
        closing(sqlite3.connect(target)) as copy,
    ):
        source.backup(copy)


def _at_this_revision(book: Book, name: str = "") -> Book:
    where = name or book.name
    revision = stored_revision(book)
    if revision is None:
        raise BookError("this database holds no book", where=where)
    if revision > SCHEMA_REVISION:
        raise BookError(
            f"this book is newer ({revision}) than this program ({SCHEMA_REVISION});"
            " install the newer wellbook, then try again",
            where=where,
        )
    if revision < SCHEMA_REVISION:
        if not book.is_file:
            raise BookError(
                f"this book is at {revision}, the program wants {SCHEMA_REVISION};"
                " when nobody is writing there, run: wellbook --book URL upgrade",
                where=where,
            )
        migrate(book)
    return book


@contextmanager
def _undone(book: Book) -> Iterator[Connection]:
    with translated(book.name), book.engine.connect() as connection:
        transaction = connection.begin()
        try:
            yield connection
        finally:
            transaction.rollback()
    book.close()
