"""The trend of a level: published examples, scipy as an independent program, and real wells."""

import csv
import math
from collections import defaultdict
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau, theilslopes

from wellbook.engineering.trend import Reach, Trend, _variance, trend, yearly

LEVELS = Path(__file__).parents[3] / "shared" / "data" / "levels"

SEN = [(1.0, 9.0), (2.0, 15.0), (3.0, 19.0), (4.0, 20.0), (10.0, 45.0), (12.0, 55.0), (18.0, 78.0)]


def the(readings: list[tuple[float, float]], confidence: float = 0.95) -> Trend:
    found = trend(readings, confidence=confidence)
    assert found is not None
    return found


def test_the_example_of_sen() -> None:
    # Sen (1968): slope 4, interval 26/7 to 35/8, which is the interval of 97 per cent.
    found = the(SEN)
    assert found.slope_ft_per_year == 4
    assert found.low_ft_per_year == pytest.approx(26 / 7)
    assert found.high_ft_per_year == pytest.approx(35 / 8)
    assert (found.n, found.clear, found.falling) == (7, True, True)


def test_an_example_with_ties() -> None:
    # Hollander and Wolfe's data in the manual of the R package statpsych (ci.theil): 0.5, with
    # 0.3243 to 0.75 at 95 per cent.
    y = [21, 4, 9, 12, 35, 18, 10, 22, 24, 1, 6, 8, 13, 16, 19]
    x = [67, 28, 30, 28, 52, 40, 25, 37, 44, 10, 14, 20, 28, 40, 51]
    found = the([(float(a), float(b)) for a, b in zip(x, y, strict=True)])
    assert found.slope_ft_per_year == 0.5
    assert found.low_ft_per_year == pytest.approx(0.3243243)
    assert found.high_ft_per_year == 0.75


def test_the_odds_that_are_counted_out() -> None:
    # Of the 120 orders of five readings one rises throughout: 1/120 at either end is below 2.5 per
    # cent, 5/120 (one inversion at most) is not. So the interval is that of the outermost slopes.
    steady = [(float(year), 60 + 2.0 * year + 0.1 * year * year) for year in range(5)]
    slopes = [(b[1] - a[1]) / (b[0] - a[0]) for a in steady for b in steady if b[0] > a[0]]
    found = the(steady)
    assert found.low_ft_per_year == pytest.approx(min(slopes))
    assert found.high_ft_per_year == pytest.approx(max(slopes))


@pytest.mark.parametrize("n", range(5))
def test_below_five_readings_it_cannot_say(n: int) -> None:
    assert trend([(2000.0 + k, 60.0 + 5 * k) for k in range(n)]) is None


def test_readings_of_one_day_are_no_trend() -> None:
    assert trend([(2020.0, 60.0 + k) for k in range(20)]) is None
    # Five readings on three days leave slopes out: too few for any interval.
    assert trend([(1.0, 3.0), (1.0, 4.0), (2.0, 5.0), (2.0, 6.0), (3.0, 9.0)]) is None


def test_the_counted_interval_is_clear_where_kendalls_exact_test_says_so() -> None:
    """An interval leaves zero out exactly where the test of no trend is significant at 5 per cent."""
    for levels in (
        [1, 2, 3, 4, 5, 6],
        [2, 1, 3, 4, 5, 6],
        [2, 1, 4, 3, 5, 6],
        [2, 1, 4, 3, 6, 5],
        [1, 2, 3, 4, 7, 6, 5, 8],
        [3, 2, 1, 4, 5, 6, 7, 8],
        [4, 3, 2, 1, 5, 6, 7, 8],
        [7, 8, 5, 6, 3, 4, 1, 2],
    ):
        years = list(range(len(levels)))
        p = kendalltau(years, levels, method="exact").pvalue
        found = the([(float(x), float(y)) for x, y in zip(years, levels, strict=True)])
        assert found.clear == (p <= 0.05), (levels, p)


levels = st.floats(min_value=-20, max_value=900).map(lambda x: round(x, 1))
days = st.integers(min_value=0, max_value=9000)


@given(st.lists(st.tuples(days, levels), min_size=11, max_size=40, unique_by=lambda r: r[0]))
def test_as_scipy_has_it(points: list[tuple[int, float]]) -> None:
    """The same slope and line; the interval within one place in the order of the slopes."""
    readings = [(2000 + day / 365.25, feet) for day, feet in points]
    years, depths = [x for x, _ in readings], [y for _, y in readings]
    found = the(readings)
    theirs = theilslopes(depths, years, 0.95)
    assert found.slope_ft_per_year == pytest.approx(float(theirs.slope), rel=1e-6, abs=1e-9)
    assert found.level_ft(0) == pytest.approx(float(theirs.intercept), rel=1e-6, abs=1e-4)
    ordered = sorted(
        (b[1] - a[1]) / (b[0] - a[0]) for a in readings for b in readings if b[0] > a[0]
    )
    assert found.low_ft_per_year == pytest.approx(float(theirs.low_slope), rel=1e-6, abs=1e-9)
    near = [abs(s - found.high_ft_per_year) for s in ordered]
    at = near.index(min(near))
    neighbours = ordered[max(0, at - 1) : at + 2]
    assert min(abs(s - float(theirs.high_slope)) for s in neighbours) < 1e-6


