"""A straight line through points, by least squares."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Line:
    """y = intercept + slope x.

    Parameters
    ----------
    slope, intercept
        In the units of the points.
    rmse
        Root of the mean square of measured less fitted y, in the unit of y.

    Source: none, a record of three numbers.
    """

    slope: float
    intercept: float
    rmse: float


def fit_line(xs: Sequence[float], ys: Sequence[float]) -> Line | None:
    """The line of least squares.

    Parameters
    ----------
    xs, ys
        As many of one as of the other, finite, in any unit.

    Returns
    -------
    Line or None
        None where the x's are not apart.

    Source: Legendre (1805), as in any textbook.

    >>> fit_line([0, 1, 2], [1, 3, 5])
    Line(slope=2.0, intercept=1.0, rmse=0.0)
    """
    n = len(xs)
    mean_x, mean_y = math.fsum(xs) / n, math.fsum(ys) / n
    spread = math.fsum((x - mean_x) ** 2 for x in xs)
    if spread == 0:
        return None
    slope = math.fsum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / spread
    intercept = mean_y - slope * mean_x
    return Line(slope, intercept, rmse([intercept + slope * x for x in xs], ys))


def rmse(fitted: Sequence[float], measured: Sequence[float]) -> float:
    """Root of the mean square of their differences.

    Parameters
    ----------
    fitted, measured
        As many of one as of the other, in one unit.

    Returns
    -------
    float
        In that unit.

    Source: the definition.

    >>> rmse([1, 2], [1, 4])
    1.414
    """
    squares = ((f - m) ** 2 for f, m in zip(fitted, measured, strict=True))
    return math.sqrt(math.fsum(squares) / len(fitted))
