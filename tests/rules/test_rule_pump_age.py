"""Pump age: 8 low, 10 average, 12 good, 15 excellent years for well pumps, as published by Marshall
& Swift (Life Expectancy Guidelines, section 97, 2012). That a pump from 300 ft lasts about 7
years is common practice, no published source.
"""

from datetime import date

import pytest
from rule_holes import hole, judged, pump, visit

from wellbook.hole.component import Claim
from wellbook.rules.pump_age import RULE
from wellbook.terms import Basis, Occasion, PumpType, Reason, Severity


def test_may_hold_from_8_and_surely_from_15_years_after_the_setting():
    watch, plan = judged(RULE, hole(components=[pump(date(2010, 5, 14))]))
    assert (watch.may_from, watch.surely_from) == (date(2018, 5, 14), date(2025, 5, 14))
    assert watch.severity is Severity.WATCH
    assert watch.occasion is Occasion.NEXT_PULL
    assert (plan.may_from, plan.severity) == (date(2025, 5, 14), Severity.PLAN)
    assert plan.occasion is Occasion.NEXT_VISIT
    assert plan.occurrence == watch.occurrence


@pytest.mark.parametrize(
    ("day", "severities"),
    [
        (date(2018, 5, 13), []),
        (date(2018, 5, 14), [Severity.WATCH]),
        (date(2025, 5, 13), [Severity.WATCH]),
        (date(2025, 5, 14), [Severity.PLAN]),
    ],
)
def test_one_of_the_two_holds_at_a_time(day, severities):
    found = judged(RULE, hole(components=[pump(date(2010, 5, 14))]))
    assert [f.severity for f in found if f.holds(day)] == severities


@pytest.mark.parametrize(("set_depth_ft", "year"), [(299.9, 2018), (300, 2017), (None, 2018)])
def test_deep_pumps_last_about_7_years(set_depth_ft, year):
    found = judged(RULE, hole(components=[pump(date(2010, 5, 14), set_depth_ft=set_depth_ft)]))
    assert found[0].may_from == date(year, 5, 14)


def test_an_uncertain_setting_widens_both_ends():
    found = judged(RULE, hole(components=[pump("about 2006")]))
    assert (found[0].may_from, found[0].surely_from) == (date(2013, 1, 1), date(2022, 12, 31))


def test_a_leap_day():
    assert judged(RULE, hole(components=[pump(date(2012, 2, 29))]))[1].may_from == date(2027, 2, 28)


def test_without_a_setting_the_model_year_counts_as_at_least():
    found = judged(RULE, hole(components=[pump(model_year="2011 model")]))
    assert found[0].may_from == date(2019, 1, 1)
    assert "(2011 model), setting date unknown" in found[0].reason


def test_a_setting_known_on_one_side_only_is_told_beside_the_model_year():
    found = judged(RULE, hole(components=[pump("before 2015", model_year="2011 model")]))
    assert found[0].may_from == date(2019, 1, 1)
    assert "at least as old as its model year (2011 model), set before 2015" in found[0].reason


def test_an_open_beginning_may_have_been_for_as_long_as_anybody_knows():
    found = judged(RULE, hole(components=[pump("before 2010")]))
    assert (found[0].may_from, found[0].surely_from) == (None, date(2024, 12, 31))


def test_an_open_end_cannot_be_sure():
    found = judged(RULE, hole(components=[pump("since 2010")]))
    assert len(found) == 1
    assert (found[0].may_from, found[0].surely_from) == (date(2018, 1, 1), None)


@pytest.mark.parametrize(
    "parts",
    [
        [],
        [pump()],
        [pump(date(1950, 1, 1), type=PumpType.HAND)],
        [pump(date(1990, 1, 1), pulled_on=date(2000, 1, 1))],
    ],
    ids=["no pump", "no date", "hand pump", "pulled"],
)
def test_nothing_to_judge(parts):
    assert judged(RULE, hole(components=parts)) == []


def test_a_shop_may_change_the_years():
    found = judged(RULE, hole(components=[pump(date(2010, 5, 14))]), may_years=10, surely_years=12)
    assert [f.may_from for f in found] == [date(2020, 5, 14), date(2022, 5, 14)]


@pytest.mark.parametrize(
    ("moved", "may_from"),
    [
        (date(2016, 4, 1), date(2017, 1, 1)),
        (date(2017, 6, 1), date(2017, 6, 1)),
        (date(2022, 4, 1), date(2018, 1, 1)),
    ],
    ids=["before its 7 years", "between", "after its 8 years"],
)
def test_a_pump_let_down_later_is_deep_only_since_then(moved, may_from):
    said = Claim("set_depth_ft", 320.0, Basis.MEASURED, moved, True, "pull", 200.0)
    part = pump(date(2010, 1, 1), set_depth_ft=320.0, claims=(said,))
    job = visit(moved, Reason.PULL_AND_INSPECT, uid="pull", opened=True)
    assert judged(RULE, hole(components=[part], visits=[job]))[0].may_from == may_from


def test_300_ft_that_were_metres_on_the_sheet():
    """91.44 m is 300 ft, 0.3048 m to the foot by definition."""
    part = pump(date(2010, 1, 1), set_depth_ft=91.44 / 0.3048)
    assert judged(RULE, hole(components=[part]))[0].numbers["may_years"] == 7
