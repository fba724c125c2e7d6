"""Water in the bore, and specific capacity."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.bore import gal_per_ft, specific_capacity_gpm_per_ft, stored_gal

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
