"""The well's page on paper: what `wellbook hole` and `wellbook draw` say, for the truck."""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.paper.blocks import Block, Entry, Heading, Title
from wellbook.paper.booklet import Booklet, Section
from wellbook.paper.drawn_hole_block import DrawnHole
from wellbook.paper.hole_on_paper import (
    NOTHING,
    HoleOnPaper,
    caution_blocks,
    due_blocks,
    entries,
    load_blocks,
    said_blocks,
    string_blocks,
)
from wellbook.present.cross_section import LEGEND
from wellbook.present.lines import Line


def hole_leaves(well: HoleOnPaper, shop: str) -> Booklet:
    """The pages of a well.

    Parameters
    ----------
    well
        What is known of it.
    shop
        Whose paper it is.
    """
    return Booklet(
        shop, well.page.day, (Section("Well page", well.page.title, tuple(_blocks(well))),)
    )


def _blocks(well: HoleOnPaper) -> Iterator[Block]:
    page = well.page
    yield Title(page.title)
    yield from entries(page.place)
    yield DrawnHole(well.section)
    drawn = bool(well.section.scene.features)
    yield Heading("THE BORE", "" if drawn else LEGEND.replace("  ", " · "))
    yield from entries(page.bore or (Line("", NOTHING),))
    yield from string_blocks(page)
    limits = [line for line in well.section.lines if line.label in ("pipe", "lift", "usable")]
    if limits:
        yield Heading("HOW DEEP IT MAY GO")
        yield from entries(limits)
    yield Heading("READINGS")
    yield from entries(page.readings or (Line("", NOTHING),))
    yield Heading("WRONG OR DUE")
    yield from due_blocks(page.findings)
    if not page.findings:
        yield Entry("", "nothing")
    yield from said_blocks(page)
    yield from load_blocks(page)
    yield from caution_blocks(page)
    yield from _asked(well)
    yield Heading("LAST")
    yield from entries(page.last or (Line("", "no visit and no call on record"),))
    if page.files:
        yield Entry("files", page.files)


def _asked(well: HoleOnPaper) -> Iterator[Block]:
    """What nobody knows yet, by topic, so that it is asked on the spot."""
    topics: dict[str, list[str]] = {}
    for question in well.page.questions:
        topics.setdefault(question.topic, []).append(question.text)
    if topics or well.page.to_find_out:
        yield Heading("UNKNOWN, TO BE ASKED")
        yield from (Entry(topic, " ".join(texts)) for topic, texts in topics.items())
        yield from (Entry("find out", line.text) for line in well.page.to_find_out)
