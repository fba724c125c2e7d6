"""A second export updates and does not double; what is over is taken off; one person's calendar."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from icalendar import Calendar
from reminder_book import TODAY, begin, customer

from wellbook.errors import NotFoundError
from wellbook.reminders.agenda import KEPT_DAYS, agenda
from wellbook.reminders.calendar import ics
from wellbook.store.book import Book
from wellbook.store.contacts import Owed, Spoken, owed_at, write_down
from wellbook.store.sheets import record
from wellbook.store.shop import shop_says
from wellbook.terms import Said

SOON = TODAY + timedelta(days=8)


def exported(book: Book, today: date = TODAY, crew: str = "") -> bytes:
    """The calendar's bytes."""
    with book.writing() as connection:
        shop = shop_says(connection)
        bookings, todos = agenda(connection, shop, today=today, crew=crew)
    return ics(bookings, todos, zone="America/Chicago", name="shop")


def entries(data: bytes) -> dict[str, Any]:
    """As another library reads them: UID -> entry."""
    calendar: Any = Calendar.from_ical(data)
    return {str(part["UID"]): part for part in calendar.walk() if part.name in ("VEVENT", "VTODO")}


def events(data: bytes) -> list[Any]:
    return [part for part in entries(data).values() if part.name == "VEVENT"]


def owed(book: Book, well: int, today: date = TODAY) -> list[Owed]:
    with book.reading() as connection:
        found = owed_at(connection, [well], by=today + timedelta(days=30), today=today)
    return [o for o in found if o.finding.to_customer]


def speak(book: Book, well: int, spoken: Spoken, *rules: str, today: date = TODAY) -> None:
    keys = [o.key for o in owed(book, well, today) if not rules or o.finding.rule in rules]
    with book.writing() as connection:
        write_down(connection, "me", well, spoken, keys, today=today)


def booked(day: date = SOON, hour: str = "", crew: str = "", on: date = TODAY) -> Spoken:
    return Spoken(Said.BOOKED, on, for_day=day, for_time=hour, crew=crew)


def test_the_same_state_gives_the_same_bytes(book: Book) -> None:
    begin(book)
    speak(book, customer(book, "Ada", "A-1"), booked(hour="09:30", crew="Lu"))
    customer(book, "Ben", "B-1")
    first = exported(book)
    assert exported(book) == first
    assert {part.name for part in entries(first).values()} == {"VEVENT", "VTODO"}


def test_a_second_export_updates_what_changed_and_only_that(book: Book) -> None:
    begin(book)
    ada = customer(book, "Ada", "A-1")
    speak(book, ada, booked())
    speak(book, customer(book, "Ben", "B-1"), booked())
    before = entries(exported(book))
    speak(book, ada, booked(SOON + timedelta(days=1), "14:15"))
    after = entries(exported(book))
    # RFC 5546, section 2.1.5: by UID a program knows the entry, by SEQUENCE which one is newer.
    assert after.keys() == before.keys()
    raised = {uid for uid in after if after[uid]["SEQUENCE"] != before[uid]["SEQUENCE"]}
    (moved,) = [
        u for u, part in after.items() if part.name == "VEVENT" and "A-1" in part["SUMMARY"]
    ]
    assert raised == {moved}
    assert after[moved]["SEQUENCE"] == before[moved]["SEQUENCE"] + 1
    assert after[moved]["DTSTART"].dt.isoformat() == "2026-12-04T14:15:00-06:00"


def test_a_booking_that_was_called_off_is_taken_off(book: Book) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1")
    speak(book, well, booked())
    (before,) = events(exported(book))
    speak(book, well, Spoken(Said.DECLINED, TODAY))
    (after,) = events(exported(book))
    assert (before["STATUS"], after["STATUS"]) == ("CONFIRMED", "CANCELLED")
    assert after["UID"] == before["UID"]
    assert after["SEQUENCE"] == before["SEQUENCE"] + 1


