"""A real terminal of any width, on which one process runs commands and is answered when it asks.

Output and errors are two terminals, so that a test can tell which is which; neither echoes, so all that
stands on them is the program's. Commands come in as lines of JSON; the process says when it waits for an
answer:

    python -m tests.hostile.terminal ORDERS REPORTS
"""

from __future__ import annotations

import json
import os
import re
import select
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

_END = b"\x00the end\x00"
_ASKS, _DONE = "asks", "done"
_WAIT_SECONDS = 60.0
_SETTLES_SECONDS = 0.02
# POSIX, "General Terminal Interface": what ends, erases or stops what is being typed; a line is one answer.
_KEYS = re.compile("[\x00\x03\x04\x0a\x0d\x0f\x11-\x13\x15-\x17\x1a\x1c\x7f]")
Answer = Callable[[str], str | bytes | None]
"""What is typed at a question, of which what stands on the terminals is given; None ends the input."""


def typed(text: str) -> str:
    """As much of a text as can be typed as one answer."""
    return _KEYS.sub("", text)


def in_turn(*answers: str | bytes) -> Answer:
    """One answer after the other, whatever is asked."""
    left = iter(answers)
    return lambda _: next(left, None)


@dataclass(frozen=True)
class Shown:
    """What came of a command: its exit status, and what stands on the two terminals."""

    status: int
    out: str
    err: str


class Terminal:
    """A process on a terminal."""

    def __init__(self, folder: Path, screens: Sequence[int], orders: int, reports: int) -> None:
        self.folder, self._screens = folder, tuple(screens)
        self._orders, self._reports = orders, reports
        self._said = b""

    def run(self, *words: str, width: int = 80, answer: Answer = lambda _: None) -> Shown:
        """Run a command on a terminal so wide; its questions are answered."""
        import fcntl
        import struct
        import termios

        for screen in self._screens:
            fcntl.ioctl(screen, termios.TIOCSWINSZ, struct.pack("HHHH", 50, width, 0, 0))
        os.write(self._orders, (json.dumps(words) + "\n").encode())
        held, status = [b"", b""], None
        while status is None or not all(one.endswith(_END) for one in held):
            ready = self._read(held, _WAIT_SECONDS)
            assert ready, (words, held)
            for report in self._reported() if self._reports in ready else ():
                if report[0] == _DONE:
                    status = report[1]
                else:
                    while self._read(held, _SETTLES_SECONDS):
                        pass
                    self._type(answer(held[1].decode()))
                    # Nothing is echoed, but whoever types Enter is on a new line.
                    held[1] += b"\r\n"
        out, err = (one.removesuffix(_END).decode() for one in held)
        return Shown(status, out, err)

    def _read(self, held: list[bytes], seconds: float) -> list[int]:
        """Take what has come onto the terminals; which of all can be read."""
        ready, _, _ = select.select([*self._screens, self._reports], [], [], seconds)
        for n, screen in enumerate(self._screens):
            if screen in ready:
                held[n] += os.read(screen, 1 << 16)
        return ready

    def _type(self, answer: str | bytes | None) -> None:
        if answer is None:
            os.write(self._screens[0], b"\x04")
        else:
            said = answer if isinstance(answer, bytes) else typed(answer).encode()
            os.write(self._screens[0], said + b"\n")

    def _reported(self) -> Iterator[Any]:
        new = os.read(self._reports, 1 << 16)
        assert new, "the process on the terminal has ended"
        *lines, self._said = (self._said + new).split(b"\n")
        yield from map(json.loads, lines)


@contextmanager
def terminal(folder: Path, **environment: str) -> Iterator[Terminal]:
    """A process on a terminal in a folder, for as long as it is wanted."""
    import pty
    import termios

    masters, slaves = zip(pty.openpty(), pty.openpty(), strict=True)
    for slave in slaves:
        modes = termios.tcgetattr(slave)
        modes[3] &= ~(termios.ECHO | termios.ISIG)
        termios.tcsetattr(slave, termios.TCSANOW, modes)
    orders, reports = os.pipe(), os.pipe()
    env = {k: v for k, v in os.environ.items() if not k.startswith("WELLBOOK_")}
    env |= {"TERM": "xterm-256color", "NO_COLOR": "1", "WELLBOOK_TODAY": "2026-11-25"}
    # As where a language is set: what is typed has to be text.
    env |= {"PYTHONIOENCODING": "utf-8:strict", **environment}
    env["PYTHONPATH"] = str(Path(__file__).parents[2])
    for name in ("COLUMNS", "LINES"):
        env.pop(name, None)
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.hostile.terminal", str(orders[0]), str(reports[1])],
        cwd=folder,
        env=env,
        stdin=slaves[0],
        stdout=slaves[0],
        stderr=slaves[1],
        pass_fds=(orders[0], reports[1]),
    )
    for one in (*slaves, orders[0], reports[1]):
        os.close(one)
    try:
        yield Terminal(folder, masters, orders[1], reports[0])
    finally:
        os.close(orders[1])
        process.wait(_WAIT_SECONDS)
        for one in (*masters, reports[0]):
            with suppress(OSError):
                os.close(one)


def _serve(orders: int, reports: int) -> None:
    import builtins

    def report(*words: object) -> None:
        os.write(reports, (json.dumps(words) + "\n").encode())

    real = builtins.input

    def asking(question: object = "") -> str:
        report(_ASKS)
        return real(question)

    # Before anything that may take hold of it.
    builtins.input = asking
    from wellbook import cli

    with os.fdopen(orders, encoding="utf-8") as lines:
        for line in lines:
            try:
                status = cli.run(json.loads(line))
            except BaseException:
                import traceback

                traceback.print_exc()
                status = -1
            for stream in (sys.stdout, sys.stderr):
                stream.flush()
                os.write(stream.fileno(), _END)
            report(_DONE, status)


if __name__ == "__main__":
    _serve(int(sys.argv[1]), int(sys.argv[2]))
