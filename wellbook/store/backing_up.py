"""A backup of a book is made while others write, read back, and only then believed.

The engine's own backup copies the database page by page as it stood at one moment: writers go on. What was
written is then opened again, taken out and counted, and only after that does the file take its name.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from errno import ENOSPC
from pathlib import Path

from wellbook import __version__
from wellbook.errors import BookError
from wellbook.store.attachments import files_of
from wellbook.store.backup_file import (
    Manifest,
    NewBackup,
    attached,
    links_lost,
    opened,
    rows_in,
    said_in,
    wrong_with,
)
from wellbook.store.book import Book
from wellbook.store.fault_words import translated
from wellbook.store.identity import now
from wellbook.whole_files import folder_to_disk, new_file

_PAGES = 2000
"""So many pages at a time, so that Ctrl-C is heard in between."""
_OTHERWISE = (
    "what was read back from the backup is not what was written; try again, or to another disk"
)


@dataclass(frozen=True, slots=True)
class Made:
    """A backup that was made and read back.

    Parameters
    ----------
    path
        Where it is.
    size_bytes
        How large it is.
    files
        How many files of wells are in it.
    manifest
        What it says of itself.
    links_lost
        How many times a row of the book, and so of the backup, points to one that is not there.
    """

    path: Path
    size_bytes: int
    files: int
    manifest: Manifest
    links_lost: int


def back_up(
    book: Book,
    target: Path,
    *,
    with_files: bool = True,
    begun: Callable[[], None] = lambda: None,
) -> Made:
    """Make a backup of a book under a name that nothing has yet.

    Files of wells that are gone or damaged are left out, and named in the manifest.

    Parameters
    ----------
    with_files
        Whether the files of wells go in too. Daily backups stand beside them and leave them there.
    begun
        Called when the name is known to be free, before anything of the book is beside it.

    Raises
    ------
    WellbookError
        If the name is taken, it cannot be written, or the book itself is damaged; there is then no
        backup of that name.
    """
    with new_file(target) as part:
        begun()
        database = part.with_name("book.sqlite")
        stood = how_it_stands(book)
        rows = snapshot(book, database)
        said = _said(database, book)
        with NewBackup(part) as archive:
            total = archive.put_database(database)
            missing = _put_files(book, database, archive) if with_files else {}
            archive.put_manifest(
                Manifest(
                    **said,
                    program=__version__,
                    made_at=now(),
                    engine=book.url.get_backend_name(),
                    rows=rows,
                    database_sha256=total,
                    with_files=with_files,
                    missing=missing,
                    stood=stood,
                )
            )
        database.unlink()
        try:
            files, lost = verify(part, book)
        except BookError as error:
            if error.where != str(part):
                raise
            # Not what was wrong with a part that nobody knows of: that what is written does not stay.
            raise BookError(_OTHERWISE, where=str(target)) from error
        _to_disk(part)
        made = Made(target, part.stat().st_size, files, _manifest_of(part), lost)
    folder_to_disk(target.parent)
    return made


def snapshot(book: Book, target: Path) -> dict[str, int]:
    """Copy the database of a book as it stands at one moment; how many rows each table then had."""
    if not book.is_file:
        return _snapshot_of_server(book, target)
    with (
        translated(book.name),
        closing(sqlite3.connect(book.path)) as source,
        closing(_scratch(target)) as copy,
    ):
        # While this look at the book lasts, its copy cannot be overtaken by a writer, and would
        # otherwise begin anew at each of his changes. In the book's mode nobody waits for it.
        source.isolation_level = None
        source.execute("BEGIN")
        rows = rows_in(source)
        with _no_room_there(target):
            source.backup(copy, pages=_PAGES, progress=lambda *_: None)
        source.execute("ROLLBACK")
        copy.execute("PRAGMA journal_mode = DELETE")
    return rows


@contextmanager
def _no_room_there(target: Path) -> Iterator[None]:
    """What is full is the disk that the backup goes to, which need not be the book's."""
    try:
        yield
    except sqlite3.Error as error:
        if error.sqlite_errorname != "SQLITE_FULL":
            raise
        raise OSError(ENOSPC, os.strerror(ENOSPC), str(target.parent)) from error


