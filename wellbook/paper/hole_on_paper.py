"""A well as paper shows it: the page of the screen, the cross-section, and the record for the last readings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import zip_longest

from wellbook.hole.hole import Hole
from wellbook.paper.blocks import Block, Entry, Gap, Heading, Paragraph, Tick, Together
from wellbook.present.cross_section import CrossSection, cross_section
from wellbook.present.finding_lines import FindingLine
from wellbook.present.lines import Line
from wellbook.present.page import HolePage, page_of
from wellbook.store.judged_wells import JudgedWell

NOTHING = "nothing on record"


@dataclass(frozen=True, slots=True)
class HoleOnPaper:
    """All that is said of a well on a day."""

    hole: Hole
    page: HolePage
    section: CrossSection


def hole_on_paper(well: JudgedWell) -> HoleOnPaper:
    """A well that the book has judged, for paper."""
    section = cross_section(well.hole, well.reach, well.day)
    return HoleOnPaper(well.hole, page_of(well), section)


# -- pieces that several papers have ------------------------------------------------------------


def entries(lines: Iterable[Line]) -> Iterator[Block]:
    """Lines of the page with their basis and date."""
    for line in lines:
        yield Entry(line.label, line.text, " ".join(w for w in (line.mark, line.as_of) if w))


def string_blocks(page: HolePage) -> Iterator[Block]:
    """What hangs there, top down."""
    since = f"top down, {page.down_since}" if page.down_since else "top down"
    yield Heading("THE STRING", since)
    yield from entries(page.string or (Line("", NOTHING),))


def due_blocks(lines: Iterable[FindingLine]) -> Iterator[Block]:
    """What is wrong or due: how bad and when, each reason in its own row, then what to do."""
    for line in lines:
        said = [*line.reasons, f"→ {line.action}"] if line.reasons else [line.action]
        labels = (line.severity.label, line.occasion.label)
        rows = tuple(Entry(a or "", b or "") for a, b in zip_longest(labels, said))
        yield Together((*rows, Gap(4)))


def said_blocks(page: HolePage) -> Iterator[Block]:
    """What the shop does not want to see here, and what was said to the customer."""
    for quiet in page.silenced:
        yield Entry("quiet", f"{quiet.what}: silenced here, {quiet.why}")
    yield from (Entry("said", text) for text in page.said)


def load_blocks(page: HolePage) -> Iterator[Block]:
    """What to load, each thing with a box to tick; what hangs there above it."""
    yield Heading("TO LOAD")
    # One by one in place of the line that says them all.
    yield from entries(line for line in page.load if line.label != "bring")
    yield from (Tick(thing) for thing in page.bring)


def caution_blocks(page: HolePage) -> Iterator[Block]:
    """What may kill somebody at this well."""
    if page.cautions:
        yield Heading("MIND")
        yield from (Paragraph(f"· {text}", after=2) for text in page.cautions)
