"""The blocks that pages are made of: headings, lines with their basis, blanks to be filled in by hand.

A block is plain values; set into a width it gives strips. Text of any length goes on in the next row and
on the next page, so that nothing runs over the edge or over other text.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import Protocol

from wellbook.paper.faces import BOLD, MONO, REGULAR, Setter, wide
from wellbook.paper.inks import Area, Ink, Put, Rule
from wellbook.paper.strips import Band, Strip

SIZE, ROW = 11.0, 14.5
"""Of the text: what a person over fifty reads in a truck, and how far its rows are apart."""
_RISE = 10.6
"""From the top of a row to the foot of its letters."""
_LABEL, _BASIS, _GAP = 82.0, 98.0, 8.0
_FIELD_SIZE = 8.5
"""Of the names in a sheet, which are read at the desk."""


class Block(Protocol):
    """A piece of a page."""

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """Its strips, set into a width in points."""
        ...


@dataclass(frozen=True, slots=True)
class Title:
    """Whose page it is, whole: the head of the page has one row for it."""

    text: str
    size: float = 15.0

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """Rows in bold."""
        for row in setter.rows(self.text, BOLD, self.size, room):
            yield Strip(self.size * 1.35, (Put(0, self.size, row, BOLD, self.size),), keeps=True)


@dataclass(frozen=True, slots=True)
class Heading:
    """What follows below, with a remark at its right that goes on in rows of its own."""

    text: str
    more: str = ""

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """The heading, a line across, and the rows of the remark; never the last on a page."""
        yield Strip(6, keeps=True)
        for row in setter.rows(self.text, BOLD, SIZE, room):
            yield Strip(ROW, (Put(0, _RISE, row, BOLD, SIZE),), keeps=True)
        yield Strip(3.5, (Rule(0, 0.5, room, 0.5, 1.0),), keeps=True)
        if self.more:
            for row in setter.rows(self.more, REGULAR, SIZE - 1, room):
                yield Strip(ROW - 0.5, (Put(0, _RISE - 1, row, size=SIZE - 1),), keeps=True)


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of a page: a label, what is known, and at the right its basis and date."""

    label: str
    text: str
    basis: str = ""

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """Rows that hang from the label."""
        bears = _BASIS + _GAP if self.basis else 0.0
        texts = setter.rows(self.text, REGULAR, SIZE, room - _LABEL - bears)
        labels = setter.rows(self.label, BOLD, SIZE, _LABEL - _GAP)
        notes = setter.rows(self.basis, REGULAR, SIZE, _BASIS) if self.basis else []
        yield from _beside(
            ((0, labels, BOLD), (_LABEL, texts, REGULAR), (room - _BASIS, notes, REGULAR))
        )
        yield Strip(1.5)


def _beside(columns: Sequence[tuple[float, list[str], str]]) -> Iterator[Strip]:
    """Columns of rows side by side, strip by strip; the first two rows stay together."""
    rows = list(zip_longest(*(texts for _, texts, _ in columns)))
    for n, texts in enumerate(rows):
        put = tuple(
            Put(x, _RISE, text, face)
            for (x, _, face), text in zip(columns, texts, strict=True)
            if text
        )
        yield Strip(ROW, put, keeps=n == 0 and len(rows) > 1)


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Plain text across the page."""

    text: str
    size: float = SIZE
    face: str = REGULAR
    after: float = 5.0

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """Its rows; the first two stay together."""
        rows = setter.rows(self.text, self.face, self.size, room)
        for n, row in enumerate(rows):
            put = Put(0, self.size * 0.97, row, self.face, self.size)
            yield Strip(self.size * 1.32, (put,), keeps=n == 0 and len(rows) > 1)
        yield Strip(self.after)


@dataclass(frozen=True, slots=True)
class Tick:
    """Something to do or to load, with a box to be ticked off."""

    text: str
    lead: str = ""

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """Rows that hang beside the box; the lead in bold in a row above them."""
        box: tuple[Ink, ...] = (Area(0, 2, 10, 10),)
        rows = [(row, BOLD) for row in setter.rows(self.lead, BOLD, SIZE, room - 18) if row]
        rows += [(row, REGULAR) for row in setter.rows(self.text, REGULAR, SIZE, room - 18)]
        for n, (row, face) in enumerate(rows):
            put = Put(18, _RISE, row, face)
            last = n == len(rows) - 1
            yield Strip(ROW, (*(box if n == 0 else ()), put), keeps=not last and n < 2)
        yield Strip(4)


@dataclass(frozen=True, slots=True)
class Blank:
    """A box for today's value beside the last one; under its label the name in a sheet."""

    label: str
    last: str = ""
    field: str = ""
    units: tuple[str, ...] = ()

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """One strip as high as what is longest, no higher than a page: text of any length follows."""
        label, known, box = room * 0.33, room * 0.33, room * 0.34
        if not self.last:
            known, box = 0.0, known + box
        labels = setter.rows(self.label, BOLD, SIZE, label - _GAP)[:_MOST_ROWS]
        fields = setter.rows(self.field, MONO, _FIELD_SIZE, label - _GAP) if self.field else []
        lasts = setter.rows(self.last, REGULAR, SIZE, known - _GAP) if self.last else []
        first, rest = lasts[:_MOST_ROWS], lasts[_MOST_ROWS:]
        put: list[Ink] = [Put(0, 3 + n * ROW + _RISE, row, BOLD) for n, row in enumerate(labels)]
        below = 3 + len(labels) * ROW
        put += [Put(0, below + 7 + n * 10, row, MONO, _FIELD_SIZE) for n, row in enumerate(fields)]
        put += [Put(label, 3 + n * ROW + _RISE, row) for n, row in enumerate(first)]
        high = max(below + len(fields) * 10 + 4, len(first) * ROW + 7, 27.0)
        put += _cells(setter, label + known, box, high, self.units or ("",))
        yield Strip(high, tuple(put))
        for row in rest:
            yield Strip(ROW, (Put(label, _RISE, row),))


