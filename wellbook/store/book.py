"""Opening a book: one file, or a server's database; making, checking and upgrading it.

A SQLite book upgrades itself after a safety copy. A server's book, which others may have open, is
upgraded only when told to. A book that is newer than the program is refused.
"""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, cast

from sqlalchemy import Connection, Engine, create_engine, event, insert, inspect, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.pool import NullPool

from wellbook.errors import BookError
from wellbook.store import tables as t
from wellbook.store.identity import new_uid
from wellbook.store.turns import Line

SCHEMA_REVISION = "0009"
"""The newest revision in `migrations`; a test holds it against Alembic's own answer."""

WAIT_SECONDS = 30
_LOOKS_AGAIN_SECONDS = (0.001, 0.02)
_WRITES = "wellbook_writes"


def default_place() -> Path:
    """The book's file in the user's data folder."""
    if os.name == "nt":  # pragma: no cover - run on Windows only
        base = Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local"))
    else:
        base = Path(os.environ.get("XDG_DATA_HOME", Path.home() / ".local" / "share"))
    return base / "wellbook" / "shop.book"


def book_url(place: str | Path) -> URL:
    """The database URL of a path or of a URL.

    Raises
    ------
    BookError
        For a kind of database that is not served.
    """
    if "://" not in str(place):
        return URL.create("sqlite", database=str(Path(place).expanduser()))
    try:
        url = make_url(str(place))
    except (ArgumentError, ValueError):
        # Not repeated, for there may be a password in it.
        raise BookError(
            "the book's URL cannot be read; write postgresql+psycopg://USER@HOST/NAME"
        ) from None
    if url.get_backend_name() not in ("sqlite", "postgresql"):
        raise BookError("a book is a file, or a postgresql+psycopg:// URL", where=_shown(url))
    if url.get_backend_name() == "postgresql":
        return url.set(drivername="postgresql+psycopg")
    return url


def _shown(url: URL) -> str:
    """A URL without a password, wherever in it one stands."""
    hidden = {name: "***" for name in url.query if "password" in name}
    return url.update_query_dict(hidden).render_as_string()


class Book:
    """An open book. Use `reading()` or `writing()` for a transaction."""

    def __init__(self, url: URL) -> None:
        self.url = url
        self.engine = _engine(url)

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
        return self.url.database or "" if self.is_file else _shown(self.url)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One consistent look at the book."""
        with translated(self.name), self.engine.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """One transaction: all of it, or nothing. A second writer waits for the first."""
        with translated(self.name), self.engine.connect() as plain:
            connection = plain.execution_options(**{_WRITES: True})
            with connection.begin():
                if not self.is_file:
                    _take_turn(connection)
                yield connection

    def close(self) -> None:
        """Let go of the file or the server."""
        self.engine.dispose()


def _engine(url: URL) -> Engine:
    try:
        if url.get_backend_name() == "sqlite":
            arguments = {"timeout": WAIT_SECONDS}
            engine = create_engine(url, connect_args=arguments, poolclass=NullPool)
            event.listen(engine, "connect", _prepare_sqlite)
            event.listen(engine, "begin", _begin_sqlite)
            return engine
        return create_engine(url, isolation_level="REPEATABLE READ", poolclass=NullPool)
    except ArgumentError:
        raise BookError(
            "a book is a file, or a postgresql+psycopg:// URL", where=_shown(url)
        ) from None
    except (NoSuchModuleError, ModuleNotFoundError):
        raise BookError(
            "a server's book needs the server extra: pip install 'wellbook[server]'"
        ) from None


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    # The driver's own BEGIN comes too late: two readers that both go on to write would lose one
    # update. Transactions are begun by hand, below.
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = NORMAL")
    # Else what is deleted stays readable in the file until its room is used again.
    connection.execute("PRAGMA secure_delete = ON")


def _begin_sqlite(connection: Connection) -> None:
    if connection.get_execution_options().get(_WRITES):
        file = cast(sqlite3.Connection, connection.connection.dbapi_connection)
        _take_turn_in_file(file, Line(connection.engine.url.database or ""))
    else:
        connection.exec_driver_sql("BEGIN")


def _take_turn_in_file(file: sqlite3.Connection, line: Line) -> None:
    """Wait for the writers who are at a file's book or came before.

    The engine's own waiting knows no order: of many writers one may always look while another is in.
    """
    until = time.monotonic() + WAIT_SECONDS
    file.execute("PRAGMA busy_timeout = 0")
    try:
        if not line.waiting() and _begun(file):
            return
        with line.place() as place:
            before: list[str] = []
            while time.monotonic() < until:
                if before != (before := line.before(place)):
                    # The line moves: it is nobody in particular who keeps all others waiting.
                    until = time.monotonic() + WAIT_SECONDS
                if not before and _begun(file):
                    return
                time.sleep(random.uniform(*_LOOKS_AGAIN_SECONDS) / (1 if before else 4))
            file.execute("BEGIN IMMEDIATE")
    finally:
        file.execute(f"PRAGMA busy_timeout = {int(1000 * WAIT_SECONDS)}")


def _begun(file: sqlite3.Connection) -> bool:
    """Begin to write, unless another is writing."""
    try:
        file.execute("BEGIN IMMEDIATE")
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
            raise
        return False
    return True


def _take_turn(connection: Connection) -> None:
    """Wait for the writer who is at a server's book, as one waits for a file's.

    The lock has to be the first statement: a transaction's view of the data begins with its first
    query, and one that was made before the other writer had ended would be refused (PostgreSQL
    manual, "LOCK"). Readers are not kept waiting.
    """
    connection.exec_driver_sql(f"SET LOCAL lock_timeout = '{WAIT_SECONDS}s'")
    connection.exec_driver_sql("LOCK TABLE book IN EXCLUSIVE MODE")


@contextmanager
def translated(name: str) -> Iterator[None]:
    """Turn what a database says into one clear line."""
    try:
        yield
    except DBAPIError as error:
        raise BookError(_in_plain_words(error.orig), where=name) from error
    except sqlite3.Error as error:
        # From the file's own driver, which makes and copies books.
        raise BookError(_in_plain_words(error), where=name) from error


def _in_plain_words(cause: BaseException | None) -> str:
    code = getattr(cause, "sqlite_errorname", "") or ""
    for start, words in _PLAIN.items():
        if code.startswith(start):
            return words
    if code or isinstance(cause, sqlite3.Error):
        return f"the book refused: {cause}"
    if getattr(cause, "sqlstate", "") == _LOCK_NOT_AVAILABLE:
        return _BUSY
    first = str(cause).strip().splitlines()[0] if str(cause).strip() else type(cause).__name__
    return f"the server says: {first}"


_LOCK_NOT_AVAILABLE = "55P03"
"""PostgreSQL's code for a wait that took too long."""

