"""Theis' well function, the exponential integral of the hydraulics of wells."""

from __future__ import annotations

import math
from itertools import count
from typing import Final

from wellbook.engineering._checks import positive

EULER_GAMMA: Final = 0.5772156649015329
# Below this the power series is quicker, above it the continued fraction.
_SERIES_UP_TO = 1.0
_LAST_BITS = 1e-16
_TERMS = 200
_LEAST_U = 1e-60


def well_function(u: float) -> float:
    """W(u), the exponential integral E1.

    For small u by the power series -0.5772 - ln u + u - u^2/(2 2!) + ..., for larger u by a
    continued fraction.

    Parameters
    ----------
    u
        r^2 S / (4 T t), without a unit.

    Returns
    -------
    float
        W(u), without a unit; it falls as u grows, and is 0.0 where it is too small for a float.

    Raises
    ------
    ValueError
        Where u is not above zero, or not finite.

    Source: Theis, Trans. Am. Geophys. Union 16 (1935) 519-524. The series and the fraction are
    5.1.11 and 5.1.22 of Abramowitz and Stegun (1964). Published table of W(u) (Wenzel, USGS
    Water-Supply Paper 887, 1942): W(1) = 0.2194, W(0.01) = 4.0379.

    >>> well_function(1), well_function(0.01)
    (0.2194, 4.0379)
    """
    # A ratio of what are numbers themselves goes far beyond what any one of them can be.
    x = positive(u, "u", at_least=_LEAST_U, at_most=1 / _LEAST_U)
    return _series(x) if x <= _SERIES_UP_TO else _continued_fraction(x)


def _series(u: float) -> float:
    total = -EULER_GAMMA - math.log(u)
    term = -1.0
    for k in range(1, _TERMS):
        term *= -u / k
        total += term / k
        if abs(term) < _LAST_BITS:
            break
    return total


def _continued_fraction(u: float) -> float:
    """e^-u times 1/(u + 1 - 1/(u + 3 - 4/(u + 5 - 9/...))), by Lentz' method."""
    denominator = u + 1
    d = 1 / denominator
    c = math.inf
    product = d
    for n in count(1):
        denominator += 2
        numerator = -n * n
        d = 1 / (numerator * d + denominator)
        c = denominator + numerator / c
        product *= c * d
        if abs(c * d - 1) < _LAST_BITS * 10 or n == _TERMS:
            break
    return product * math.exp(-u)
