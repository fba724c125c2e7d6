"""The calendar, read back by two libraries and by a strict reader of lines (RFC 5545)."""

from __future__ import annotations

import re
import warnings
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.errors import WellbookError
from wellbook.plain_text import clean, on_one_line
from wellbook.reminders.calendar import Booking, Todo, ics
from wellbook.terms import Severity

ZONE = "America/New_York"
CHANGED = datetime(2026, 11, 25, 14, 30, tzinfo=UTC)
VISIT = Booking(
    uid="b-7@book.example",
    summary="Check-up: TF-0031",
    changed_at=CHANGED,
    sequence=2,
    where="4 Larkspur Bend, Nettlewick",
    lines=("check-up; water sample", "555-0131", "gate code on the feed bin\ndog"),
    latitude=44.123456,
    longitude=-71.2,
    crew=("Marit", "Jonas, jr."),
    start=datetime(2026, 12, 2, 9, 0),
    end=datetime(2026, 12, 2, 11, 30),
)
WHOLE_DAY = replace(VISIT, uid="b-8@book.example", start=date(2026, 12, 3), end=None)
REMINDER = Todo(
    uid="r-1@book.example",
    summary="Ring Orla Venterick",
    changed_at=CHANGED,
    due=date(2027, 3, 1),
    severity=Severity.PLAN,
)


def written(*entries: Booking | Todo, zone: str = ZONE) -> bytes:
    bookings = [one for one in entries if isinstance(one, Booking)]
    todos = [one for one in entries if isinstance(one, Todo)]
    return ics(bookings, todos, zone=zone, name="Thornfield")


def strictly(file: bytes) -> list[tuple[str, str, str]]:
    """Each line as name, parameters, value; nothing is forgiven.

    RFC 5545, section 3.1: CRLF ends a line; at most 75 octets before it; a fold is CRLF and one
    blank; no controls but the tab. A fold within a sign would leave a line that is not UTF-8.
    """
    assert file.endswith(b"\r\n")
    physical = file[:-2].split(b"\r\n")
    for line in physical:
        assert 0 < len(line) <= 75
        assert b"\n" not in line
        assert b"\r" not in line
        assert not re.search(r"[\x00-\x08\x0a-\x1f\x7f]", line.decode("utf-8"))
    lines = re.sub(rb"\r\n[ \t]", b"", file[:-2]).decode("utf-8").split("\r\n")
    found = []
    for line in lines:
        part = re.fullmatch(r'([A-Z-]+)((?:;[A-Z-]+=(?:"[^"]*"|[^";:,]*))*):(.*)', line)
        assert part, line
        found.append((part[1], part[2], part[3]))
    return found


def unescaped(text: str) -> str:
    """Section 3.3.11: a backslash before backslash, semicolon, comma or n; bare ones are wrong."""
    assert re.fullmatch(r"(?:\\[\\;,nN]|[^\\;,])*", text), text
    return re.sub(r"\\(.)", lambda m: "\n" if m[1] in "nN" else m[1], text)


def test_an_event_line_by_line() -> None:
    lines = strictly(written(VISIT))
    start, end = lines.index(("BEGIN", "", "VEVENT")), lines.index(("END", "", "VEVENT"))
    event = {name: (more, value) for name, more, value in lines[start + 1 : end]}
    assert event == {
        # 3.8.4.7, 3.8.7.4: who it is, and how often it was changed
        "UID": ("", "b-7@book.example"),
        "SEQUENCE": ("", "2"),
        # 3.8.7.2, 3.8.7.3: in UTC; without METHOD both are the last change
        "DTSTAMP": ("", "20261125T143000Z"),
        "LAST-MODIFIED": ("", "20261125T143000Z"),
        # 3.3.5, form 3: local time with the zone's name
        "DTSTART": (f";TZID={ZONE}", "20261202T090000"),
        "DTEND": (f";TZID={ZONE}", "20261202T113000"),
        # 3.8.1.11
        "STATUS": ("", "CONFIRMED"),
        "SUMMARY": ("", "Check-up: TF-0031"),
        "LOCATION": ("", r"4 Larkspur Bend\, Nettlewick"),
        "DESCRIPTION": (
            "",
            r"check-up\; water sample\n555-0131\ngate code on the feed bin\ndog",
        ),
        # 3.8.1.6: latitude, then longitude
        "GEO": ("", "44.123456;-71.2"),
        # 3.8.1.2: parted by bare commas
        "CATEGORIES": ("", r"visit,Marit,Jonas\, jr."),
    }


