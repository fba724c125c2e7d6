"""Recorded wells around a place: the shop's own and those of public records, nearest first.

A box around the place is a range of the index on coordinates; what lies in it is measured exactly,
and only of the nearest is read what is known of their holes, by a few queries for all of them.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from heapq import nsmallest
from typing import Any, Final

from sqlalchemy import Connection, Select, func, select

from wellbook.engineering.great_circle import (
    Box,
    Place,
    bearing_degrees,
    boxes_around,
    distance_mi,
    rounding_mi,
)
from wellbook.errors import NotFoundError, WellbookError
from wellbook.hole.hole import Hole
from wellbook.hole.neighbours import Neighbour, figures_of
from wellbook.store import tables as t
from wellbook.store.holes import load_bores
from wellbook.store.rows import by_id
from wellbook.store.the_well import the_well

MOST_WELLS: Final = 1000
"""Of so many wells, the nearest, it is read what is known: more say no more of one hole."""
MANY_AT_ONE_PLACE: Final = 4
"""So many wells on one lot are rare: their coordinates will be the middle of a town or a section
(common practice, no published source)."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place that is asked about: how it is called, where it is, and the well that is there."""

    name: str
    place: Place
    well_id: int | None = None


@dataclass(frozen=True, slots=True)
class Nearby:
    """The recorded wells around a place.

    Parameters
    ----------
    spot
        The place that was asked about.
    within_mi
        How far was looked, statute miles.
    wells
        The nearest first, `MOST_WELLS` of them at most.
    count
        How many there are within the distance.
    sharing
        Coordinates -> how many of the wells bear them, where they are more than stand on one lot.
    without_place
        How many wells of the book have no coordinates.
    """

    spot: Spot
    within_mi: float
    wells: tuple[Neighbour, ...]
    count: int
    sharing: dict[Place, int]
    without_place: int


def spot_of(connection: Connection, words: str) -> Spot:
    """The place of the well, or of the property, that words single out.

    Raises
    ------
    NotFoundError
        If nothing fits.
    WellbookError
        If several fit, or it has no coordinates.
    """
    try:
        well_id = the_well(connection, words)
    except NotFoundError as error:
        # Here, since whoever writes wells has the rules with him.
        from wellbook.store.wells import the_site

        try:
            site_id: int | None = the_site(connection, words)
        except NotFoundError:
            raise error from None
        return _spot(connection, words, site_id, None)
    well = by_id(connection, t.well, well_id)
    return _spot(connection, well["tag"], well["site_id"], well_id)


def _spot(connection: Connection, name: str, site_id: int | None, well_id: int | None) -> Spot:
    site = None if site_id is None else by_id(connection, t.site, site_id)
    if site is None or site["latitude"] is None or site["longitude"] is None:
        raise WellbookError(
            f"where {name} is, is not on record; {_what_to_do(name, site_id)}; or look round a"
            " place: wellbook near 44.51,-72.40"
        )
    where = ", ".join(x for x in (site["road"], site["town"]) if x)
    called = name if well_id is not None and not where else where
    if well_id is not None and where:
        called = f"{name} · {where}"
    return Spot(called or name, (site["latitude"], site["longitude"]), well_id)


def _what_to_do(name: str, site_id: int | None) -> str:
    if site_id is None:
        return f"give {name} its property: wellbook well edit {name} --site NUMBER"
    return f"say it: wellbook site edit {site_id} --latitude 44.51 --longitude -72.40"


def wells_near(connection: Connection, spot: Spot, within_mi: float) -> Nearby:
    """The recorded wells within a distance of a place, without the one that is asked about.

    Parameters
    ----------
    within_mi
        How far to look, statute miles.

    Raises
    ------
    ValueError
        If the distance is none.
    """
    found: list[tuple[float, int, Any]] = []
    for box in boxes_around(spot.place, within_mi):
        for row in connection.execute(in_box(box)):
            away = distance_mi(spot.place, (row.latitude, row.longitude))
            if away <= within_mi and row.id != spot.well_id:
                found.append((away, row.id, row))
    nearest = nsmallest(MOST_WELLS, found, key=lambda one: one[:2])
    places = Counter((row.latitude, row.longitude) for _, _, row in found)
    holes = load_bores(connection, [number for _, number, _ in nearest])
    return Nearby(
        spot,
        within_mi,
        tuple(
            _neighbour(spot, away, row, hole)
            for (away, _, row), hole in zip(nearest, holes, strict=True)
        ),
        len(found),
        {place: count for place, count in places.items() if count >= MANY_AT_ONE_PLACE},
        _without_place(connection),
    )


def in_box(box: Box) -> Select[Any]:
    """The wells of a box: a range of the index on coordinates, and then the wells of each site."""
    site, well = t.site, t.well
    return (
        select(well.c.id, site.c.latitude, site.c.longitude, site.c.road, site.c.town)
        .join(well, well.c.site_id == site.c.id)
        .where(
            site.c.latitude.between(box.south, box.north),
            site.c.longitude.between(box.west, box.east),
        )
    )


def _neighbour(spot: Spot, away_mi: float, row: Any, hole: Hole) -> Neighbour:
    place = (row.latitude, row.longitude)
    return Neighbour(
        hole=hole,
        road=row.road,
        town=row.town,
        place=place,
        away_mi=away_mi,
        bearing_degrees=None if place == spot.place else bearing_degrees(spot.place, place),
        rounding_mi=rounding_mi(place),
        figures=figures_of(hole),
    )


def _without_place(connection: Connection) -> int:
    site, well = t.site, t.well
    count = select(func.count()).select_from
    nowhere = count(well).where(well.c.site_id.is_(None))
    unplaced = count(site.join(well, well.c.site_id == site.c.id)).where(site.c.latitude.is_(None))
    return sum(int(connection.execute(query).scalar_one()) for query in (nowhere, unplaced))
