"""A well without a pump, a job without an end: common practice, no published source."""

from datetime import date

import pytest
from rule_holes import ENTERED, hole, judged, pump, the_one, visit

from wellbook.rules.unfinished import RULE
from wellbook.terms import Occasion, Reason, Severity, SheetKind, WellStatus

DAY = date(2026, 5, 14)
LATER = date(2026, 5, 20)


def left(**more):
    return visit(DAY, Reason.NO_WATER, uid="job", left_without_pump=True, opened=True, **more)


def test_left_without_a_pump_is_for_now():
    found = the_one(RULE, hole(visits=[left()]))
    assert (found.severity, found.occasion) == (Severity.ACT, Occasion.NOW)
    assert (found.may_from, found.surely_from, found.counts_from) == (DAY, DAY, "job")


def test_a_pump_set_later_ends_it():
    down = pump(LATER, noted_on=LATER, set_by="next")
    later = visit(LATER, Reason.REPLACEMENT, uid="next", opened=True)
    assert judged(RULE, hole(components=[down], visits=[left(), later])) == []


def test_the_same_pump_put_back_later_ends_it():
    """It is no new component: only the later sheet tells that it went back down."""
    old = pump("2015", uid="old")
    later = visit(LATER, Reason.REPLACEMENT, opened=True)
    assert judged(RULE, hole(components=[old], visits=[left(), later])) == []
    assert judged(RULE, hole(components=[old], visits=[left()])) != []


def test_a_later_visit_that_set_none_does_not_end_it():
    gone = pump("2015", pulled_on=DAY, pulled_by="job")
    later = visit(LATER, Reason.WATER_SAMPLE)
    found = the_one(RULE, hole(components=[gone], visits=[left(), later]))
    assert found.counts_from == "job"


def test_a_pump_pulled_and_none_set_since():
    gone = pump("2015", pulled_on=DAY, why_pulled="worn out", uid="gone")
    found = the_one(RULE, hole(components=[gone]))
    assert (found.may_from, found.surely_from, found.counts_from) == (DAY, DAY, "gone")
    assert "worn out" in found.reason


def test_the_pump_pulled_last_counts_and_its_uncertain_day():
    older = pump("1990", pulled_on="2005")
    last = pump("2005", pulled_on="2018", uid="last")
    found = the_one(RULE, hole(components=[older, last]))
    assert (found.may_from, found.surely_from) == (date(2018, 1, 1), date(2018, 12, 31))
    assert found.counts_from == "last"


def test_a_pump_is_down():
    gone, down = pump("1990", pulled_on="2005"), pump("2005")
    assert judged(RULE, hole(components=[gone, down])) == []


@pytest.mark.parametrize(
    ("status", "fires"),
    [(WellStatus.IN_USE, True), (WellStatus.SEASONAL, False), (WellStatus.STANDBY, False)],
)
def test_only_a_well_in_use_misses_a_pulled_pump(status, fires):
    gone = pump("2015", pulled_on=DAY)
    assert bool(judged(RULE, hole(components=[gone], status=status))) is fires


def test_a_place_closed_for_the_winter_is_meant_to_have_none():
    closed = visit(DAY, Reason.CLOSING_DOWN, uid="job", left_without_pump=True, opened=True)
    gone = pump("2015", pulled_on=DAY, pulled_by="job")
    assert judged(RULE, hole(components=[gone], visits=[closed])) == []


def test_a_place_opened_up_with_its_pump_still_out_misses_it_from_then():
    closed = visit(DAY, Reason.CLOSING_DOWN, uid="job", opened=True)
    opened = visit(LATER, Reason.OPENING_UP)
    gone = pump("2015", pulled_on=DAY, pulled_by="job", uid="gone")
    well = hole(components=[gone], visits=[closed, opened], status=WellStatus.SEASONAL)
    found = the_one(RULE, well)
    assert (found.may_from, found.surely_from, found.counts_from) == (LATER, LATER, "gone")
    assert "opened up" in found.reason


def test_a_job_left_open_is_for_now():
    found = the_one(RULE, hole(visits=[visit(DAY, still_open=True, uid="job")]))
    assert found.subject == "job"
    assert (found.severity, found.occasion) == (Severity.ACT, Occasion.NOW)
    assert (found.may_from, found.surely_from, found.counts_from) == (DAY, DAY, "job")


@pytest.mark.parametrize(
    "visits",
    [
        [],
        [visit(DAY)],
        [visit(DAY, still_open=True), visit(LATER)],
        [visit(DAY, still_open=True, kind=SheetKind.CALL)],
        [visit(DAY, still_open=True, kind=SheetKind.OPENING)],
    ],
    ids=["none", "closed", "a later visit", "a call", "the opening record"],
)
def test_no_job_is_open(visits):
    assert judged(RULE, hole(visits=visits)) == []


def test_nothing_is_known():
    assert judged(RULE, hole(entered_on=ENTERED)) == []
