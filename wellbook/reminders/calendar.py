"""Bookings and open reminders in the open calendar format (RFC 5545), for any calendar program.

A second export has to update what the first one brought in, and never double it. So an entry keeps
its UID, and bears the SEQUENCE and the moment of its last change that the book knows (RFC 5546,
section 2.1.5: that is how a program tells which of two is newer); no clock is read here, and the
same state gives the same bytes. There is no METHOD: with it the file would be a message from an
organizer, whose mail address each entry would then have to name (RFC 5546, section 3.2.1), and
DTSTAMP would be the moment of writing; without it DTSTAMP is that of the last change (RFC 5545,
section 3.8.7.2).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from wellbook.errors import WellbookError
from wellbook.plain_text import clean, on_one_line
from wellbook.quantities import quoted
from wellbook.terms import Severity

if TYPE_CHECKING:
    from icalendar import Calendar, Event
    from icalendar import Todo as TodoPart

PRODID = "-//wellbook//service book//EN"
PRIORITY = {Severity.ACT: 1, Severity.PLAN: 5, Severity.WATCH: 7, Severity.ASK: 9}
"""1 to 4 is high, 5 medium, 6 to 9 low (RFC 5545, section 3.8.1.9)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """What a booking and a to-do have in common.

    Parameters
    ----------
    uid
        The same for the same thing, for all time.
    summary
        One line.
    where
        The property's road and town.
    lines
        What is due, the phone, gate and dog: a line each.
    latitude, longitude
        Of the property, degrees; both or neither.
    crew
        Who goes, by name; a calendar filters by it.
    sequence
        How often it was changed, from 0.
    changed_at
        When it was last changed, with its zone.
    """

    uid: str
    summary: str
    changed_at: datetime
    sequence: int = 0
    where: str = ""
    lines: tuple[str, ...] = ()
    latitude: float | None = None
    longitude: float | None = None
    crew: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking(_Entry):
    """A visit that a day was agreed for.

    Parameters
    ----------
    start
        A day, or a local time in the shop's zone (a datetime without zone).
    end
        The last day, included, or the local time of the end; None for one day, or no known end.
    cancelled
        Whether it was called off: it stays in the file, so that calendars take it off.
    """

    start: date
    end: date | None = None
    cancelled: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Todo(_Entry):
    """A reminder that is open, or was done.

    Parameters
    ----------
    due
        The day on which it falls due.
    severity
        How bad it is; gives the priority.
    done_at
        When it was done, with its zone; None while it is open.
    """

    due: date
    severity: Severity
    done_at: datetime | None = None


def ics(bookings: Iterable[Booking], todos: Iterable[Todo], *, zone: str, name: str) -> bytes:
    """A calendar file.

    Parameters
    ----------
    bookings
        They become events.
    todos
        They become to-dos.
    zone
        The shop's time zone, as the IANA data names it: `America/New_York`.
    name
        What the calendar is called (RFC 7986, section 5.1): the shop, or one person of the crew.

    Raises
    ------
    WellbookError
        If there is no such zone.
    ValueError
        If two entries have one uid, an end does not fit its start, or a moment has no zone.
    """
    from icalendar import Calendar

    booked = sorted(bookings, key=lambda one: one.uid)
    tasks = sorted(todos, key=lambda one: one.uid)
    uids = [one.uid for one in (*booked, *tasks)]
    if len(set(uids)) < len(uids):
        raise ValueError("two entries of a calendar have the same uid")
    calendar = Calendar()
    calendar.add("PRODID", PRODID)
    calendar.add("VERSION", "2.0")
    calendar.add("NAME", on_one_line(name))
    there = _zone(zone)
    for booking in booked:
        calendar.add_component(_event(booking, there))
    for task in tasks:
        calendar.add_component(_todo(task))
    _add_zone(calendar, booked)
    written: bytes = calendar.to_ical()
    return written


def _event(booking: Booking, zone: ZoneInfo) -> Event:
    from icalendar import Event

    event = Event()
    start, end = booking.start, booking.end
    if end is not None and (type(end) is not type(start) or end < start):
        raise ValueError(f"{booking.uid}: the end {end} does not fit the start {start}")
    if isinstance(start, datetime):
        event.add("DTSTART", _local(start, zone))
        # An end at the start would be no time at all (section 3.8.2.2: later than the start).
        if isinstance(end, datetime) and end > start:
            event.add("DTEND", _local(end, zone))
    else:
        event.add("DTSTART", start)
        # The day after the last one: an end is not included (section 3.6.1).
        event.add("DTEND", (end or start) + timedelta(days=1))
    event.add("STATUS", "CANCELLED" if booking.cancelled else "CONFIRMED")
    _add_common(event, booking, "visit")
    return event


def _todo(task: Todo) -> TodoPart:
    from icalendar import Todo as TodoPart

    todo = TodoPart()
    todo.add("DUE", task.due)
    todo.add("PRIORITY", PRIORITY[task.severity])
    if task.done_at is None:
        todo.add("STATUS", "NEEDS-ACTION")
    else:
        todo.add("STATUS", "COMPLETED")
        todo.add("COMPLETED", _universal(task.done_at))
    _add_common(todo, task, "reminder")
    return todo


def _add_common(part: Event | TodoPart, entry: _Entry, kind: str) -> None:
    part.add("UID", on_one_line(entry.uid))
    part.add("SEQUENCE", entry.sequence)
    part.add("DTSTAMP", _universal(entry.changed_at))
    part.add("LAST-MODIFIED", _universal(entry.changed_at))
    part.add("SUMMARY", on_one_line(entry.summary))
    if where := on_one_line(entry.where):
        part.add("LOCATION", where)
    # A text holds no controls, and breaks its lines by \n alone (section 3.3.11).
    if lines := "\n".join(clean(one) for line in entry.lines for one in line.splitlines()):
        part.add("DESCRIPTION", lines)
    if entry.latitude is not None and entry.longitude is not None:
        part.add("GEO", (round(entry.latitude, 6), round(entry.longitude, 6)))
    part.add("CATEGORIES", [kind, *map(on_one_line, entry.crew)])


def _add_zone(calendar: Calendar, booked: list[Booking]) -> None:
    """The zone's own rules, from a year before the first booking to a year after the last."""
    days = [one.start for one in booked] + [one.end for one in booked if one.end is not None]
    if days:
        years = [day.year for day in days]
        calendar.add_missing_timezones(date(min(years) - 1, 1, 1), date(max(years) + 2, 1, 1))


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        said = f"{quoted(name)} is not a time zone; one looks like America/New_York"
        raise WellbookError(said) from None


def _local(moment: datetime, zone: ZoneInfo) -> datetime:
    if moment.tzinfo is not None:
        raise ValueError(f"{moment} has a zone; a booking's time is the shop's own")
    return moment.replace(tzinfo=zone)


def _universal(moment: datetime) -> datetime:
    """In UTC and whole seconds, as these properties ask (sections 3.8.7.2, 3.8.7.3, 3.8.2.1)."""
    if moment.tzinfo is None:
        raise ValueError(f"{moment} has no zone")
    return moment.astimezone(UTC).replace(microsecond=0)
