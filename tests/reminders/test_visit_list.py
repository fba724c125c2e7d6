"""Who is on the list of those to be visited, with what, and who finds no room."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from wellbook.dates import When
from wellbook.reminders.visit_list import (
    Room,
    VisitList,
    calls_for_a_visit,
    rides_along,
    visit_list,
)
from wellbook.rules import names
from wellbook.rules.catalogue import the_rule
from wellbook.rules.finding import Finding
from wellbook.store import sheets, silences
from wellbook.store.book import Book
from wellbook.store.wells import add_customer, add_site, add_well, move_in
from wellbook.terms import Occasion, Severity

TODAY = date(2026, 11, 25)
MARCH = date(2027, 3, 31)
SHOP = (42.05, -101.45)

FINDING = Finding(
    rule="pump-age",
    subject="pump",
    occurrence="pump-age:pump:1",
    may_from=date(2026, 1, 1),
    surely_from=date(2026, 1, 1),
    severity=Severity.PLAN,
    occasion=Occasion.NEXT_VISIT,
    reason="old",
    action="look",
    source="",
)


def checked(book: Book, tag: str, day: str, site: int | None = None, more: str = "") -> int:
    """A well whose last check-up, with a clean sample, was on that day."""
    sample = '\n[sample]\nbacteria = "absent"\nnitrate_mg_l = 1\n'
    with book.writing() as connection:
        number = add_well(connection, "me", tag, {"site_id": site}, today=TODAY)
        sheet = tomllib.loads(f'date = {day}\nreason = "check up"{sample}{more}')
        sheets.record(connection, "me", number, sheet, today=TODAY)
    return number


def at(book: Book, road: str, town: str = "Dravel", customer: str = "", **values: Any) -> int:
    with book.writing() as connection:
        site = add_site(connection, "me", {"road": road, "town": town, **values})
        if customer:
            person = add_customer(connection, "me", customer, phones=("555-0100",))
            move_in(connection, "me", site, person, When.parse("2010", said_on=TODAY), today=TODAY)
    return site


def listed(book: Book, by: date = MARCH, **asked: Any) -> VisitList:
    with book.reading() as connection:
        return visit_list(connection, by, today=TODAY, **asked)


def tags(found: VisitList) -> list[str]:
    return [" ".join(stop.wells) for stop in found.stops]


@pytest.mark.parametrize(
    ("rule", "severity", "occasion", "calls", "rides"),
    [
        (names.CHECK_UP, Severity.PLAN, Occasion.NEXT_VISIT, True, True),
        (names.CHECK_UP, Severity.ASK, Occasion.NEXT_VISIT, True, True),
        (names.WATER_TEST, Severity.ASK, Occasion.NEXT_VISIT, True, True),
        (names.SAMPLES_OWED, Severity.PLAN, Occasion.NOW, True, True),
        ("unfinished", Severity.ACT, Occasion.NOW, True, True),
        ("insulation", Severity.ACT, Occasion.NEXT_VISIT, True, True),
        ("insulation", Severity.PLAN, Occasion.NEXT_VISIT, False, True),
        ("record-gap", Severity.ASK, Occasion.NEXT_VISIT, False, True),
        ("cable-wear", Severity.ACT, Occasion.NEXT_PULL, False, True),
        ("cable-age", Severity.PLAN, Occasion.NEXT_PULL, False, True),
        ("pump-age", Severity.WATCH, Occasion.NEXT_PULL, False, False),
    ],
)
def test_what_calls_for_a_visit_and_what_rides_along(
    rule: str, severity: Severity, occasion: Occasion, calls: bool, rides: bool
) -> None:
    finding = replace(FINDING, rule=rule, severity=severity, occasion=occasion)
    assert calls_for_a_visit(finding) is calls
    assert rides_along(finding) is rides


def test_a_check_up_is_on_the_list_of_its_month_and_of_those_after(book: Book) -> None:
    checked(book, "A-1", "2026-03-10")
    assert tags(listed(book, date(2027, 2, 28))) == []
    assert tags(listed(book, date(2027, 3, 31))) == ["A-1"]
    assert tags(listed(book, date(2028, 3, 31))) == ["A-1"]


def test_several_wells_of_a_property_are_one_stop_with_all_that_is_due(book: Book) -> None:
    site = at(
        book, "1 Mill Rd", customer="Ida Fenn", access="Gate.", well_head="Shed.", latitude=42.0,
        longitude=-101.0,
    )  # fmt: skip
    checked(book, "A-2", "2026-03-10", site)
    checked(book, "A-1", "2026-09-10", site)
    checked(book, "A-3", "2026-02-01", site, '[down.pump]\nset_on = "2001"\n')
    (stop,) = listed(book).stops
    assert stop.wells == ("A-1", "A-2", "A-3")
    assert (stop.site_id, stop.customer, stop.phone) == (site, "Ida Fenn", "555-0100")
    assert (stop.road, stop.town, stop.access, stop.well_head) == (
        "1 Mill Rd", "Dravel", "Gate.", "Shed.",
    )  # fmt: skip
    assert stop.place == (42.0, -101.0)
    # A-1 owes no check-up before September; what is not known of it is asked all the same.
    assert {i.tag for i in stop.calling} == {"A-2", "A-3"}
    assert {i.finding.rule for i in stop.calling} == {"check-up", "water-test"}
    assert "pump-age" in {i.finding.rule for i in stop.extras}
    assert stop.due_from == date(2027, 2, 1)


def test_wells_without_a_property_are_stops_of_their_own(book: Book) -> None:
    checked(book, "A-1", "2026-03-10")
    checked(book, "A-2", "2026-03-11")
    assert tags(listed(book)) == ["A-1", "A-2"]
    assert all(stop.site_id is None and stop.place is None for stop in listed(book).stops)


def test_what_rides_along_brings_no_property_onto_the_list(book: Book) -> None:
    checked(book, "A-1", "2026-11-01", None, '[down.pump]\nset_on = "1990"\n')
    assert tags(listed(book)) == []


def test_a_silenced_rule_calls_for_no_visit(book: Book) -> None:
    number = checked(book, "A-1", "2026-03-10")
    with book.writing() as connection:
        for rule in map(the_rule, ("check-up", "water-test")):
            silences.silence(connection, "me", number, rule, reason="abroad", today=TODAY)
    assert tags(listed(book)) == []


def test_only_one_town_however_it_is_written(book: Book) -> None:
    checked(book, "A-1", "2026-03-10", at(book, "1 Mill Rd"))
    checked(book, "A-2", "2026-03-10", at(book, "2 Mill Rd", "Ambelow"))
    assert tags(listed(book, town="DRAVEL")) == ["A-1"]


def test_where_there_is_no_room_the_worst_and_longest_due_go_first(book: Book) -> None:
    checked(book, "A-1", "2026-03-10")
    checked(book, "A-2", "2024-03-10")
    checked(book, "A-3", "2026-03-01")
    with book.writing() as connection:
        number = add_well(connection, "me", "A-4", {}, today=TODAY)
        bad = 'date = 2026-11-01\nreason = "check up"\n[sample]\nbacteria = "ecoli present"\n'
        sheets.record(connection, "me", number, tomllib.loads(bad), today=TODAY)
    found = listed(book, room=Room(1, 2))
    assert sorted(tags(found)) == ["A-2", "A-4"]
    assert [stop.wells for stop in found.left_over] == [("A-3",), ("A-1",)]
    assert not listed(book, room=Room(2, 2)).left_over


def test_days_are_driven_from_a_place(book: Book) -> None:
    for tag, east in (("A-1", 0.3), ("A-2", 0.1), ("A-3", 0.2), ("A-4", -0.1)):
        place = {"latitude": SHOP[0], "longitude": SHOP[1] + east}
        checked(book, tag, "2026-03-10", at(book, f"{tag} Mill Rd", **place))
    found = listed(book, start=SHOP, room=Room(2, 3))
    assert sorted([v.stop.wells[0] for v in d.visits] for d in found.days) == [
        ["A-2", "A-3", "A-1"], ["A-4"],
    ]  # fmt: skip
    assert tags(listed(book)) == ["A-1", "A-2", "A-3", "A-4"]
