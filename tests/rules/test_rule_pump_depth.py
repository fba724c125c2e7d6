"""Pump depth: 5 and 10 ft off the bottom. Common practice, no published source."""

from datetime import date

import pytest
from rule_holes import ENTERED, depth, hole, judged, level, pump, the_one, visit

from wellbook.hole.component import Claim
from wellbook.rules.pump_depth import RULE
from wellbook.terms import (
    Basis,
    LevelState,
    MeasuringPoint,
    Occasion,
    PumpType,
    Reason,
    Severity,
)

SET = date(2019, 6, 3)


def hung(set_depth_ft, *observations, **facts):
    return hole(
        components=[pump(SET, set_depth_ft=set_depth_ft)], observations=observations, **facts
    )


@pytest.mark.parametrize(
    ("set_depth_ft", "severity"),
    [
        (290, None),
        (290.1, Severity.PLAN),
        (295, Severity.PLAN),
        (295.1, Severity.ACT),
        (300, Severity.ACT),
        (301, Severity.ACT),
    ],
)
def test_off_the_bottom_of_300_ft(set_depth_ft, severity):
    found = judged(RULE, hung(set_depth_ft, depth(300)))
    assert [f.severity for f in found] == ([severity] if severity else [])
    assert all(f.occasion is Occasion.NEXT_PULL for f in found)


def test_tenths_of_feet_do_not_tip_the_scale():
    assert judged(RULE, hung(300.1, depth(310.1))) == []


def test_a_depth_from_the_casing_s_top_is_brought_to_the_ground():
    from_top = depth(301.5, point=MeasuringPoint.CASING_TOP)
    assert judged(RULE, hung(290, from_top, stick_up_ft=1.5)) == []
    assert the_one(RULE, hung(290, from_top, stick_up_ft=1.6)).severity is Severity.PLAN


@pytest.mark.parametrize(
    ("pumping_ft", "basis", "severity"),
    [
        (260, Basis.MEASURED, None),
        (260.5, Basis.MEASURED, Severity.ACT),
        (260.5, Basis.DRILLERS_LOG, Severity.PLAN),
    ],
)
def test_above_the_pumping_level(pumping_ft, basis, severity):
    found = judged(RULE, hung(260, level(pumping_ft, LevelState.PUMPING, basis=basis)))
    assert [f.severity for f in found] == ([severity] if severity else [])


def test_a_static_level_below_the_pump_is_another_rule_s():
    assert judged(RULE, hung(260, level(280, LevelState.STATIC))) == []


def test_it_holds_from_the_later_of_setting_and_reading():
    found = the_one(RULE, hung(260, level(270, LevelState.PUMPING, "May 2021")))
    assert (found.may_from, found.surely_from) == (date(2021, 5, 1), date(2021, 5, 31))
    found = the_one(RULE, hung(260, level(270, LevelState.PUMPING, "1990")))
    assert (found.may_from, found.surely_from) == (SET, SET)


def test_an_uncertain_setting():
    part = pump("before 2010", set_depth_ft=297.0)
    found = the_one(RULE, hole(components=[part], observations=[depth(300)]))
    assert (found.may_from, found.surely_from) == (None, date(2009, 12, 31))
    part = pump(set_depth_ft=297.0)
    found = the_one(RULE, hole(components=[part], observations=[depth(300)]))
    assert (found.may_from, found.surely_from) == (None, ENTERED)


def test_a_pump_hung_elsewhere_surely_hangs_there_since_that_was_said():
    moved = Claim("set_depth_ft", 297.0, Basis.MEASURED, date(2023, 4, 1), True, "v")
    part = pump(SET, set_depth_ft=297.0, claims=(moved,))
    found = the_one(RULE, hole(components=[part], observations=[depth(300)]))
    assert (found.may_from, found.surely_from) == (SET, date(2023, 4, 1))


def test_deepening_ends_the_older_depth():
    deepened = visit(date(2022, 1, 1), Reason.DEEPENING, uid="job")
    assert judged(RULE, hung(297, depth(300, date(2010, 1, 1)), visits=[deepened])) == []
    sounded = depth(400, date(2022, 1, 1), sheet_uid="job")
    found = the_one(RULE, hung(397, sounded, visits=[deepened]))
    assert found.may_from == date(2022, 1, 1)


@pytest.mark.parametrize("kind", [PumpType.HAND, PumpType.SHALLOW_JET])
def test_pumps_that_do_not_hang_near_a_bottom(kind):
    part = pump(SET, type=kind, set_depth_ft=24.0)
    assert judged(RULE, hole(components=[part], observations=[depth(25)])) == []


def test_missing_facts():
    assert judged(RULE, hole()) == []
    assert judged(RULE, hung(None, depth(300), level(290, LevelState.PUMPING))) == []
    assert judged(RULE, hung(299)) == []


def test_a_shop_may_change_the_feet():
    assert judged(RULE, hung(290, depth(300)), plan_off_bottom_ft=20)[0].severity is Severity.PLAN
    assert judged(RULE, hung(290, depth(300)), act_off_bottom_ft=20)[0].severity is Severity.ACT


def test_a_fracturing_does_not_start_anew_what_rests_on_the_bottom():
    done = visit(date(2024, 1, 1), Reason.HYDROFRACTURING)
    parts, seen = [pump(SET, set_depth_ft=297.0)], [depth(300)]
    found = the_one(RULE, hole(components=parts, observations=seen, visits=[done]))
    assert (found.may_from, found.surely_from) == (SET, SET)
    deepened = visit(date(2024, 1, 1), Reason.DEEPENING)
    sounded = [*seen, depth(299, date(2024, 1, 2))]
    found = the_one(RULE, hole(components=parts, observations=sounded, visits=[deepened]))
    assert found.surely_from == date(2024, 1, 1)
