"""Pages that belong together: each says whose they are, the day, the shop, and which of how many it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wellbook.paper.blocks import SIZE, Block
from wellbook.paper.faces import BOLD, REGULAR, Setter, wide
from wellbook.paper.inks import INCH, LETTER_HIGH, LETTER_WIDE, Ink, Leaf, Put, Rule, moved
from wellbook.paper.strips import Band, paged

MARGIN = 0.5 * INCH
"""Twice what any printer keeps clear."""
WIDE = LETTER_WIDE - 2 * MARGIN
_TOP, _FOOT = 25.0, 22.0
_HIGH = LETTER_HIGH - 2 * MARGIN - _TOP - _FOOT


@dataclass(frozen=True, slots=True)
class Section:
    """What begins on a page of its own.

    Its first page is headed by what kind of paper it is, since whose it is stands there in full; the
    others by whose it is.
    """

    kind: str
    about: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Booklet:
    """Sections whose pages are counted together.

    Parameters
    ----------
    shop
        Whose paper it is.
    day
        The day of what it says.
    sections
        In order.
    """

    shop: str
    day: date
    sections: tuple[Section, ...]

    def leaves(self, setter: Setter) -> Iterator[Leaf]:
        """Its pages; they are set before the first is given, since each says how many there are."""
        pages = [
            (section.about if n else section.kind, inks)
            for section in self.sections
            for n, inks in enumerate(list(paged(_bands(section, setter), _HIGH, _HIGH)) or [()])
        ]
        for n, (about, inks) in enumerate(pages, start=1):
            head = _head(setter, about, f"as of {self.day}")
            foot = foot_line(setter, self.shop, f"page {n} of {len(pages)}")
            yield Leaf((*head, *moved(inks, MARGIN, MARGIN + _TOP), *foot))


def _bands(section: Section, setter: Setter) -> Iterator[Band]:
    for block in section.blocks:
        yield from block.bands(setter, WIDE)


def _head(setter: Setter, about: str, day: str) -> Iterator[Ink]:
    y, right = MARGIN + 12, MARGIN + WIDE
    room = WIDE - wide(day, REGULAR, SIZE) - 16
    yield Put(MARGIN, y, setter.one_row(about, BOLD, SIZE, room), BOLD)
    yield Put(right, y, day, to_left=True)
    yield Rule(MARGIN, y + 5, right, y + 5, 0.8)


def foot_line(setter: Setter, left: str, right: str) -> Iterator[Ink]:
    """The foot of a letter-size page: the shop at the left, the count of pages at the right."""
    y = LETTER_HIGH - MARGIN - 2
    room = WIDE - wide(right, REGULAR, 10) - 16
    yield Put(MARGIN, y, setter.one_row(left, REGULAR, 10, room), size=10)
    yield Put(MARGIN + WIDE, y, right, size=10, to_left=True)