_BUSY = f"another program has been writing for {WAIT_SECONDS} seconds; try again"

_PLAIN = {
    "SQLITE_BUSY": _BUSY,
    "SQLITE_LOCKED": _BUSY,
    "SQLITE_READONLY": "the book, or its folder, is read-only",
    "SQLITE_FULL": "the disk is full; nothing was written",
    "SQLITE_CANTOPEN": "the book cannot be opened; check the folder and its permissions",
    "SQLITE_NOTADB": "this file is not a book",
    "SQLITE_CORRUPT": "the book is damaged; restore it from a copy",
    "SQLITE_IOERR": "the disk gave an error, or is full; nothing was written",
}


# -- making and opening ------------------------------------------------------------------------


def make_book(place: str | Path, *, shop_name: str = "") -> Book:
    """Make a new, empty book, where there is none yet.

    Raises
    ------
    BookError
        If something is there already that is not an empty database.
    """
    book = Book(book_url(place))
    with translated(book.name):
        if book.is_file:
            if book.path.exists() and book.path.stat().st_size:
                raise BookError(
                    "there is a file already; open it, or choose another place", where=book.name
                )
            _make_folder(book.path.parent)
            use_write_ahead_log(book)
    if stored_revision(book) is None:
        migrate(book)
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
            )
        )
    return book


@contextmanager
def making(book: Book) -> Iterator[Connection]:
    """A transaction in a place where no book is, with the tables just made: all of it, or nothing."""
    from alembic import command

    with translated(book.name), book.engine.connect() as plain:
        connection = plain.execution_options(**{_WRITES: True})
        with connection.begin():
            command.upgrade(alembic_config(connection), SCHEMA_REVISION)
            yield connection


def same_place(one: Book, other: Book) -> bool:
    """Whether two books are one, under whatever names."""
    if one.is_file != other.is_file:
        return False
    if one.is_file:
        return other.path.exists() and one.path.samefile(other.path)
    # Where a service is named, its own file has the rest.
    parts = [
        (b.url.host, b.url.port or 5432, b.url.database, b.url.query.get("service"))
        for b in (one, other)
    ]
    return parts[0] == parts[1]


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
    book = Book(book_url(place))
    if book.is_file and not book.path.exists():
        raise BookError(
            "there is no book here yet; make one with: wellbook init (or look: wellbook demo)",
            where=book.name,
        )
    revision = stored_revision(book)
    if revision is None:
        raise BookError(
            "this database holds no book; make one with: wellbook init", where=book.name
        )
    if revision == SCHEMA_REVISION:
        return book
    if revision > SCHEMA_REVISION:
        raise BookError(
            f"this book is newer ({revision}) than this program ({SCHEMA_REVISION});"
            " install the newer wellbook, then try again",
            where=book.name,
        )
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
    return book


def stored_revision(book: Book) -> str | None:
    """The schema revision that a database stands at; None where there is no book in it."""
    with book.reading() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def shop_name(place: Path) -> str | None:
    """Whose book a file is; None where there is no file, or no book in it. It is only looked at."""
    if not place.is_file():
        return None
    try:
        with closing(sqlite3.connect(f"{place.resolve().as_uri()}?mode=ro", uri=True)) as file:
            return str(file.execute("SELECT shop_name FROM book").fetchone()[0])
    except (sqlite3.Error, TypeError):
        return None


def safety_copy(book: Book, revision: str) -> Path:
    """Copy a file's book by the engine's own backup, which also sees what is not yet in the file."""
    day = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
    target = book.path.with_name(f"{book.path.name}.before-{revision}-{day}")
    with translated(book.name):
        source, copy = sqlite3.connect(book.path), sqlite3.connect(target)
        try:
            source.backup(copy)
        finally:
            source.close()
            copy.close()
        shutil.copymode(book.path, target)
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

    with translated(book.name), book.engine.connect() as plain:
        if book.is_file:
            # Batch migration copies and drops tables; with keys enforced that would drop rows.
            plain.connection.dbapi_connection.execute("PRAGMA foreign_keys = OFF")  # type: ignore[union-attr]
        connection = plain.execution_options(**{_WRITES: True})
        with connection.begin():
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
