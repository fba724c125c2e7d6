"""The words of a stop on the check-up list: brief, and nothing said that is not on record."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from wellbook.present.visit_texts import StopTexts, stop_texts
from wellbook.reminders.visit_list import Stop
from wellbook.rules import names
from wellbook.rules.finding import Finding
from wellbook.store.due_list import DueItem
from wellbook.terms import Occasion, Severity

TODAY = date(2026, 11, 25)
BY = date(2027, 3, 31)
CHECK_UP = Finding(
    rule=names.CHECK_UP,
    subject="check-up",
    occurrence="check-up:again:1",
    may_from=date(2026, 9, 9),
    surely_from=date(2026, 9, 9),
    severity=Severity.PLAN,
    occasion=Occasion.NEXT_VISIT,
    reason="last check-up 2025-09-09; one is due every 12 months",
    action="offer a check-up",
    source="",
)
BACTERIA = replace(CHECK_UP, rule=names.WATER_TEST, subject="bacteria test")
CABLE = replace(
    CHECK_UP,
    rule=names.CABLE_AGE,
    subject="cable",
    occasion=Occasion.NEXT_PULL,
    may_from=date(2016, 5, 1),
    surely_from=date(2022, 6, 30),
    reason="cable new 2001 or 2002; 15 to 20 years is old for a cable",
    numbers={"may_years": 15.0, "surely_years": 20.0},
)
INSULATION = replace(
    CHECK_UP,
    rule=names.INSULATION,
    subject="insulation, falling",
    severity=Severity.WATCH,
    reason="20 megohm (measured, 2026-05-19) after 200 megohm before: falling",
    numbers={"megohm": 20.0, "before_megohm": 200.0},
)


def texts(*findings: Finding, tags: tuple[str, ...] = ("A-1",)) -> StopTexts:
    items = tuple(
        DueItem(tag, 1, "Ida Fenn", "", "1 Mill Rd", "Dravel", f) for tag in tags for f in findings
    )
    stop = Stop(1, "Ida Fenn", "", "1 Mill Rd", "Dravel", "", "", None, None, tags, items)
    return stop_texts(stop, BY, TODAY)


def test_what_falls_due_on_one_day_stands_together() -> None:
    assert texts(CHECK_UP, BACTERIA).due == ("check-up and bacteria test due since 2026-09-09",)
    ahead = replace(BACTERIA, may_from=BY, surely_from=BY)
    assert texts(CHECK_UP, ahead).due == (
        "check-up due since 2026-09-09",
        "bacteria test due 2027-03-31",
    )


def test_what_was_never_done_is_said_as_far_as_is_on_record() -> None:
    never = replace(CHECK_UP, severity=Severity.ASK)
    assert texts(never).due == ("check-up never, as far as is on record",)


def test_a_day_that_is_not_sure_is_no_day() -> None:
    unsure = replace(CHECK_UP, surely_from=None)
    assert texts(unsure).due == (
        "last check-up 2025-09-09 (possible since 2026-09-09) → offer a check-up",
    )


def test_all_that_one_reason_asks_for_stands_together() -> None:
    owed = replace(
        CHECK_UP,
        rule=names.SAMPLES_OWED,
        reason="well opened 2026-08-11 (no water; late); none since",
        action="disinfect by the label; power off",
    )
    sample = replace(owed, action="take a sample for bacteria")
    assert texts(owed, sample).due == (
        "well opened 2026-08-11 (no water; late) → disinfect by the label;"
        " take a sample for bacteria",
    )


def test_a_cable_is_as_old_as_it_may_be_on_the_last_day_of_the_list() -> None:
    """New between 2001-05-01 and 2002-06-30: 24 to 25 years on 2027-03-31."""
    assert texts(CHECK_UP, CABLE).look_at == ("cable is 24 to 25 years old: look at it",)
    surely = replace(CABLE, may_from=date(2017, 6, 30))
    assert texts(CHECK_UP, surely).look_at == ("cable is 24 years old: look at it",)
    open_ended = replace(CABLE, may_from=None)
    assert texts(CHECK_UP, open_ended).look_at == ("cable new 2001 or 2002: look at it",)


def test_an_insulation_that_fell_says_so_and_the_tester_is_brought() -> None:
    assert texts(CHECK_UP, INSULATION).look_at == (
        "insulation fell from 200 to 20 megohm: bring the tester",
    )
    one = replace(
        INSULATION, numbers={"megohm": 0.3}, reason="0.3 megohm (told): by both tables, bad"
    )
    assert texts(CHECK_UP, one).look_at == ("insulation 0.3 megohm (told): bring the tester",)


@pytest.mark.parametrize("severity", [Severity.ACT, Severity.PLAN])
def test_what_nobody_sees_before_a_pull_stands_by_itself(severity: Severity) -> None:
    pipe = replace(
        CABLE, rule=names.PIPE_RATING, severity=severity, reason="pipe rated 160 psi; so"
    )
    found = texts(CHECK_UP, pipe)
    assert (found.look_at, found.next_pull) == ((), ("pipe rated 160 psi",))


def test_what_wants_the_same_tool_stands_together() -> None:
    amps = replace(CHECK_UP, rule=names.MOTOR_LOAD, subject="amps", reason="12 A; limit")
    volts = replace(amps, reason="205 V; limit")
    assert texts(CHECK_UP, amps, volts).look_at == ("12 A; 205 V: bring the volt and amp meter",)


def test_what_goes_onto_the_truck_is_named_once() -> None:
    owed = replace(CHECK_UP, rule=names.SAMPLES_OWED, subject="disinfection owed")
    sample = replace(owed, subject="bacteria sample owed")
    assert texts(CHECK_UP, INSULATION, BACTERIA, owed, sample).bring == (
        "the tester",
        "sample bottles",
        "what disinfects, with its label",
    )
    assert texts(CHECK_UP).bring == ()


def test_questions_are_asked_and_not_looked_at() -> None:
    gap = replace(
        CHECK_UP, rule=names.RECORD_GAP, severity=Severity.ASK, action="ask how deep it is"
    )
    found = texts(CHECK_UP, gap)
    assert (found.look_at, found.ask) == ((), ("how deep it is",))


def test_of_several_wells_each_text_names_its_own() -> None:
    assert texts(CHECK_UP, tags=("A-1", "A-2")).due == (
        "A-1: check-up due since 2026-09-09",
        "A-2: check-up due since 2026-09-09",
    )


def test_what_somebody_typed_cannot_move_the_cursor() -> None:
    odd = replace(CHECK_UP, rule=names.SAMPLES_OWED, reason="opened \x1b[2Jtoday")
    assert texts(odd).due == ("opened today → offer a check-up",)
