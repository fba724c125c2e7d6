"""The pressure tank: what it gives, and what it spares the pump."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.tank import (
    PRECHARGE_BELOW_CUT_IN_PSI,
    atmosphere_psi,
    drawdown_gal,
    least_run_minutes,
    most_starts_per_day,
    run_minutes,
    starts_per_day,
    worst_starts_per_day,
)

volumes = st.floats(min_value=1, max_value=500)
flows = st.floats(min_value=0.5, max_value=100)


def test_drawdown_as_published() -> None:
    # The Driller, Feb 2006: 28/30/50 psi, 85 gal; the same at 6,000 ft (11.8 psi), where print
    # has 26.1 from rounded terms.
    assert drawdown_gal(85, 28, 30, 50) == pytest.approx(25.1, abs=0.05)
    assert drawdown_gal(85, 28, 30, 50, altitude_ft=6000) == pytest.approx(26.2, abs=0.1)


@pytest.mark.parametrize(
    ("cut_in", "cut_out", "with_a_gap", "without"),
    # Computed from the published formula at 14.7 psi; catalogues print 0.37, 0.31 and 0.27.
    [
        (20, 40, 0.345, 0.366),
        (30, 50, 0.295, 0.309),
        (40, 60, 0.258, 0.268),
        (50, 70, 0.229, 0.236),
    ],
)
def test_acceptance_of_the_usual_switches(
    cut_in: float, cut_out: float, with_a_gap: float, without: float
) -> None:
    gap = drawdown_gal(1, cut_in - PRECHARGE_BELOW_CUT_IN_PSI, cut_in, cut_out)
    assert gap == pytest.approx(with_a_gap, abs=0.001)
    assert drawdown_gal(1, cut_in, cut_in, cut_out) == pytest.approx(without, abs=0.001)


def test_boyles_law_the_long_way() -> None:
    # Air at precharge fills the tank; squeezed to each pressure, the rest is water.
    air = atmosphere_psi(1200)
    at_cut_in, at_cut_out = (44 * (1 - (38 + air) / (psi + air)) for psi in (40, 60))
    assert drawdown_gal(44, 38, 40, 60, altitude_ft=1200) == pytest.approx(at_cut_out - at_cut_in)


@pytest.mark.parametrize(
    ("altitude_ft", "psi"),
    # U.S. Standard Atmosphere 1976, from memory, in psi.
    [(0, 14.696), (1000, 14.17), (5000, 12.23), (6000, 11.78), (10_000, 10.11)],
)
def test_the_standard_atmosphere(altitude_ft: float, psi: float) -> None:
    assert atmosphere_psi(altitude_ft) == pytest.approx(psi, abs=0.01)


def test_cycles_as_published() -> None:
    # A maker's manual: 5 min on, 1.25 min off, or the other way round.
    assert starts_per_day(10, 8, 10) == pytest.approx(230, abs=1)
    assert starts_per_day(10, 2, 10) == pytest.approx(230, abs=1)
    assert starts_per_day(10, 8, 20) == pytest.approx(115, abs=1)
    # Washington DOH 331-123: 15 x 10 / 25 an hour.
    assert worst_starts_per_day(10, 25) == pytest.approx(24 * 6)


def test_a_pump_that_is_not_asked_or_never_gets_there_does_not_start_again() -> None:
    assert starts_per_day(10, 0, 10) == 0
    assert starts_per_day(10, 10, 10) == 0
    assert starts_per_day(10, 11, 10) == 0


def test_run_time_with_nobody_drawing() -> None:
    assert run_minutes(10, 10) == 1


@pytest.mark.parametrize(
    ("hp", "minutes", "single", "three"),
    # A maker's table of starts, and vendors' run times; both sides of each line.
    [
        (0.5, 1, 300, 300),
        (0.75, 1, 300, 300),
        (0.76, 2, 100, 300),
        (1, 2, 100, 300),
        (5.5, 2, 100, 300),
        (5.6, 2, 50, 100),
        (30, 2, 50, 100),
        (30.1, 2, None, None),
    ],
)
def test_limits_by_the_size_of_the_motor(
    hp: float, minutes: float, single: int | None, three: int | None
) -> None:
    assert least_run_minutes(hp) == minutes
    assert most_starts_per_day(hp) == single
    assert most_starts_per_day(hp, phase=3) == three


# ------------------------------------------------------------------------------- always


@given(volumes, volumes, st.floats(min_value=0, max_value=10_000))
def test_a_larger_tank_never_gives_less(a: float, b: float, altitude: float) -> None:
    small, large = (drawdown_gal(v, 38, 40, 60, altitude_ft=altitude) for v in sorted((a, b)))
    assert small <= large
    assert 0 < large < max(a, b)


@given(
    volumes,
    st.floats(min_value=10, max_value=80),
    st.floats(min_value=5, max_value=60),
    st.floats(min_value=0, max_value=1),
)
def test_more_air_or_a_wider_switch_never_gives_less(
    volume: float, cut_in: float, span: float, share: float
) -> None:
    given_now = drawdown_gal(volume, cut_in * share, cut_in, cut_in + span)
    assert given_now <= drawdown_gal(volume, cut_in, cut_in, cut_in + span) * (1 + 1e-12)
    assert given_now < drawdown_gal(volume, cut_in * share, cut_in, cut_in + span + 1)


@given(flows, volumes, st.floats(min_value=0.001, max_value=1.5))
def test_no_demand_starts_a_pump_more_often_than_the_worst(
    gpm: float, drawdown: float, share: float
) -> None:
    worst = worst_starts_per_day(gpm, drawdown)
    assert worst == pytest.approx(24 * 15 * gpm / drawdown)
    assert starts_per_day(gpm, gpm * share, drawdown) <= worst * (1 + 1e-12)


@given(st.floats(min_value=-1_000, max_value=19_000))
def test_air_is_thinner_higher_up(altitude: float) -> None:
    assert atmosphere_psi(altitude + 100) < atmosphere_psi(altitude)


# ------------------------------------------------------------------------------- refused


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf, 1e12])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    for field, call in {
        "volume_gal": lambda: drawdown_gal(bad, 38, 40, 60),
        "precharge_psi": lambda: drawdown_gal(44, bad, 40, 60),
        "cut_in_psi": lambda: drawdown_gal(44, 38, bad, 60),
        "cut_out_psi": lambda: drawdown_gal(44, 38, 40, bad),
        "drawdown_gal": lambda: run_minutes(bad, 10),
        "gpm": lambda: run_minutes(10, bad),
        "demand_gpm": lambda: starts_per_day(10, bad, 10),
        "hp": lambda: most_starts_per_day(bad),
    }.items():
        with pytest.raises(ValueError, match=rf"^{field}: "):
            call()
    for call in (lambda: worst_starts_per_day(bad, 10), lambda: starts_per_day(bad, 1, 10)):
        with pytest.raises(ValueError, match=r"^gpm: "):
            call()
    with pytest.raises(ValueError, match=r"^drawdown_gal: "):
        worst_starts_per_day(10, bad)
    with pytest.raises(ValueError, match=r"^hp: "):
        least_run_minutes(bad)


def test_zero_crossed_and_out_of_this_world() -> None:
    for field, numbers in (
        ("volume_gal", (0, 38, 40, 60)),
        ("cut_in_psi", (44, 0, 0, 60)),
        ("cut_out_psi", (44, 38, 40, 0)),
    ):
        with pytest.raises(ValueError, match=rf"^{field}: 0 is not above zero"):
            drawdown_gal(*numbers)
    with pytest.raises(ValueError, match=r"^cut_out_psi: 40 is not above cut_in_psi, 40"):
        drawdown_gal(44, 38, 40, 40)
    with pytest.raises(ValueError, match=r"^precharge_psi: 41 is above cut_in_psi, 40"):
        drawdown_gal(44, 41, 40, 60)
    for altitude in (-1_501, 20_001, math.nan):
        with pytest.raises(ValueError, match=r"^altitude_ft: "):
            drawdown_gal(44, 38, 40, 60, altitude_ft=altitude)
    with pytest.raises(ValueError, match=r"^phase: 2 is neither 1 nor 3"):
        most_starts_per_day(1, phase=2)
