"""Where something is, and how two places fit."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from wellbook.likeness.plain_words import plain_words
from wellbook.likeness.roads import RoadFit, compare_roads
from wellbook.likeness.strings import alike
from wellbook.likeness.weighing import Chance, Reason

_EARTH_FT = 20_902_231
"""The mean radius of the earth, 6,371.0 km (IUGG), in feet."""
_CLOSE_TOWN = 0.9


@dataclass(frozen=True, slots=True)
class PlaceSaid:
    """A property as it is on record, or as a file says it.

    Parameters
    ----------
    road, town, postcode
        As they were written; "" where nothing is said.
    latitude, longitude
        In degrees; None where not known.
    left
        Whether the customer is known to have left it.
    """

    road: str = ""
    town: str = ""
    postcode: str = ""
    latitude: float | None = None
    longitude: float | None = None
    left: bool = False

    @property
    def words(self) -> str:
        """Road and town, on one line."""
        return ", ".join(x for x in (self.road, self.town) if x)


def distance_ft(one: PlaceSaid, other: PlaceSaid) -> float | None:
    """How far two places are from each other in feet, along the great circle; None where not known.

    >>> distance_ft(PlaceSaid(latitude=44.0, longitude=-72.0),
    ...             PlaceSaid(latitude=44.0, longitude=-72.001))
    262.4
    """
    if None in (one.latitude, one.longitude, other.latitude, other.longitude):
        return None
    a, b, c, d = (
        math.radians(x)  # type: ignore[arg-type]
        for x in (one.latitude, one.longitude, other.latitude, other.longitude)
    )
    half = math.sin((c - a) / 2) ** 2 + math.cos(a) * math.cos(c) * math.sin((d - b) / 2) ** 2
    return 2 * _EARTH_FT * math.asin(min(1.0, math.sqrt(half)))


@dataclass(frozen=True, slots=True)
class PlaceChances:
    """What each fit of addresses and towns is worth."""

    same: Chance
    near: Chance
    road: Chance
    other: Chance
    town: Chance
    other_town: Chance


def place_reasons(
    one: Iterable[PlaceSaid], other: Iterable[PlaceSaid], chances: PlaceChances
) -> list[Reason]:
    """What the addresses say, of several the pair that fits best. Who left a place and who is there
    now are told apart by it."""
    pairs = [(a, b) for a in one for b in other if a.left == b.left]
    found = [_address(a, b, chances) for a, b in pairs]
    return max(found, key=lambda reasons: sum(r.worth for r in reasons), default=[])


def _address(one: PlaceSaid, other: PlaceSaid, chances: PlaceChances) -> list[Reason]:
    fit = compare_roads(one.road, other.road)
    said, others = one.words or "no address", other.words or "no address"
    reasons = []
    match fit:
        case RoadFit.SAME:
            reasons.append(Reason(f"same address: {one.road}", chances.same.worth))
        case RoadFit.NEAR:
            reasons.append(Reason(f"nearly one address: {said} / {others}", chances.near.worth))
        case RoadFit.ROAD:
            reasons.append(
                Reason(f"one road, other numbers: {said} / {others}", chances.road.worth)
            )
        case RoadFit.OTHER:
            reasons.append(Reason(f"other addresses: {said} / {others}", chances.other.worth))
    same_town = _one_town(one, other)
    if same_town is not None:
        town = one.town or one.postcode
        words = (
            f"same town: {town}"
            if same_town
            else f"other towns: {town} / {other.town or other.postcode}"
        )
        reasons.append(Reason(words, (chances.town if same_town else chances.other_town).worth))
    return reasons


def _one_town(one: PlaceSaid, other: PlaceSaid) -> bool | None:
    """Whether the town or the postal code is the same; None where neither is said of both."""
    codes = [x.postcode.strip()[:5].lower() for x in (one, other)]
    towns = [" ".join(plain_words(x.town)) for x in (one, other)]
    known = []
    if all(codes):
        known.append(codes[0] == codes[1])
    if all(towns):
        known.append(alike(*towns) >= _CLOSE_TOWN)
    return any(known) if known else None
