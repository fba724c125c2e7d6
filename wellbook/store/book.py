"""Opening a book: one file, or a server's database; making, checking and upgrading it.

A SQLite book upgrades itself after a safety copy. A server's book, which others may have open, is
upgraded only when told to. A book that is newer than the program is refused.
"""

from __future__ import annotations

import glob
import shutil
import sqlite3
import weakref
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from json import JSONDecodeError
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, insert, inspect, text
from sqlalchemy.engine import URL

from wellbook import versions
from wellbook.errors import BookError, WellbookError
from wellbook.store import fault_words, turn_checks, turns
from wellbook.store import tables as t
from wellbook.store.engines import WRITES, engine_of
from wellbook.store.fault_words import translated
from wellbook.store.identity import new_uid
from wellbook.store.places import book_url, shown
from wellbook.whole_files import claimed, new_file

SCHEMA_REVISION = "0011"
"""The newest revision in `migrations`; a test holds it against Alembic's own answer."""


class Book:
    """An open book. Use `reading()` or `writing()` for a transaction."""

    def __init__(self, url: URL) -> None:
        self.url = url
        self.revision: str | None = None
        """The revision at which this program knows the book; None until it was looked at."""
        self.engine = engine_of(url, may_make=lambda: self.revision is None)
        self.kept = False
        """Whether this program has changed the book, or has begun to keep a change."""
        self.before_first_change: Callable[[], None] | None = None
        """What is done once, before this program changes the book: the day's backup."""
        if not self.is_file:
            # Also of a book that nobody closes, since it could not be opened or was only looked into.
            weakref.finalize(self, self.engine.dispose)

    @property
    def is_file(self) -> bool:
        """Whether it is an embedded file."""
        return self.url.get_backend_name() == "sqlite"

    @property
    def path(self) -> Path:
        """The file of an embedded book."""
        return Path(self.url.database or "")

    @property
    def name(self) -> str:
        """How messages name the book, without a password."""
        return self.url.database or "" if self.is_file else shown(self.url)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One consistent look at the book."""
        with self._in_plain_words(), self.engine.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction: all of it, or nothing. A second writer waits for the first.

        Raises
        ------
        BookError
            If another program has upgraded the book since it was opened or judged it by newer rules, or its
            file was taken away or replaced; nothing is then written.
        """
        first, self.before_first_change = self.before_first_change, None
        if first is not None:
            first()
        with self._in_plain_words():
            there = turn_checks.place_of(self.path) if self.is_file else None
            with self.engine.connect() as plain:
                connection = plain.execution_options(**{WRITES: True})
                with connection.begin() as transaction:
                    if not self.is_file:
                        turns.take_on_server(connection)
                    if self.revision is not None:
                        turn_checks.check_revision(connection, self.revision, self.name)
                    if self.revision == SCHEMA_REVISION:
                        turn_checks.check_versions(connection, self.name)
                    yield connection
                    if self.is_file:
                        turn_checks.check_place(self.path, there)
                    self.kept = True
                    turn_checks.commit(transaction, self.name)
            if self.is_file:
                # Taken away at the very moment: what was kept went with it.
                turn_checks.check_place(self.path, there)

    @contextmanager
    def _in_plain_words(self) -> Iterator[None]:
        path = self.path if self.is_file else None
        try:
            with translated(self.name, path):
                yield
        except BookError as error:
            # What this program asks for and is not there, a newer one may have taken away.
            if fault_words.is_of_the_schema(error.__cause__) and self._has_gone_on():
                raise BookError(
                    "another program has upgraded this book since it was opened; start again, with"
                    " the newer wellbook",
                    where=self.name,
                ) from error
            raise
        except WellbookError:
            raise
        except Exception as error:
            # What no book could hold has been read: is it the file, or the program?
            from wellbook.store.damage import damage

            if path is not None and (found := damage(path)):
                raise BookError(f"{fault_words.DAMAGED} ({found})", where=self.name) from error
            if isinstance(error, JSONDecodeError):
                raise BookError(f"{fault_words.CHANGED} ({error})", where=self.name) from error
            raise

    def _has_gone_on(self) -> bool:
        if self.revision is None:
            return False
        with self.engine.connect() as connection:
            stands = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
        return bool(stands != self.revision)

    def close(self) -> None:
        """Let go of the file or the server."""
        self.engine.dispose()


# -- making and opening ------------------------------------------------------------------------