@given(st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), min_size=11, max_size=40))
def test_ties_widen_the_interval_as_in_kendalls_test(points: list[tuple[int, int]]) -> None:
    """The variance is that of scipy's test of no trend, ties on both sides."""
    years, depths = [float(x) for x, _ in points], [float(y) for _, y in points]
    if len(set(years)) < 2 or len(set(depths)) < 2:
        return
    s = sum(
        math.copysign(1, (b[0] - a[0]) * (b[1] - a[1])) if (b[0] - a[0]) * (b[1] - a[1]) else 0
        for n, a in enumerate(points)
        for b in points[n + 1 :]
    )
    p = math.erfc(abs(s) / math.sqrt(2 * _variance(years, depths)))
    theirs = kendalltau(years, depths, method="asymptotic").pvalue
    assert p == pytest.approx(float(theirs), rel=1e-9, abs=1e-12)


@given(
    st.lists(st.tuples(days, levels), min_size=6, max_size=25, unique_by=lambda r: r[0]),
    st.floats(min_value=-50, max_value=50),
    st.floats(min_value=0.1, max_value=10),
    st.floats(min_value=-30, max_value=30),
)
def test_shifted_and_stretched_levels_shift_and_stretch_the_trend(
    points: list[tuple[int, float]], shift: float, stretch: float, years: float
) -> None:
    readings = [(2000 + day / 365.25, feet) for day, feet in points]
    was = the(readings)
    now = the([(year + years, feet * stretch + shift) for year, feet in readings])
    for name in ("slope_ft_per_year", "low_ft_per_year", "high_ft_per_year"):
        assert getattr(now, name) == pytest.approx(stretch * getattr(was, name), rel=1e-5, abs=1e-6)
    assert now.middle_ft == pytest.approx(stretch * was.middle_ft + shift, abs=1e-6)


@given(st.lists(st.tuples(days, levels), min_size=6, max_size=25, unique_by=lambda r: r[0]))
def test_the_slope_lies_in_its_interval_and_turns_with_the_levels(
    points: list[tuple[int, float]],
) -> None:
    readings = [(2000 + day / 365.25, feet) for day, feet in points]
    found = the(readings)
    assert found.low_ft_per_year <= found.slope_ft_per_year <= found.high_ft_per_year
    turned = the([(year, -feet) for year, feet in readings])
    assert turned.low_ft_per_year == pytest.approx(-found.high_ft_per_year)
    assert turned.clear == found.clear
    surer = the(readings, confidence=0.99) if trend(readings, confidence=0.99) else None
    if surer:
        assert surer.low_ft_per_year <= found.low_ft_per_year


def test_one_wrong_reading_moves_it_little() -> None:
    right = [(2010.0 + k, 60 + 2.0 * k) for k in range(9)]
    wrong = [*right[:4], (2014.0, 400.0), *right[5:]]
    assert the(wrong).slope_ft_per_year == pytest.approx(2, abs=0.01)


def test_when_it_reaches_a_depth() -> None:
    falling = Trend(2.0, 1.0, 4.0, 9, 2015.0, 60.0)
    assert falling.reaches(100) == Reach(2035.0, 2025.0, 2055.0)
    # It is there already.
    assert falling.reaches(56) == Reach(2013.0, 2011.0, 2014.0)
    assert Trend(2.0, 0.0, 4.0, 9, 2015.0, 60.0).reaches(100) is None
    assert Trend(2.0, -0.1, 4.0, 9, 2015.0, 60.0).reaches(100) is None
    rising = Trend(-2.0, -4.0, -1.0, 9, 2015.0, 60.0)
    assert rising.clear
    assert rising.reaches(100) is None


@pytest.mark.parametrize("bad", [math.nan, math.inf, 1e9])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    with pytest.raises(ValueError, match=r"^readings: "):
        trend([*SEN, (bad, 10.0)])
    with pytest.raises(ValueError, match=r"^readings: "):
        yearly([*SEN, (10.0, bad)])
    with pytest.raises(ValueError, match=r"^confidence: "):
        trend(SEN, confidence=bad)
    with pytest.raises(ValueError, match=r"^depth_ft: "):
        the(SEN).reaches(math.nan)


@pytest.mark.parametrize("bad", [0.0, 1.0, -0.95, 95])
def test_a_confidence_is_between_nothing_and_certainty(bad: float) -> None:
    with pytest.raises(ValueError, match=r"^confidence: "):
        trend(SEN, confidence=bad)


def _vermont() -> dict[str, list[tuple[float, float]]]:
    wells: dict[str, list[tuple[float, float]]] = defaultdict(list)
    with (LEVELS / "usgs_nwis_vermont_gwlevels.tsv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file, delimiter="\t"):
            # A status says that it was pumped, dry, obstructed: no static level.
            if row["lev_va"] and not row["lev_status_cd"] and len(row["lev_dt"]) == 10:
                day = date.fromisoformat(row["lev_dt"])
                year = day.year + (day.timetuple().tm_yday - 1) / 366
                wells[row["site_no"]].append((year, float(row["lev_va"])))
    return wells


@pytest.mark.realdata
@pytest.mark.skipif(not LEVELS.exists(), reason="no real levels beside this checkout")
def test_observation_wells_of_vermont() -> None:
    """USGS wells measured for decades: a year counts once, and scipy has the same slopes."""
    clear = {}
    for site, readings in _vermont().items():
        years = yearly(readings)
        if len(years) < 20:
            continue
        found = the(years)
        theirs = theilslopes([y for _, y in years], [x for x, _ in years], 0.95)
        assert found.slope_ft_per_year == pytest.approx(float(theirs.slope), abs=1e-6), site
        assert found.low_ft_per_year == pytest.approx(float(theirs.low_slope), abs=0.01), site
        assert found.high_ft_per_year == pytest.approx(float(theirs.high_slope), abs=0.01), site
        # In a humid state no observation well falls by feet a year for decades.
        assert abs(found.slope_ft_per_year) < 1, site
        clear[site] = found.clear
    assert len(clear) >= 10
    assert 0 < sum(clear.values()) < len(clear)
