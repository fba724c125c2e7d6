"""User text made fit for a screen: no control characters, measured in cells, wrapped by words.

Whatever stands in a book was typed or imported by somebody. On a terminal an escape sequence, a
line break or a bidirectional override would change lines that it does not belong to.
"""

from __future__ import annotations

import re
from typing import IO, Any

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from wellbook.dates import When
from wellbook.plain_text import clean as clean  # noqa: PLC0414 - a screen finds it here

# One sign for one sign, so that what was aligned stays aligned.
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("┌┐└┘├┤┬┴┼", "+"),
        **dict.fromkeys("─┄", "-"),
        "═": "=",
        "╳": "X",
        "░": "%",
        "▒": "x",
        **dict.fromkeys("│┃╹", "|"),
        **dict.fromkeys("╎┊", ":"),
        "╡": "]",
        "╞": "[",
        "█": "#",
        "●": "*",
        "◐": "+",
        "○": "o",
        "·": ";",
        "…": ".",
        "→": ">",
        "◆": "@",
        "◇": "o",
        # The dots of a drawn line.
        **{chr(0x2800 + dots): "*" if dots else " " for dots in range(256)},
    }
)


def one_line(text: str, width: int) -> str:
    """Text for a place that has one line: cut with an ellipsis where it is too long.

    >>> one_line("behind the shed", 10)
    'behind th…'
    """
    text = " ".join(clean(text).split())
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, max(width - 1, 0)).rstrip() + "…"


def to_ascii(text: str) -> str:
    """The marks and lines of a screen in ASCII, sign for sign; letters stay as they are.

    >>> to_ascii("● 260 █   █")
    '* 260 #   #'
    """
    return text.translate(_PLAIN)


def can_show_marks(file: IO[Any]) -> bool:
    """Whether a file's encoding has the marks and lines of a screen."""
    try:
        "●█╡┄…".encode(getattr(file, "encoding", None) or "utf-8")
    except (UnicodeError, LookupError):
        return False
    return True


def wrap(text: Text, width: int) -> list[Text]:
    """Break text into lines of at most `width` cells, at blanks where there are any.

    >>> [line.plain for line in wrap(Text("pulled for its splices"), 10)]
    ['pulled for', 'its', 'splices']
    """
    width = max(width, 1)
    plain = text.plain
    ends: list[int] = []
    start = 0
    while start < len(plain):
        ends.append(start := _break(plain, start, width))
        while start < len(plain) and plain[start] == " ":
            start += 1
    # All at once: to cut a line out of a text costs as much as the text is long.
    lines = list(text.divide(ends[:-1])) if ends else []
    begun = [line[len(line.plain) - len(line.plain.lstrip(" ")) :] for line in lines[1:]]
    lines = [*lines[:1], *begun]
    for line in lines:
        line.rstrip()
    return lines or [Text("")]


def _break(plain: str, start: int, width: int) -> int:
    """Where the line that begins at `start` ends."""
    cells, last_blank = 0, -1
    for at in range(start, len(plain)):
        if plain[at] == " ":
            last_blank = at
        cells += cell_len(plain[at])
        if cells > width:
            if plain[at] == " ":
                return at
            # A sign wider than the whole column still has to go somewhere.
            return last_blank if last_blank > start else max(at, start + 1)
    return len(plain)


def at_blanks(text: str, width: int, hang: int) -> list[str]:
    """Text in lines of at most `width` cells, broken at blanks only; those below the first hang.

    A word that is too long, such as a path, is left for the terminal to fold: it can then still be
    copied whole.

    >>> at_blanks("pulled for its splices", 12, hang=2)
    ['pulled for', '  its', '  splices']
    """
    rows: list[str] = []
    for word in text.split():
        if rows and cell_len(rows[-1]) + 1 + cell_len(word) <= width:
            rows[-1] += f" {word}"
        else:
            rows.append(" " * (hang if rows else 0) + word)
    return rows


def span_words(since: When | None, until: When | None) -> str:
    """From when to when, in words.

    >>> span_words(None, None)
    'since when is unknown'
    """
    begun = f"since {since}" if since and since.known else "since when is unknown"
    return f"{begun}, until {until}" if until else begun


def and_list(words: list[str]) -> str:
    """Words joined as a person would.

    >>> and_list(["cap", "seal", "pipe"])
    'cap, seal and pipe'
    """
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def plural(count: int, word: str) -> str:
    """A count with its word.

    >>> plural(1, "splice"), plural(0, "rub"), plural(3, "splice"), plural(1200, "property")
    ('1 splice', 'no rubs', '3 splices', '1,200 properties')
    """
    more = word if count == 1 else re.sub("(?<=[^aeiou])y$", "ie", word) + "s"
    return f"{count:,} {more}" if count else f"no {more}"
