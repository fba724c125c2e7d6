"""A backup put in the place of a book: made whole beside it first, then swapped in one step.

The new book is taken out, looked through, brought up to this program, and whoever was forgotten since is
forgotten in it, all in a folder that nobody else knows of. Only then does it take the name. The book that
was there stays under another name; no program can write in it meanwhile, and one that waits to do so is
refused by the engine, because the file that it opened has moved.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import select
from sqlalchemy.exc import SQLAlchemyError

from wellbook.errors import BookError, WellbookError
from wellbook.store import tables as t
from wellbook.store.attachments import contents
from wellbook.store.backup_file import Backup, looked_at, opened, rows_in, said_in, wrong_with
from wellbook.store.backups_there import backups_of, is_database
from wellbook.store.book import SCHEMA_REVISION, Book, migrate, stored_revision, use_write_ahead_log
from wellbook.store.fault_words import translated
from wellbook.store.forgotten_since import NOBODY, Forgotten, forget_again, forgotten_in
from wellbook.store.freshness import freshen
from wellbook.store.kept_files import KeptFiles
from wellbook.store.places import book_url
from wellbook.store.rows import log
from wellbook.store.swapping import in_turn, swap
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
        Whether there was no book, or not this one, or a damaged one, to be asked whom it has forgotten.
    marks_of
        When the backup was made that was asked instead; empty where there was none.
    files
        How many files of wells were put back.
    files_missing
        The sums of those that are whole neither in the backup nor beside the book.
    """

    rows: dict[str, int]
    revision: str
    made_at: str
    kept_as: Path | None
    another: str
    forgotten: int
    marks_unread: bool
    marks_of: str
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
    if target.is_dir():
        raise BookError("this is a folder; name the book's file with --book", where=str(target))
    # Files of wells stand beside the name that is used; the book may be elsewhere.
    files = KeptFiles(target.with_name(f"{target.name}.files"))
    target = target.resolve()
    target.parent.mkdir(parents=True, exist_ok=True)
    with beside(target) as room, _taken_out(source, room / target.name) as (fresh, backup):
        rows = _looked_through(fresh, backup, source)
        book = Book(book_url(fresh))
        revision = _brought_up(book, source, tell)
        since = _since(target, fresh)
        with book.writing() as connection:
            forgotten = forget_again(connection, who, since.forgotten)
            made_at = backup.manifest.made_at if backup else ""
            said = {"from": source.name, "made_at": made_at, "revision": revision}
            uid = connection.execute(select(t.book.c.uid)).scalar_one()
            log(connection, who, "restore", "book", uid, new=said)
        with book.reading() as connection:
            named = list(contents(book, connection))
        book.close()
        _settle(fresh)
        put, gone = _put_back(files, backup, named, room)
        with in_turn(target) as there:
            _check_nobody_since(there, since, target)
            # What was swept away while the rest was made ready.
            swept = [n for n in named if n not in gone and not files.path(n).exists()]
            put_now, gone_now = _put_back(files, backup, swept, room)
            kept_as = swap(fresh, target, there)
        folder_to_disk(target.parent)
    return Restored(
        rows,
        revision,
        made_at,
        kept_as,
        since.another,
        forgotten,
        since.unread,
        since.instead,
        put + put_now,
        tuple(sorted(gone | gone_now)),
    )


def restore_to_server(
    source: Path, place: str, who: str, *, tell: Callable[[str], None] = lambda _: None
) -> Restored:
    """Put a backup into a place on a server where no book is.

    Raises
    ------
    WellbookError
        As `restore` does; and where there is a book already.
    """
    from wellbook.store.copying import copy_book

    with TemporaryDirectory() as room:
        file = Path(room, "shop.book")
        restored = restore(source, file, who, tell=tell)
        copied = copy_book(Book(book_url(file)), place)
    return replace(restored, files=copied.files, files_missing=tuple(sorted(copied.files_wrong)))


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
    use_write_ahead_log(book)
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


@dataclass(frozen=True, slots=True)
class _Since:
    """Whom the book that is there has forgotten; whose it is, where another's; whether it could not be
    asked, and of which backup that was asked instead."""

    forgotten: Forgotten = NOBODY
    another: str = ""
    unread: bool = False
    instead: str = ""


def _since(target: Path, fresh: Path) -> _Since:
    with Book(book_url(fresh)).reading() as connection:
        uid = connection.execute(select(t.book.c.uid)).scalar_one()
    another = ""
    if target.exists():
        try:
            with Book(book_url(target)).reading() as its:
                row = its.execute(select(t.book.c.uid, t.book.c.shop_name)).one()
                if row.uid == uid:
                    return _Since(forgotten_in(its))
                another = row.shop_name or "another shop"
        except (WellbookError, SQLAlchemyError, ValueError):
            pass
    return replace(_instead(target, uid, fresh.with_name("looked-into")), another=another)


def _instead(target: Path, uid: str, room: Path) -> _Since:
    """What the newest backup of the book that can be read says of it."""
    for known in backups_of(target):
        room.unlink(missing_ok=True)
        try:
            with _taken_out(known.path, room):
                pass
            with Book(book_url(room)).reading() as its:
                if its.execute(select(t.book.c.uid)).scalar_one() == uid:
                    return _Since(forgotten_in(its), unread=True, instead=known.made_at)
        except (WellbookError, SQLAlchemyError, ValueError, OSError):
            continue
    return _Since(unread=True)


def _check_nobody_since(there: sqlite3.Connection | None, since: _Since, target: Path) -> None:
    """Whoever was forgotten while the new book was made ready is not in it by a hair's breadth."""
    if there is None or since.unread:
        return
    try:
        (many,) = there.execute("SELECT count(*) FROM forgotten").fetchone()
    except sqlite3.OperationalError:
        many = 0  # it is older than that this was kept
    if many != len(since.forgotten.rows):
        raise BookError(
            "somebody was forgotten in this book meanwhile; try again", where=str(target)
        )


def _settle(fresh: Path) -> None:
    """Bring all of the new book into its one file, and look it through a last time."""
    with translated(str(fresh)), closing(sqlite3.connect(fresh)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    wrong = wrong_with(fresh)
    if wrong:
        raise BookError(f"the new book is not whole ({wrong}); nothing was changed")
    with fresh.open("rb+") as file:
        os.fsync(file.fileno())


def _put_back(
    files: KeptFiles, backup: Backup | None, named: Sequence[str], room: Path
) -> tuple[int, set[str]]:
    """Put files of wells beside the book, where what is there is not whole.

    One that is damaged in the backup keeps nobody from having his book back.

    Returns
    -------
    How many were put there, and which are whole at neither place.
    """
    there = set(backup.files) if backup else set[str]()
    put, gone = 0, set[str]()
    for sha256 in named:
        if not files.wrong(sha256):
            continue
        part = room / "file"
        try:
            if backup is None or sha256 not in there:
                raise BookError("it is not in the backup")
            backup.take_file(sha256, part)
            files.adopt(part, sha256)
            put += 1
        except BookError:
            gone.add(sha256)
        finally:
            part.unlink(missing_ok=True)
    return put, gone
