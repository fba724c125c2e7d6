"""Check-up: every 12 months (National Ground Water Association), 3 years (Virginia Cooperative
Extension), about 10 (Vermont Department of Health)."""

from dataclasses import replace
from datetime import date

import pytest
from rule_holes import ENTERED, hole, judged, the_one, visit

from wellbook.dates import When
from wellbook.hole.records import Occupant
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


# -- a contract's month, and the quiet season ------------------------------------------------------


def under_contract(month, *days, entered=ENTERED):
    visits = [visit(day, Reason.CHECK_UP, uid=f"v{day}") for day in days]
    here = Occupant("c", "Ada", When.unknown(), None, (), contract_month=month)
    gone = Occupant("d", "Bo", When.unknown(), When.on(ENTERED), (), contract_month=9)
    return hole(visits=visits, occupants=(gone, here), entered_on=entered)


@pytest.mark.parametrize(
    "done",
    [
        *(date(2026, 3, 25), date(2026, 4, 1), date(2026, 4, 20), date(2026, 6, 10)),
        *(date(2025, 11, 2), date(2026, 1, 2), date(2026, 10, 30)),
    ],
)
def test_a_contract_keeps_its_month_whether_done_early_or_late(done):
    found = the_one(RULE, under_contract(4, done))
    assert found.may_from == date(2027, 4, 1)
    assert found.to_customer.endswith("your contract has the next one in April.")


@pytest.mark.parametrize(
    ("months", "due"), [(24, date(2028, 4, 1)), (36, date(2029, 4, 1)), (6, date(2027, 4, 1))]
)
def test_a_contract_at_other_intervals_and_never_oftener_than_yearly(months, due):
    assert the_one(RULE, under_contract(4, date(2026, 4, 20)), months=months).may_from == due


@pytest.mark.parametrize(
    ("entered", "due"),
    [
        (date(2026, 1, 15), date(2026, 4, 1)),
        (date(2026, 4, 20), date(2026, 4, 20)),
        (date(2026, 5, 1), date(2027, 4, 1)),
    ],
)
def test_a_contract_is_owed_its_first_check_up_too(entered, due):
    found = the_one(RULE, under_contract(4, entered=entered))
    assert (found.may_from, found.severity) == (due, Severity.PLAN)


def test_whoever_left_takes_his_contract_with_him():
    gone = Occupant("d", "Bo", When.unknown(), When.on(ENTERED), (), contract_month=9)
    found = the_one(RULE, replace(checked(DAY), occupants=(gone,)))
    assert found.may_from == date(2026, 5, 14)


@pytest.mark.parametrize(
    ("done", "quiet", "due"),
    [
        (date(2025, 1, 1), (1, 2), date(2026, 3, 1)),
        (date(2025, 2, 28), (1, 2), date(2026, 3, 1)),
        (date(2025, 3, 1), (1, 2), date(2026, 3, 1)),
        (date(2025, 12, 31), (12, 2), date(2027, 3, 1)),
        (date(2025, 11, 30), (12, 2), date(2026, 11, 30)),
        (date(2025, 1, 31), (1, 0), date(2026, 1, 31)),
        (date(2025, 1, 31), (1, 12), date(2026, 1, 31)),
        (date(2025, 12, 5), (12, 12), date(2027, 1, 1)),
    ],
)
def test_what_falls_into_the_quiet_season_is_moved_and_not_lost(done, quiet, due):
    numbers = dict(zip(("quiet_from_month", "quiet_to_month"), quiet, strict=True))
    found = the_one(RULE, checked(done), **numbers)
    assert found.may_from == found.surely_from == due


def test_a_promised_month_is_kept_in_the_quiet_season():
    found = the_one(RULE, under_contract(2, date(2026, 2, 3)), quiet_from_month=1, quiet_to_month=2)
    assert found.may_from == date(2027, 2, 1)


@pytest.mark.parametrize(("months", "who"), [(12, "National Ground Water"), (36, "we advise")])
def test_the_association_is_named_for_its_own_interval_only(months, who):
    told = the_one(RULE, checked(date(2025, 9, 9)), months=months).to_customer
    assert told.startswith("The last check-up of this well was on September 9, 2025; ")
    assert who in told and f"every {months} months" in told
