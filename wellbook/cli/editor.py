"""The user's own editor, opened on a sheet with what is wrong with it named above."""

from __future__ import annotations

import os
import shlex
import shutil
import signal
import subprocess
import textwrap
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from wellbook.errors import WellbookError
from wellbook.plain_text import on_one_line

if TYPE_CHECKING:
    from wellbook.cli.draft import Draft
    from wellbook.cli.recording import Wrong

_WIDTH = 74
_HEAD = "Not written yet. Mend this, save and close; or close it as it is to stop."


def editor_command() -> list[str]:
    """The user's editor as a command.

    Raises
    ------
    WellbookError
        If there is none.
    """
    for name in ("VISUAL", "EDITOR"):
        if os.environ.get(name, "").strip():
            return _named(name, os.environ[name])
    for known in ("notepad",) if os.name == "nt" else ("nano", "vi"):
        if shutil.which(known):
            return [known]
    raise WellbookError("no editor was found; set EDITOR to one, or use --ask or --from FILE")


def _named(name: str, value: str) -> list[str]:
    try:
        # On Windows a backslash is part of a path, and quotes stay round the words.
        words = [w.strip('"') for w in shlex.split(value, posix=os.name != "nt")]
    except ValueError as error:
        raise WellbookError(f"cannot be read as a command: {error}", where=name) from None
    if not words or shutil.which(words[0]) is None:
        raise WellbookError(
            f"the editor '{value}' is not found; set another, or use --ask or --from FILE",
            where=name,
        )
    return words


def edit(command: Sequence[str], draft: Draft, text: str, wrong: Sequence[Wrong]) -> int:
    """Open the editor on a sheet, with the mistakes above it, and give its exit status."""
    draft.put(text, marks(wrong))
    try:
        with _keys_are_the_editors():
            return subprocess.run([*command, str(draft.path)], check=False).returncode
    except OSError as error:
        reason = (error.strerror or "it cannot be run").lower()
        raise WellbookError(f"the editor '{command[0]}' does not start: {reason}") from None


def marks(wrong: Sequence[Wrong]) -> list[str]:
    """What is wrong, in lines that fit a screen, each with the line that it is on in the editor.

    >>> from wellbook.cli.recording import Wrong
    >>> marks([Wrong("reason: is missing", 4)])[1]
    'line 6: reason: is missing'
    """
    if not wrong:
        return []
    # The editor is shown what was typed, and not told what stands in it.
    rows = [textwrap.wrap(on_one_line(one.message), _WIDTH - 10) for one in wrong]
    above = 1 + sum(map(len, rows))
    lines = [_HEAD]
    for one, (first, *more) in zip(wrong, rows, strict=True):
        place = f"line {one.line + above}: " if one.line else ""
        lines += [place + first, *(f"  {row}" for row in more)]
    return lines


@contextmanager
def _keys_are_the_editors() -> Iterator[None]:
    """While an editor is open Ctrl-C is its own: it does not end the program behind it."""

    def leave_it(*_: object) -> None:
        pass

    # A handler, for a signal that is ignored would be ignored by the editor as well.
    before = signal.signal(signal.SIGINT, leave_it)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
