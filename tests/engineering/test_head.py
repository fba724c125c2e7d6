"""Total head and power: worked examples, and pressure to head and back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.friction import FlowRun, friction_loss_ft
from wellbook.engineering.head import (
    brake_hp,
    head_as_psi,
    psi_as_head_ft,
    total_head_ft,
    water_hp,
)
from wellbook.engineering.pressure import column_psi

levels = st.floats(min_value=0, max_value=2_000)


def test_a_textbooks_worked_example() -> None:
    # Example 9.21 of a textbook (holooly.com): 4 gpm, 150 ft lift, 10 ft rise, 240 ft of 3/4 in
    # pipe and 11.5 ft for fittings at 4.2 ft in 100: 170.5 ft.
    friction_ft = (240 + 11.5) * 4.2 / 100
    total = total_head_ft(150, rise_ft=10, friction_ft=friction_ft)
    assert total == pytest.approx(170.5, abs=0.1)


@pytest.mark.parametrize(
    ("level_ft", "rise_ft", "psi", "gpm", "pipes", "expected_ft"),
    # Worked out by EPANET.
    [
        (250, 10, 50, 10, [(400, 1.380, 140), (100, 1.380, 140)], 383.7),
        (160, 0, 60, 8, [(260, 1.049, 150)], 308.1),
        (320, 5, 60, 12, [(380, 1.380, 120)], 475.2),
        (100, 12, 50, 20, [(150, 1.610, 150), (80, 1.380, 150)], 235.4),
    ],
)
def test_total_head_of_another_program(
    level_ft: float,
    rise_ft: float,
    psi: float,
    gpm: float,
    pipes: list[tuple[float, float, float]],
    expected_ft: float,
) -> None:
    friction_ft = friction_loss_ft([FlowRun(*p) for p in pipes], gpm)
    total = total_head_ft(level_ft, rise_ft=rise_ft, cut_out_psi=psi, friction_ft=friction_ft)
    assert total == pytest.approx(expected_ft, abs=0.1)


@pytest.mark.parametrize(
    ("gpm", "head_ft", "hp", "within"),
    # engineeringtoolbox.com d_753; the third is the first worked total head above.
    [(20, 20, 0.101, 0.0006), (50, 100, 1.26, 0.005), (10, 383.7, 0.969, 0.0005)],
)
def test_water_horsepower(gpm: float, head_ft: float, hp: float, within: float) -> None:
    assert water_hp(gpm, head_ft) == pytest.approx(hp, abs=within)


def test_a_perfect_pump_takes_just_the_waters_power() -> None:
    assert brake_hp(500, 120, 1) == water_hp(500, 120)
    assert brake_hp(500, 120, 0.72) == pytest.approx(21.04, abs=0.01)


@given(st.floats(min_value=0, max_value=5_000))
def test_pressure_and_head_round_trip(psi: float) -> None:
    assert head_as_psi(psi_as_head_ft(psi)) == pytest.approx(psi)
    # Columns in a pipe are taken with the coldest water: never less pressure, and hardly more.
    assert head_as_psi(psi) <= column_psi(psi) <= head_as_psi(psi) * 1.002


@given(levels, levels, st.floats(min_value=0, max_value=150))
def test_a_deeper_level_is_never_less_head(a: float, b: float, psi: float) -> None:
    high, low = sorted((a, b))
    assert total_head_ft(low, cut_out_psi=psi) >= total_head_ft(high, cut_out_psi=psi)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf, 1e12])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    for field in ("rise_ft", "cut_out_psi", "friction_ft"):
        with pytest.raises(ValueError, match=rf"^{field}: "):
            total_head_ft(100, **{field: bad})
    with pytest.raises(ValueError, match=r"^pumping_level_ft: "):
        total_head_ft(bad)
    with pytest.raises(ValueError, match=r"^gpm: "):
        water_hp(bad, 100)
    with pytest.raises(ValueError, match=r"^head_ft: "):
        water_hp(10, bad)
    with pytest.raises(ValueError, match=r"^efficiency: "):
        brake_hp(10, 100, bad)
    with pytest.raises(ValueError, match=r"^psi: "):
        psi_as_head_ft(bad)
    with pytest.raises(ValueError, match=r"^head_ft: "):
        head_as_psi(bad)


@pytest.mark.parametrize("efficiency", [0, 1.01, 72])
def test_an_efficiency_is_a_fraction(efficiency: float) -> None:
    with pytest.raises(ValueError, match=r"^efficiency: "):
        brake_hp(10, 100, efficiency)
