"""A warm process that is forked for each kill: what is killed has all imported and begins at once.

It is a process of its own, with one thread, since a process with several must not be forked. Orders
come in and outcomes go out as lines of JSON:

    python -m tests.faults.warm FOLDER
"""

from __future__ import annotations

import gc
import json
import os
import resource
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

TODAY = "2026-11-25"
NOBODY = 65534
MEMORY = Path("/dev/shm") if os.access("/dev/shm", os.W_OK) else None
"""A disk in memory, where there is one: the power going is not tried, so nothing has to reach a real one."""


class Steps:
    """Counts what is done, and kills the process before the n-th step of it.

    A step is: before a statement, after it, before and after a commit, before a file is opened to be
    written, named, linked, removed or brought to the disk, before a database is opened.
    """

    def __init__(self, at: int | None) -> None:
        self.at, self.done, self.commits = at, 0, []

    def step(self, *_: Any, **__: Any) -> None:
        self.done += 1
        if self.done == self.at:
            os.kill(os.getpid(), signal.SIGKILL)

    def watch(self) -> None:
        from sqlalchemy import Engine, event
        from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite

        event.listen(Engine, "before_cursor_execute", self.step)
        event.listen(Engine, "after_cursor_execute", self.step)
        commit = SQLiteDialect_pysqlite.do_commit

        def committing(dialect: Any, connection: Any) -> None:
            self.commits.append(self.done + 1)
            self.step()
            commit(dialect, connection)
            self.step()

        SQLiteDialect_pysqlite.do_commit = committing  # type: ignore[method-assign]
        fsync = os.fsync

        def to_disk(number: int) -> None:
            self.step()
            fsync(number)

        os.fsync = to_disk
        sys.addaudithook(self._audit)

    def _audit(self, happens: str, what: tuple[Any, ...]) -> None:
        written = happens == "open" and what[2] & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        if written or happens in (
            "os.rename os.link os.remove os.mkdir os.rmdir os.truncate sqlite3.connect".split()
        ):
            self.step()


class _EnoughError(Exception):
    """As much was confirmed as was asked for."""


def _child(order: dict[str, Any], folder: Path) -> None:
    from tests.faults.victims import BEGINNINGS, OPERATIONS, steadily

    how, at, what = order["how"], order["at"], order["what"]
    said = os.open(folder / "said", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o644)
    os.dup2(said, 1)
    os.dup2(said, 2)
    sys.stdout = sys.stderr = open(1, "w", closefd=False)  # noqa: SIM115 - until it is killed
    steadily(["begin", "", "again"].index(how if how in ("begin", "again") else ""))
    if how == "begin":
        BEGINNINGS[what](folder)
        return
    confirmed = os.open(folder / "confirmed", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o644)
    told = iter(range(1, 1000))

    def confirm(line: str) -> None:
        # One write, which is there whole or not at all.
        os.write(confirmed, (json.dumps(line) + "\n").encode())
        if how == "until" and next(told) == at:
            raise _EnoughError

    steps = Steps(at if how == "step" else None)
    if how in ("step", "count"):
        steps.watch()
    if how in ("byte", "limit"):
        # A write that goes over the limit is cut there; the next one kills, or fails.
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL if how == "byte" else signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_FSIZE, (at, at))
    if how == "nobody" and os.getuid() == 0:
        os.setgroups([])
        os.setresgid(NOBODY, NOBODY, NOBODY)
        os.setresuid(NOBODY, NOBODY, NOBODY)
    with suppress(_EnoughError):
        OPERATIONS[what](folder, confirm)
    if how == "count":
        counted = [steps.done, steps.commits]
        (folder / "steps").write_text(json.dumps(counted))


def serve(room: Path) -> None:
    """Fork a child for each order, and say how it ended."""
    from tests.faults.victims import warm_up

    orders, out = sys.stdin, os.dup(1)
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    keep_stderr = os.dup(2)
    os.dup2(quiet, 2)
    warm_up(room)
    os.dup2(keep_stderr, 2)
    # Else each child's collector would touch, and so copy, all that the processes share.
    gc.collect()
    gc.freeze()
    os.write(out, b'"ready"\n')
    for line in orders:
        order = json.loads(line)
        child = os.fork()
        if child == 0:
            status = 1
            try:
                _child(order, Path(order["folder"]))
                sys.stdout.flush()
                status = 0
            except BaseException:
                import traceback

                traceback.print_exc()
                sys.stderr.flush()
            finally:
                os._exit(status)
        if order["how"] == "delay":
            time.sleep(order["at"])
            os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        ended = {"signal": os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0}
        ended["status"] = os.WEXITSTATUS(status) if os.WIFEXITED(status) else -1
        os.write(out, (json.dumps(ended) + "\n").encode())


class Warm:
    """The process, as tests speak to it."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self._process = process
        assert self._answer() == "ready"

    def _answer(self) -> Any:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        assert line, "the warm process has ended"
        return json.loads(line)

    def order(self, what: str, folder: Path, how: str, at: float = 0) -> dict[str, int]:
        """Let a child do something in a folder; how it ended.

        Parameters
        ----------
        how
            `begin`: make the beginning of that name. Else the operation of that name: `again` and `until`
            (it was confirmed `at` times) without a kill; `count` its steps into the file `steps`; as
            `nobody`, if this is root; with a `limit` on how long a file may grow; killed at a `step`, at a
            `byte` of the first file that grows so long, or after a `delay` in seconds.
        """
        assert self._process.stdin is not None
        order = {"what": what, "folder": str(folder), "how": how, "at": at}
        self._process.stdin.write(json.dumps(order) + "\n")
        self._process.stdin.flush()
        ended: dict[str, int] = self._answer()
        return ended


@contextmanager
def warm() -> Iterator[Warm]:
    """A warm process, for as long as it is wanted."""
    root = Path(__file__).parents[2]
    env = {k: v for k, v in os.environ.items() if not k.startswith("WELLBOOK_")}
    env |= {"WELLBOOK_TODAY": TODAY, "WELLBOOK_WHO": "Ida"}
    with tempfile.TemporaryDirectory(dir=MEMORY) as room:
        env["XDG_DATA_HOME"] = room
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.warm", room],
            cwd=root,
            env=env,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            yield Warm(process)
        finally:
            process.communicate()


def picture(file: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table of a file; it has to be whole."""
    connection = sqlite3.connect(file)
    try:

        def rows(query: str) -> list[tuple[Any, ...]]:
            return connection.execute(query).fetchall()

        assert rows("PRAGMA integrity_check") == [("ok",)]
        assert rows("PRAGMA foreign_key_check") == []
        names = [r[0] for r in rows("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: sorted(rows(f'SELECT * FROM "{name}"'), key=repr) for name in sorted(names)}
    finally:
        connection.close()


if __name__ == "__main__":
    serve(Path(sys.argv[1]))
