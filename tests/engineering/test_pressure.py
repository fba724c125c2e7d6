"""Pressure of the column: published figures, limits as the inverse, and no depth with less."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.pressure import (
    PSI_PER_FT,
    bare_limit_ft,
    column_psi,
    drawn_down_limit_ft,
    floor_ft,
    worst_case_psi,
)

depths = st.floats(min_value=1, max_value=5_000)
rises = st.floats(min_value=0, max_value=300)
ratings = st.floats(min_value=1, max_value=1_000)
cut_outs = st.floats(min_value=0, max_value=150)


def test_published_worked_example() -> None:
    # A trade page on selecting well pipe: 330 ft x 0.433 + 50 psi = 192.9 psi.
    assert worst_case_psi(330, cut_out_psi=50) == pytest.approx(192.9, abs=0.3)


def test_psi_per_ft_is_the_weight_of_water_over_a_square_foot() -> None:
    # Published 2.31 ft per psi (NDSU Extension AE1057, rev. Feb 2022).
    assert pytest.approx(2.31, abs=0.005) == 1 / PSI_PER_FT


@pytest.mark.parametrize(
    ("set_ft", "cut_out_psi", "expected_psi"),
    # Computed at 0.433 psi/ft, which the project's reference notes tabulate.
    [(200, 40, 126.6), (350, 60, 211.6), (420, 50, 231.9), (500, 80, 296.5)],
)
def test_worst_case_table(set_ft: float, cut_out_psi: float, expected_psi: float) -> None:
    assert worst_case_psi(set_ft, cut_out_psi=cut_out_psi) == pytest.approx(expected_psi, abs=0.3)


def test_rise_to_the_tank_counts_as_column() -> None:
    assert worst_case_psi(300, rise_ft=20) == pytest.approx(worst_case_psi(320))
    assert worst_case_psi(300) == column_psi(300)


@pytest.mark.parametrize(
    ("rating_psi", "whole_ft"), [(100, 230), (160, 369), (200, 461), (250, 576)]
)
def test_bare_limits(rating_psi: float, whole_ft: int) -> None:
    assert floor_ft(bare_limit_ft(rating_psi)) == whole_ft


@pytest.mark.parametrize(
    ("rating_psi", "cut_out_psi", "at_0433_ft"),
    # Computed at 0.433 psi/ft in the reference notes; 0.4335 is never deeper.
    [(160, 50, 254), (200, 50, 346), (200, 60, 323), (250, 50, 461), (250, 60, 438)],
)
def test_drawn_down_limits(rating_psi: float, cut_out_psi: float, at_0433_ft: int) -> None:
    limit_ft = floor_ft(drawn_down_limit_ft(rating_psi, cut_out_psi=cut_out_psi))
    assert at_0433_ft - 1 <= limit_ft <= at_0433_ft


def test_a_switch_that_uses_up_the_rating_allows_no_depth() -> None:
    assert drawn_down_limit_ft(80, cut_out_psi=80) == 0.0
    assert drawn_down_limit_ft(80, cut_out_psi=100, rise_ft=10) == 0.0


def test_floor_keeps_a_whole_foot_that_floats_lose() -> None:
    assert floor_ft(bare_limit_ft(PSI_PER_FT * 300)) == 300
    assert floor_ft(299.999) == 299
    assert floor_ft(0) == 0


@given(depths, depths, cut_outs, rises)
def test_deeper_is_never_less_pressure(a: float, b: float, cut_out: float, rise: float) -> None:
    shallow, deep = sorted((a, b))
    at_shallow = worst_case_psi(shallow, cut_out_psi=cut_out, rise_ft=rise)
    assert worst_case_psi(deep, cut_out_psi=cut_out, rise_ft=rise) >= at_shallow
    assert column_psi(deep) >= column_psi(shallow)


@given(ratings, ratings, cut_outs, rises)
def test_a_stronger_rating_is_never_a_shallower_limit(
    a: float, b: float, cut_out: float, rise: float
) -> None:
    weak, strong = sorted((a, b))
    weak_ft = drawn_down_limit_ft(weak, cut_out_psi=cut_out, rise_ft=rise)
    assert drawn_down_limit_ft(strong, cut_out_psi=cut_out, rise_ft=rise) >= weak_ft
    assert bare_limit_ft(weak, rise_ft=rise) >= weak_ft


@given(ratings, cut_outs, rises)
def test_the_limit_is_where_the_worst_case_meets_the_rating(
    rating: float, cut_out: float, rise: float
) -> None:
    limit_ft = drawn_down_limit_ft(rating, cut_out_psi=cut_out, rise_ft=rise)
    if limit_ft > 0:
        reached = worst_case_psi(limit_ft, cut_out_psi=cut_out, rise_ft=rise)
        assert reached == pytest.approx(rating)
    else:
        assert cut_out + column_psi(rise) >= rating * (1 - 1e-12)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf, 1e9])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    with pytest.raises(ValueError, match=r"^height_ft: "):
        column_psi(bad)
    with pytest.raises(ValueError, match=r"^set_depth_ft: "):
        worst_case_psi(bad)
    with pytest.raises(ValueError, match=r"^cut_out_psi: "):
        worst_case_psi(300, cut_out_psi=bad)
    with pytest.raises(ValueError, match=r"^rise_ft: "):
        bare_limit_ft(160, rise_ft=bad)
    with pytest.raises(ValueError, match=r"^rating_psi: "):
        bare_limit_ft(bad)
    with pytest.raises(ValueError, match=r"^cut_out_psi: "):
        drawn_down_limit_ft(160, cut_out_psi=bad)


def test_zero_is_wrong_only_where_it_cannot_be() -> None:
    with pytest.raises(ValueError, match=r"^set_depth_ft: "):
        worst_case_psi(0)
    with pytest.raises(ValueError, match=r"^rating_psi: "):
        bare_limit_ft(0)
    with pytest.raises(ValueError, match=r"^limit_ft: "):
        floor_ft(-0.5)
    assert column_psi(0) == 0
