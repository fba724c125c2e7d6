"""The list of those to be visited, as lines: an entry a property, day by day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from rich.cells import cell_len
from rich.text import Text

from wellbook.engineering.great_circle import compass_point
from wellbook.present.text import clean, plural, wrap
from wellbook.present.visit_texts import MIND, stop_texts
from wellbook.reminders.driving import FAR_MI, Day, Visit, far_off
from wellbook.reminders.visit_list import Stop, VisitList

_BETWEEN = "  ·  "
_NUMBER = 4
_LABEL = 11


def visit_lines(found: VisitList, today: date, *, width: int | None = None) -> Iterator[Text]:
    """All of it; wrapped under its own beginning where there is a width, else line for line.

    Parameters
    ----------
    today
        The day on which it is read.
    width
        Columns; None for a pipe, which is never wrapped.
    """
    if not found.stops:
        yield Text(f"Nobody is to be visited by {found.by}.")
        return
    for day in found.days:
        if found.room:
            yield Text(day_words(day), style="bold")
        for number, visit in enumerate(day.visits, 1):
            yield from _entry(number, visit, found, today, width)
    yield from _left_over(found, today, width)
    yield from _wrapped(sum_words(found), width, style="dim")
    for remark in remarks(found):
        yield from _wrapped(remark, width, style="dim")
    yield from _wrapped(f"mind: {MIND}", width, style="dim")


def remarks(found: VisitList) -> Iterator[str]:
    """What the list does not know."""
    if found.start is None:
        yield (
            "by town and road; --from LAT,LON puts the stops in driving order"
            " (for all lists: wellbook shop set place LAT,LON)"
        )
        return
    if found.too_many:
        yield "too many for one round trip, so by town and road; --days and --per-day part them"
    yield (
        "miles are as the crow flies: roads are longer, and of roads, rivers and bridges nothing is"
        " known here"
    )
    lost = found.without_place
    if lost:
        who = ", ".join(stop.wells[0] for stop in lost)
        yield (
            f"no coordinates: {who}; there the order goes by the town, and the miles leave them out"
            " (wellbook site edit SITE --latitude … --longitude …)"
        )
    far = far_off(found.days, found.start)
    if far:
        who = ", ".join(stop.wells[0] for stop in far)
        yield f"over {FAR_MI:g} mi from the start: {who}; are the coordinates right?"


def day_words(day: Day[Stop]) -> str:
    """Which day it is, how many stops it has, and the way there and back."""
    miles = f" · {day.total_mi:.0f} mi there and back" if day.total_mi is not None else ""
    return f"Day {day.number} · {plural(len(day.visits), 'stop')}{miles}"


def sum_words(found: VisitList) -> str:
    """How many properties by when, in how many days, and all miles."""
    count = len(found.stops)
    said = f"{count} {'property' if count == 1 else 'properties'} to be visited by {found.by}"
    miles = [day.total_mi for day in found.days if day.total_mi is not None]
    if found.room:
        said += f", in {len(found.days)} of {plural(found.room.days, 'day')}"
    return f"{said}, {sum(miles):.0f} mi" if miles else said


def _entry(
    number: int, visit: Visit[Stop], found: VisitList, today: date, width: int | None
) -> Iterator[Text]:
    stop = visit.stop
    yield from _whose(f"{number:>{_NUMBER - 2}}", stop, leg_words(visit, found), width)
    texts = stop_texts(stop, found.by, today)
    rows = (
        ("due", " · ".join(texts.due)),
        ("look at", " · ".join(texts.look_at)),
        ("at a pull", " · ".join(texts.next_pull)),
        ("ask", "; ".join(texts.ask)),
        ("said", " · ".join(texts.said)),
        ("get in", " · ".join(clean(x) for x in (stop.access, stop.well_head) if x)),
    )
    for label, text in rows:
        if text:
            line = Text(" " * _NUMBER).append(f"{label:<{_LABEL}}", "bold").append(text)
            yield from _hung(line, _NUMBER + _LABEL, width)


def place_words(stop: Stop) -> str:
    """Road and town."""
    return ", ".join(clean(x) for x in (stop.road, stop.town) if x)


def leg_words(visit: Visit[Stop], found: VisitList) -> str:
    """The way there from the stop before; that there are no coordinates, where others have some."""
    if visit.leg_mi is None or visit.bearing_degrees is None:
        return "no coordinates" if found.start else ""
    point = f" {compass_point(visit.bearing_degrees)}" if visit.leg_mi >= _NEXT_DOOR_MI else ""
    return f"{visit.leg_mi:.1f} mi{point}"


_NEXT_DOOR_MI = 0.05
"""Below this the miles are shown as none, and have no direction."""


def since_words(stop: Stop, today: date) -> str:
    """Since when the visit has been due, or when it will be; empty where nobody can say."""
    day = stop.due_from
    return "" if day is None else f"due since {day}" if day <= today else f"due {day}"


def _left_over(found: VisitList, today: date, width: int | None) -> Iterator[Text]:
    if not found.left_over:
        return
    yield from _hung(Text(left_over_words(found), style="bold"), 0, width)
    for stop in found.left_over:
        yield from _whose("", stop, since_words(stop, today), width)


def left_over_words(found: VisitList) -> str:
    """How many found no room, and why they are those."""
    count = len(found.left_over)
    more = "more is due and finds" if count == 1 else "more are due and find"
    return f"{count} {more} no room; what is worst, and due for longest, went first"


def _whose(number: str, stop: Stop, last: str, width: int | None) -> Iterator[Text]:
    """Whose it is and where; a line breaks between its parts, and in one only where that is too long."""
    parts = (stop.phone, place_words(stop), ", ".join(stop.wells), last)
    row = Text(f"{number:<{_NUMBER}}").append(clean(stop.customer) or "customer unknown", "bold")
    for part in filter(None, map(clean, parts)):
        if width and row.cell_len + len(_BETWEEN) + cell_len(part) > width:
            yield from _hung(row, _NUMBER, width)
            row = Text(f"{'':{_NUMBER}}{part}")
        else:
            row.append(f"{_BETWEEN}{part}")
    yield from _hung(row, _NUMBER, width)


def _wrapped(text: str, width: int | None, *, style: str) -> Sequence[Text]:
    return _hung(Text(text, style=style), 0, width)


def _hung(line: Text, indent: int, width: int | None) -> Sequence[Text]:
    """The line, going on below under what begins after so many columns."""
    if width is None:
        return [line]
    first, *more = wrap(line[indent:], width - indent)
    return [line[:indent] + first, *(Text(" " * indent) + row for row in more)]