def make_book(place: str | Path, *, shop_name: str = "") -> Book:
    """Make a new, empty book, where there is none yet.

    Raises
    ------
    BookError
        If something is there already that is not an empty database.
    """
    book = Book(book_url(place))
    with translated(book.name, book.path if book.is_file else None):
        if book.is_file:
            if book.path.exists() and book.path.stat().st_size:
                raise BookError(
                    "there is a file already; open it, or choose another place", where=book.name
                )
            _make_folder(book.path.parent)
            use_write_ahead_log(book)
    if stored_revision(book) is None:
        migrate(book)
    book.revision = SCHEMA_REVISION
    with book.writing() as connection:
        if connection.execute(text("SELECT count(*) FROM book")).scalar_one():
            raise BookError(
                "there is a book already; open it, or choose another place", where=book.name
            )
        connection.execute(
            insert(t.book).values(
                uid=new_uid(),
                created_at=datetime.now(UTC).isoformat(timespec="seconds"),
                shop_name=shop_name,
                ledger_fingerprint="",
                words_version=versions.WORDS,
            )
        )
    return book


@contextmanager
def making(book: Book) -> Iterator[Connection]:
    """A transaction in a place where no book is, with the tables just made: all of it, or nothing."""
    from alembic import command

    with translated(book.name, book.path if book.is_file else None), book.engine.connect() as plain:
        connection = plain.execution_options(**{WRITES: True})
        with connection.begin():
            command.upgrade(alembic_config(connection), SCHEMA_REVISION)
            yield connection


def same_place(one: Book, other: Book) -> bool:
    """Whether two books are one, under whatever names."""
    if one.is_file != other.is_file:
        return False
    if one.is_file:
        return other.path.exists() and one.path.samefile(other.path)
    # Where a service is named, its own file has the rest; options may name a schema of the database.
    parts = [
        (
            b.url.host,
            b.url.port or 5432,
            b.url.database,
            *map(b.url.query.get, ("service", "options")),
        )
        for b in (one, other)
    ]
    return parts[0] == parts[1]


def _none_here(path: Path) -> str:
    """What is said where no book is: a restore that was killed may have put it aside."""
    kept = [
        p
        for p in path.parent.glob(f"{glob.escape(path.name)}.replaced-*")
        if not p.name.endswith(("-wal", "-shm"))
    ]
    if not kept:
        return "there is no book here yet; make one with: wellbook init (or look: wellbook demo)"
    newest = max(kept, key=lambda p: p.stat().st_mtime_ns)
    return (
        f"there is no book here; the one that was here before a restore is {newest}; put it back:"
        f" wellbook restore {newest}"
    )


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BookError(error.strerror or "cannot be made", where=str(folder)) from error


def use_write_ahead_log(book: Book) -> None:
    """Readers and a writer at once; the mode stays with the file."""
    with sqlite3.connect(book.path) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
    connection.close()


def _back_into_write_ahead_log(book: Book) -> None:
    """Where a restore was killed, the book may be out of it; in the mode already, this is a look.

    Nobody is kept waiting for it: as long as others are at the book, or it can only be read, it stays
    for a later opening.
    """
    if book.is_file:
        with suppress(sqlite3.Error), closing(book.engine.raw_connection()) as connection:
            cursor = connection.cursor()
            cursor.execute("PRAGMA busy_timeout = 0")
            cursor.execute("PRAGMA journal_mode = WAL")


def open_book(
    place: str | Path, *, tell: Callable[[str], None] = lambda _: None, upgrade: bool = False
) -> Book:
    """Open a book that is there, upgrading a file's book after a safety copy.

    Parameters
    ----------
    place
        A path or a database URL.
    tell
        Takes a line for the user, such as where the safety copy is.
    upgrade
        Also upgrade a server's book.

    Raises
    ------
    BookError
        If it is not there, not a book, newer than the program, or a server's that is older.
    """
    book, revision = _there(place)
    if revision == SCHEMA_REVISION:
        _back_into_write_ahead_log(book)
        return book
    if not book.is_file and not upgrade:
        raise BookError(
            f"this book is at {revision}, the program wants {SCHEMA_REVISION};"
            " when nobody is writing, run: wellbook upgrade",
            where=book.name,
        )
    copied = ""
    if book.is_file:
        copy = safety_copy(book, revision)
        copied = f"; a copy is at {copy}"
        tell(f"upgrading the book from {revision} to {SCHEMA_REVISION}{copied}")
    try:
        migrate(book)
    except BookError as error:
        raise BookError(
            f"the upgrade from {revision} to {SCHEMA_REVISION} did not work out and was undone:"
            f" {error.message}{copied}",
            where=book.name,
        ) from error
    _back_into_write_ahead_log(book)
    return book


