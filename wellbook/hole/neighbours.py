"""What the wells around a place say of a hole of which nothing is known.

Each figure is what counts in its own well (`Hole.fact`): the best basis of what stays, the newest of
what changes. They are put side by side and summed up; nothing is worked out from them for the place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median, quantiles
from typing import Final

from wellbook.dates import When
from wellbook.engineering.great_circle import Place
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.terms import Basis, LevelState, Quantity, WellStatus

ENOUGH_FOR_QUARTERS: Final = 8
"""Of fewer wells the middle half is two or three of them (common practice, no published source)."""
ROUNDED_MI: Final = 0.02
"""Coordinates that may be off by more are said to be rounded: those of three decimals and fewer."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of one well: its value in its unit, what it rests on, and as of when."""

    value: float
    basis: Basis
    as_of: When


def _figure(value: float | None, fact: Fact | None) -> Figure | None:
    return None if value is None or fact is None else Figure(value, fact.basis, fact.as_of)


def depth(hole: Hole) -> Figure | None:
    """How deep it is below ground, ft."""
    return _figure(hole.depth_ft(), hole.fact(Quantity.DEPTH_FT))


def level(hole: Hole) -> Figure | None:
    """Where its water stands by itself below ground, ft; below zero above it; none where it is dry."""
    return _figure(hole.at_rest_ft(), hole.at_rest())


def gives(hole: Hole) -> Figure | None:
    """What it yields, gpm."""
    fact = hole.fact(Quantity.YIELD_GPM)
    return _figure(None if fact is None else fact.number, fact)


def casing(hole: Hole) -> Figure | None:
    """How far down it is cased, ft."""
    known = [i for i in hole.casing() if i.to_ft is not None]
    if not known:
        return None
    deepest = max(known, key=lambda i: i.to_ft or 0.0)
    return Figure(deepest.to_ft or 0.0, deepest.basis, deepest.when)


def pump_setting(hole: Hole) -> Figure | None:
    """At what depth its pump hangs, ft."""
    there = hole.the(Pump)
    if there is None or there[1].set_depth_ft is None:
        return None
    return _figure(there[1].set_depth_ft, there[0].fact("set_depth_ft", "ft"))


FIGURES: Final[Mapping[str, Callable[[Hole], Figure | None]]] = {
    "depth_ft": depth,
    "level_ft": level,
    "yield_gpm": gives,
    "casing_ft": casing,
    "pump_set_ft": pump_setting,
}
"""What is asked of each well, by the name of the figure with its unit."""


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A recorded well near a place.

    Parameters
    ----------
    hole
        What is known of it; nothing of people.
    road, town
        Where it is, as far as that is known.
    place
        Its coordinates, degrees.
    away_mi
        How far it is, as the crow flies, statute miles.
    bearing_degrees
        In which direction, clockwise from north; None where it bears the same coordinates.
    rounding_mi
        How far off its coordinates may be by the digits that they have, statute miles.
    figures
        Name of a figure -> what is known; those of which nothing is known are left out.
    """

    hole: Hole
    road: str
    town: str
    place: Place
    away_mi: float
    bearing_degrees: float | None
    rounding_mi: float
    figures: Mapping[str, Figure]

    @property
    def rounded(self) -> bool:
        """Whether its coordinates have so few digits that its distance is a guess."""
        return self.rounding_mi > ROUNDED_MI

    @property
    def dry(self) -> bool:
        """Whether it was dry when it was last looked into."""
        fact = self.hole.at_rest()
        return fact is not None and fact.state is LevelState.DRY

    @property
    def flowing(self) -> bool:
        """Whether water runs out of it by itself: as last read, or as its record says."""
        fact = self.hole.at_rest()
        return self.hole.flowing is True if fact is None else fact.state is LevelState.FLOWING

    @property
    def sealed(self) -> bool:
        """Whether it is sealed for good."""
        return self.hole.status is WellStatus.SEALED


def figures_of(hole: Hole) -> dict[str, Figure]:
    """All figures that are known of a well."""
    told = ((name, of(hole)) for name, of in FIGURES.items())
    return {name: figure for name, figure in told if figure is not None}


@dataclass(frozen=True, slots=True)
class Spread:
    """How some numbers lie: how many, least, most, the middle one, and where there are enough of
    them between what the middle half lies."""

    count: int
    least: float
    most: float
    median: float
    quarters: tuple[float, float] | None


def spread(values: Iterable[float]) -> Spread | None:
    """How numbers lie; None where there are none.

    Source: Hyndman and Fan, "Sample Quantiles in Statistical Packages" (The American Statistician
    50, 1996), definition 7, which spreadsheets have too.

    >>> spread([300, 410, 520])
    Spread(count=3, least=300, most=520, median=410, quarters=None)
    """
    known = sorted(values)
    if not known:
        return None
    quarters = None
    if len(known) >= ENOUGH_FOR_QUARTERS:
        first, _, third = quantiles(known, n=4, method="inclusive")
        quarters = first, third
    return Spread(len(known), known[0], known[-1], median(known), quarters)


def spread_of(wells: Sequence[Neighbour], name: str) -> Spread | None:
    """How one figure lies among wells."""
    return spread(w.figures[name].value for w in wells if name in w.figures)


def years_of(dates: Iterable[When]) -> tuple[int, int] | None:
    """From which year to which, of dates of which a day is known; None of none."""
    years = [day.year for when in dates for day in (when.earliest, when.latest) if day]
    return (min(years), max(years)) if years else None