def _snapshot_of_server(book: Book, target: Path) -> dict[str, int]:
    """A server's book as a file: every table read in one look, and equal before it counts."""
    from wellbook.store.copying import copy_book

    copied = copy_book(book, target, with_files=False)
    with translated(book.name), closing(sqlite3.connect(target)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
        rows = rows_in(connection)
    return {**rows, **{name: summed.rows for name, summed in copied.tables.items()}}


def _scratch(path: Path) -> sqlite3.Connection:
    """A new database that need not outlive a fall of the power: what is kept is the backup."""
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA synchronous = OFF")
    return connection


def _said(database: Path, book: Book) -> dict[str, str]:
    with translated(book.name), closing(sqlite3.connect(database)) as connection:
        return said_in(connection)


def _put_files(book: Book, database: Path, archive: NewBackup) -> dict[str, str]:
    """Put in the files that wells name in the copied database; those that cannot be, with why."""
    with translated(book.name), closing(sqlite3.connect(database)) as copy:
        sums = attached(copy)
    if not sums:
        return {}
    with book.reading() as connection:
        files = files_of(book, connection)
    missing: dict[str, str] = {}
    for sha256 in sums:
        wrong = files.wrong(sha256)
        if wrong:
            missing[sha256] = wrong
        elif not archive.put_file(files.path(sha256), sha256):
            where = str(files.path(sha256))
            raise BookError("this file was changed while it was copied; try again", where=where)
    return missing


def verify(path: Path, book: Book) -> tuple[int, int]:
    """Read a backup back: its database is taken out, looked through and counted, every file is held
    against its sum.

    Returns
    -------
    How many files of wells are in it; how many times a row of its database points to one that is not there.

    Raises
    ------
    BookError
        If anything is not as it should be.
    """
    taken_out = path.with_name("taken-out.sqlite")
    with opened(path) as backup:
        backup.take_out(taken_out)
        wrong = wrong_with(taken_out)
        if wrong:
            raise BookError(
                f"the book itself is damaged ({wrong}), so no backup of it was made; the ones from"
                " before: wellbook backup --list",
                where=book.name,
            )
        with closing(sqlite3.connect(taken_out)) as connection:
            if rows_in(connection) != backup.manifest.rows:
                raise BookError(_OTHERWISE, where=str(path))
        lost = links_lost(taken_out)
        for sha256 in backup.files:
            backup.check_file(sha256)
        taken_out.unlink()
        return len(backup.files), lost


def _manifest_of(path: Path) -> Manifest:
    with opened(path) as backup:
        return backup.manifest


def how_it_stands(book: Book) -> str:
    """How the file of a book stands: as long as this is the same, nothing in it was changed.

    Empty where it cannot be told: on a server, and while changes stand beside the file.
    """
    if not book.is_file:
        return ""
    try:
        beside = book.path.with_name(f"{book.path.name}-wal")
        if beside.exists() and beside.stat().st_size:
            return ""
        about = book.path.stat()
    except OSError:
        return ""
    return f"{about.st_mtime_ns} {about.st_size}"


def _to_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def lost_words(lost: int) -> str:
    """That rows of a book point to rows that are not there, for a person; "" where none does."""
    if not lost:
        return ""
    rows = "1 row points" if lost == 1 else f"{lost:,} rows point"
    return f"in this book {rows} to a row that is not there; see what that is: wellbook doctor"


def missing_words(missing: Mapping[str, str]) -> str:
    """Which files of wells are not in a backup, for a person; "" where all are."""
    if not missing:
        return ""
    gone = ", ".join(f"{sha256[:12]}… ({why})" for sha256, why in list(missing.items())[:3])
    more = f" and {len(missing) - 3} more" if len(missing) > 3 else ""
    return f"not in it, since the book does not have them: {gone}{more}; see: wellbook files check"