def test_the_head_of_the_file() -> None:
    """Sections 3.6 and 3.7: PRODID and VERSION once; no METHOD (RFC 5546, section 3.2.1)."""
    lines = strictly(written(WHOLE_DAY, REMINDER))
    head = [(name, value) for name, _, value in lines[: lines.index(("BEGIN", "", "VEVENT"))]]
    assert head[0] == ("BEGIN", "VCALENDAR")
    assert sorted(head[1:]) == [
        ("NAME", "Thornfield"),
        ("PRODID", "-//wellbook//service book//EN"),
        ("VERSION", "2.0"),
    ]


def test_whole_days_end_on_the_day_after() -> None:
    """Section 3.6.1: DTEND is not included."""
    two = replace(WHOLE_DAY, uid="two", start=date(2026, 12, 31), end=date(2027, 1, 1))
    lines = strictly(written(WHOLE_DAY, two))
    days = [x for x in lines if x[0] in ("DTSTART", "DTEND")]
    assert days == [
        ("DTSTART", ";VALUE=DATE", "20261203"),
        ("DTEND", ";VALUE=DATE", "20261204"),
        ("DTSTART", ";VALUE=DATE", "20261231"),
        ("DTEND", ";VALUE=DATE", "20270102"),
    ]


def test_a_booking_called_off_stays_and_says_so() -> None:
    lines = strictly(written(replace(VISIT, cancelled=True)))
    assert ("STATUS", "", "CANCELLED") in lines
    assert ("UID", "", "b-7@book.example") in lines


@pytest.mark.parametrize(
    ("severity", "priority"),
    [(Severity.ACT, "1"), (Severity.PLAN, "5"), (Severity.WATCH, "7"), (Severity.ASK, "9")],
)
def test_a_reminder_is_a_to_do(severity: Severity, priority: str) -> None:
    """Sections 3.6.2, 3.8.1.9 (1 is highest), 3.8.1.11, 3.8.2.3."""
    lines = strictly(written(replace(REMINDER, severity=severity)))
    assert ("DUE", ";VALUE=DATE", "20270301") in lines
    assert ("PRIORITY", "", priority) in lines
    assert ("STATUS", "", "NEEDS-ACTION") in lines
    assert not [x for x in lines if x[0] in ("COMPLETED", "DTSTART", "DURATION")]


def test_a_reminder_that_was_done() -> None:
    """Section 3.8.2.1: COMPLETED is in UTC."""
    done = datetime(2027, 2, 3, 10, 15, 30, 999, tzinfo=ZoneInfo(ZONE))
    lines = strictly(written(replace(REMINDER, done_at=done)))
    assert ("STATUS", "", "COMPLETED") in lines
    assert ("COMPLETED", "", "20270203T151530Z") in lines


def test_the_same_state_gives_the_same_bytes_in_any_order() -> None:
    one = ics([VISIT, WHOLE_DAY], [REMINDER], zone=ZONE, name="T")
    assert one == ics(iter([WHOLE_DAY, VISIT]), iter([REMINDER]), zone=ZONE, name="T")


def test_an_empty_calendar_is_one() -> None:
    assert icalendar.Calendar.from_ical(written()).subcomponents == []


# -- the zone ------------------------------------------------------------------------------------


@pytest.mark.parametrize("zone", [ZONE, "America/Phoenix", "Australia/Lord_Howe", "UTC"])
@pytest.mark.parametrize("month", range(1, 13))
def test_the_zone_in_the_file_says_what_the_zone_data_say(zone: str, month: int) -> None:
    """Section 3.6.5: each TZID has its VTIMEZONE. A second library works the offsets out of it."""
    start = datetime(2027, month, 14, 9, 0)
    file = written(replace(VISIT, start=start, end=start + timedelta(hours=2)), zone=zone)
    strictly(file)
    event = second_reader(file).vevent
    assert event.dtstart.value == start.replace(tzinfo=ZoneInfo(zone))
    (back,) = icalendar.Calendar.from_ical(file).walk("VEVENT")
    assert back.start == start.replace(tzinfo=ZoneInfo(zone))
    assert (b"BEGIN:VTIMEZONE" in file) is (zone != "UTC")


