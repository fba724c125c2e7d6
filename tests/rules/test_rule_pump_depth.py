"""Pump depth: 5 and 10 ft off the bottom, 10 ft of water over the pump: common practice, no published
source. 5 ft above the top of the screen: Davis, fig. 4-13 (1.5 m), and a maker.
"""

from datetime import date

import pytest
from rule_holes import ENTERED, depth, hole, interval, judged, level, pump, the_one, visit

from wellbook.hole.component import Claim
from wellbook.rules.finding import Settings
from wellbook.rules.pump_depth import RULE
from wellbook.terms import (
    Basis,
    Construction,
    IntervalKind,
    LevelState,
    MeasuringPoint,
    Occasion,
    PumpType,
    Reason,
    Severity,
    Verdict,
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
    found = [f for f in found if f.subject == "pump, above the pumping level"]
    assert [f.severity for f in found] == ([severity] if severity else [])


def test_a_pump_above_the_water_at_rest_is_dry_whatever_it_is_drawn_down_to():
    one = the_one(RULE, hung(260, level(280, LevelState.STATIC)))
    assert (one.subject, one.severity) == ("pump, above the static level", Severity.PLAN)
    assert "may be wrong" in one.action
    assert judged(RULE, hung(260, level(260, LevelState.STATIC))) == []


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


# -- the water over it ---------------------------------------------------------------------------


def checked(well):
    return {c.aspect: c for c in RULE.checks(well, Settings().numbers(RULE))}


@pytest.mark.parametrize(
    ("pumping_ft", "basis", "severity"),
    [
        (250, Basis.MEASURED, None),
        (250.1, Basis.MEASURED, Severity.PLAN),
        (250.1, Basis.DRILLERS_LOG, Severity.WATCH),
        (260, Basis.MEASURED, Severity.PLAN),
        (260.1, Basis.MEASURED, Severity.ACT),
    ],
)
def test_water_over_the_pump_at_260_ft(pumping_ft, basis, severity):
    well = hung(260, level(pumping_ft, LevelState.PUMPING, basis=basis))
    found = judged(RULE, well)
    assert [f.severity for f in found] == ([severity] if severity else [])
    assert all(f.occasion is Occasion.NEXT_PULL for f in found)
    made = checked(well)["water over the pump"]
    assert made.verdict is (Verdict.FAIL if severity else Verdict.PASS)
    assert made.margin == pytest.approx(250 - pumping_ft)


def test_little_water_and_none_are_grades_of_one_thing():
    little, none = (
        the_one(RULE, hole(components=[part], observations=[level(ft, LevelState.PUMPING)]))
        for part in [pump(SET, set_depth_ft=260.0, uid="p")]
        for ft in (255, 265)
    )
    assert little.occurrence == none.occurrence
    assert little.subject != none.subject


@pytest.mark.parametrize("construction", [Construction.DUG, Construction.DRIVEN])
def test_in_a_dug_or_driven_well_a_few_feet_are_all_there_is(construction):
    water = level(20, LevelState.PUMPING)
    assert judged(RULE, hung(24, water, construction=construction)) == []
    assert the_one(RULE, hung(19, water, construction=construction)).severity is Severity.ACT


# -- the screen ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("set_depth_ft", "fires"),
    [(95, False), (95.1, True), (100, True), (110, True), (130, True)],
)
def test_above_a_screen_from_100_ft(set_depth_ft, fires):
    screens = [interval(0, 100), interval(100, 120, IntervalKind.SCREEN)]
    well = hung(set_depth_ft, intervals=screens)
    found = judged(RULE, well)
    assert [f.severity for f in found] == ([Severity.WATCH] if fires else [])
    made = checked(well)["above the screen"]
    assert made.verdict is (Verdict.FAIL if fires else Verdict.PASS)
    assert made.margin == pytest.approx(95 - set_depth_ft)


def test_the_uppermost_screen_counts_whichever_way_it_runs():
    lower, upper = (interval(*ft, IntervalKind.SCREEN) for ft in ((200, 220), (120, 100)))
    assert the_one(RULE, hung(150, intervals=[lower, upper])).numbers["screen_top_ft"] == 100


def test_without_a_screen_nothing_is_asked():
    assert "above the screen" not in checked(hung(150, intervals=[interval(0, 100)]))
    unknown = interval(None, 120, IntervalKind.SCREEN)
    made = checked(hung(110, intervals=[unknown]))["above the screen"]
    assert made.missing == ("top of the screen",)


# -- checks --------------------------------------------------------------------------------------


def test_what_is_missing_is_named():
    assert checked(hole()) == {}
    made = checked(hung(None, depth(300)))
    assert {c.missing for c in made.values()} == {("set depth",)}
    made = checked(hung(290))
    assert made["off the bottom"].missing == ("depth of the hole",)
    assert made["water over the pump"].missing == ("pumping level",)


def test_a_pass_has_its_numbers_too():
    made = checked(hung(280, depth(300)))["off the bottom"]
    assert (made.verdict, made.value, made.limit, made.margin) == (Verdict.PASS, 20, 10, 10)
    assert made.finding is None
