"""Three depths of a pump: from its curve, and as a band that holds what the trade has seen."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.head import brake_hp
from wellbook.engineering.lift import (
    Band,
    PumpCurves,
    estimated_curves,
    pump_efficiency,
    pump_lift,
    useless_depth_ft,
    usual_service_factor,
)

CURVE = PumpCurves.known(HeadCurve(((0, 330), (5, 300), (10, 230))))
powers = st.sampled_from([0.5, 0.75, 1, 1.5, 2, 3, 5])
rates = st.floats(min_value=2, max_value=40)
cut_outs = st.floats(min_value=0, max_value=100)


@pytest.mark.parametrize(
    ("hp", "rated_gpm", "seen_ft"),
    # Common practice, no published source; the pressure at the top is not stated.
    [(0.75, 10, 280), (0.75, 5, 415), (0.75, 5, 420)],
)
def test_what_the_trade_has_seen_lies_between_cut_out_and_stall(
    hp: float, rated_gpm: float, seen_ft: float
) -> None:
    found = pump_lift(estimated_curves(hp, rated_gpm), rated_gpm=rated_gpm, cut_out_psi=50)
    assert found.reaches_cut_out_ft is not None
    assert found.stalls_ft is not None
    assert found.reaches_cut_out_ft.low <= seen_ft <= found.stalls_ft.high
    assert found.reaches_cut_out_ft.middle <= seen_ft <= found.stalls_ft.middle
    assert found.estimated


def test_the_same_motor_with_less_water_lifts_from_deeper() -> None:
    few, many = (pump_lift(estimated_curves(0.75, gpm)).stalls_ft for gpm in (5, 10))
    assert few is not None
    assert many is not None
    assert few.low > many.middle


def test_three_depths_from_a_curve() -> None:
    # 230 ft at 10 gpm and 330 ft at none, less 115.5 ft for 50 psi, 10 ft of rise and, where it
    # flows, 6 ft of friction.
    found = pump_lift(CURVE, rated_gpm=10, cut_out_psi=50, rise_ft=10, friction_ft=6)
    assert found.at_rated_flow_ft == Band(98.5, 98.5)
    assert found.reaches_cut_out_ft == Band(204.5, 204.5)
    assert found.stalls_ft == Band(320, 320)
    assert not found.estimated


def test_what_a_curve_does_not_say_is_not_said() -> None:
    begins_later = PumpCurves.known(HeadCurve(((5, 300), (10, 230))))
    found = pump_lift(begins_later, rated_gpm=10)
    assert found.at_rated_flow_ft == Band(230, 230)
    assert found.reaches_cut_out_ft is None
    assert found.stalls_ft is None
    assert pump_lift(CURVE).at_rated_flow_ft is None
    assert pump_lift(CURVE, rated_gpm=11).at_rated_flow_ft is None


def test_a_switch_past_the_pump_is_reached_from_nowhere() -> None:
    found = pump_lift(CURVE, rated_gpm=10, cut_out_psi=150)
    assert found.reaches_cut_out_ft == Band(0, 0)
    assert found.at_rated_flow_ft == Band(0, 0)
    assert found.stalls_ft == Band(330, 330)


@given(powers, rates, cut_outs, st.floats(min_value=0, max_value=100))
def test_the_three_depths_stand_in_order(
    hp: float, rated_gpm: float, cut_out: float, rise: float
) -> None:
    found = pump_lift(
        estimated_curves(hp, rated_gpm), rated_gpm=rated_gpm, cut_out_psi=cut_out, rise_ft=rise
    )
    depths = (found.at_rated_flow_ft, found.reaches_cut_out_ft, found.stalls_ft)
    for shallow, deep in pairwise(depths):
        assert shallow is not None
        assert deep is not None
        assert shallow.low <= deep.low
        assert shallow.high <= deep.high
    assert all(d is not None and d.low <= d.middle <= d.high for d in depths)


@given(powers, rates, st.floats(min_value=0, max_value=1))
def test_the_low_curve_is_nowhere_above_the_high_one(
    hp: float, rated_gpm: float, part: float
) -> None:
    curves = estimated_curves(hp, rated_gpm)
    flow = part * curves.low.most_gpm
    heads = [c.head_ft(flow) for c in (curves.low, curves.middle, curves.high)]
    assert heads[0] <= heads[1] * (1 + 1e-9)
    assert heads[1] <= heads[2] * (1 + 1e-9)


@given(powers, rates)
def test_the_estimate_takes_just_the_motors_power_at_the_rated_flow(
    hp: float, rated_gpm: float
) -> None:
    curves, efficiency = estimated_curves(hp, rated_gpm), pump_efficiency(rated_gpm)
    for curve, part in ((curves.low, efficiency.low), (curves.high, efficiency.high)):
        taken = brake_hp(rated_gpm, curve.head_ft(rated_gpm), part)
        assert taken == pytest.approx(hp * usual_service_factor(hp))


def test_efficiency_stays_within_what_is_known_of_small_pumps() -> None:
    # From memory: 45 to 65 %, fewer at low flows.
    assert pump_efficiency(10).low >= 0.45
    assert pump_efficiency(40).high == pytest.approx(0.65)
    middles = [pump_efficiency(gpm).middle for gpm in (0.5, 1, 3, 5, 8, 10, 20, 50)]
    assert middles == sorted(middles)


def test_a_service_factor_from_the_plate_goes_before_the_usual_one() -> None:
    usual, plate = estimated_curves(0.75, 10), estimated_curves(0.75, 10, 1.0)
    assert usual.low.head_ft(0) == pytest.approx(1.5 * plate.low.head_ft(0))


def test_useless_depth() -> None:
    assert useless_depth_ft(420, Band(290, 401)) == Band(19, 130)
    assert useless_depth_ft(350, Band(290, 401)) == Band(0, 60)
    assert useless_depth_ft(290, Band(290, 401)) == Band(0, 0)
    assert useless_depth_ft(350, Band(320, 320)) == Band(30, 30)


@pytest.mark.parametrize("bad", [-1.0, 0.0, math.nan, math.inf, 1e12])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    for field in ("hp", "rated_gpm", "service_factor"):
        with pytest.raises(ValueError, match=rf"^{field}: "):
            estimated_curves(**({"hp": 1, "rated_gpm": 10} | {field: bad}))
    with pytest.raises(ValueError, match=r"^rated_gpm: "):
        pump_lift(CURVE, rated_gpm=bad)
    with pytest.raises(ValueError, match=r"^set_depth_ft: "):
        useless_depth_ft(bad, Band(1, 2))
    if bad != 0:
        for field in ("cut_out_psi", "rise_ft", "friction_ft"):
            with pytest.raises(ValueError, match=rf"^{field}: "):
                pump_lift(CURVE, **{field: bad})


def test_a_flow_far_too_small_for_the_motor_is_named() -> None:
    with pytest.raises(ValueError, match=r"^rated_gpm: 0.01 is too little water for 5 hp"):
        estimated_curves(5, 0.01)
    with pytest.raises(ValueError, match=r"^service_factor: 0.9 is below 1"):
        estimated_curves(1, 10, 0.9)
