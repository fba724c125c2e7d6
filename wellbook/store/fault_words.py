"""What a database, a disk or a server says when something is wrong, as one clear line for a person.

Each line says what is wrong and what to do; the place stands before it (`WellbookError.where`).
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from shutil import disk_usage

from sqlalchemy.exc import DBAPIError

from wellbook.errors import BookError

WAIT_SECONDS = 30
"""How long a writer waits for another one."""

BUSY = f"another program has been writing for {WAIT_SECONDS} seconds; try again"

DAMAGED = (
    "the book is damaged, and nothing was written; keep this file, and go on with the newest backup"
    " (wellbook doctor names it)"
)

CHANGED = (
    "a text in the book cannot be read: something other than this program has changed it; see what it"
    " is: wellbook doctor"
)

GONE = (
    "the book is no longer here: it was moved, renamed or deleted, and nothing was written; put it"
    " back, and its -wal file beside it if there is one, then try again"
)

REPLACED = (
    "another file was put in the book's place while this was being written, and nothing was written;"
    " look at what is there now, then try again"
)

LOST_AS_IT_WAS_KEPT = (
    "the connection to the server was lost as this was being kept; look whether it is in the book"
    " before you enter it again"
)

_LOST = "the connection to the server was lost; nothing of this was written; try again"

_CROSSED = "another was writing the same at that moment, and nothing of this was written; try again"

_CANNOT = (
    "the book cannot be opened or written here, and nothing was written; see to its folder, its"
    " permissions and the disk"
)

_OF_A_FILE = {
    # What was opened no longer bears the name.
    "SQLITE_READONLY_DBMOVED": REPLACED,
    "SQLITE_READONLY": _CANNOT,
    "SQLITE_CANTOPEN": _CANNOT,
    "SQLITE_PERM": _CANNOT,
    "SQLITE_BUSY": BUSY,
    "SQLITE_LOCKED": BUSY,
    "SQLITE_FULL": (
        "the disk is full, and nothing was written; make room (a book needs a little beside it even to"
        " be read), then try again"
    ),
    "SQLITE_NOTADB": (
        "this file is not a book, or its beginning is damaged; name another with --book, or go on"
        " with the newest backup (wellbook doctor names it)"
    ),
    "SQLITE_CORRUPT": DAMAGED,
    "SQLITE_IOERR": "the disk gave an error, or is full, and nothing was written; see to the disk first",
}
_A_LITTLE_BYTES = 256 * 1024
_WANTS_A_PLACE = ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_IOERR")

# PostgreSQL manual, appendix "PostgreSQL Error Codes".
_OF_A_SERVER = {
    "55P03": BUSY,
    "40P01": _CROSSED,
    "40001": _CROSSED,
    "57P01": _LOST,
    "57P02": _LOST,
    "57P03": "the server is just starting or stopping; try again in a minute",
    "08006": _LOST,
    "08003": _LOST,
    "25P03": _LOST,
    "53300": (
        "the server takes no more connections; close programs that use it, or let it take more"
        " (max_connections)"
    ),
    "53100": "the server's disk is full, and nothing was written; make room there, then try again",
    "25006": "this server is for reading only (a copy of another one?); name the one that is written to",
}
_NOT_ALLOWED = "42501"
# What a server says before it has let anybody in bears no code.
_AT_THE_DOOR = {
    "password authentication failed": "the server refuses this user or password; see to the URL",
    "no password supplied": "the server wants a password; see to the URL, or to your .pgpass file",
    "root certificate file": (
        "there is nothing to know the server by, so nothing was sent to it; let sslrootcert name the"
        " file with its authority's certificate"
    ),
    "certificate verify failed": (
        "the server cannot show that it is yours, so nothing was sent to it; see to the authority's"
        " certificate that sslrootcert names, and to the server's own"
    ),
    "does not match host name": (
        "the server's certificate is for another name, so nothing was sent to it; use the host name"
        " that stands in the certificate"
    ),
    "does not support SSL": (
        "the server speaks only in the clear, so nothing was sent to it; have TLS switched on there"
        " (ssl = on)"
    ),
    "permission denied for database": (
        "the server does not let this user into that database; have him granted a role that may"
    ),
    "does not exist": (
        "the server knows no such database or user; see to the URL, or have it made there"
    ),
    "too many connections": _OF_A_SERVER["53300"],
    "too many clients": _OF_A_SERVER["53300"],
    "remaining connection slots": _OF_A_SERVER["53300"],
    "starting up": _OF_A_SERVER["57P03"],
    "shutting down": _OF_A_SERVER["57P03"],
    "refused": "no server answers there; see to host and port in the URL, and whether it runs",
    "timeout": "no server answers there; see to host and port in the URL, and to the network",
    "resolve": "there is no host of that name; see to the URL, and to the network",
    "no pg_hba.conf entry": "the server does not let this user in from here; see to its pg_hba.conf",
}


@contextmanager
def translated(name: str, path: Path | None = None) -> Iterator[None]:
    """Turn what a database says into one clear line.

    Parameters
    ----------
    name
        How the line names the book.
    path
        The book's file, to be looked at where it cannot be opened.
    """
    try:
        yield
    except DBAPIError as error:
        raise BookError(in_plain_words(error.orig, path), where=name) from error
    except sqlite3.Error as error:
        # From the file's own driver, which makes and copies books.
        raise BookError(in_plain_words(error, path), where=name) from error


def in_plain_words(cause: BaseException | None, path: Path | None = None) -> str:
    """What is wrong and what to do, from what the engine's driver raised."""
    code = getattr(cause, "sqlite_errorname", "") or ""
    if code or isinstance(cause, sqlite3.Error):
        if code == "SQLITE_READONLY_DBMOVED" and path is not None and not path.exists():
            return GONE
        if code.startswith(_WANTS_A_PLACE) and (of_place := wrong_with_place(path)):
            return of_place
        if str(cause).startswith("Could not decode"):
            return DAMAGED
        found = (words for start, words in _OF_A_FILE.items() if code.startswith(start))
        return next(found, f"the book refused: {_first_line(cause)}")
    first = _first_line(cause)
    state = getattr(cause, "sqlstate", "") or ""
    if state == _NOT_ALLOWED:
        return f"the server does not let this user do that; have him granted it ({first})"
    if words := _OF_A_SERVER.get(state):
        return words
    if was_lost(cause):
        return _LOST
    if "connection failed" in first or "connection is bad" in first or "resolve" in first:
        at_door = (words for sign, words in _AT_THE_DOOR.items() if sign in str(cause))
        return next(at_door, f"the server says: {first}")
    return f"the server says: {first}"


