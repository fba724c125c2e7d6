"""The papers of a job as pages: each fact with what it rests on, its day and who recorded it beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import zip_longest

from wellbook.paper.blocks import ROW, SIZE, Block, Gap, Heading, Paragraph, Title
from wellbook.paper.booklet import Booklet, Section
from wellbook.paper.faces import BOLD, REGULAR, Setter
from wellbook.paper.inks import INCH, Put, Rule
from wellbook.paper.strips import Band, Strip
from wellbook.present.job_papers.content import Entry, PaperContent
from wellbook.store.shop import ShopSays

_LABEL, _RESTS, _GAP = 132.0, 196.0, 10.0
_SMALL = 9.5
_RISE = 10.6
_HOW_TO_READ = (
    "Each line: what it is, and what is on record; at the right its basis, its day, who recorded it."
    " Where nothing stands at the right, the book has it without basis and day."
)


def job_paper(content: PaperContent, shop: ShopSays, day: date) -> Booklet:
    """A paper with the shop's head, its facts, and a place to sign.

    Parameters
    ----------
    content
        What stands on it.
    shop
        Who signs.
    day
        The day on which it is printed.
    """
    about = f"{content.title} · {content.well}"
    blocks = tuple(_blocks(content, shop))
    return Booklet(shop["name"], day, (Section(content.title, about, blocks),))


def contractor(shop: ShopSays) -> str:
    """The shop with its licence, as far as it said them."""
    licence = f"license {shop['licence']}" if shop["licence"] else ""
    return ", ".join(word for word in (shop["name"], licence) if word)


def _blocks(content: PaperContent, shop: ShopSays) -> Iterator[Block]:
    if shop["name"]:
        yield Paragraph(shop["name"], 13, BOLD, after=2)
    licence = f"License {shop['licence']}" if shop["licence"] else ""
    rows = (", ".join(shop.address_lines), shop["phone"], shop["email"], licence)
    yield from (Paragraph(row, _SMALL, after=0) for row in rows if row)
    yield Gap(10)
    yield Title(f"{content.title} · {content.well}")
    yield Paragraph(_HOW_TO_READ, _SMALL)
    for section in content.sections:
        yield Heading(section.heading.upper())
        yield from (Fact(entry) for entry in section.entries)
    yield Heading("TO BE MINDED")
    yield from (Paragraph(f"· {text}", after=2) for text in content.cautions)
    yield Paragraph(f"Source: {content.source}.", _SMALL)
    yield Signed(contractor(shop))


@dataclass(frozen=True, slots=True)
class Fact:
    """What it is, its value, and at the right on what it rests; under the value a published figure."""

    entry: Entry

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """Rows that hang from the label; the first two stay together."""
        entry = self.entry
        rests = ", ".join(w for w in (entry.basis, entry.as_of, entry.recorded_by) if w)
        left = room - _LABEL - (_RESTS + _GAP if rests else 0.0)
        columns = (
            (0.0, setter.rows(entry.label, BOLD, SIZE, _LABEL - _GAP), BOLD, SIZE),
            (_LABEL, setter.rows(entry.value, REGULAR, SIZE, left), REGULAR, SIZE),
            (room - _RESTS, setter.rows(rests, REGULAR, _SMALL, _RESTS), REGULAR, _SMALL),
        )
        rows = list(zip_longest(*(texts for _, texts, _, _ in columns)))
        compared = f"compared with: {entry.compared_with}" if entry.compared_with else ""
        under = setter.rows(compared, REGULAR, _SMALL, room - _LABEL) if compared else []
        for n, texts in enumerate(rows):
            put = tuple(
                Put(x, _RISE, text, face, size)
                for (x, _, face, size), text in zip(columns, texts, strict=True)
                if text
            )
            more = len(rows) > 1 if n == 0 else bool(under) and n == len(rows) - 1
            yield Strip(ROW, put, keeps=more or (bool(under) and len(rows) == 1))
        for row in under:
            yield Strip(ROW - 2, (Put(_LABEL, _RISE - 1, row, size=_SMALL),))
        yield Strip(2.5)


@dataclass(frozen=True, slots=True)
class Signed:
    """Lines for a signature and a date, with who signs under them: never apart from each other."""

    name: str

    def bands(self, setter: Setter, room: float) -> Iterator[Band]:
        """The lines, and under them what they are for."""
        day = room - 1.8 * INCH
        lines = (Rule(0, 44, day - 16, 44, 0.6), Rule(day, 44, room, 44, 0.6))
        yield Strip(46, lines, keeps=True)
        under = (Put(0, 10, "signature", size=_SMALL), Put(day, 10, "date", size=_SMALL))
        yield Strip(13, under, keeps=True)
        rows = setter.rows(self.name, REGULAR, SIZE, room)
        for n, row in enumerate(rows):
            yield Strip(ROW, (Put(0, _RISE, row),), keeps=n < len(rows) - 1)
