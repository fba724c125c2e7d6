"""Useless depth: a setting less what the pump lifts from (subtraction; 2.31 ft a psi, NDSU AE1057).

3/4 hp rated 10 gpm lifts from about 280 ft, 3/4 hp rated 5 gpm from 415 to 420 ft (common practice, no
published source): at 420 ft the first is useless over more than a hundred feet.
"""

from dataclasses import replace
from datetime import date

import pytest
from lift_holes import CURVE, SET, checked, lifting
from rule_holes import judged, the_one

from wellbook.hole.component import Claim
from wellbook.rules.useless_depth import ASPECT, RULE
from wellbook.terms import Basis, Occasion, Severity, Verdict


@pytest.mark.parametrize(
    ("set_ft", "verdict"),
    # The curve reaches 50 psi from 200 ft; 20 ft are left alone.
    [(150, Verdict.PASS), (200, Verdict.PASS), (220, Verdict.PASS), (221, Verdict.FAIL)],
)
def test_both_sides_of_the_threshold(set_ft, verdict):
    well = lifting(set_ft, curve=CURVE)
    assert checked(RULE, well)[ASPECT].verdict is verdict
    assert len(judged(RULE, well)) == (verdict is Verdict.FAIL)


def test_the_shop_may_leave_more_alone():
    assert judged(RULE, lifting(250, curve=CURVE), min_useless_ft=50) == []
    assert judged(RULE, lifting(250, curve=CURVE), min_useless_ft=49)


def test_three_quarters_hp_rated_10_gpm_at_420_ft_is_useless():
    found = the_one(RULE, lifting(420))
    assert (found.severity, found.occasion) == (Severity.PLAN, Occasion.NEXT_PULL)
    # What the trade says, 420 less 280 ft, is within the band.
    assert found.numbers["useless_low_ft"] <= 140 <= found.numbers["useless_high_ft"]
    assert "no water at all from" in found.reason
    assert (found.may_from, found.surely_from) == (SET, SET)


def test_three_quarters_hp_rated_5_gpm_at_400_ft_is_within_its_band():
    well = lifting(400, rated_gpm=5.0)
    made, found = checked(RULE, well)[ASPECT], the_one(RULE, well)
    assert (made.verdict, made.missing) == (Verdict.CANNOT_SAY, ("curve of the pump",))
    assert (found.severity, found.surely_from) == (Severity.WATCH, None)
    assert judged(RULE, lifting(309, rated_gpm=5.0)) == []


def test_an_unrecorded_cut_out_is_never_sure():
    found = the_one(RULE, lifting(420, cut_out_psi=None))
    assert found.surely_from is None
    assert "usual one taken" in found.reason


def test_a_pump_let_down_hangs_there_since_that_day():
    later = date(2022, 6, 1)
    well = lifting(250, curve=CURVE)
    moved = Claim("set_depth_ft", 250.0, Basis.MEASURED, later, True, "back", 240.0)
    pump, *rest = well.components
    let_down = replace(well, components=(replace(pump, claims=(moved,)), *rest))
    assert the_one(RULE, let_down).surely_from == later


def test_what_is_missing_is_said():
    assert checked(RULE, lifting(None))[ASPECT].missing == ("set depth",)
    assert checked(RULE, lifting(400, hp=None))[ASPECT].missing == ("horsepower",)


@pytest.mark.parametrize("set_ft", [0.0, 36_000.0])
def test_a_setting_that_cannot_be_is_not_judged(set_ft):
    assert checked(RULE, lifting(set_ft, curve=CURVE)) == {}
