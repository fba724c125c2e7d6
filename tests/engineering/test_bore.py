"""Water in the bore, and specific capacity."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.bore import (
    MOTOR_4_IN,
    flow_past_motor_gpm,
    gal_per_ft,
    percent_recovered,
    recovery_gpm,
    specific_capacity_gpm_per_ft,
    storage,
    stored_gal,
    velocity_past_motor_fps,
)

depths = st.floats(min_value=0, max_value=2_000)


@pytest.mark.parametrize(
    ("diameter_in", "gal"),
    # Colorado DRMS file, Apr 2013, Table 2-1.
    [(2, 0.16), (4, 0.65), (6, 1.47), (8, 2.61)],
)
def test_gallons_per_foot_as_published(diameter_in: float, gal: float) -> None:
    assert gal_per_ft(diameter_in) == pytest.approx(gal, abs=0.006)


def test_the_rule_of_a_gallon_and_a_half_is_a_real_six_inch_casing() -> None:
    assert gal_per_ft(6.065) == pytest.approx(1.5, abs=0.005)


def test_stored_water_as_published() -> None:
    # The same file: 100 ft, water at 20 ft, 2 in at a rounded 0.16 gal/ft gives 12.80 gal.
    assert stored_gal(2, 20, 100) == pytest.approx(12.80, rel=0.025)
    # Computed: 6 in, intake 340 ft, static 60 ft.
    assert stored_gal(6, 60, 340) == pytest.approx(411, abs=0.6)
    assert stored_gal(6, 60, 60) == 0


@pytest.mark.parametrize(
    ("gpm", "drawdown_ft", "expected"),
    # A published worked set.
    [(200, 40, 5), (50, 10, 5), (100, 25, 4), (20, 40, 0.5)],
)
def test_specific_capacity_as_published(gpm: float, drawdown_ft: float, expected: float) -> None:
    assert specific_capacity_gpm_per_ft(gpm, drawdown_ft) == pytest.approx(expected)


@given(st.floats(min_value=1, max_value=40), depths, depths, depths)
def test_stored_water_adds_up(diameter: float, a: float, b: float, c: float) -> None:
    top, middle, bottom = sorted((a, b, c))
    parts = stored_gal(diameter, top, middle) + stored_gal(diameter, middle, bottom)
    assert parts == pytest.approx(stored_gal(diameter, top, bottom), abs=1e-6)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf, 1e9])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    with pytest.raises(ValueError, match=r"^diameter_in: "):
        gal_per_ft(bad)
    with pytest.raises(ValueError, match=r"^diameter_in: "):
        stored_gal(bad, 0, 1)
    with pytest.raises(ValueError, match=r"^from_ft: "):
        stored_gal(6, bad, 100)
    with pytest.raises(ValueError, match=r"^to_ft: "):
        stored_gal(6, 0, bad)
    with pytest.raises(ValueError, match=r"^gpm: "):
        specific_capacity_gpm_per_ft(bad, 10)
    with pytest.raises(ValueError, match=r"^drawdown_ft: "):
        specific_capacity_gpm_per_ft(10, bad)


def test_zero_and_upside_down_name_their_field() -> None:
    with pytest.raises(ValueError, match=r"^diameter_in: "):
        gal_per_ft(0)
    with pytest.raises(ValueError, match=r"^gpm: "):
        specific_capacity_gpm_per_ft(0, 10)
    with pytest.raises(ValueError, match=r"^drawdown_ft: "):
        specific_capacity_gpm_per_ft(10, 0)
    with pytest.raises(ValueError, match=r"^to_ft: "):
        stored_gal(6, 100, 99)


# ------------------------------------------------------------------------- water above the pump


def test_storage_counts_to_the_intake_and_to_the_lift_limit() -> None:
    # Computed: 6 in, static 60 ft, intake 340 ft; the pump stalls at 280 ft.
    there = storage(6, static_level_ft=60, intake_ft=340, lift_limit_ft=280)
    assert there.above_intake_gal == pytest.approx(411, abs=0.6)
    assert there.above_lift_limit_gal == pytest.approx(323, abs=0.6)
    assert there.usable_gal == there.above_lift_limit_gal
    # A pump that lifts from below its intake is held by the intake.
    deep = storage(6, static_level_ft=60, intake_ft=340, lift_limit_ft=500)
    assert deep.usable_gal == deep.above_intake_gal


def test_storage_where_the_lift_limit_is_not_known() -> None:
    there = storage(6, static_level_ft=60, intake_ft=340)
    assert there.above_lift_limit_gal is None
    assert there.usable_gal == there.above_intake_gal


def test_no_water_above_the_pump_is_none() -> None:
    assert storage(6, static_level_ft=350, intake_ft=340).usable_gal == 0
    assert storage(6, static_level_ft=300, intake_ft=340, lift_limit_ft=280).usable_gal == 0
    assert storage(6, static_level_ft=340, intake_ft=340).usable_gal == 0


def test_a_flowing_well_is_full_to_the_top() -> None:
    assert storage(6, static_level_ft=-5, intake_ft=100).usable_gal == stored_gal(6, 0, 100)


@given(depths, depths, depths, st.floats(min_value=0, max_value=100))
def test_a_level_that_falls_never_leaves_more(
    level: float, intake: float, limit: float, fall: float
) -> None:
    before = storage(6, static_level_ft=level, intake_ft=intake, lift_limit_ft=limit)
    after = storage(6, static_level_ft=level + fall, intake_ft=intake, lift_limit_ft=limit)
    assert after.usable_gal <= before.usable_gal
    assert before.usable_gal <= before.above_intake_gal


# ------------------------------------------------------------------------------------- recovery


def test_recovery_as_computed() -> None:
    # Computed in the project's reference notes: 34 ft in 30 min in 6 in.
    assert recovery_gpm(34, 30, 6) == pytest.approx(1.66, abs=0.005)


@given(st.floats(min_value=1, max_value=40), depths, st.floats(min_value=1, max_value=1000))
def test_what_a_well_gives_in_a_rise_is_the_water_of_the_rise(
    diameter: float, rise: float, minutes: float
) -> None:
    rise += 1
    gave = recovery_gpm(rise, minutes, diameter) * minutes
    assert gave == pytest.approx(stored_gal(diameter, 0, rise))


def test_percent_recovered() -> None:
    assert percent_recovered(80, 80) == 0
    assert percent_recovered(80, 20) == 75
    assert percent_recovered(80, 0) == 100
    assert percent_recovered(80, -8) == pytest.approx(110)
    with pytest.raises(ValueError, match=r"^residual_ft: 81 is more than the drawdown, 80"):
        percent_recovered(80, 81)
    for bad in (math.nan, math.inf, -1e9):
        with pytest.raises(ValueError, match=r"^residual_ft: "):
            percent_recovered(80, bad)


# -------------------------------------------------------------------------------- past the motor


@pytest.mark.parametrize(
    ("casing_in", "gpm", "within"),
    # A maker's table of the least flow past a 4 in motor at 0.25 ft/s. Its motor is some 3.75 in
    # thick, from memory; in 4 in casing a gap of an eighth of an inch makes that matter most.
    [(4, 1.2, 0.02), (5, 7, 0.05), (6, 13, 0.04), (7, 20, 0.07), (8, 30, 0.05), (10, 50, 0.06)],
)
def test_cooling_flow_as_tabled(casing_in: float, gpm: float, within: float) -> None:
    assert flow_past_motor_gpm(casing_in, MOTOR_4_IN, 0.25) == pytest.approx(gpm, rel=within)


@given(st.floats(min_value=3.8, max_value=40), st.floats(min_value=0.1, max_value=200))
def test_flow_and_velocity_past_a_motor_round_trip(bore_in: float, gpm: float) -> None:
    fps = velocity_past_motor_fps(gpm, bore_in, MOTOR_4_IN)
    if fps < 100:
        assert flow_past_motor_gpm(bore_in, MOTOR_4_IN, fps) == pytest.approx(gpm)


def test_a_motor_that_does_not_fit() -> None:
    with pytest.raises(ValueError, match=r"^motor_in: 4 does not fit into a bore of 4 in"):
        flow_past_motor_gpm(4, 4, 0.25)
    with pytest.raises(ValueError, match=r"^motor_in: "):
        velocity_past_motor_fps(10, 4, 5)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf, 1e12])
def test_wrong_numbers_of_recovery_and_cooling_name_their_field(bad: float) -> None:
    for n, field in enumerate(("rise_ft", "minutes", "diameter_in")):
        right = [34.0, 30.0, 6.0]
        right[n] = bad
        with pytest.raises(ValueError, match=rf"^{field}: "):
            recovery_gpm(*right)
    with pytest.raises(ValueError, match=r"^drawdown_ft: "):
        percent_recovered(bad, 0)
    for n, field in enumerate(("bore_in", "motor_in", "fps")):
        right = [6.0, 3.75, 0.25]
        right[n] = bad
        with pytest.raises(ValueError, match=rf"^{field}: "):
            flow_past_motor_gpm(*right)
    with pytest.raises(ValueError, match=r"^gpm: "):
        velocity_past_motor_fps(bad, 6, 3.75)
    if bad not in (0, -1):
        with pytest.raises(ValueError, match=r"^static_level_ft: "):
            storage(6, static_level_ft=bad, intake_ft=100)
    if bad:
        with pytest.raises(ValueError, match=r"^intake_ft: "):
            storage(6, static_level_ft=10, intake_ft=bad)
        with pytest.raises(ValueError, match=r"^lift_limit_ft: "):
            storage(6, static_level_ft=10, intake_ft=100, lift_limit_ft=bad)
    with pytest.raises(ValueError, match=r"^diameter_in: "):
        storage(bad, static_level_ft=10, intake_ft=100)
