"""Checks of arguments: each returns the number or raises a ValueError that names the field.

A wrong number on a sheet must stop at the door: a NaN compares false with everything, so every
"is it over the limit" behind it would quietly answer no.
"""

from __future__ import annotations

import math

from wellbook.quantities import quoted

# Ceilings are there to catch a slip of the pen or of the unit, not to judge a job: no drop pipe
# hangs two miles down, and no pipe in this trade is rated in tens of thousands of psi.
MAX_DEPTH_FT = 10_000.0
MAX_PSI = 20_000.0
MAX_DIAMETER_IN = 48.0
MAX_HP = 1_000.0
MAX_MINUTES = 1e7  # some twenty years of pumping

# The smallest storativity in print is about 1e-6, the shortest time of a logger a thousandth of a
# minute, and no transmissivity in square feet a day has more than seven digits. Beyond these two a
# number is a slip, and squared or divided by it soon leaves what a float can hold.
LEAST = 1e-9
MOST = 1e12


def finite(value: float, field: str) -> float:
    """Return *value* as a float; ValueError where it is no number, NaN, infinite or absurd.

    >>> finite(3, "gpm")
    3.0
    >>> finite(float("nan"), "gpm")
    Traceback (most recent call last):
    ValueError: gpm: nan is not a number that can be worked with
    """
    if type(value) is float and -MOST <= value <= MOST:
        return value
    return _at_most(MOST, _number(value, field), field)


def non_negative(value: float, field: str, *, at_most: float = MOST) -> float:
    """Return *value* as a float; ValueError where it is below zero or above *at_most*.

    >>> non_negative(-1, "rise_ft")
    Traceback (most recent call last):
    ValueError: rise_ft: -1 is below zero
    """
    # Nearly all are right: asked this way round, NaN is not among them.
    if type(value) is float and 0 <= value <= at_most:
        return value
    number = _number(value, field)
    if number < 0:
        raise ValueError(f"{field}: {short(number)} is below zero")
    return _at_most(at_most, number, field)


def positive(value: float, field: str, *, at_least: float = LEAST, at_most: float = MOST) -> float:
    """Return *value* as a float; ValueError where it is not above zero, or not between the two.

    >>> positive(0, "drawdown_ft")
    Traceback (most recent call last):
    ValueError: drawdown_ft: 0 is not above zero
    """
    if type(value) is float and 0 < at_least <= value <= at_most:
        return value
    number = _number(value, field)
    if number <= 0:
        raise ValueError(f"{field}: {short(number)} is not above zero")
    if number < at_least:
        raise ValueError(f"{field}: {number:g} is less than {at_least:g}, which cannot be meant")
    return _at_most(at_most, number, field)


def short(value: object) -> str:
    """What was given, for a message: a number in few digits, what is none or endless in quotes.

    >>> short(230.0), short(10**400)[-4:], short("abc")
    ('230', '...0', "'abc'")
    """
    plain = isinstance(value, float) or (isinstance(value, int) and abs(value) <= MOST)
    return f"{value:g}" if plain else quoted(value)


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


def _number(value: float, field: str) -> float:
    """The value, which is a number, and not NaN or infinite."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{field}: {quoted(value)} is not a number")
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"{field}: {value} is not a number that can be worked with")
    return value


def _at_most(most: float, number: float, field: str) -> float:
    if abs(number) > most:
        raise ValueError(f"{field}: {short(number)} is more than {most:g}, which cannot be meant")
    return float(number)
