"""Two tests of one well: which can be compared, and what changed."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.yield_tests import YieldTest, alike, compare, decline_percent

some = st.floats(min_value=0.1, max_value=500)


@pytest.mark.parametrize(
    ("before", "now", "percent"),
    # On both sides of the published triggers: 10 per cent (Houben and Treskatis 2003) and 15.
    [(0.5, 0.45, 10), (0.5, 0.425, 15), (0.5, 0.5, 0), (0.5, 0.6, -20), (0.5, 0, 100)],
)
def test_decline(before: float, now: float, percent: float) -> None:
    assert decline_percent(before, now) == pytest.approx(percent)


@pytest.mark.parametrize(
    ("now", "like"),
    # Common practice, no published source: rates within a quarter, lengths within twice.
    [
        (YieldTest(10, 40, 240), True),
        (YieldTest(12.5, 55, 240), True),
        (YieldTest(12.6, 55, 240), False),
        (YieldTest(8, 30, 240), True),
        (YieldTest(7.9, 30, 240), False),
        (YieldTest(10, 40, 480), True),
        (YieldTest(10, 40, 481), False),
        (YieldTest(10, 40, 120), True),
        (YieldTest(10, 40, 119), False),
        (YieldTest(10, 40), None),
        # Of unlike rates no length can make like tests.
        (YieldTest(5, 12), False),
    ],
)
def test_which_tests_are_alike(now: YieldTest, like: bool | None) -> None:
    before = YieldTest(10, 40, 240)
    assert alike(before, now) is like
    assert alike(now, before) is like


def test_the_tolerances_are_settings() -> None:
    before, now = YieldTest(10, 40, 240), YieldTest(12, 50, 300)
    assert alike(before, now)
    assert not alike(before, now, rate_percent=10)
    assert not alike(before, now, length_percent=20)
    assert alike(before, before, rate_percent=0, length_percent=0)


def test_before_and_after_hydrofracturing() -> None:
    change = compare(YieldTest(0.5, 200, 240), YieldTest(3, 150, 240))
    assert change.rate_percent == pytest.approx(500)
    assert change.specific_capacity_percent == pytest.approx(700)
    assert change.alike is False


def test_before_and_after_cleaning() -> None:
    change = compare(YieldTest(10, 50, 240), YieldTest(10, 40, 240))
    assert change.rate_percent == 0
    assert change.specific_capacity_percent == pytest.approx(25)
    assert change.alike is True
    worse = compare(YieldTest(10, 40, 240), YieldTest(10, 50, 240))
    assert worse.specific_capacity_percent == pytest.approx(-20)


def test_a_drawdown_that_nobody_measured() -> None:
    assert YieldTest(10).specific_capacity_gpm_per_ft is None
    assert compare(YieldTest(5), YieldTest(10, 40)).specific_capacity_percent is None


@given(some, some, some, some)
def test_declines_say_what_changes_say(q: float, s: float, q2: float, s2: float) -> None:
    before, after = YieldTest(q, s, 240), YieldTest(q2, s2, 240)
    change = compare(before, after)
    was, now = before.specific_capacity_gpm_per_ft, after.specific_capacity_gpm_per_ft
    assert was is not None
    assert now is not None
    assert change.specific_capacity_percent == pytest.approx(-decline_percent(was, now))
    assert was * (1 + (change.specific_capacity_percent or 0) / 100) == pytest.approx(now)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf, 1e12])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    for n, field in enumerate(("gpm", "drawdown_ft", "minutes")):
        right = [10.0, 40.0, 240.0]
        right[n] = bad
        with pytest.raises(ValueError, match=rf"^{field}: "):
            YieldTest(*right)
    if bad != 1e12:
        with pytest.raises(ValueError, match=r"^before: "):
            decline_percent(bad, 1)
    if bad not in (0.0, 1e12):
        with pytest.raises(ValueError, match=r"^now: "):
            decline_percent(1, bad)
        for field in ("rate_percent", "length_percent"):
            with pytest.raises(ValueError, match=rf"^{field}: "):
                alike(YieldTest(10), YieldTest(10), **{field: bad})
