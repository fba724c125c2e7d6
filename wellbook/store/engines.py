"""The engine under a book: how its file is opened and its transactions begin, or how a server is spoken to."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import cast

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL
from sqlalchemy.exc import ArgumentError, NoSuchModuleError
from sqlalchemy.pool import NullPool

from wellbook.errors import BookError
from wellbook.store import turns
from wellbook.store.fault_words import WAIT_SECONDS
from wellbook.store.places import shown

WRITES = "wellbook_writes"
"""The execution option of a connection whose transactions write: such a one waits for its turn."""


KEPT_SECONDS = 10
"""So long a server's connection is used again. A command is done by then; whoever was in the editor for
longer gets a new one, whatever became of the line meanwhile."""


def engine_of(url: URL, *, may_make: Callable[[], bool]) -> Engine:
    """The engine for a book's place.

    Parameters
    ----------
    may_make
        Asked at each connection: whether a file that is not there is made.

    Raises
    ------
    BookError
        If it is no URL of a kind that a book can have, or the driver for a server is not installed.
    """
    try:
        if url.get_backend_name() == "sqlite":
            path = Path(url.database or "")
            engine = create_engine(
                url, creator=lambda: _file(path, make=may_make()), poolclass=NullPool
            )
            event.listen(engine, "connect", _prepare_sqlite)
            event.listen(engine, "begin", _begin_sqlite)
            return engine
        # One connection for one look after the other: each more is some ways there and back before
        # the first answer. Two at once (a look within another) get one each.
        return create_engine(
            url,
            isolation_level="REPEATABLE READ",
            # Else the server is asked at the start what it knows of a type that no book has.
            use_native_hstore=False,
            pool_size=1,
            max_overflow=-1,
            pool_recycle=KEPT_SECONDS,
        )
    except ArgumentError:
        raise BookError(
            "a book is a file, or a postgresql+psycopg:// URL", where=shown(url)
        ) from None
    except (NoSuchModuleError, ModuleNotFoundError):
        raise BookError(
            "a server's book needs the server extra: pip install 'wellbook[server]'"
        ) from None


def _file(path: Path, *, make: bool) -> sqlite3.Connection:
    # A book that was there is never made anew where its file has gone.
    uri = f"{path.absolute().as_uri()}?mode={'rwc' if make else 'rw'}"
    return sqlite3.connect(uri, uri=True, timeout=WAIT_SECONDS, check_same_thread=False)


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    # The driver's own BEGIN comes too late: two readers that both go on to write would lose one
    # update. Transactions are begun by hand, below.
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys = ON")
    # What was confirmed is on the disk, also where the power goes at once.
    connection.execute("PRAGMA synchronous = FULL")
    # A page that cannot be right is refused as it is read, before anything is written by it.
    connection.execute("PRAGMA cell_size_check = ON")
    # Else what is deleted stays readable in the file until its room is used again.
    connection.execute("PRAGMA secure_delete = ON")


def _begin_sqlite(connection: Connection) -> None:
    if connection.get_execution_options().get(WRITES):
        file = cast(sqlite3.Connection, connection.connection.dbapi_connection)
        turns.take_in_file(file, connection.engine.url.database or "")
    else:
        connection.exec_driver_sql("BEGIN")
