"""A well without a pump, a job without an end: common practice, no published source."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_holes import ENTERED, hole, judged, pump, the_one, visit

from wellbook.hole.component import Claim
from wellbook.rules.unfinished import RULE
from wellbook.terms import Basis, Occasion, Reason, Severity, SheetKind, WellStatus

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


@pytest.mark.parametrize(("by", "back"), [("next", True), ("call", False), ("job", False)])
def test_the_same_pump_put_back_later_ends_it(by, back):
    """It is no new component: a later sheet tells that it hangs there. A caller's word does not."""
    said = Claim("set_depth_ft", 280.0, Basis.MEASURED, LATER, True, by, 260.0)
    old = pump("2015", uid="old", set_depth_ft=280.0, claims=(said,))
    call = visit(LATER, Reason.OTHER, kind=SheetKind.CALL, uid="call")
    later = visit(LATER, Reason.REPLACEMENT, opened=True, uid="next")
    found = judged(RULE, hole(components=[old], visits=[left(), call, later]))
    assert (found == []) is back


def test_that_something_else_went_back_brings_no_pump():
    old = pump("2015", uid="old")
    pipe_back = visit(LATER, Reason.NO_WATER, opened=True, uid="next")
    found = the_one(RULE, hole(components=[old], visits=[left(), pipe_back]))
    assert (found.subject, found.counts_from) == ("pump", "job")


def test_a_pump_described_on_the_sheet_that_leaves_it_out_is_not_back():
    seen = pump(noted_on=DAY, set_by="job")
    assert judged(RULE, hole(components=[seen], visits=[left()])) != []


def test_a_pump_that_somebody_tells_of_later_ends_it():
    other = pump("about 2026", noted_on=LATER, set_by="call")
    call = visit(LATER, Reason.OTHER, kind=SheetKind.CALL, uid="call")
    assert judged(RULE, hole(components=[other], visits=[left(), call])) == []


def test_a_pump_set_since_and_pulled_again_is_another_story():
    gone = pump(LATER, pulled_on=date(2026, 8, 1), noted_on=LATER, set_by="next", uid="gone")
    later = visit(LATER, Reason.REPLACEMENT, uid="next", opened=True)
    assert the_one(RULE, hole(components=[gone], visits=[left(), later])).counts_from == "gone"


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
        [visit(DAY, Reason.NO_WATER, still_open=True), visit(LATER, Reason.NO_WATER)],
        [visit(DAY, still_open=True, kind=SheetKind.CALL)],
        [visit(DAY, still_open=True, kind=SheetKind.OPENING)],
    ],
    ids=["none", "closed", "the same reason", "no water again", "a call", "the opening record"],
)
def test_no_job_is_open(visits):
    assert judged(RULE, hole(visits=visits)) == []


@pytest.mark.parametrize(
    ("later", "closed"),
    [
        (visit(LATER, Reason.WATER_SAMPLE), False),
        (visit(LATER, Reason.CHECK_UP), False),
        (visit(LATER, Reason.OTHER, opened=True), False),
        (visit(LATER, Reason.NO_WATER), True),
        (visit(LATER, Reason.REPLACEMENT, uid="next"), True),
        (visit(LATER, Reason.REPLACEMENT, uid="next", still_open=True), False),
    ],
    ids=["a sample", "a check-up", "other work", "the same reason", "a pump set", "open too"],
)
def test_a_job_stays_open_until_it_is_finished(later, closed):
    job = visit(DAY, Reason.NO_WATER, still_open=True, uid="job")
    new = pump(LATER, noted_on=LATER, set_by="next")
    found = judged(RULE, hole(components=[new], visits=[job, later]))
    assert ("job" not in {f.counts_from for f in found}) is closed


def test_a_job_of_before_is_not_closed_by_an_earlier_visit():
    earlier = visit(date(2026, 5, 1), Reason.NO_WATER)
    job = visit(DAY, Reason.NO_WATER, still_open=True, uid="job")
    assert the_one(RULE, hole(visits=[earlier, job])).counts_from == "job"


@given(st.lists(st.sampled_from(Reason), max_size=6), st.sampled_from(Reason))
def test_visits_for_other_reasons_never_close_a_job(reasons, reason):
    job = visit(DAY, reason, still_open=True, uid="job", left_without_pump=True)
    others = [visit(LATER, r, opened=True) for r in reasons if r is not reason]
    found = judged(RULE, hole(components=[pump("2015")], visits=[job, *others]))
    meant = reason in (Reason.CLOSING_DOWN, Reason.DECOMMISSIONING)
    assert [f.subject for f in found] == (["job"] if meant else ["pump", "job"])


def test_nothing_is_known():
    assert judged(RULE, hole(entered_on=ENTERED)) == []


def test_a_closing_down_makes_no_earlier_loss_of_the_pump_good():
    left = visit(date(2024, 5, 1), Reason.NO_WATER, left_without_pump=True, uid="lost")
    closed = visit(date(2024, 10, 1), Reason.CLOSING_DOWN, left_without_pump=True)
    found = the_one(RULE, hole(visits=[left, closed]))
    assert found.counts_from == "lost"


def test_of_two_pumps_that_came_out_on_one_day_the_last_one_tells_why():
    day = date(2024, 10, 1)
    old = pump("2010", pulled_on=day, pulled_by="new", why_pulled="replaced")
    stored = pump(day, pulled_on=day, pulled_by="closed")
    sheets = [
        visit(day, Reason.REPLACEMENT, uid="new"),
        visit(day, Reason.CLOSING_DOWN, uid="closed"),
    ]
    assert judged(RULE, hole(components=[old, stored], visits=sheets)) == []