_MOST_ROWS = 12


def _cells(
    setter: Setter, x: float, width: float, height: float, units: tuple[str, ...]
) -> Iterator[Ink]:
    """Boxes side by side, each with the unit of what is written into it."""
    one = width / len(units)
    for n, unit in enumerate(units):
        said = setter.one_row(unit, REGULAR, SIZE - 1, one - 8)
        yield Area(x + n * one, 2, one, height - 4)
        yield Put(x + (n + 1) * one - 4, height - 7, said, size=SIZE - 1, to_left=True, grey=0.35)


@dataclass(frozen=True, slots=True)
class Choice:
    """Something to look at: what it is, answers to tick, and a line for a word on it."""

    label: str
    answers: tuple[str, ...] = ("good", "mend", "not seen")
    field: str = ""

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """The label at the left, the answers and the line at the right."""
        column, at = room * 0.42, room * 0.44
        labels = setter.rows(self.label, REGULAR, SIZE, column)[:_MOST_ROWS]
        fields = setter.rows(self.field, MONO, _FIELD_SIZE, column)[:2] if self.field else []
        put: list[Ink] = [Put(0, 4 + n * ROW + _RISE, row) for n, row in enumerate(labels)]
        below = 4 + len(labels) * ROW
        put += [Put(0, below + 8 + n * 10, row, MONO, _FIELD_SIZE) for n, row in enumerate(fields)]
        ticks, rows = _ticks(setter, self.answers, at, room)
        high = max(below + len(fields) * 10 + 2, 4 + rows * 20)
        yield Strip(high, (*put, *ticks))


def _ticks(setter: Setter, answers: Sequence[str], at: float, room: float) -> tuple[list[Ink], int]:
    """Answers to tick, in as many rows as they need, and a line after the last."""
    put: list[Ink] = []
    x, y, rows = at, 4.0, 1
    for answer in answers:
        said = setter.one_row(answer, REGULAR, SIZE, room - at - 16)
        if x > at and x + 16 + wide(said, REGULAR, SIZE) > room:
            x, y, rows = at, y + 20, rows + 1
        put += [Area(x, y, 11, 11), Put(x + 16, y + _RISE, said)]
        x += 16 + wide(said, REGULAR, SIZE) + 14
    if x < room - 30:
        put.append(Rule(x, y + _RISE + 2, room, y + _RISE + 2, 0.5, 0.4))
    return put, rows


@dataclass(frozen=True, slots=True)
class Lines:
    """Ruled lines to write on, under a label and the name in a sheet."""

    label: str
    count: int = 3
    field: str = ""

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """The label, then a strip for each line."""
        rows = setter.rows(self.label, BOLD, SIZE, room)
        yield from (Strip(ROW, (Put(0, _RISE, row, BOLD),), keeps=True) for row in rows)
        for row in setter.rows(self.field, MONO, _FIELD_SIZE, room) if self.field else ():
            yield Strip(10, (Put(0, 8, row, MONO, _FIELD_SIZE),), keeps=True)
        for _ in range(self.count):
            yield Strip(24, (Rule(0, 20, room, 20, 0.5, 0.4),))


@dataclass(frozen=True, slots=True)
class Gap:
    """Room between what does not belong together."""

    height: float

    def bands(self, _setter: Setter, _room: float) -> Iterator[Band]:
        """Nothing, so high."""
        yield Strip(self.height)


@dataclass(frozen=True, slots=True)
class Together:
    """Blocks that are not parted by the end of a page, as long as they fit on one."""

    blocks: tuple[Block, ...]

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """Their strips, each keeping to the next."""
        bands = [band for block in self.blocks for band in block.bands(setter, room)]
        for band in bands[:-1]:
            yield replace(band, keeps=True) if isinstance(band, Strip) else band
        yield from bands[-1:]
