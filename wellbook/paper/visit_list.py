"""The check-up list on paper: the stops in their order, then a page or two for each property.

Who is on it, in what order and in which words is decided elsewhere; here it is placed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from wellbook.paper.blocks import (
    Blank,
    Block,
    Entry,
    Gap,
    Heading,
    Lines,
    Paragraph,
    Tick,
    Title,
    Together,
)
from wellbook.paper.booklet import Booklet, Section
from wellbook.paper.drawn_hole_block import DrawnHole
from wellbook.paper.faces import BOLD
from wellbook.paper.hole_on_paper import HoleOnPaper, entries, string_blocks
from wellbook.paper.last_readings import UNKNOWN, line_text
from wellbook.paper.visit_sheet import electrical, hydraulic
from wellbook.present.visit_lines import (
    day_words,
    left_over_words,
    leg_words,
    place_words,
    remarks,
    since_words,
    sum_words,
)
from wellbook.present.visit_texts import MIND, StopTexts, stop_texts
from wellbook.reminders.driving import Day
from wellbook.reminders.visit_list import Stop, VisitList

_SMALL = 9.5


def visit_list(
    found: VisitList, wells: Mapping[str, HoleOnPaper], shop: str, today: date
) -> Booklet:
    """The list with all its pages.

    Parameters
    ----------
    found
        The stops, in the days and the order in which they are driven.
    wells
        Each well of its stops, by its tag.
    shop
        Whose paper it is.
    today
        The day on which it was made.
    """
    title = f"Check-ups due by {found.by}"
    pages = [_summary(title, found, today)]
    for day in found.days:
        for number, visit in enumerate(day.visits, start=1):
            lead = f"{day.number}.{number}" if found.room else f"{number}"
            texts = stop_texts(visit.stop, found.by, today)
            mine = [wells[tag] for tag in visit.stop.wells]
            blocks = tuple(_property(lead, visit.stop, texts, mine))
            pages.append(Section(title, f"{lead} · {_who(visit.stop)}", blocks))
    return Booklet(shop, today, tuple(pages))


def _who(stop: Stop) -> str:
    return f"{stop.customer or 'customer unknown'} · {place_words(stop) or 'place unknown'}"


# -- the summary --------------------------------------------------------------------------------


def _summary(title: str, found: VisitList, today: date) -> Section:
    return Section(title, title, tuple(_summary_blocks(title, found, today)))


def _summary_blocks(title: str, found: VisitList, today: date) -> Iterator[Block]:
    yield Title(title)
    if not found.stops:
        yield Paragraph(f"Nobody is to be visited by {found.by}.")
        return
    yield Paragraph(sum_words(found))
    for day in found.days:
        yield from _day(day, found, today)
    if found.left_over:
        yield Heading("NO ROOM", left_over_words(found))
        for stop in found.left_over:
            yield Together((*_whose("", stop, since_words(stop, today)), Gap(3)))
    yield Heading("NOT KNOWN HERE")
    yield from (Paragraph(f"· {remark}", _SMALL, after=2) for remark in remarks(found))
    yield Heading("MIND")
    yield Paragraph(MIND, _SMALL)


def _day(day: Day[Stop], found: VisitList, today: date) -> Iterator[Block]:
    """The stops of a day under what to load for it; its heading stays with the first of them."""
    texts = [stop_texts(visit.stop, found.by, today) for visit in day.visits]
    above: list[Block] = [Heading(day_words(day) if found.room else "STOPS")]
    to_load = _to_load(texts)
    if to_load:
        above += [Entry("to load", to_load), Gap(4)]
    for number, (visit, said) in enumerate(zip(day.visits, texts, strict=True), start=1):
        rows = [*_whose(f"{number} · ", visit.stop, leg_words(visit, found))]
        rows += _labelled("due", said.due)
        rows += _labelled("said", said.said)
        yield Together((*above, *rows, Gap(6)))
        above = []


def _to_load(texts: Sequence[StopTexts]) -> str:
    """What goes onto the truck in the morning, each with the stops that want it."""
    wanted: dict[str, list[str]] = {}
    for number, said in enumerate(texts, start=1):
        for thing in said.bring:
            wanted.setdefault(thing, []).append(f"{number}")
    return " · ".join(f"{thing} (stop {', '.join(at)})" for thing, at in wanted.items())


def _whose(number: str, stop: Stop, last: str) -> Iterator[Block]:
    head = " · ".join(word for word in (_who(stop), last) if word)
    yield Paragraph(f"{number}{head}", face=BOLD, after=1)
    yield Entry("reach", " · ".join((stop.phone or "no number", *stop.wells)))


def _labelled(label: str, lines: Sequence[str]) -> Iterator[Block]:
    yield from (Entry(label if n == 0 else "", line) for n, line in enumerate(lines))


# -- a property ---------------------------------------------------------------------------------


def _property(
    lead: str, stop: Stop, texts: StopTexts, wells: Sequence[HoleOnPaper]
) -> Iterator[Block]:
    yield Title(f"{lead} · {stop.customer or 'customer unknown'}")
    yield Entry("where", place_words(stop) or UNKNOWN)
    yield Entry("reach", stop.phone or UNKNOWN)
    yield Entry("get in", stop.access or UNKNOWN)
    yield Entry("well head", stop.well_head or UNKNOWN)
    yield Blank("Visit", "", "date, start, end, crew", ("date", "from", "until", "crew"))
    minded = dict.fromkeys(text for well in wells for text in well.page.cautions)
    if minded:
        yield Entry("mind", " · ".join(minded))
    for name, lines in (
        ("DUE HERE", texts.due),
        ("LOOK AT", texts.look_at),
        ("BRING", texts.bring),
        ("ASK", texts.ask),
    ):
        if lines:
            yield Heading(name)
            yield from (Tick(line) for line in lines)
    if texts.said:
        yield Heading("SAID TO THE CUSTOMER")
        yield from (Entry("", line) for line in texts.said)
    for well in wells:
        yield from _well(well)
    yield from (Entry("at a pull", line) for line in texts.next_pull)
    yield Lines("Notes, left for next time", 2, "notes, left_for_next_time")


def _well(well: HoleOnPaper) -> Iterator[Block]:
    yield Heading(well.page.tag)
    yield DrawnHole(well.section, 150.0, 190.0)
    yield from string_blocks(well.page)
    yield Heading("READINGS", "the last, and today's")
    readings = (*electrical(well), *hydraulic(well))
    yield from (block for block in readings if isinstance(block, Blank))
    yield Entry("water", line_text(well, "water"))
    yield Blank("Sample taken", "", "[[sample]] taken_on, laboratory", ("on", "laboratory"))
    yield Heading("IF IT IS PULLED")
    yield from entries(well.page.load)
