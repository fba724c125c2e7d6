"""One reading of a sheet: which quantity its name says, its number, and what has none."""

from __future__ import annotations

import re
from typing import Any

from wellbook.hole.fields import not_negative
from wellbook.quantities import read
from wellbook.terms import LevelState, Quantity

_LEVELS = {
    "static_level_ft": LevelState.STATIC,
    "pumping_level_ft": LevelState.PUMPING,
}
"""Names under which a water level tells what the well was doing."""

READINGS = frozenset({q.value for q in Quantity} | set(_LEVELS))
"""All names under which a reading can stand in a sheet."""

WITHOUT_VALUE = (LevelState.DRY, LevelState.OBSTRUCTED, LevelState.FLOWING)
"""A level in one of these states says something without a number."""

_METERED = frozenset({Quantity.INSULATION_MEGOHM})
"""What is read on a meter whose needle stands past the last mark where all is well."""

_OVER = re.compile(r"(?i)\s*(?:>=?|over|above|more than|at least)\s*(?P<mark>.+)|(?P<plus>.+)\+\s*")


def quantity_of(name: str) -> tuple[Quantity | None, LevelState | None]:
    """The quantity that a name in a sheet says, and the state of a level; None where it says none.

    >>> quantity_of("static_level_ft")
    (<Quantity.WATER_LEVEL_FT: 'water_level_ft'>, <LevelState.STATIC: 'static'>)
    """
    if name in _LEVELS:
        return Quantity.WATER_LEVEL_FT, _LEVELS[name]
    return (Quantity(name) if name in READINGS else None), None


def over_the_scale(raw: object, quantity: Quantity) -> tuple[object, bool]:
    """A reading, and whether it is past the end of the meter's scale: then it is the last mark.

    >>> over_the_scale("over 500", Quantity.INSULATION_MEGOHM)
    ('500', True)
    >>> over_the_scale("over 500", Quantity.YIELD_GPM)
    ('over 500', False)
    """
    found = _OVER.fullmatch(raw) if isinstance(raw, str) and quantity in _METERED else None
    return (raw, False) if found is None else (found["mark"] or found["plus"], True)


def read_number(raw: Any, quantity: Quantity) -> float:
    """A reading's number in the unit of its quantity.

    Raises
    ------
    ValueError
        If it is none, or below nothing where that has no meaning.
    """
    value = read(raw, quantity.unit)
    # A flowing well's level stands above the ground: below zero is a level like any other.
    if quantity is Quantity.WATER_LEVEL_FT:
        return value
    return not_negative(value, quantity.value)
