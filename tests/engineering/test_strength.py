"""Warm water takes from a rating and cold gives nothing; what plastic may be pulled with."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.pressure import drawn_down_limit_ft
from wellbook.engineering.strength import (
    derated_rating_psi,
    pipe_safe_pull_lb,
    safe_pull_lb,
    temperature_factor,
)

materials = st.sampled_from(["pvc", "pe3408", "pe3608", "pe4710", "galvanized_steel"])
warmths = st.floats(min_value=32, max_value=140)


@pytest.mark.parametrize(
    ("temperature_f", "factor"),
    # Machinery's Handbook, 31st ed. (2020), table 14; half way between two rows by our own line.
    [(73.4, 1.00), (80, 0.88), (90, 0.75), (95, 0.685), (120, 0.40), (140, 0.22)],
)
def test_pvc_factors_of_print(temperature_f: float, factor: float) -> None:
    assert temperature_factor("pvc", temperature_f) == pytest.approx(factor)


@pytest.mark.parametrize(
    ("celsius", "published"),
    # AS/NZS 4130 for PE100.
    [(20, 1.00), (25, 1.00), (30, 0.94), (40, 0.84), (50, 0.75)],
)
def test_polyethylene_is_never_credited_above_the_published_set(
    celsius: float, published: float
) -> None:
    ours = temperature_factor("pe4710", celsius * 1.8 + 32)
    assert published - 0.13 <= ours <= published


@given(materials, warmths, warmths)
def test_warmer_is_never_stronger_and_cold_gives_no_credit(
    material: str, a: float, b: float
) -> None:
    cold, warm = sorted((a, b))
    assert temperature_factor(material, warm) <= temperature_factor(material, cold) <= 1
    assert temperature_factor(material, 73) == 1


@given(materials, warmths, st.floats(min_value=50, max_value=500), st.floats(0, 100))
def test_a_stronger_pipe_never_lowers_a_limit(
    material: str, warmth: float, rating: float, cut_out: float
) -> None:
    limits = [
        drawn_down_limit_ft(derated_rating_psi(psi, material, warmth), cut_out_psi=cut_out)
        for psi in (rating, rating * 1.25)
    ]
    assert limits[0] <= limits[1]


def test_safe_pull() -> None:
    # Stresses: a lining contractor's page citing an industry handbook of polyethylene
    # pipe; loads computed: 1-1/4 in 1,123 lb, 1 in 649 lb, 1-1/2 in 1,529 lb.
    for nominal, pull_lb in (("1-1/4", 1123), ("1", 649), ("1-1/2", 1529)):
        assert pipe_safe_pull_lb("pe4710", "SIDR 7", nominal) == pytest.approx(pull_lb, abs=1)
    whole = pipe_safe_pull_lb("pvc", "sch 80", "1")
    assert whole == pytest.approx(safe_pull_lb(1.315, 0.179, 2800))
    assert whole is not None
    assert pipe_safe_pull_lb("pvc", "sch 80", "1", threaded=True) == whole / 2


def test_no_pull_is_given_where_none_is_known() -> None:
    assert pipe_safe_pull_lb("galvanized_steel", "sch 40", "1") is None
    assert pipe_safe_pull_lb("pe4710", "SIDR 8", "1") is None


@pytest.mark.parametrize("bad", [-1.0, 0.0, math.nan, math.inf, 1e12])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    with pytest.raises(ValueError, match=r"^temperature_f: "):
        temperature_factor("pvc", bad)
    with pytest.raises(ValueError, match=r"^rating_psi: "):
        derated_rating_psi(bad, "pvc", 60)
    with pytest.raises(ValueError, match=r"^stress_psi: "):
        safe_pull_lb(1.315, 0.179, bad)
    with pytest.raises(ValueError, match=r"^outside_diameter_in: "):
        safe_pull_lb(bad, 0.179, 1000)


def test_a_material_without_factors_is_named() -> None:
    with pytest.raises(ValueError, match=r"^material: .*'brass'"):
        temperature_factor("brass", 60)


@pytest.mark.parametrize("material", ["pe3408", "pe3608", "pe4710", "pvc"])
def test_the_rating_holds_to_the_temperature_at_which_it_is_made(material: str) -> None:
    # Ratings are for 23 C, written as 73 F or as the 73.4 F that it is (ASTM D2837, D1785).
    assert temperature_factor(material, 73.4) == 1.0
    assert temperature_factor(material, 74.0) < 1.0
