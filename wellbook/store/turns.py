"""Whose turn it is to write into a book: those who wait for a file stand in a line, first come, first served.

The engine lets in whoever asks at the right moment, so that on a busy machine one of eight may ask in
vain for half a minute. Who waits has a file in a folder of the line, held by a lock that ends with him; his turn
is when none is there before him. The engine's own lock remains what keeps two writers apart: where there
can be no line (no such locks, another user's folder) all ask as before.
"""

from __future__ import annotations

import hashlib
import itertools
import os
import random
import sqlite3
import stat
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from sqlalchemy import Connection

from wellbook.store.fault_words import WAIT_SECONDS

try:
    import fcntl
except ImportError:  # pragma: no cover - Windows has no such locks
    fcntl = None  # type: ignore[assignment]

_COUNTER = itertools.count()
_LOOKS_AGAIN_SECONDS = (0.001, 0.02)


class Line:
    """Those who wait for one book."""

    def __init__(self, book: str) -> None:
        name = hashlib.sha256(os.path.realpath(book).encode()).hexdigest()[:24]
        self.folder = Path(tempfile.gettempdir()) / f"wellbook-line-{name}"

    def waiting(self) -> list[str]:
        """The names of those who wait, first come first."""
        if fcntl is None:  # pragma: no cover
            return []
        try:
            return sorted(p.name for p in self.folder.iterdir()) if self._is_ours() else []
        except OSError:
            return []

    def _is_ours(self) -> bool:
        """Whether it is a folder of this user's own: anybody can put something of that name there."""
        there = self.folder.lstat()
        return stat.S_ISDIR(there.st_mode) and there.st_uid == os.geteuid()

    @contextmanager
    def place(self) -> Iterator[str]:
        """A place at its end, by its name; "" where there can be no line."""
        if fcntl is None:  # pragma: no cover
            yield ""
            return
        # One clock for all processes of a machine; the rest makes it this one's alone.
        name = f"{time.monotonic_ns():020}-{os.getpid()}-{next(_COUNTER)}"
        path = self.folder / name
        try:
            held = self._held(path)
        except OSError:
            yield ""
            return
        try:
            yield name
        finally:
            path.unlink(missing_ok=True)
            os.close(held)
            with suppress(OSError):
                self.folder.rmdir()

    def _held(self, path: Path) -> int:
        """A new file of that name, locked. Another may take one that is not locked yet for that of somebody
        killed, or the folder for that of nobody: then it is made once more, and keeps its place."""
        while True:
            self.folder.mkdir(mode=0o700, exist_ok=True)
            if not self._is_ours():
                raise PermissionError(self.folder)
            try:
                held = os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600)
            except FileNotFoundError:
                continue
            fcntl.flock(held, fcntl.LOCK_EX)
            if _is_at(held, path):
                return held
            os.close(held)

    def before(self, name: str) -> list[str]:
        """Who came before that place and waits still. Whoever was killed there is taken away."""
        return [other for other in self.waiting() if name and other < name and self._waits(other)]

    def _waits(self, name: str) -> bool:
        path = self.folder / name
        try:
            other = os.open(path, os.O_RDWR)
        except OSError:
            return False
        try:
            fcntl.flock(other, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return True
        else:
            if not _is_at(other, path):
                # Another was sooner, and who it was taken from may have made it once more.
                return path.exists()
            path.unlink(missing_ok=True)
            return False
        finally:
            os.close(other)


def _is_at(held: int, path: Path) -> bool:
    """Whether an open file is the one that a path names."""
    try:
        return os.path.samestat(os.fstat(held), path.stat())
    except OSError:
        return False


def take_in_file(file: sqlite3.Connection, book: str) -> None:
    """Wait for the writers who are at a file's book or came before.

    The engine's own waiting knows no order: of many writers one may always look while another is in.
    """
    line = Line(book)
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


def take_on_server(connection: Connection) -> None:
    """Wait for the writer who is at a server's book, as one waits for a file's.

    The lock has to be the first statement: a transaction's view of the data begins with its first
    query, and one that was made before the other writer had ended would be refused (PostgreSQL
    manual, "LOCK"). Readers are not kept waiting. A truck that loses its signal in the middle keeps its
    turn until the server gives it up: after a minute, where a machine's own setting is two hours.
    """
    settings = {"lock_timeout": f"'{WAIT_SECONDS}s'", **_GIVEN_UP}
    said = [f"SET LOCAL {name} = {value}" for name, value in settings.items()]
    # In one message: each more would be a way there and back on the line of a truck.
    connection.exec_driver_sql("; ".join([*said, "LOCK TABLE book IN EXCLUSIVE MODE"]))


_GIVEN_UP = {"tcp_keepalives_idle": 30, "tcp_keepalives_interval": 10, "tcp_keepalives_count": 3}
"""After how many seconds of silence a server asks whether a writer is there, how often and how many times."""
