"""The file that a backup is: the book's database, what it says of itself, and the files of wells.

It is a ZIP file, so that what is in it can be had without this program: `book.sqlite` is a book of the
embedded engine as it stood at one moment, `files/` has what was attached, each named by its SHA-256
(FIPS 180-4), `backup.json` says whose it is, of which revision, and how many rows each table has.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
import zlib
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import IO, Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile

from wellbook.errors import BookError
from wellbook.store.fault_words import translated

FORM = 1
"""Which form of backup file this is. Raise it where an older program could not read a newer file."""

_DATABASE, _SAID, _FILES = "book.sqlite", "backup.json", "files/"
_CHUNK = 1 << 20
_SAID_BYTES = 1 << 24
"""More than a manifest ever has: a file for each of 100,000 photographs that are missing."""


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup says of itself.

    Parameters
    ----------
    book_uid
        Which book it is of.
    shop
        Whose.
    revision
        The revision of its tables.
    program
        The version of the program that made it.
    made_at
        When, in universal time.
    engine
        Of what kind of database the book was.
    rows
        How many rows each table has.
    database_sha256
        The sum of the database.
    with_files
        Whether files of wells are in it; a daily one leaves them where they are.
    missing
        The sums of files of wells that could not be taken along, each with why.
    stood
        How the book's own file stood, where it was one, by which it is seen that nothing has changed.
    """

    book_uid: str
    shop: str
    revision: str
    program: str
    made_at: str
    engine: str
    rows: Mapping[str, int]
    database_sha256: str
    with_files: bool
    missing: Mapping[str, str]
    stood: str


class Backup:
    """An open backup file, to be read."""

    def __init__(self, path: Path, archive: ZipFile, manifest: Manifest) -> None:
        self.path, self.manifest, self._archive = path, manifest, archive

    @property
    def files(self) -> list[str]:
        """The sums of the files of wells that are in it."""
        names = self._archive.namelist()
        return [n.removeprefix(_FILES) for n in names if n.startswith(_FILES) and n != _FILES]

    def take_out(self, target: Path) -> None:
        """Write its database to a new file.

        Raises
        ------
        BookError
            If it is not what it was when the backup was made.
        """
        if self._copied(_DATABASE, target) != self.manifest.database_sha256:
            raise _damaged(self.path)

    def take_file(self, sha256: str, target: Path) -> None:
        """Write a file of a well to a new file.

        Raises
        ------
        BookError
            If it is not what it was.
        """
        if self._copied(f"{_FILES}{sha256}", target) != sha256:
            raise _damaged(self.path)

    def check(self) -> None:
        """Read its database, and write nothing.

        Raises
        ------
        BookError
            If it is not what it was when the backup was made.
        """
        self._check(_DATABASE, self.manifest.database_sha256)

    def check_file(self, sha256: str) -> None:
        """Read a file of a well, and write nothing.

        Raises
        ------
        BookError
            If it is not what it was.
        """
        self._check(f"{_FILES}{sha256}", sha256)

    def _check(self, name: str, total: str) -> None:
        with _reading(self.path), self._archive.open(name) as source:
            if _sum_of(source) != total:
                raise _damaged(self.path)

    def _copied(self, name: str, target: Path) -> str:
        with _reading(self.path), self._archive.open(name) as source, target.open("xb") as copy:
            return _sum_of(source, copy)


@contextmanager
def opened(path: Path) -> Iterator[Backup]:
    """Open a backup file, and read what it says of itself.

    Raises
    ------
    BookError
        If it is none, is damaged, or is of a form that this program does not know.
    """
    with _reading(path):
        archive = ZipFile(path)
    with archive:
        with _reading(path):
            if _SAID not in archive.namelist():
                raise BookError("this is a ZIP file, but no backup of a book", where=str(path))
            with archive.open(_SAID) as file:
                said = file.read(_SAID_BYTES)
        yield Backup(path, archive, _manifest(said, path))


def _manifest(said: bytes, path: Path) -> Manifest:
    try:
        values = json.loads(said)
        form = int(values.pop("wellbook_backup"))
        if form > FORM:
            raise BookError(
                "this backup was made by a newer wellbook; install that one, then try again",
                where=str(path),
            )
        known = {name: values[name] for name in Manifest.__slots__}
        return Manifest(**known)
    except (ValueError, TypeError, KeyError, AttributeError):
        raise _damaged(path) from None


def _damaged(path: Path) -> BookError:
    return BookError("this backup is damaged; take another one", where=str(path))


