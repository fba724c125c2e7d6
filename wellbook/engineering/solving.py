"""Where a function of one number is zero, found by a method that cannot run away."""

from __future__ import annotations

from collections.abc import Callable

_STEPS = 200


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
