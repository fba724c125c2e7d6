"""Tags for the well cap: the shop's tag, also as a QR code, and whom to ring. Nothing of the customer.

What is in the code is the tag alone, so that whoever reads it on the road learns nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import segno

from wellbook.paper.booklet import MARGIN
from wellbook.paper.faces import BOLD, MONO, REGULAR, Setter, wide
from wellbook.paper.inks import INCH, LETTER_HIGH, LETTER_WIDE, Area, Ink, Leaf, Put, moved
from wellbook.paper.strips import TooLongError

_QUIET = 4
"""Modules of white that a reader wants round a code (ISO/IEC 18004)."""
_ROLL = (2.0 * INCH, 1.0 * INCH)
_ON_A_PAGE = (2.5 * INCH, 1.25 * INCH)
_PAD = 4.0
_LEAST, _MOST = 6.5, 12.0
"""Of a number to ring: what is still read, before it is refused; and as large as it has room, since it
is read at arm's length, without the glasses."""


@dataclass(frozen=True, slots=True)
class Tag:
    """What stands on a tag."""

    tag: str
    shop: str
    phone: str = ""


@dataclass(frozen=True, slots=True)
class TagPage:
    """Tags on letter-size pages, to be cut along their edges: three side by side."""

    tags: Sequence[Tag]

    def leaves(self, setter: Setter) -> Iterator[Leaf]:
        """As many pages as are needed."""
        width, height = _ON_A_PAGE
        across = int((LETTER_WIDE - 2 * MARGIN) / width)
        down = int((LETTER_HIGH - 2 * MARGIN) / height)
        for first in range(0, len(self.tags), across * down):
            inks: list[Ink] = []
            for n, tag in enumerate(self.tags[first : first + across * down]):
                x, y = MARGIN + n % across * width, MARGIN + n // across * height
                inks += [Area(x, y, width, height), *moved(_tag(setter, tag, width, height), x, y)]
            yield Leaf(tuple(inks))


@dataclass(frozen=True, slots=True)
class TagRoll:
    """Tags for a label printer, 2 x 1 in, one a page."""

    tags: Sequence[Tag]

    def leaves(self, setter: Setter) -> Iterator[Leaf]:
        """One page a tag."""
        for tag in self.tags:
            yield Leaf(tuple(_tag(setter, tag, *_ROLL)), *_ROLL)


def _tag(setter: Setter, tag: Tag, width: float, height: float) -> Iterator[Ink]:
    yield from qr_inks(tag.tag, height)
    x, room = height, width - height - _PAD
    small = 8.0 if width < _ON_A_PAGE[0] else 9.5
    large = _size(setter.plain(tag.tag, BOLD), BOLD, room, 8.0, 17.0)
    rows = [(row, BOLD, large) for row in _cut(setter, tag.tag, BOLD, large, room)]
    rows += [(row, REGULAR, small) for row in _cut(setter, tag.shop, REGULAR, small, room)]
    if tag.phone:
        said = setter.plain(tag.phone, MONO)
        size = _size(said, MONO, room, _LEAST, _MOST)
        if wide(said, MONO, size) > room:
            raise TooLongError(f"'{tag.phone[:30]}' is too long for a number on a tag")
        rows.append((said, MONO, size))
    y = (height - sum(high * 1.3 for *_, high in rows)) / 2
    for row, face, high in rows:
        y += high * 1.3
        yield Put(x, y - high * 0.3, row, face, high)


def _size(text: str, face: str, room: float, least: float, most: float) -> float:
    """The size at which a text is as wide as the room, between the least and the most."""
    return min(most, max(0.99 * room / max(wide(text, face, 1.0), 1e-6), least))


def _cut(setter: Setter, text: str, face: str, size: float, room: float) -> list[str]:
    """At most two rows, cut where it is seen: the code says the tag whole, and who they are is known."""
    first, *rest = setter.rows(text, face, size, room)
    more = [setter.one_row(" ".join(rest), face, size, room)] if rest else []
    return [row for row in (first, *more) if row]


def qr_inks(text: str, side: float) -> Iterator[Area]:
    """A QR code with its quiet zone, in a square: each run of dark modules as one box."""
    code = segno.make(text, error="m", micro=False)
    matrix = [list(row) for row in code.matrix]
    one = side / (len(matrix) + 2 * _QUIET)
    for y, row in enumerate(matrix):
        x = 0
        while x < len(row):
            run = x
            while run < len(row) and row[run]:
                run += 1
            if run > x:
                place = ((x + _QUIET) * one, (y + _QUIET) * one)
                yield Area(*place, (run - x) * one, one, filled=True)
            x = max(run, x + 1)