def was_lost(cause: BaseException | None) -> bool:
    """Whether a server went away in the middle."""
    lost = ("57P01", "57P02", "08006", "08003")
    signs = ("closed the connection", "connection is lost", "connection is closed", "SSL SYSCALL")
    said = str(cause)
    return getattr(cause, "sqlstate", "") in lost or any(sign in said for sign in signs)


def is_of_the_schema(error: BaseException | None) -> bool:
    """Whether an engine lacks a table or a column that it was asked for."""
    cause = getattr(error, "orig", None)
    if getattr(cause, "sqlite_errorname", "") == "SQLITE_ERROR":
        return True
    return getattr(cause, "sqlstate", "") in ("42P01", "42703")


def _first_line(cause: BaseException | None) -> str:
    said = str(cause).strip()
    return said.splitlines()[0] if said else type(cause).__name__


def wrong_with_place(path: Path | None) -> str:
    """Why a book cannot be opened or written where it is; "" where nothing can be seen."""
    if path is None:
        return ""
    folder = path.absolute().parent
    with suppress(OSError):
        if not folder.is_dir():
            return f"there is no folder {folder}; make it, or name another place with --book"
        if path.is_dir():
            return "this is a folder; name the book's file with --book"
    if not os.access(folder, os.W_OK | os.X_OK):
        return (
            f"the folder {folder} is read-only, and a book writes beside itself even to be read; take"
            " it to a folder of yours, and name that place with --book"
        )
    if not path.exists():
        return GONE
    if not os.access(path, os.R_OK):
        return "you may not read this file; have its owner let you, or go on with a copy"
    if not os.access(path, os.W_OK):
        return "the book's file is read-only; let it be written to, or go on with a copy of it"
    if disk_usage(folder).free < _A_LITTLE_BYTES:
        return _OF_A_FILE["SQLITE_FULL"]
    return ""
