"""Checks of arguments: each returns the number or raises a ValueError that names the field.

A wrong number on a sheet must stop at the door: a NaN compares false with everything, so every
"is it over the limit" behind it would quietly answer no.
"""

from __future__ import annotations

import math

# Ceilings are there to catch a slip of the pen or of the unit, not to judge a job: no drop pipe
# hangs two miles down, and no pipe in this trade is rated in tens of thousands of psi.
MAX_DEPTH_FT = 10_000.0
MAX_PSI = 20_000.0
MAX_DIAMETER_IN = 48.0
MAX_HP = 1_000.0


def finite(value: float, field: str) -> float:
    """Return *value* as a float; ValueError where it is NaN or infinite.

    >>> finite(3, "gpm")
    3.0
    >>> finite(float("nan"), "gpm")
    Traceback (most recent call last):
    ValueError: gpm: nan is not a number that can be worked with
    """
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{field}: {number} is not a number that can be worked with")
    return number


def non_negative(value: float, field: str, *, at_most: float = math.inf) -> float:
    """Return *value* as a float; ValueError where it is below zero or above *at_most*.

    >>> non_negative(-1, "rise_ft")
    Traceback (most recent call last):
    ValueError: rise_ft: -1 is below zero
    """
    number = finite(value, field)
    if number < 0:
        raise ValueError(f"{field}: {number:g} is below zero")
    if number > at_most:
        raise ValueError(f"{field}: {number:g} is more than {at_most:g}, which cannot be meant")
    return number


def positive(value: float, field: str, *, at_most: float = math.inf) -> float:
    """Return *value* as a float; ValueError where it is zero, below it, or above *at_most*.

    >>> positive(0, "drawdown_ft")
    Traceback (most recent call last):
    ValueError: drawdown_ft: 0 is not above zero
    """
    number = finite(value, field)
    if number <= 0:
        raise ValueError(f"{field}: {number:g} is not above zero")
    return non_negative(number, field, at_most=at_most)


def pipe_ring(outside_diameter_in: float, wall_in: float) -> tuple[float, float]:
    """Return both as floats; ValueError where they are not those of a pipe with a bore.

    >>> pipe_ring(1, 0.5)
    Traceback (most recent call last):
    ValueError: wall_in: 0.5 leaves no bore in a pipe of 1 in
    """
    outside = positive(outside_diameter_in, "outside_diameter_in", at_most=MAX_DIAMETER_IN)
    wall = positive(wall_in, "wall_in")
    if wall >= outside / 2:
        raise ValueError(f"wall_in: {wall:g} leaves no bore in a pipe of {outside:g} in")
    return outside, wall
