"""Cable age: 15 to 20 years is old for a cable. Common practice, no published source."""

from datetime import date

import pytest
from rule_holes import cable, hole, judged, the_one

from wellbook.rules.cable_age import RULE
from wellbook.terms import Occasion, Severity


def test_possibly_old_from_15_and_surely_from_20_years():
    found = the_one(RULE, hole(components=[cable(date(2006, 6, 30))]))
    assert (found.may_from, found.surely_from) == (date(2021, 6, 30), date(2026, 6, 30))
    assert (found.severity, found.occasion) == (Severity.PLAN, Occasion.NEXT_PULL)


@pytest.mark.parametrize(("day", "holds"), [(date(2021, 6, 29), False), (date(2021, 6, 30), True)])
def test_the_day_from_which_it_holds(day, holds):
    assert the_one(RULE, hole(components=[cable(date(2006, 6, 30))])).holds(day) is holds


def test_its_own_age_counts_before_that_of_its_setting():
    """A cable that went down again with a new pump is no new cable."""
    found = the_one(RULE, hole(components=[cable(date(2019, 6, 3), made="2005")]))
    assert (found.may_from, found.surely_from) == (date(2020, 1, 1), date(2025, 12, 31))


def test_an_age_as_told_widens_both_ends():
    """Ten, maybe twelve years old on 2026-11-25: new from 2013-11-26 to 2016-11-25."""
    found = the_one(RULE, hole(components=[cable(made="10-12 years old")]))
    assert (found.may_from, found.surely_from) == (date(2028, 11, 26), date(2036, 11, 25))


def test_open_ends():
    found = the_one(RULE, hole(components=[cable("before 2010")]))
    assert (found.may_from, found.surely_from) == (None, date(2029, 12, 31))
    found = the_one(RULE, hole(components=[cable("since 2010")]))
    assert (found.may_from, found.surely_from) == (date(2025, 1, 1), None)


@pytest.mark.parametrize(
    "parts",
    [[], [cable()], [cable(date(1990, 1, 1), pulled_on=date(2005, 1, 1))]],
    ids=["no cable", "no date", "pulled"],
)
def test_nothing_to_judge(parts):
    assert judged(RULE, hole(components=parts)) == []


def test_each_section_by_itself():
    parts = [cable(date(2000, 1, 1), to_ft=100.0), cable(date(2010, 1, 1), from_ft=100.0)]
    assert [f.counts_from for f in judged(RULE, hole(components=parts))] == [p.uid for p in parts]