def test_a_booking_of_which_a_part_was_declined_stays_for_the_rest(book: Book) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1")
    sample: dict[str, Any] = {"bacteria": "absent", "nitrate_mg_l": 2}
    sheet: dict[str, Any] = {"date": "2025-09-10", "reason": "water sample", "sample": sample}
    with book.writing() as connection:
        record(connection, "me", well, sheet, today=TODAY)
    assert {o.finding.rule for o in owed(book, well)} >= {"check-up", "water-test"}
    speak(book, well, booked())
    speak(book, well, Spoken(Said.DECLINED, TODAY), "water-test")
    (event,) = events(exported(book))
    assert event["STATUS"] == "CONFIRMED"
    assert "water test" not in event["SUMMARY"]


def test_being_told_once_more_calls_no_visit_off(book: Book) -> None:
    """The shop rings the day before; or a letter in doubt turns out to have gone."""
    begin(book)
    well = customer(book, "Ada", "A-1")
    speak(book, well, booked())
    before = exported(book)
    speak(book, well, Spoken(Said.TOLD, TODAY))
    assert exported(book) == before


def test_what_was_done_is_done_in_the_calendar_and_leaves_it_in_time(book: Book) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1")
    uid = next(u for u, part in entries(exported(book)).items() if "check-up" in part["SUMMARY"])
    sheet: dict[str, Any] = {"date": TODAY.isoformat(), "reason": "check up"}
    with book.writing() as connection:
        record(connection, "me", well, sheet, today=TODAY)
    done = entries(exported(book))[uid]
    assert done["STATUS"] == "COMPLETED"
    assert done["SEQUENCE"] == 1
    # A year on the next check-up is another thing, with a UID of its own.
    later = entries(exported(book, TODAY + timedelta(days=370)))
    assert uid not in later or later[uid]["STATUS"] == "COMPLETED"
    assert [u for u, part in later.items() if "check-up" in part["SUMMARY"] and u != uid]


def test_what_was_put_off_and_is_back_is_the_same_entry_open_again(book: Book) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1")
    before = {u: p for u, p in entries(exported(book)).items() if p["STATUS"] == "NEEDS-ACTION"}
    assert before
    back = TODAY + timedelta(days=40)
    speak(book, well, Spoken(Said.PUT_OFF, TODAY, for_day=back))
    away = entries(exported(book))
    assert {away[u]["STATUS"] for u in before} == {"COMPLETED"}
    again = entries(exported(book, back))
    assert {again[u]["STATUS"] for u in before} == {"NEEDS-ACTION"}
    assert all(again[u]["SEQUENCE"] > away[u]["SEQUENCE"] for u in before)


def test_a_booking_that_was_moved_to_an_earlier_day_does_not_come_back(book: Book) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1")
    speak(book, well, booked(SOON + timedelta(days=60)))
    speak(book, well, booked(SOON))
    # The earlier day is no longer in the file, the later one would still be.
    assert not events(exported(book, SOON + timedelta(days=KEPT_DAYS + 1)))


def test_one_persons_calendar_has_his_visits_only(book: Book) -> None:
    begin(book)
    speak(book, customer(book, "Ada", "A-1"), booked(crew="Lu, Marit"))
    speak(book, customer(book, "Ben", "B-1"), booked(crew="Luke"))
    speak(book, customer(book, "Cid", "C-1"), booked())
    his = entries(exported(book, crew="lu"))
    assert [str(part["SUMMARY"])[:3] for part in his.values()] == ["A-1"]
    with pytest.raises(NotFoundError, match=r"no visit is booked for 'Zed'.*: Lu, Luke, Marit"):
        exported(book, crew="Zed")


def test_a_visit_that_is_another_persons_now_is_taken_off_for_the_first(book: Book) -> None:
    begin(book)
    well = customer(book, "Ada", "A-1")
    speak(book, well, booked(crew="Lu"))
    (first,) = events(exported(book, crew="Lu"))
    speak(book, well, booked(crew="Marit"))
    (for_lu,) = events(exported(book, crew="Lu"))
    (for_marit,) = events(exported(book, crew="Marit"))
    (for_all,) = events(exported(book))
    assert [e["STATUS"] for e in (for_lu, for_marit, for_all)] == [
        "CANCELLED", "CONFIRMED", "CONFIRMED",
    ]  # fmt: skip
    # Whose calendar is written when changes nothing in the others.
    assert {e["SEQUENCE"] for e in (for_lu, for_marit, for_all)} == {first["SEQUENCE"] + 1}
    assert {e["UID"] for e in (for_lu, for_marit, for_all)} == {first["UID"]}
