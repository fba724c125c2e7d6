"""A terminal of at most 100 columns: how wide it is, what hangs from a label, lines printed on it.

Colour only repeats what a word already says. All text passes through `clean`, and no text is ever
read as markup. Every command shows its lines by this, so it knows nothing of what they say.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import IO

from rich.text import Text

from wellbook.plain_text import LONG, beginning
from wellbook.present.text import can_show_marks, clean, one_line, to_ascii, wrap

WIDTH = 100
LABEL = 9
"""Columns of a label, with the blank after it."""


def terminal_width(file: IO[str]) -> int:
    """How wide a page may be: the terminal's width, at most 100; 100 where there is none."""
    try:
        return max(min(os.get_terminal_size(file.fileno()).columns, WIDTH), 40)
    except (OSError, ValueError):
        return WIDTH


def hanging(label: str, text: Text, width: int, indent: int = LABEL) -> list[Text]:
    """A label, and text that wraps under its own first line."""
    head = Text(one_line(label, indent - 1), style="bold")
    head.pad_right(indent - head.cell_len)
    if len(text) > LONG:
        text = Text(beginning(text.plain))
    rows = wrap(text, width - indent)
    return [head + rows[0], *(Text(" " * indent) + row for row in rows[1:])]


def print_lines(lines: Iterable[Text], file: IO[str]) -> None:
    """Print lines: in colour and no wider than the terminal, or plain and whole into a pipe."""
    marks = can_show_marks(file)
    harmless = (line if _is_clean(line.plain) else Text(clean(line.plain)) for line in lines)
    shown = [line if marks else _in_ascii(line) for line in harmless]
    if file.isatty():
        _print_in_colour(shown, file)
        return
    encoding = getattr(file, "encoding", None) or "utf-8"
    for line in shown:
        file.write(line.plain.encode(encoding, "replace").decode(encoding) + "\n")


def _is_clean(plain: str) -> bool:
    """Whether nothing is left in a line that could change others; else it is shown without colour."""
    return plain.isprintable() or clean(plain) == plain


def _print_in_colour(lines: Iterable[Text], file: IO[str]) -> None:
    from rich.console import Console

    console = Console(file=file, highlight=False, markup=False, emoji=False)
    console.width = min(WIDTH, console.width)
    for line in lines:
        console.print(line, overflow="fold")


def _in_ascii(line: Text) -> Text:
    """The same line in ASCII signs; one for one, so that the colours still fit."""
    plain = line.copy()
    plain.plain = to_ascii(line.plain)
    return plain
