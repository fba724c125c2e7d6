"""Whether a level falls over the years, how fast, and when it will be too low.

The slope is the median of the slopes of all pairs of readings: one wrong reading, or one taken too
soon after pumping, hardly moves it. Its interval is the one that Kendall's test of no trend would
not reject, so "clear" means just what that test calls significant.

It takes the readings as independent of each other. Readings of one summer are not: use `yearly`
where there are several in a year.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import NormalDist, median
from typing import Final

from wellbook.engineering._checks import MAX_DEPTH_FT, finite

CONFIDENCE: Final = 0.95
MAX_YEAR: Final = 10_000.0
# Up to here the odds are counted out; above, the normal curve is as good.
_COUNTED_UP_TO = 10
# Half a minute, in years: two levels so near each other are of one time, and have no slope.
_SAME_TIME = 1e-6


@dataclass(frozen=True, slots=True)
class Reach:
    """When a falling level comes to a depth, as years with their fraction.

    Parameters
    ----------
    year
        By the slope itself.
    earliest_year, latest_year
        By the two ends of its interval.

    Source: none, a record of what Trend.reaches works out.
    """

    year: float
    earliest_year: float
    latest_year: float


@dataclass(frozen=True, slots=True)
class Trend:
    """A straight line through levels over the years.

    Parameters
    ----------
    slope_ft_per_year
        Above zero where the depth to water grows: the level falls.
    low_ft_per_year, high_ft_per_year
        Its interval.
    n
        How many readings it rests on.
    middle_year, middle_ft
        A point that the line goes through: the medians of the years and of the depths.

    Source: none, a record of what `trend` works out.
    """

    slope_ft_per_year: float
    low_ft_per_year: float
    high_ft_per_year: float
    n: int
    middle_year: float
    middle_ft: float

    @property
    def clear(self) -> bool:
        """Whether its interval leaves zero out."""
        return self.low_ft_per_year > 0 or self.high_ft_per_year < 0

    @property
    def falling(self) -> bool:
        """Whether the level clearly falls."""
        return self.low_ft_per_year > 0

    def level_ft(self, year: float) -> float:
        """Depth of the line at a year, feet."""
        return self.middle_ft + self.slope_ft_per_year * (finite(year, "year") - self.middle_year)

    def reaches(self, depth_ft: float) -> Reach | None:
        """When the level comes down to a depth, if it goes on as it did.

        For the pumping level, which lies a drawdown below the static level, ask for the depth of
        the intake less the drawdown.

        Parameters
        ----------
        depth_ft
            Feet, of the same datum as the readings.

        Returns
        -------
        Reach or None
            None where the level does not clearly fall. A year that is past means that the line is
            below that depth already.

        Raises
        ------
        ValueError
            Where depth_ft is not finite.

        Source: the line of `trend`, with the ends of its interval through the same middle.

        >>> Trend(2.0, 1.0, 4.0, 9, 2015.0, 60.0).reaches(100)
        Reach(year=2035.0, earliest_year=2025.0, latest_year=2055.0)
        """
        if not self.falling:
            return None
        way = finite(depth_ft, "depth_ft") - self.middle_ft
        slopes = (self.slope_ft_per_year, self.low_ft_per_year, self.high_ft_per_year)
        year, *ends = (self.middle_year + way / slope for slope in slopes)
        return Reach(year, min(ends), max(ends))


def trend(
    readings: Iterable[tuple[float, float]], *, confidence: float = CONFIDENCE
) -> Trend | None:
    """Slope of levels over the years, with its interval.

    Up to ten readings the interval is counted out exactly as for readings without ties, which is on
    the safe side where there are some; above it is the normal approximation, allowing for ties.

    Parameters
    ----------
    readings
        Pairs of year (with its fraction) and depth to water (ft, below zero above the datum).
    confidence
        Of the interval: 0.95 is 95 per cent.

    Returns
    -------
    Trend or None
        None where there are too few readings for such an interval: at 95 per cent, below five.

    Raises
    ------
    ValueError
        Naming `readings` or `confidence`, where a number is not finite or absurd.

    Source: Theil, Proc. Kon. Ned. Akad. Wet. A 53 (1950) 386-392; Sen, J. Am. Stat. Assoc. 63 (1968)
    1379-1389; the ties as in Kendall, Rank Correlation Methods (1970). Published (Sen's
    example): seven readings, slope 4, interval 26/7 to 35/8. Sen calls that one of 93 per cent; by
    the odds counted out it is one of 97, and the narrowest of at least 95.

    >>> found = trend([(1, 9), (2, 15), (3, 19), (4, 20), (10, 45), (12, 55), (18, 78)])
    >>> found.slope_ft_per_year, found.low_ft_per_year, found.high_ft_per_year, found.clear
    (4.0, 3.714, 4.375, True)
    >>> trend([(2019, 60), (2021, 64), (2023, 71)]) is None
    True
    """
    if not 0 < finite(confidence, "confidence") < 1:
        raise ValueError(f"confidence: {confidence:g} is not between 0 and 1")
    points = sorted(_checked(year, feet) for year, feet in readings)
    slopes = sorted(
        (y1 - y0) / (x1 - x0)
        for (x0, y0), (x1, y1) in combinations(points, 2)
        if x1 - x0 > _SAME_TIME
    )
    years, levels = [x for x, _ in points], [y for _, y in points]
    rank = _rank(years, levels, len(slopes), (1 - confidence) / 2)
    if rank < 1:
        return None
    return Trend(
        median(slopes), slopes[rank - 1], slopes[-rank], len(points), median(years), median(levels)
    )


def yearly(readings: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """One reading for each calendar year: the medians of its dates and of its levels.

    Parameters
    ----------
    readings
        Pairs of year (with its fraction) and depth to water, feet.

    Returns
    -------
    list of tuple
        The same for whole years, in order.

    Raises
    ------
    ValueError
        Naming `readings`, where a number is not finite or absurd.

    Source: common practice, no published source: levels swing with the seasons, and readings of one
    year hang together.

    >>> yearly([(2020.2, 40), (2020.5, 46), (2020.8, 48), (2021.5, 44)])
    [(2020.5, 46.0), (2021.5, 44.0)]
    """
    years: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for year, feet in readings:
        point = _checked(year, feet)
        years[math.floor(point[0])].append(point)
    return [
        (median(x for x, _ in points), median(y for _, y in points))
        for _, points in sorted(years.items())
    ]


def _checked(year: float, feet: float) -> tuple[float, float]:
    try:
        x, y = finite(year, "year"), finite(feet, "level")
    except ValueError as wrong:
        raise ValueError(f"readings: {wrong}") from None
    if abs(x) > MAX_YEAR or abs(y) > MAX_DEPTH_FT:
        raise ValueError(f"readings: {y:g} ft in {x:g} cannot be meant")
    return x, y


def _rank(years: Sequence[float], levels: Sequence[float], slopes: int, tail: float) -> int:
    """Which slope from either end bounds the interval; below 1 where none does."""
    n = len(years)
    if n <= _COUNTED_UP_TO:
        # Ties of the years leave slopes out, half of them at either end.
        return _counted(n, tail) - math.ceil((n * (n - 1) / 2 - slopes) / 2)
    z = NormalDist().inv_cdf(1 - tail)
    return round((slopes - z * math.sqrt(_variance(years, levels))) / 2)


def _counted(n: int, tail: float) -> int:
    """How many of the least numbers of inversions have, together, odds of at most *tail*.

    With no trend every order of the levels is as likely as any other, and Kendall's S follows from
    the number of inversions of the order.
    """
    orders = [1]
    for k in range(2, n + 1):
        longer = [0] * (len(orders) + k - 1)
        for inversions, ways in enumerate(orders):
            for more in range(k):
                longer[inversions + more] += ways
        orders = longer
    so_far, rank = 0, 0
    for ways in orders:
        so_far += ways
        if so_far > tail * math.factorial(n):
            break
        rank += 1
    return rank


def _variance(years: Sequence[float], levels: Sequence[float]) -> float:
    """Variance of Kendall's S where there is no trend, with ties on both sides."""
    n = len(years)
    ties = [list(Counter(side).values()) for side in (years, levels)]
    whole = n * (n - 1) * (2 * n + 5) - sum(
        t * (t - 1) * (2 * t + 5) for side in ties for t in side
    )
    pairs = [sum(t * (t - 1) for t in side) for side in ties]
    triples = [sum(t * (t - 1) * (t - 2) for t in side) for side in ties]
    return (
        whole / 18
        + pairs[0] * pairs[1] / (2 * n * (n - 1))
        + triples[0] * triples[1] / (9 * n * (n - 1) * (n - 2))
    )
