"""A backup put in the place of a book: made whole beside it first, then swapped in one step.

The new book is taken out, looked through, brought up to this program, and whoever was forgotten since is
forgotten in it, all in a folder that nobody else knows of. Only then does it take the name. The book that
was there stays under another name; no program can write in it meanwhile, and one that waits to do so is
refused by the engine, because the file that it opened has moved.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.exc import SQLAlchemyError

from wellbook.errors import BookError, WellbookError
from wellbook.store import tables as t
from wellbook.store.attachments import contents
from wellbook.store.backup_file import Backup, looked_at, opened, rows_in, said_in, wrong_with
from wellbook.store.backups_there import is_database
from wellbook.store.book import (
    SCHEMA_REVISION,
    WAIT_SECONDS,
    Book,
    book_url,
    migrate,
    stored_revision,
    translated,
)
from wellbook.store.forgotten_since import Forgotten, forget_again, forgotten_in
from wellbook.store.freshness import freshen
from wellbook.store.kept_files import KeptFiles
from wellbook.store.rows import log
from wellbook.whole_files import beside, folder_to_disk


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore came to.

    Parameters
    ----------
    rows
        How many rows each table of the backup has.
    revision
        At which revision the backup was.
    made_at
        When the backup was made; empty where it does not say.
    kept_as
        Where the book is now that was there; None where there was none.
    another
        Whose book that was, where it was not the same book as the backup's.
    forgotten
        How many people were forgotten in it, because they were forgotten since.
    marks_unread
        Whether the book that was there could not be asked whom it has forgotten.
    files
        How many files of wells were put back.
    files_missing
        The sums of those that are neither in the backup nor beside the book.
    """

    rows: dict[str, int]
    revision: str
    made_at: str
    kept_as: Path | None
    another: str
    forgotten: int
    marks_unread: bool
    files: int
    files_missing: tuple[str, ...]


def restore(
    source: Path, target: Path, who: str, *, tell: Callable[[str], None] = lambda _: None
) -> Restored:
    """Put a backup in the place of a file's book.

    Parameters
    ----------
    source
        A backup file; or a plain copy of a book, as one is made before an upgrade.
    tell
        Takes a line: that the book is brought up to this program, that sheets no longer fit.

    Raises
    ------
    WellbookError
        If it is no backup, damaged, newer than this program, or the book there is in use; nothing
        is then changed.
    """
    if source.exists() and target.exists() and source.samefile(target):
        raise BookError("this is the book itself; name a backup", where=str(source))
    target.parent.mkdir(parents=True, exist_ok=True)
    with beside(target) as room, _taken_out(source, room / target.name) as (fresh, backup):
        rows = _looked_through(fresh, backup, source)
        book = Book(book_url(fresh))
        revision = _brought_up(book, source, tell)
        since, another, unread = _since(target, fresh)
        with book.writing() as connection:
            forgotten = forget_again(connection, who, since)
            made_at = backup.manifest.made_at if backup else ""
            said = {"from": source.name, "made_at": made_at, "revision": revision}
            uid = connection.execute(select(t.book.c.uid)).scalar_one()
            log(connection, who, "restore", "book", uid, new=said)
        with book.reading() as connection:
            named = list(contents(book, connection))
        book.close()
        _settle(fresh)
        files = KeptFiles(target.with_name(f"{target.name}.files"))
        put = _put_back(files, backup, named, room)
        with _in_turn(target) as lets_go:
            # What was swept away while the rest was made ready.
            put += _put_back(files, backup, [n for n in named if not files.path(n).exists()], room)
            kept_as = _swap(fresh, target, lets_go)
        folder_to_disk(target.parent)
    gone = tuple(n for n in named if files.wrong(n))
    return Restored(rows, revision, made_at, kept_as, another, forgotten, unread, put, gone)


# -- making the new book -----------------------------------------------------------------------


@contextmanager
def _taken_out(source: Path, fresh: Path) -> Iterator[tuple[Path, Backup | None]]:
    """The database of a backup as a file of its own, with the backup where it is one."""
    try:
        plain = is_database(source)
    except FileNotFoundError:
        raise BookError("there is no such file", where=str(source)) from None
    except IsADirectoryError:
        raise BookError("this is a folder and no backup", where=str(source)) from None
    if not plain:
        with opened(source) as backup:
            backup.take_out(fresh)
            yield fresh, backup
        return
    with looked_at(source) as there, closing(sqlite3.connect(fresh)) as here:
        there.backup(here)
    yield fresh, None


def _looked_through(fresh: Path, backup: Backup | None, source: Path) -> dict[str, int]:
    """Look the database through before anything is made of it; how many rows each table has."""
    if wrong_with(fresh):
        raise BookError("this backup is damaged; take another one", where=str(source))
    with translated(str(source)), closing(sqlite3.connect(fresh)) as connection:
        rows = rows_in(connection)
        try:
            said_in(connection)
        except (sqlite3.Error, TypeError):
            raise BookError("there is no book in this file", where=str(source)) from None
    if backup is not None and rows != backup.manifest.rows:
        raise BookError("this backup is damaged; take another one", where=str(source))
    return rows


