"""Which line of a TOML document holds a value, so that a mistake can be shown where it stands.

The standard reader gives values without places. This scanner follows table headers and keys, which is
all that a sheet has; inside strings of several lines it looks at nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

Path = tuple[str | int, ...]

_HEADER = re.compile(r"^\s*(\[\[?)\s*([^\]]+?)\s*\]\]?\s*(#.*)?$")
_KEY = re.compile(r"^\s*([A-Za-z0-9_.\"'\- ]+?)\s*=\s*(.*)$")


def line_of(text: str, path: Sequence[str | int]) -> int | None:
    """The line (from 1) on which the value at a path stands, or its nearest table.

    >>> line_of("a = 1\\n[set.pump]\\nhp = 1\\n[[set.pipe]]\\n[[set.pipe]]\\nto_ft = 2", ("set", "pump", "hp"))
    3
    >>> line_of("[[set.pipe]]\\n[[set.pipe]]\\nto_ft = 2", ("set", "pipe", 1, "to_ft"))
    3
    """
    wanted = tuple(path)
    lines = {place: number for number, place in _places(text)}
    while wanted:
        if wanted in lines:
            return lines[wanted]
        wanted = wanted[:-1]
    return None


def twice(text: str) -> tuple[Path, int, int] | None:
    """The first key or table that stands twice where it may stand once, and its two lines.

    >>> twice("[set.pump]\\nhp = 1\\n\\nhp = 2")
    (('set', 'pump', 'hp'), 2, 4)
    >>> twice("[[set.pipe]]\\n[[set.pipe]]") is None
    True
    """
    seen: dict[Path, int] = {}
    for number, place in _places(text):
        # A list of tables begins where its first one stands.
        begun = place[:-1] if place[-1] == 0 else place
        for one in (place, begun):
            if one in seen:
                return tuple(s for s in one if isinstance(s, str)), seen[one], number
        seen[place] = number
    return None


def lines_of(text: str) -> list[str]:
    """The lines of a TOML text, which a line feed ends and nothing else, such as a line separator, does.

    TOML 1.0.0, "Spec": newline means LF or CRLF.

    >>> lines_of("a = 1\\r\\nb = '\\u2028'\\n")
    ['a = 1', "b = '\\u2028'", '']
    """
    return re.split("\r?\n", text)


def _places(text: str) -> Iterator[tuple[int, Path]]:
    table: Path = ()
    counts: dict[Path, int] = {}
    closes: str | None = None
    for number, line in enumerate(lines_of(text), 1):
        if closes:
            closes = None if closes in line else closes
            continue
        header, key = _HEADER.match(line), _KEY.match(line)
        if header:
            table = _steps(header.group(2))
            if header.group(1) == "[[":
                counts[table] = counts.get(table, -1) + 1
                table = (*_indexed(table[:-1], counts), table[-1], counts[table])
            else:
                table = _indexed(table, counts)
            yield number, table
        elif key:
            yield number, (*table, *_steps(key.group(1)))
            closes = _opened(key.group(2))


def _indexed(table: Path, counts: dict[Path, int]) -> Path:
    """A table's path with the positions of the lists that it stands in."""
    made: Path = ()
    plain: Path = ()
    for step in table:
        plain, made = (*plain, step), (*made, step)
        if plain in counts:
            made = (*made, counts[plain])
    return made


def _steps(key: str) -> Path:
    return tuple(step.strip().strip("\"'") for step in key.split("."))


def _opened(value: str) -> str | None:
    for quote in ('"""', "'''"):
        if value.startswith(quote) and value.count(quote) == 1:
            return quote
    return None