@contextmanager
def _reading(path: Path) -> Iterator[None]:
    """Whatever can be wrong with a file that is read as a backup, in one clear line."""
    try:
        yield
    except FileNotFoundError as error:
        # A name in the archive that is not there is a KeyError; this is a file on the disk.
        raise BookError("there is no such file", where=str(error.filename or path)) from None
    except IsADirectoryError:
        raise BookError("this is a folder and no backup", where=str(path)) from None
    except BadZipFile:
        raise BookError(
            "this file is no backup, or it is damaged; take another one", where=str(path)
        ) from None
    except (zlib.error, EOFError, KeyError, NotImplementedError, RuntimeError, ValueError):
        raise _damaged(path) from None


# -- writing -----------------------------------------------------------------------------------


class NewBackup:
    """A backup file that is being written."""

    def __init__(self, path: Path) -> None:
        # Somebody may wait for it: the quickest level takes a third of the time, and some more room.
        self._archive = ZipFile(path, "x", compression=ZIP_DEFLATED, compresslevel=1)

    def __enter__(self) -> NewBackup:
        return self

    def __exit__(self, *_error: object) -> None:
        self._archive.close()

    def put_database(self, path: Path) -> str:
        """Put the database in; its sum."""
        return self._put(path, _DATABASE, ZIP_DEFLATED)

    def put_file(self, path: Path, sha256: str) -> bool:
        """Put in a file of a well as it is, since photographs are compressed already; whether its
        content was what it should be."""
        return self._put(path, f"{_FILES}{sha256}", ZIP_STORED) == sha256

    def put_manifest(self, manifest: Manifest) -> None:
        """Put in what the backup says of itself, as the last of all."""
        said = {"wellbook_backup": FORM, **asdict(manifest)}
        self._archive.compression = ZIP_DEFLATED
        self._archive.writestr(_SAID, json.dumps(said, ensure_ascii=False, indent=1))

    def _put(self, path: Path, name: str, form: int) -> str:
        self._archive.compression = form
        with path.open("rb") as source, self._archive.open(name, "w", force_zip64=True) as copy:
            return _sum_of(source, copy)


def _sum_of(source: IO[bytes], copy: IO[bytes] | None = None) -> str:
    total = hashlib.sha256()
    while chunk := source.read(_CHUNK):
        total.update(chunk)
        if copy is not None:
            copy.write(chunk)
    return total.hexdigest()


# -- the database in it ------------------------------------------------------------------------


def rows_in(connection: sqlite3.Connection) -> dict[str, int]:
    """How many rows each table of a database has."""
    names = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
    return {
        name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
        for (name,) in connection.execute(f"{names} ORDER BY name").fetchall()
    }


def wrong_with(path: Path) -> str:
    """What the engine finds wrong with a database file; "" where it is whole."""
    try:
        with closing(sqlite3.connect(path)) as connection:
            found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    except sqlite3.Error as error:
        return str(error)
    return "" if found == "ok" else str(found)


def links_lost(path: Path) -> int:
    """How many times a row of a database file points to one that is not there."""
    with closing(sqlite3.connect(path)) as connection:
        return sum(1 for _ in connection.execute("PRAGMA foreign_key_check"))


@contextmanager
def looked_at(path: Path) -> Iterator[sqlite3.Connection]:
    """A database file that is only looked at, and beside which nothing is left.

    Raises
    ------
    BookError
        If it cannot be read, is shorter than it says, or there is no book in it.
    """
    # Without a journal beside it, it is whole as it stands, and the engine need make none.
    beside = path.with_name(f"{path.name}-wal").exists()
    where = f"{path.resolve().as_uri()}?{'mode=ro' if beside else 'immutable=1'}"
    with translated(str(path)), closing(sqlite3.connect(where, uri=True)) as connection:
        if not beside and _bytes_said(connection) > path.stat().st_size:
            # The engine would see it only as it reads the last page.
            raise BookError("this file was cut off; take another one", where=str(path))
        try:
            yield connection
        except TypeError:
            raise BookError("there is no book in this file", where=str(path)) from None


def _bytes_said(connection: sqlite3.Connection) -> int:
    """How long a database says that its file is."""
    (pages,) = connection.execute("PRAGMA page_count").fetchone()
    (page_bytes,) = connection.execute("PRAGMA page_size").fetchone()
    return int(pages) * int(page_bytes)


def said_in(connection: sqlite3.Connection) -> dict[str, Any]:
    """What the database of a book says of itself: identity, shop, revision."""
    uid, shop = connection.execute("SELECT uid, shop_name FROM book").fetchone()
    (revision,) = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    return {"book_uid": uid, "shop": shop, "revision": revision}


def attached(connection: sqlite3.Connection) -> list[str]:
    """The sums of the files that wells name; none in a book from before there were any."""
    there = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'attachment'"
    if connection.execute(there).fetchone() is None:
        return []
    rows = connection.execute("SELECT DISTINCT sha256 FROM attachment ORDER BY sha256")
    return [row[0] for row in rows]