def _brought_up(book: Book, source: Path, tell: Callable[[str], None]) -> str:
    """Bring the new book up to this program; from which revision."""
    revision = str(stored_revision(book))
    if revision > SCHEMA_REVISION:
        raise BookError(
            f"this backup is newer ({revision}) than this program ({SCHEMA_REVISION});"
            " install the newer wellbook, then try again",
            where=str(source),
        )
    with closing(sqlite3.connect(book.path)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
    if revision < SCHEMA_REVISION:
        tell(f"bringing the backup up from {revision} to {SCHEMA_REVISION}")
        try:
            migrate(book)
        except BookError as error:
            raise BookError(
                f"this backup cannot be brought up from {revision} to {SCHEMA_REVISION}:"
                f" {error.message}",
                where=str(source),
            ) from error
    freshen(book, tell=tell)
    return revision


def _since(target: Path, fresh: Path) -> tuple[Forgotten, str, bool]:
    """Whom the book that is there has forgotten; whose it is, if another's; whether it is unread."""
    if not target.exists():
        return Forgotten({}, {}), "", False
    old, new = Book(book_url(target)), Book(book_url(fresh))
    try:
        with old.reading() as its, new.reading() as mine:
            row = its.execute(select(t.book.c.uid, t.book.c.shop_name)).one()
            if row.uid != mine.execute(select(t.book.c.uid)).scalar_one():
                return Forgotten({}, {}), row.shop_name or "another shop", False
            return forgotten_in(its), "", False
    except (WellbookError, SQLAlchemyError, ValueError):
        return Forgotten({}, {}), "", True


def _settle(fresh: Path) -> None:
    """Bring all of the new book into its one file, and look it through a last time."""
    with translated(str(fresh)), closing(sqlite3.connect(fresh)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    wrong = wrong_with(fresh)
    if wrong:
        raise BookError(f"the new book is not whole ({wrong}); nothing was changed")
    with fresh.open("rb+") as file:
        os.fsync(file.fileno())


def _put_back(files: KeptFiles, backup: Backup | None, named: list[str], room: Path) -> int:
    """Put files of wells beside the book, where what is there is not whole; how many."""
    if backup is None:
        return 0
    put = 0
    for sha256 in sorted(set(backup.files) & set(named)):
        if files.wrong(sha256):
            part = room / "file"
            backup.take_file(sha256, part)
            files.adopt(part, sha256)
            part.unlink()
            put += 1
    return put


# -- the swap ----------------------------------------------------------------------------------


@contextmanager
def _in_turn(target: Path) -> Iterator[Callable[[], None]]:
    """Have the book that is there to ourselves, with all that stood beside it in its file.

    Gives what lets go of it, which some systems want before a file can be renamed. A book that is
    damaged is nobody's: nothing can be read from it or written into it.
    """
    if not target.exists():
        yield lambda: None
        return
    with closing(sqlite3.connect(target, timeout=WAIT_SECONDS, isolation_level=None)) as connection:
        try:
            # Refused as long as anybody else has it open; the other files go with it.
            connection.execute("PRAGMA journal_mode = DELETE")
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.DatabaseError as error:
            _unless_damaged(error, target)
        try:
            yield connection.close
        except BaseException:
            connection.close()
            with suppress(sqlite3.Error), closing(sqlite3.connect(target)) as again:
                again.execute("PRAGMA journal_mode = WAL")
            raise


def _unless_damaged(error: sqlite3.DatabaseError, target: Path) -> None:
    code = getattr(error, "sqlite_errorname", "") or ""
    if code.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        raise BookError(
            "another program has this book open; close it there, then try again", where=str(target)
        ) from None
    if not code.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        with translated(str(target)):
            raise error


def _swap(fresh: Path, target: Path, lets_go: Callable[[], None]) -> Path | None:
    """Let the new book take the name; where the old one is now. At no moment is there none."""
    if not target.exists():
        fresh.rename(target)
        return None
    shutil.copymode(target, fresh)
    kept_as = _free(target)
    for ending in ("-wal", "-shm"):
        # Only a damaged book has them still.
        with suppress(FileNotFoundError):
            target.with_name(target.name + ending).rename(kept_as.with_name(kept_as.name + ending))
    if os.name == "nt":  # pragma: no cover - there an open file cannot be renamed
        lets_go()
    try:
        os.link(target, kept_as)
    except OSError:
        # Here a file cannot have two names.
        target.rename(kept_as)
    fresh.replace(target)
    return kept_as


def _free(target: Path) -> Path:
    moment = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
    plain = target.with_name(f"{target.name}.replaced-{moment}")
    number, free = 1, plain
    while free.exists():
        number += 1
        free = plain.with_name(f"{plain.name}-{number}")
    return free
