"""The check-up list on paper: the stops in their order, then a page or two for each property.

Who is on it and in what order is decided elsewhere; here it is plain values.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from wellbook.paper.blocks import Blank, Block, Entry, Gap, Heading, Lines, Paragraph, Tick, Title
from wellbook.paper.booklet import Booklet, Section
from wellbook.paper.drawn_hole_block import DrawnHole
from wellbook.paper.hole_on_paper import (
    HoleOnPaper,
    entries,
    string_blocks,
)
from wellbook.paper.last_readings import UNKNOWN, line_text
from wellbook.paper.visit_sheet import electrical, hydraulic
from wellbook.present.text import plural

_CROW = (
    "Miles are straight lines from the stop before, the first from the shop: of roads, bridges and"
    " weather the program knows nothing."
)


@dataclass(frozen=True, slots=True)
class Stop:
    """One property on the list.

    Parameters
    ----------
    order
        Its place on its day, from 1.
    day
        The day of the visit; None where none is chosen.
    customer, phone, road, town, access, well_head
        Whose, and how to find it; empty where not known.
    leg_miles
        Straight miles from the stop before; None where a place is not known.
    due
        What is due there, a line each.
    look_for
        What to look at while there, a line each.
    bring
        What to load for that, a line each.
    wells
        All wells of the property.
    """

    order: int
    day: date | None
    customer: str
    phone: str
    road: str
    town: str
    access: str
    well_head: str
    leg_miles: float | None
    due: tuple[str, ...]
    look_for: tuple[str, ...]
    bring: tuple[str, ...]
    wells: tuple[HoleOnPaper, ...]

    @property
    def where(self) -> str:
        """Road and town, as far as they are known."""
        return ", ".join(word for word in (self.road, self.town) if word) or "place unknown"

    @property
    def who(self) -> str:
        """The customer, as far as he is known."""
        return self.customer or "customer unknown"


def visit_list(title: str, shop: str, day: date, stops: Sequence[Stop]) -> Booklet:
    """The list with all its pages.

    Parameters
    ----------
    title
        What list it is: "Check-ups, March 2027".
    shop
        Whose paper it is.
    day
        The day on which it was made.
    stops
        In the order in which they are driven.
    """
    summary = Section(title, title, tuple(_summary(title, stops)))
    return Booklet(shop, day, (summary, *(_property(title, stop) for stop in stops)))


# -- the summary --------------------------------------------------------------------------------


def _summary(title: str, stops: Sequence[Stop]) -> Iterator[Block]:
    yield Title(title)
    for day in dict.fromkeys(stop.day for stop in stops):
        of_day = [stop for stop in stops if stop.day == day]
        yield Heading("no day chosen" if day is None else f"{day:%A} {day}", _day_said(of_day))
        for stop in of_day:
            yield from _row(stop)
    if not stops:
        yield Paragraph("Nobody is on this list.")
    elif any(stop.leg_miles is not None for stop in stops):
        yield Gap(6)
        yield Paragraph(_CROW, 9.5)


def _day_said(stops: Sequence[Stop]) -> str:
    known = [stop.leg_miles for stop in stops if stop.leg_miles is not None]
    miles = f"{sum(known):.0f} miles in straight lines" if known else ""
    unknown = len(stops) - len(known)
    missing = f"{plural(unknown, 'stop')} at a place that is not known" if known and unknown else ""
    return ", ".join(word for word in (plural(len(stops), "stop"), miles, missing) if word)


def _row(stop: Stop) -> Iterator[Block]:
    miles = "" if stop.leg_miles is None else f"{stop.leg_miles:.1f} miles"
    yield Entry(f"{stop.order}", f"{stop.who} · {stop.where}", miles)
    tags = ", ".join(well.page.tag for well in stop.wells)
    yield Entry("", " · ".join(word for word in (stop.phone or "no number", tags) if word))
    for line in stop.due:
        yield Entry("", line)
    yield Gap(4)


# -- a property ---------------------------------------------------------------------------------


def _property(title: str, stop: Stop) -> Section:
    about = f"{stop.order} · {stop.who} · {stop.where}"
    return Section(title, about, tuple(_property_blocks(stop)))


def _property_blocks(stop: Stop) -> Iterator[Block]:
    yield Title(f"{stop.order} · {stop.who}")
    yield Entry("where", stop.where)
    yield Entry("reach", stop.phone or UNKNOWN)
    yield Entry("access", stop.access or UNKNOWN)
    yield Entry("well head", stop.well_head or UNKNOWN)
    yield Blank("Visit", "", "date, start, end, crew", ("date", "from", "until", "crew"))
    minded = dict.fromkeys(text for well in stop.wells for text in well.page.cautions)
    if minded:
        yield Entry("mind", " · ".join(minded))
    for name, lines in (
        ("DUE HERE", stop.due),
        ("LOOK FOR", stop.look_for),
        ("BRING", stop.bring),
    ):
        if lines:
            yield Heading(name)
            yield from (Tick(line) for line in lines)
    for well in stop.wells:
        yield from _well(well)
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
