"""A new book takes the name of the one that is there, in one step and while nobody is at it."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from wellbook.errors import BookError
from wellbook.store.fault_words import WAIT_SECONDS, translated


@contextmanager
def in_turn(target: Path) -> Iterator[sqlite3.Connection | None]:
    """Have the book that is there to ourselves, with all that stood beside it in its file.

    A book that is damaged is nobody's: nothing can be read from it or written into it.
    """
    if not target.exists():
        yield None
        return
    with closing(sqlite3.connect(target, timeout=WAIT_SECONDS, isolation_level=None)) as connection:
        try:
            _take(connection, target)
            yield connection
        except BaseException:
            connection.close()
            with suppress(sqlite3.Error), closing(sqlite3.connect(target)) as again:
                again.execute("PRAGMA journal_mode = WAL")
            raise


def _take(connection: sqlite3.Connection, target: Path) -> None:
    try:
        # Refused as long as anybody else has it open; the other files go with it.
        connection.execute("PRAGMA journal_mode = DELETE")
        connection.execute("BEGIN EXCLUSIVE")
        (mode,) = connection.execute("PRAGMA journal_mode").fetchone()
    except sqlite3.DatabaseError as error:
        _unless_damaged(error, target)
        return
    if mode == "wal":
        # Between the two somebody opened it, and an opened book goes back into that mode.
        raise _open_elsewhere(target)


def _open_elsewhere(target: Path) -> BookError:
    return BookError(
        "another program has this book open; close it there, then try again", where=str(target)
    )


def _unless_damaged(error: sqlite3.DatabaseError, target: Path) -> None:
    code = getattr(error, "sqlite_errorname", "") or ""
    if code.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        raise _open_elsewhere(target) from None
    if not code.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        with translated(str(target)):
            raise error


def swap(fresh: Path, target: Path, there: sqlite3.Connection | None) -> Path | None:
    """Let the new book take the name; where the old one is now. Where a file can have two names, at
    no moment is there none; else whoever finds none is told where the old one is (`store.book`)."""
    kept_as = logs_aside(target)
    if there is None:
        _into_free_place(fresh, target)
        return None
    shutil.copymode(target, fresh)
    if os.name == "nt":  # pragma: no cover - there an open file cannot be renamed
        there.close()
    try:
        os.link(target, kept_as)
    except OSError:
        # Here a file cannot have two names.
        target.rename(kept_as)
    fresh.replace(target)
    return kept_as


def logs_aside(target: Path) -> Path:
    """Take what an engine left beside a name out of the way of a new book; beside which name it is now.

    Only a damaged book has it still, or one that was taken away without it. Beside another file the
    engine would take it for that one's own, and play it back.
    """
    kept_as = _free(target)
    for ending in ("-wal", "-shm", "-journal"):
        with suppress(FileNotFoundError):
            target.with_name(target.name + ending).rename(kept_as.with_name(kept_as.name + ending))
    return kept_as


def _into_free_place(fresh: Path, target: Path) -> None:
    try:
        os.link(fresh, target)
    except FileExistsError:
        raise BookError(
            "somebody has put a file here meanwhile; look at it, then try again", where=str(target)
        ) from None
    except OSError:
        # Here a file cannot have two names.
        fresh.rename(target)


def _free(target: Path) -> Path:
    moment = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
    plain = target.with_name(f"{target.name}.replaced-{moment}")
    number, free = 1, plain
    while free.exists():
        number += 1
        free = plain.with_name(f"{plain.name}-{number}")
    return free
