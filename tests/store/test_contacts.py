"""What was said at a property and where it stands: booked, moved, called off, put off, told again."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import select

from wellbook.dates import When
from wellbook.errors import WellbookError
from wellbook.store import tables as t
from wellbook.store import wells
from wellbook.store.book import Book
from wellbook.store.contacts import (
    ASKED_FOR,
    Owed,
    Spoken,
    booked_besides,
    owed_at,
    property_record,
    wells_together,
    write_down,
)
from wellbook.store.due_list import Asked, due
from wellbook.store.holes import load_hole
from wellbook.store.lives import Life, Standing, lives
from wellbook.store.renewal import renew_all
from wellbook.store.sheets import record
from wellbook.terms import RemindBy, Said

TODAY = date(2026, 11, 25)
SOON = TODAY + timedelta(days=8)
Speak = Callable[..., int]


@pytest.fixture
def well(book: Book) -> int:
    """A well whose check-up has been due since September."""
    with book.writing() as connection:
        renew_all(connection)
        site = wells.add_site(connection, "me", {"road": "1 Hill Rd", "town": "Nettlewick"})
        number = wells.add_customer(connection, "me", "Ada", phones=("555-0107",))
        wells.move_in(connection, "me", site, number, When.unknown(), today=TODAY)
        well = wells.add_well(connection, "me", "A-1", {"site_id": site}, today=date(2020, 1, 1))
        sheet: dict[str, Any] = {"date": "2025-09-09", "reason": "check up"}
        record(connection, "me", well, sheet, today=TODAY)
    return well


def _owed(book: Book, well: int, days: int = 90, today: date = TODAY) -> list[Owed]:
    with book.reading() as connection:
        found = owed_at(connection, [well], by=today + timedelta(days=days), today=today)
    return [o for o in found if o.finding.rule == "check-up"]


@pytest.fixture
def speak(book: Book, well: int) -> Speak:
    """Writes down what was said of the check-up."""

    def said(what: Said, on: date = TODAY, today: date = TODAY, **more: Any) -> int:
        keys = [o.key for o in _owed(book, well)]
        with book.writing() as connection:
            return write_down(connection, "me", well, Spoken(what, on, **more), keys, today=today)

    return said


def _life(book: Book, well: int) -> Life:
    key = _owed(book, well)[0].key
    with book.reading() as connection:
        return lives(connection, [well])[key]


def test_what_nobody_spoke_of_is_due_and_has_no_life(book: Book, well: int) -> None:
    (owed,) = _owed(book, well)
    assert owed.life is None


def test_a_booking_is_moved_and_keeps_its_uid_and_crew(book: Book, well: int, speak: Speak) -> None:
    speak(Said.BOOKED, for_day=SOON, for_time="09:30", crew="Lu")
    first = _life(book, well)
    speak(Said.BOOKED, for_day=SOON + timedelta(days=1))
    second = _life(book, well)
    assert second.booking_uid == first.booking_uid
    assert (second.for_day, second.crew) == (SOON + timedelta(days=1), "Lu")
    speak(Said.DECLINED)
    speak(Said.BOOKED, for_day=SOON)
    assert _life(book, well).booking_uid != first.booking_uid


STANDS: list[tuple[Said, dict[str, Any], Standing, Standing]] = [
    (Said.TOLD, {}, Standing.TOLD, Standing.TOLD),
    (Said.BOOKED, {"for_day": SOON}, Standing.BOOKED, Standing.MISSED),
    (Said.DECLINED, {}, Standing.DECLINED, Standing.DECLINED),
    (Said.PUT_OFF, {"for_day": SOON}, Standing.PUT_OFF, Standing.DUE),
]


@pytest.mark.parametrize(("said", "more", "now", "later"), STANDS)
def test_where_it_stands_now_and_after_its_day(
    book: Book, well: int, speak: Speak, said: Said, more: dict[str, Any], now: Standing,
    later: Standing,
) -> None:  # fmt: skip
    speak(said, **more)
    life = _life(book, well)
    assert life.standing(TODAY) is now
    assert life.standing(SOON + timedelta(days=1)) is later


@pytest.mark.parametrize(
    ("said", "more"), [(s, m) for s, m, now, _ in STANDS if now is not Standing.TOLD]
)
def test_being_told_once_more_takes_nothing_back(
    book: Book, well: int, speak: Speak, said: Said, more: dict[str, Any]
) -> None:
    """A letter crosses with a call; or a message in doubt is settled after the customer rang."""
    speak(said, **more)
    before = _life(book, well)
    speak(Said.TOLD, by=RemindBy.LETTER)
    after = _life(book, well)
    assert after.standing(TODAY) is before.standing(TODAY)
    assert after.told_on == TODAY
    # What was put off still comes back, and is then told of once more.
    assert after.told_round == before.told_round


def test_what_came_back_is_told_in_its_own_round(book: Book, well: int, speak: Speak) -> None:
    speak(Said.TOLD)
    speak(Said.PUT_OFF, for_day=SOON)
    speak(Said.TOLD, on=SOON, today=SOON)
    life = _life(book, well)
    assert (life.standing(SOON), life.round, life.told_round) == (Standing.TOLD, 1, 1)


def test_a_late_note_of_an_earlier_day_does_not_overrule(
    book: Book, well: int, speak: Speak
) -> None:
    speak(Said.DECLINED)
    speak(Said.TOLD, on=TODAY - timedelta(days=3))
    assert _life(book, well).standing(TODAY) is Standing.DECLINED


@pytest.mark.parametrize(
    ("said", "more", "says"),
    [
        (Said.TOLD, {"on": SOON}, "lies ahead"),
        (Said.BOOKED, {"for_day": TODAY - timedelta(days=1)}, "is not ahead"),
        (Said.PUT_OFF, {"for_day": TODAY}, "is not ahead"),
        (Said.BOOKED, {"for_day": date(2046, 1, 1)}, "more than 5 years ahead"),
    ],
)
def test_days_that_cannot_be_are_refused(
    speak: Speak, said: Said, more: dict[str, Any], says: str
) -> None:
    with pytest.raises(WellbookError, match=says):
        speak(said, **more)


def test_today_can_be_booked(book: Book, well: int, speak: Speak) -> None:
    speak(Said.BOOKED, for_day=TODAY)
    assert _life(book, well).standing(TODAY) is Standing.BOOKED


def test_a_visit_that_was_asked_for_can_be_moved_and_called_off(book: Book, well: int) -> None:
    def say(said: Said, about: list[tuple[int, str]], day: date | None = None) -> None:
        with book.writing() as connection:
            write_down(connection, "me", well, Spoken(said, TODAY, for_day=day), about, today=TODAY)

    def booked() -> list[tuple[int, str]]:
        with book.reading() as connection:
            return list(booked_besides(connection, [well], [], TODAY))

    say(Said.BOOKED, [], SOON)
    (key,) = booked()
    assert key[1].startswith(ASKED_FOR)
    say(Said.BOOKED, [key], SOON + timedelta(days=1))
    assert booked() == [key]
    say(Said.DECLINED, [key])
    assert not booked()


def test_the_property_has_all_its_wells_and_what_was_said_newest_first(
    book: Book, well: int, speak: Speak
) -> None:
    with book.writing() as connection:
        mine = select(t.well.c.site_id).where(t.well.c.id == well)
        site = connection.execute(mine).scalar_one()
        second = wells.add_well(connection, "me", "A-2", {"site_id": site}, today=TODAY)
        alone = wells.add_well(connection, "me", "Z-9", {}, today=TODAY)
    speak(Said.TOLD, on=TODAY - timedelta(days=2), by=RemindBy.CALL, note="rings back")
    speak(Said.BOOKED, for_day=SOON)
    with book.reading() as connection:
        assert wells_together(connection, second) == [well, second]
        assert wells_together(connection, alone) == [alone]
        seen = property_record(connection, second, TODAY)
    assert seen.tags == ("A-1", "A-2")
    assert [line["said"] for line in seen.lines] == ["booked", "told"]
    assert seen.lines[1]["note"] == "rings back"


def test_what_is_over_before_the_far_end_of_the_list_is_on_it(book: Book, well: int) -> None:
    """A return under warranty is owed for the last 30 days of it, and a list looks 90 days ahead."""
    sheet: dict[str, Any] = {
        "date": TODAY,
        "reason": "no water",
        "pulled": {"pump": {"why": "winding to ground", "cause": "lightning"}},
        "set": {"pump": {"hp": "1/2"}},
    }
    opening: dict[str, Any] = {
        "date": "2025-01-10",
        "reason": "replacement",
        "set": {"pump": {"hp": "1/2", "warranty_until": "2027-01-10"}},
    }
    with book.writing() as connection:
        for one in (opening, sheet):
            record(connection, "me", well, one, today=TODAY)

    def owed(today: date) -> list[tuple[str, date | None]]:
        with book.reading() as connection:
            found = owed_at(connection, [well], by=today + timedelta(days=90), today=today)
        return [
            (o.finding.severity.value, o.finding.may_from)
            for o in found
            if o.finding.subject == "warranty return"
        ]

    assert owed(TODAY) == [("plan", TODAY)]  # as it stands now, and once
    assert [severity for severity, _ in owed(date(2026, 12, 20))] == ["act"]
    assert not owed(date(2027, 1, 12))


def test_a_place_sold_on_a_day_that_nobody_knows_is_the_buyers(book: Book) -> None:
    """The list of what is due, the record of contacts and the well's page name the same person."""
    with book.writing() as connection:
        renew_all(connection)
        site = wells.add_site(connection, "me", {"road": "1 Hill Rd", "town": "Nettlewick"})
        well = wells.add_well(connection, "me", "S-1", {"site_id": site}, today=date(2020, 1, 1))
        for name, since in (("Ada", "2019"), ("Ben", "2026")):
            number = wells.add_customer(connection, "me", name, phones=(f"555-01{name}9",))
            when = When.parse(since, said_on=TODAY)
            wells.move_in(connection, "me", site, number, when, today=TODAY)
        listed = due(connection, Asked(by=TODAY), today=TODAY)
        spoken = property_record(connection, well, TODAY)
        page = [o.name for o in load_hole(connection, well).occupants if o.until is None]
    assert {i.customer for i in listed} == {"Ben"} == set(page)
    assert spoken.place is not None and spoken.place.resident is not None
    assert spoken.place.resident.name == "Ben"
