"""Where the header of a table stands: below banners, on one line or on two, or nowhere.

The line with most known names is it. Where none is known, a first line of numbers, dates or
telephone numbers like those below it is a row of data.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.headers import is_unit, matched
from wellbook.exchange.layout import told_apart

_FIRST = 40
"""Rows in which a header is looked for."""
_DATA = re.compile(r"[-+($]?[\d.,:/()\s@'\"-]*\d[\d.,:/()\s%'\"-]*|\S+@\S+\.\w+")

Numbered = tuple[int, Sequence[str]]
"""A row and its number in the file."""


@dataclass(frozen=True, slots=True)
class Header:
    """The number of a header's last line (0: there is none), how many lines it has, its names."""

    row: int
    lines: int
    names: tuple[str, ...]


def header_in(rows: Sequence[Numbered]) -> Header:
    """The header of a table, of which these are the first rows."""
    first = rows[:_FIRST]
    best = Header(0, 1, ())
    known = 0
    for at, (number, cells) in enumerate(first):
        if _is_data(cells):
            continue
        if (found := matched(cells)) > known:
            known, best = found, Header(number, 1, told_apart(cells))
        above = first[at - 1] if at else None
        if above is None or number - above[0] != 1 or not _may_stand_over(above[1], cells):
            continue
        both = joined(above[1], cells)
        found = matched(both)
        # Its upper line may be what parts two columns of one name, or holds the units' names.
        twins = len(set(both)) - len(set(cells)) if best.row == number else 0
        units = best.row == above[0] and found >= known and _are_units(cells)
        if found > known or units or (twins > 0 and found >= known - twins):
            known, best = found, Header(number, 2, told_apart(both))
    if known:
        return best
    wide = [r for r in first if sum(bool(c.strip()) for c in r[1]) > 1] or first
    number, cells = wide[0]
    if _goes_on(cells, [r[1] for r in wide[1:]]):
        return Header(0, 1, ())
    return Header(number, 1, told_apart(cells))


def header_at(rows: Iterable[FileRow], row: int, lines: int) -> tuple[str, ...]:
    """The header that ends in a row of a file, or in the next one where that is blank."""
    above: Sequence[str] = ()
    for found in rows:
        if found.number >= row:
            # A file of refused rows has both lines of its header on one.
            two = lines == 2 and any(c.strip() for c in above)
            return told_apart(joined(above, found.cells) if two else found.cells)
        above = found.cells if found.number == row - 1 else ()
    return ()


def joined(upper: Sequence[str], lower: Sequence[str]) -> tuple[str, ...]:
    """Two lines of one header: the upper's words stand over what follows them too.

    >>> joined(["Well", "", "Pump", "Notes"], ["no", "depth", "hp", ""])
    ('Well no', 'Well depth', 'Pump hp', 'Notes')
    """
    names, over = [], ""
    for n in range(max(len(upper), len(lower))):
        high = upper[n].strip() if n < len(upper) else ""
        low = lower[n].strip() if n < len(lower) else ""
        over = high or over
        names.append(f"{over if low else high} {low}".strip())
    return tuple(names)


def _may_stand_over(upper: Sequence[str], lower: Sequence[str]) -> bool:
    """Whether a line may be the upper one of a header: a banner is one cell, and is none."""
    return sum(bool(c.strip()) for c in upper) > 1 and not _is_data(upper) and bool(lower)


def _are_units(cells: Sequence[str]) -> bool:
    said = [c for c in cells if c.strip()]
    return bool(said) and all(is_unit(c) for c in said)


def _is_data(cells: Sequence[str]) -> bool:
    """Whether a line has several cells that no header has: numbers, dates, e-mail addresses."""
    return sum(bool(_DATA.fullmatch(c.strip())) for c in cells if c.strip()) > 1


def _goes_on(first: Sequence[str], below: Sequence[Sequence[str]]) -> bool:
    """Whether a first line is like the rows below it: in some column both are data."""
    if _is_data(first):
        return True
    for n, cell in enumerate(first):
        if not _DATA.fullmatch(cell.strip()):
            continue
        values = [r[n].strip() for r in below if n < len(r) and r[n].strip()]
        if not values or sum(bool(_DATA.fullmatch(v)) for v in values) > 0.8 * len(values):
            return True
    return False
