"""Where check valves stand: The Driller 85101, a pump at 750 ft and water at 700 ft."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.valves import JOINT_FT, valve_depths_ft


def test_published_example() -> None:
    assert valve_depths_ft(750, 700) == (675, 475, 275, 75)


def test_a_maker_who_says_every_100_ft() -> None:
    assert valve_depths_ft(450, 300, spacing_ft=100) == (275, 175, 75)


def test_a_level_below_the_pump_counts_as_at_the_pump() -> None:
    assert valve_depths_ft(300, 340) == valve_depths_ft(300, 300) == (275, 75)


def test_water_near_the_top_needs_no_second_one() -> None:
    # The uppermost joint of 20 ft needs none of its own (common practice, no published source).
    assert valve_depths_ft(300, 45) == ()
    assert valve_depths_ft(300, 45.5) == (20.5,)


@given(st.floats(1, 2000), st.floats(0, 2000), st.sampled_from([50.0, 100.0, 200.0]))
def test_no_stretch_is_longer_than_the_spacing_and_a_joint(
    set_ft: float, level: float, apart: float
) -> None:
    depths = valve_depths_ft(set_ft, level, spacing_ft=apart)
    assert list(depths) == sorted(depths, reverse=True)
    assert all(0 < d < set_ft for d in depths)
    ends = [*depths, 0.0]
    assert all(a - b <= apart + 1e-6 for a, b in pairwise(depths))
    assert all(a - b <= apart + JOINT_FT + 1e-6 for a, b in pairwise(ends))


@pytest.mark.parametrize(
    ("set_ft", "level", "apart", "named"),
    [
        (0, 100, 200, "set_depth_ft"),
        (-1, 100, 200, "set_depth_ft"),
        (math.nan, 100, 200, "set_depth_ft"),
        (1e12, 100, 200, "set_depth_ft"),
        (300, -1, 200, "pumping_level_ft"),
        (300, math.nan, 200, "pumping_level_ft"),
        (300, 1e12, 200, "pumping_level_ft"),
        (300, 100, 0, "spacing_ft"),
        (300, 100, 0.5, "spacing_ft"),
        (300, 100, math.inf, "spacing_ft"),
    ],
)
def test_a_wrong_number_is_named(set_ft: float, level: float, apart: float, named: str) -> None:
    with pytest.raises(ValueError, match=named):
        valve_depths_ft(set_ft, level, spacing_ft=apart)