@pytest.mark.parametrize("zone", ["", "Nowhere/Town", "../etc/passwd", "America", "a\0b"])
def test_a_zone_that_is_none_is_refused_in_one_line(zone: str) -> None:
    with pytest.raises(WellbookError, match="is not a time zone"):
        written(VISIT, zone=zone)


# -- read back by two libraries ------------------------------------------------------------------


def second_reader(file: bytes) -> Any:
    with warnings.catch_warnings():
        # It speaks of the future of its own dependencies.
        warnings.simplefilter("ignore", DeprecationWarning)
        import vobject

        return vobject.readOne(file.decode("utf-8"))


hostile = st.text(max_size=80) | st.text("ab,;:\\nN\"'\r\n\t ÄΩ水🜄\u2028\x00", max_size=120)


@given(summary=hostile, where=hostile, lines=st.lists(hostile, max_size=4), crew=hostile)
def test_whatever_was_typed_comes_back(
    summary: str, where: str, lines: list[str], crew: str
) -> None:
    one = replace(VISIT, summary=summary, where=where, lines=tuple(lines), crew=("Jo", f"x{crew}"))
    file = written(one, replace(REMINDER, summary=summary))
    wanted = [clean(row) for line in lines for row in line.splitlines()]
    said = {name: value for name, _, value in strictly(file) if name in ("LOCATION", "DESCRIPTION")}
    assert unescaped(said.get("LOCATION", "")) == on_one_line(where)
    assert unescaped(said.get("DESCRIPTION", "")) == "\n".join(wanted)
    (event,) = icalendar.Calendar.from_ical(file).walk("VEVENT")
    assert event["SUMMARY"] == on_one_line(summary)
    assert event.get("DESCRIPTION", "") == "\n".join(wanted)
    assert [str(c) for c in event["CATEGORIES"].cats] == ["visit", "Jo", on_one_line(f"x{crew}")]


def test_a_second_library_reads_the_same() -> None:
    calendar = second_reader(written(VISIT, WHOLE_DAY, REMINDER))
    timed, whole = calendar.vevent_list
    assert timed.summary.value == VISIT.summary
    assert timed.location.value == VISIT.where
    assert timed.description.value == "\n".join(VISIT.lines)
    assert timed.dtstart.value == VISIT.start.replace(tzinfo=ZoneInfo(ZONE))  # type: ignore[attr-defined]
    assert whole.dtstart.value == date(2026, 12, 3)
    assert calendar.vtodo.due.value == REMINDER.due
    assert calendar.vtodo.uid.value == REMINDER.uid


@pytest.mark.parametrize("length", range(55, 80))
@pytest.mark.parametrize("sign", ["é", "水", "🜄"])
def test_no_fold_falls_within_a_sign(length: int, sign: str) -> None:
    """Section 3.1: some writers split a sign of several octets; ours must not."""
    file = written(replace(REMINDER, summary="a" * length + sign * 60))
    assert f"SUMMARY:{'a' * length}{sign * 60}" in [f"{n}:{v}" for n, _, v in strictly(file)]


# -- slips of the caller -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "entries",
    [
        (VISIT, replace(REMINDER, uid=VISIT.uid)),
        (replace(VISIT, end=date(2026, 12, 2)),),
        (replace(WHOLE_DAY, end=date(2026, 12, 2)),),
        (replace(VISIT, end=datetime(2026, 12, 2, 8, 0)),),
        (replace(VISIT, start=CHANGED, end=None),),
        (replace(VISIT, changed_at=datetime(2026, 11, 25, 9, 0)),),
    ],
)
def test_what_cannot_be_is_refused(entries: tuple[Booking | Todo, ...]) -> None:
    with pytest.raises(ValueError, match=r"uid|fit|zone"):
        written(*entries)


def test_an_end_at_the_start_is_left_out() -> None:
    """Section 3.8.2.2: an end is later than its start."""
    file = written(replace(VISIT, end=VISIT.start))
    assert "DTEND" not in [name for name, _, _ in strictly(file)]
