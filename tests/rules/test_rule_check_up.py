"""Check-up: every 12 months (National Ground Water Association), 3 years (Virginia Cooperative
Extension), about 10 (Vermont Department of Health)."""

from datetime import date

import pytest
from rule_holes import ENTERED, hole, judged, the_one, visit

from wellbook.rules.check_up import RULE
from wellbook.terms import Reason, Severity, SheetKind

DAY = date(2025, 5, 14)


def checked(*days):
    return hole(visits=[visit(day, Reason.CHECK_UP, uid=f"v{day}") for day in days])


def test_due_12_months_after_the_last_one():
    found = the_one(RULE, checked(date(2021, 1, 1), DAY, date(2023, 1, 1)))
    assert (found.may_from, found.surely_from) == (date(2026, 5, 14), date(2026, 5, 14))
    assert found.severity is Severity.PLAN
    assert found.counts_from == f"v{DAY}"


@pytest.mark.parametrize(("day", "holds"), [(date(2026, 5, 13), False), (date(2026, 5, 14), True)])
def test_the_day_from_which_it_holds(day, holds):
    assert the_one(RULE, checked(DAY)).holds(day) is holds


@pytest.mark.parametrize(("months", "due"), [(36, date(2028, 5, 14)), (120, date(2035, 5, 14))])
def test_other_authorities_intervals(months, due):
    assert the_one(RULE, checked(DAY), months=months).may_from == due


def test_the_source_names_all_three():
    for name in ("National Ground Water", "Virginia", "Vermont"):
        assert name in RULE.thresholds[0].source


def test_a_leap_day_comes_back_on_the_28th():
    assert the_one(RULE, checked(date(2024, 2, 29))).may_from == date(2025, 2, 28)


def test_it_counts_from_the_end_of_a_visit_of_several_days():
    several = visit(DAY, Reason.CHECK_UP, end=date(2025, 5, 16))
    assert the_one(RULE, hole(visits=[several])).may_from == date(2026, 5, 16)


@pytest.mark.parametrize(
    "visits",
    [
        [],
        [visit(DAY, Reason.REPLACEMENT)],
        [visit(DAY, Reason.CHECK_UP, kind=SheetKind.CALL)],
        [visit(DAY, Reason.CHECK_UP, kind=SheetKind.OPENING)],
    ],
    ids=["no visit", "a repair", "a call", "the opening record"],
)
def test_never_done_is_a_question_from_the_day_the_well_was_entered(visits):
    found = the_one(RULE, hole(visits=visits))
    assert (found.may_from, found.surely_from) == (ENTERED, ENTERED)
    assert found.severity is Severity.ASK
    assert found.counts_from == "w"


def test_never_and_again_are_two_occurrences():
    assert judged(RULE, hole())[0].occurrence != judged(RULE, checked(DAY))[0].occurrence