def open_as_it_is(place: str | Path) -> Book:
    """Open a book in which nothing is changed by that: not to bring it up to this program either.

    Raises
    ------
    BookError
        As `open_book`; and of a file's book too where it is older.
    """
    book, revision = _there(place)
    if revision < SCHEMA_REVISION:
        raise BookError(
            f"this book is at {revision}, the program wants {SCHEMA_REVISION}; bring it up first, when"
            f" nobody is writing: wellbook upgrade --book {book.name}",
            where=book.name,
        )
    return book


def _there(place: str | Path) -> tuple[Book, str]:
    """A book that is there and no newer than the program, with its revision."""
    book = Book(book_url(place))
    if book.is_file and not book.path.exists():
        raise BookError(_none_here(book.path), where=book.name)
    if book.is_file and book.path.is_file() and not book.path.stat().st_size:
        raise BookError(
            "this file is empty: a new book is made here by wellbook init; one that was here is to be"
            " had from its newest backup only",
            where=book.name,
        )
    revision = stored_revision(book)
    if revision is None:
        raise BookError(
            "this database holds no book; make one with: wellbook init", where=book.name
        )
    if revision == SCHEMA_REVISION:
        book.revision = revision
    if revision > SCHEMA_REVISION:
        raise BookError(
            f"this book is newer ({revision}) than this program ({SCHEMA_REVISION});"
            " install the newer wellbook, then try again",
            where=book.name,
        )
    return book, revision


def stored_revision(book: Book) -> str | None:
    """The schema revision that a database stands at; None where there is no book in it."""
    with book.reading() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def safety_copy(book: Book, revision: str) -> Path:
    """Copy a file's book by the engine's own backup, which also sees what is not yet in the file.

    The copy is there whole or not at all, and an earlier one of the same second stays.
    """
    moment = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
    wanted = book.path.with_name(f"{book.path.name}.before-{revision}-{moment}")
    try:
        with claimed(wanted) as target, new_file(target) as part, translated(book.name, book.path):
            with (
                closing(sqlite3.connect(book.path)) as file,
                closing(sqlite3.connect(part)) as copy,
            ):
                file.backup(copy)
            shutil.copymode(book.path, part)
    except OSError as error:
        words = fault_words.wrong_with_place(book.path) or error.strerror or str(error)
        raise BookError(words, where=book.name) from error
    return target


def migrations_folder() -> Path:
    """Where the migrations are: in the installed package, or in the source tree."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "_migrations"
    return inside if inside.is_dir() else package.parent / "migrations"


def alembic_config(connection: Connection | None = None) -> Any:
    """Alembic's configuration, made here so that no file has to be found."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(migrations_folder()))
    if connection is not None:
        config.attributes["connection"] = connection
    return config


def migrate(book: Book, revision: str = "head") -> None:
    """Bring the tables to a revision, up or down, in one transaction.

    Raises
    ------
    BookError
        If it does not work out; nothing is then changed.
    """
    from alembic import command
    from alembic.script import ScriptDirectory
    from alembic.util import CommandError

    # Looked at before: what a server's transaction sees would begin with the look, ahead of its turn.
    stands = stored_revision(book) is not None
    with translated(book.name), book.engine.connect() as plain:
        if book.is_file:
            # Batch migration copies and drops tables; with keys enforced that would drop rows.
            plain.connection.dbapi_connection.execute("PRAGMA foreign_keys = OFF")  # type: ignore[union-attr]
        connection = plain.execution_options(**{WRITES: True})
        with connection.begin():
            if stands and not book.is_file:
                turns.take_on_server(connection)
            config = alembic_config(connection)
            at = (
                connection.dialect.has_table(connection, "alembic_version")
                and connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
            )
            order = [s.revision for s in ScriptDirectory.from_config(config).walk_revisions()][::-1]
            goal = order[-1] if revision == "head" else revision
            if at and at not in order:
                raise BookError(f"it is at {at}, which this program does not know", where=book.name)
            down = bool(at) and (goal == "base" or order.index(goal) < order.index(str(at)))
            try:
                (command.downgrade if down else command.upgrade)(config, revision)
            except CommandError as error:
                raise BookError(str(error), where=book.name) from error
    book.revision = None if goal == "base" else goal
