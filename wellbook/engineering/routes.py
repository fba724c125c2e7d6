"""In what order to drive to the stops of a day, and which stops make a day.

Miles are those of the great circle: this knows of no road, river or bridge. The order is the same
whatever the order in which the stops are given.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from wellbook.engineering import _tours
from wellbook.engineering.great_circle import Place, checked_place, distance_mi

MOST_STOPS = 500
"""More than that is no round trip that anybody drives; the work grows with the square of it."""


@dataclass(frozen=True, slots=True)
class Trip:
    """A round trip: the numbers of the stops as they were given, in driving order, and the legs' miles.

    There is one leg more than there are stops: the last one leads home.
    """

    order: tuple[int, ...]
    legs_mi: tuple[float, ...]

    @property
    def total_mi(self) -> float:
        """All miles of it."""
        return sum(self.legs_mi)


def round_trip(start: Place, stops: Sequence[Place]) -> Trip:
    """One trip from a place to all stops and back, as short as can be found.

    Parameters
    ----------
    start
        Latitude and longitude of where it begins and ends, degrees.
    stops
        Latitude and longitude of each stop, degrees.

    Returns
    -------
    Trip
        Stops in driving order; legs in statute miles of the great circle. Up to 12 stops it is the
        shortest of all trips; beyond that it is never longer than driving to the nearest next stop.

    Raises
    ------
    ValueError
        Where one is no place on the globe, or there are too many stops.

    Source: Held and Karp 1962; Croes 1958 and Or 1976 for what is too many for it.

    >>> round_trip((0, 0), [(0, 3), (0, 1), (0, 2)]).order
    (1, 2, 0)
    """
    points, ranked = _ranked(start, stops)
    return _trip(points, ranked, _tours.best_tour(_table(points)))


def trips_of_days(
    start: Place, stops: Sequence[Place], days: int, per_day: int
) -> tuple[Trip, ...]:
    """Stops parted into days, each a round trip of its own.

    All stops are put into one round trip first, which is then cut where that costs the fewest miles;
    of several such trips the best counts, and each day is put in order by itself. A day more never
    saves a mile, so as few days are used as do.

    Parameters
    ----------
    start
        Latitude and longitude of where each day begins and ends, degrees.
    stops
        Latitude and longitude of each stop, degrees.
    days
        How many days there are at most.
    per_day
        How many stops a day has at most.

    Returns
    -------
    tuple of Trip
        The days in the order in which the round trip goes through them.

    Raises
    ------
    ValueError
        Where one is no place on the globe, or there is no room for all stops.

    Source: Beasley 1983 (route first, cluster second).

    >>> [day.order for day in trips_of_days((0, 0), [(0, 2), (0, -1), (0, -2), (0, 1)], 2, 2)]
    [(1, 2), (3, 0)]
    """
    days, per_day = _counted(days, "days"), _counted(per_day, "per_day")
    points, ranked = _ranked(start, stops)
    if len(stops) > days * per_day:
        raise ValueError(
            f"stops: {len(stops)} are more than {days} days of {per_day} stops have room for"
        )
    made = _tours.best_days(_table(points), days, per_day)
    return tuple(_trip(points, ranked, day) for day in made)


def _counted(number: int, field: str) -> int:
    if isinstance(number, bool) or not isinstance(number, int) or number < 1:
        raise ValueError(f"{field}: a whole number of one or more is wanted")
    return number


def _ranked(start: Place, stops: Sequence[Place]) -> tuple[list[Place], list[int]]:
    """The start and the stops from south to north, and which of those given each stop is.

    Where they stand in no order of their own, the answer cannot hang on the order they came in.
    """
    if len(stops) > MOST_STOPS:
        raise ValueError(
            f"stops: {len(stops)} are more than {MOST_STOPS}, which is no list to drive"
        )
    checked = [checked_place(stop) for stop in stops]
    ranked = sorted(range(len(stops)), key=lambda at: (checked[at], at))
    return [checked_place(start), *(checked[at] for at in ranked)], ranked


def _table(points: Sequence[Place]) -> list[list[float]]:
    table = [[0.0] * len(points) for _ in points]
    for i, here in enumerate(points):
        for j in range(i):
            table[i][j] = table[j][i] = distance_mi(here, points[j])
    return table


def _trip(points: Sequence[Place], ranked: Sequence[int], tour: Sequence[int]) -> Trip:
    """The trip that is driven: of its two directions the one that comes to its nearer end first."""
    ways = [
        tuple(distance_mi(points[a], points[b]) for a, b in pairwise((0, *way, 0)))
        for way in (tour, tour[::-1])
    ]
    ahead = ways[0][0] <= ways[1][0]
    way = tour if ahead else tour[::-1]
    return Trip(tuple(ranked[stop - 1] for stop in way), ways[0 if ahead else 1] if tour else ())
