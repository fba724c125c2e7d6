"""Stops as days to drive: in driving order where coordinates are known, else by town and road.

A stop without coordinates is taken to be in the middle of its town's other stops when the order is made,
and has no miles; one of which not even that is known goes to the end, by town and road, into the first day
that has room.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Generic, Protocol, TypeVar

from wellbook.engineering.great_circle import Place, bearing_degrees, distance_mi
from wellbook.engineering.routes import MOST_STOPS, round_trip, trips_of_days

FAR_MI = 300.0
"""Further than this nobody drives to a check-up: the coordinates will be wrong."""


class Addressed(Protocol):
    """What can be driven to."""

    @property
    def place(self) -> Place | None:
        """Where it is, in degrees."""

    @property
    def town(self) -> str:
        """Its town."""

    @property
    def address(self) -> tuple[bool, str, str, str]:
        """By what it is sorted where nobody knows where it is."""


S = TypeVar("S", bound=Addressed)


@dataclass(frozen=True, slots=True)
class Visit(Generic[S]):
    """A stop, and the way to it from the last place that is known.

    Miles of the great circle and degrees from north, None where the stop or the start has no
    coordinates.
    """

    stop: S
    leg_mi: float | None
    bearing_degrees: float | None


@dataclass(frozen=True, slots=True)
class Day(Generic[S]):
    """Stops in driving order.

    `total_mi` are the miles of the great circle from the start through all stops that have
    coordinates and back, None where there is no start or no such stop.
    """

    number: int
    visits: tuple[Visit[S], ...]
    total_mi: float | None


def days_of(
    stops: Sequence[S], start: Place | None, room: tuple[int, int] | None
) -> tuple[Day[S], ...]:
    """Stops as days to drive; there must be room for all of them.

    Parameters
    ----------
    stops
        In any order; the days are the same in each.
    start
        Where each day begins and ends, degrees; None where that is not known.
    room
        At most so many days of at most so many stops; None for one day of all.
    """
    in_order = sorted(stops, key=lambda stop: stop.address)
    parts = _driven(in_order, start, room) if start and len(stops) <= MOST_STOPS else []
    driven = {id(stop) for stop in chain(*parts)}
    most = room[1] if room else max(len(in_order), 1)
    _fill(parts, (stop for stop in in_order if id(stop) not in driven), most)
    return tuple(_day(number, part, start) for number, part in enumerate(parts, 1))


def _driven(stops: Sequence[S], start: Place, room: tuple[int, int] | None) -> list[list[S]]:
    """In driving order, those of which it is known where they are, or nearly."""
    known = _known(stops)
    if not known:
        return []
    places = [place for _, place in known]
    trips = trips_of_days(start, places, *room) if room else (round_trip(start, places),)
    return [[known[at][0] for at in trip.order] for trip in trips]


def _known(stops: Iterable[S]) -> list[tuple[S, Place]]:
    """Stops with where they are; without coordinates, the middle of those of their town."""
    listed = list(stops)
    towns: dict[str, list[Place]] = {}
    for stop in listed:
        if stop.place is not None:
            towns.setdefault(stop.town.casefold(), []).append(stop.place)
    found: list[tuple[S, Place]] = []
    for stop in listed:
        near = towns.get(stop.town.casefold(), []) if stop.town else []
        if stop.place is not None:
            found.append((stop, stop.place))
        elif near:
            found.append((stop, _middle(near)))
    return found


def _middle(places: Sequence[Place]) -> Place:
    latitudes, longitudes = zip(*places, strict=True)
    return sum(latitudes) / len(places), sum(longitudes) / len(places)


def _fill(parts: list[list[S]], stops: Iterable[S], most: int) -> None:
    """Put stops of unknown place at the end of the first part with room; a new one where none has."""
    for stop in stops:
        part = next((part for part in parts if len(part) < most), None)
        if part is None:
            part = []
            parts.append(part)
        part.append(stop)


def _day(number: int, stops: Sequence[S], start: Place | None) -> Day[S]:
    here, legs = start, 0.0
    visits: list[Visit[S]] = []
    for stop in stops:
        leg = bearing = None
        if here is not None and stop.place is not None:
            leg, bearing = distance_mi(here, stop.place), bearing_degrees(here, stop.place)
            here, legs = stop.place, legs + leg
        visits.append(Visit(stop, leg, bearing))
    placed = any(visit.leg_mi is not None for visit in visits)
    home = distance_mi(here, start) if placed and here and start else 0.0
    return Day(number, tuple(visits), legs + home if placed else None)


def far_off(days: Iterable[Day[S]], start: Place | None) -> list[S]:
    """Stops so far from the start that their coordinates, or its own, will be wrong."""
    if start is None:
        return []
    stops = [visit.stop for day in days for visit in day.visits]
    return [s for s in stops if s.place is not None and distance_mi(start, s.place) > FAR_MI]
