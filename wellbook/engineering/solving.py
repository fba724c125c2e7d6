"""Where a function of one number is zero, or least, found by methods that cannot run away."""

from __future__ import annotations

import math
from collections.abc import Callable

_STEPS = 200
_GOLDEN = (math.sqrt(5) - 1) / 2
# Each narrows the span to 0.618 of it: sixty come to 3e-13 of the first.
_SECTIONS = 60


def root(of: Callable[[float], float], low: float, high: float) -> float:
    """Where a continuous function changes its sign between two numbers, by bisection.

    Parameters
    ----------
    of
        The function.
    low, high
        Numbers at which its values have different signs (or are zero).

    Returns
    -------
    float
        The number, to the last bits of a float.

    Raises
    ------
    ValueError
        Where the values at both ends have one sign: there may be no such number between them.

    Source: bisection, as in any textbook of numerical methods.

    >>> root(lambda x: x * x - 2, 0, 2)
    1.414214
    """
    at_low, at_high = of(low), of(high)
    if at_low == 0:
        return low
    if at_high == 0:
        return high
    if (at_low > 0) == (at_high > 0):
        raise ValueError(f"no change of sign between {low:g} and {high:g}")
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if (of(middle) > 0) == (at_low > 0):
            low = middle
        else:
            high = middle
    return (low + high) / 2


def least(of: Callable[[float], float], low: float, high: float) -> float:
    """Where a function of one number is least, by golden section.

    Parameters
    ----------
    of
        The function; between the two numbers it falls, then rises.
    low, high
        The numbers between which its least value lies.

    Returns
    -------
    float
        The number, to about eight digits: nearer than that a float cannot tell the values apart.

    Source: golden section search (Kiefer, Proc. Am. Math. Soc. 4 (1953) 502-506).

    >>> least(lambda x: (x - 2) ** 2, 0, 5)
    2.0
    """
    a, b = low, high
    c, d = b - _GOLDEN * (b - a), a + _GOLDEN * (b - a)
    at_c, at_d = of(c), of(d)
    for _ in range(_SECTIONS):
        if at_c <= at_d:
            b, d, at_d = d, c, at_c
            c = b - _GOLDEN * (b - a)
            at_c = of(c)
        else:
            a, c, at_c = c, d, at_d
            d = a + _GOLDEN * (b - a)
            at_d = of(d)
    return (a + b) / 2
