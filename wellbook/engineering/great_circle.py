"""Distance and direction between two places on the globe, as the crow flies.

The Earth is taken for a ball, which is off by at most about half a per cent. A road is longer than this
by much more, and by how much nobody can say without a map of the roads.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from wellbook.engineering._checks import finite, short
from wellbook.quantities import quoted

Place = tuple[float, float]
"""Latitude (north above zero) and longitude (east above zero), in degrees."""

KM_PER_MILE: Final = 1.609344
# The mean radius R1 = (2a + b) / 3 of the Geodetic Reference System 1980 (Moritz, Journal of Geodesy
# 74, 2000, page 131), in kilometres.
EARTH_RADIUS_KM: Final = 6371.0088
EARTH_RADIUS_MI: Final = EARTH_RADIUS_KM / KM_PER_MILE

MAX_LATITUDE = 90.0
MAX_LONGITUDE = 180.0

_POINTS = (
    "N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
    "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
)  # fmt: skip
_DEGREES = re.compile(r"\s*([+-]?\d+(?:\.\d*)?)\s*[, ]\s*([+-]?\d+(?:\.\d*)?)\s*", re.ASCII)


def read_place(text: str) -> Place:
    """Latitude and longitude as people write them.

    Parameters
    ----------
    text
        Two numbers in degrees, parted by a comma or a blank.

    Returns
    -------
    tuple of float
        Latitude and longitude, degrees.

    Raises
    ------
    ValueError
        Where it is no such pair, or there is no such place on the globe.

    >>> read_place("44.51, -72.4")
    (44.51, -72.4)
    """
    found = _DEGREES.fullmatch(text)
    if found is None:
        raise ValueError(
            f"{quoted(text)} is no place; write latitude and longitude in degrees, as 44.51,-72.40"
        )
    return checked_place((float(found[1]), float(found[2])))


def checked_place(place: Place) -> Place:
    """The place, where there is such a one on the globe.

    Parameters
    ----------
    place
        Latitude and longitude, degrees.

    Returns
    -------
    tuple of float
        Latitude and longitude, degrees.

    Raises
    ------
    ValueError
        Where the latitude is not between -90 and 90 degrees or the longitude not between -180 and 180.

    Source: the definition of the two.

    >>> checked_place((91, 0))
    Traceback (most recent call last):
    ValueError: latitude: 91 is not between -90 and 90 degrees
    """
    latitude, longitude = place
    return (
        _within(latitude, MAX_LATITUDE, "latitude"),
        _within(longitude, MAX_LONGITUDE, "longitude"),
    )


def _within(degrees: float, most: float, field: str) -> float:
    number = finite(degrees, field)
    if abs(number) > most:
        raise ValueError(f"{field}: {short(degrees)} is not between {-most:g} and {most:g} degrees")
    return number


def distance_mi(here: Place, there: Place) -> float:
    """Length of the great circle between two places.

    Parameters
    ----------
    here, there
        Latitude and longitude, degrees.

    Returns
    -------
    float
        Statute miles.

    Raises
    ------
    ValueError
        Where one is no place on the globe.

    Source: the haversine formula (Sinnott, Sky and Telescope 68, 1984; it holds for small distances
    too), on the mean radius of the Geodetic Reference System 1980.

    A degree of the equator:

    >>> distance_mi((0, 0), (0, 1))
    69.09
    """
    (latitude_1, longitude_1), (latitude_2, longitude_2) = _radians(here), _radians(there)
    half = math.sin((latitude_2 - latitude_1) / 2) ** 2
    half += (
        math.cos(latitude_1) * math.cos(latitude_2) * math.sin((longitude_2 - longitude_1) / 2) ** 2
    )
    # At the other end of the globe the last bits may carry it past one.
    return 2 * EARTH_RADIUS_MI * math.asin(math.sqrt(min(half, 1.0)))


def bearing_degrees(here: Place, there: Place) -> float:
    """Direction in which the great circle to a place begins.

    Parameters
    ----------
    here, there
        Latitude and longitude, degrees.

    Returns
    -------
    float
        Degrees clockwise from true north, from 0 to below 360; 0 where both are one place.

    Raises
    ------
    ValueError
        Where one is no place on the globe.

    Source: spherical trigonometry, as in E. Williams, Aviation Formulary.

    >>> bearing_degrees((0, 0), (0, 1))
    90.0
    """
    (latitude_1, longitude_1), (latitude_2, longitude_2) = _radians(here), _radians(there)
    apart = longitude_2 - longitude_1
    east = math.sin(apart) * math.cos(latitude_2)
    north = math.cos(latitude_1) * math.sin(latitude_2)
    north -= math.sin(latitude_1) * math.cos(latitude_2) * math.cos(apart)
    # A direction a hair west of north is rounded up to a full turn, which is north again.
    return math.degrees(math.atan2(east, north)) % 360 % 360


def compass_point(degrees: float, points: int = 8) -> str:
    """A direction as a point of the compass.

    Parameters
    ----------
    degrees
        Clockwise from north.
    points
        Of how many points: 4, 8 or 16.

    Raises
    ------
    ValueError
        Where it is not finite or absurd, or there is no rose of so many points.

    Source: the definition, a point every 45 degrees of eight, every 22.5 of sixteen.

    >>> compass_point(50), compass_point(350), compass_point(20, 16)
    ('NE', 'N', 'NNE')
    """
    if points not in (4, 8, 16):
        raise ValueError("points: 4, 8 or 16 is wanted")
    points = int(points)
    point = round(finite(degrees, "degrees") / 360 * points) % points
    return _POINTS[point * (len(_POINTS) // points)]


@dataclass(frozen=True, slots=True)
class Box:
    """All places between two latitudes and two longitudes, degrees; it never crosses 180."""

    south: float
    north: float
    west: float
    east: float

    def holds(self, place: Place) -> bool:
        """Whether a place is in it, or on its edge."""
        latitude, longitude = place
        return self.south <= latitude <= self.north and self.west <= longitude <= self.east


def boxes_around(place: Place, miles: float) -> tuple[Box, ...]:
    """The boxes that hold every place within a distance: one, or two where 180 degrees is between.

    Parameters
    ----------
    place
        The middle, degrees.
    miles
        How far, statute miles.

    Raises
    ------
    ValueError
        Where there is no such place, or the distance is no number above zero.

    Source: the right-angled spherical triangle of the pole, the middle, and the point where a
    meridian touches the circle (Napier: sin r = sin dl * cos of the latitude); worked out here. The
    farthest longitude is not that of the circle's east point: it lies nearer to the pole.

    >>> boxes_around((0, 0), 69.0933)[0].north
    1.0
    """
    latitude, longitude = checked_place(place)
    if finite(miles, "miles") <= 0:
        raise ValueError(f"{short(miles)} miles are no distance; give more than 0")
    # A hair more, so that no rounding leaves out what is just within.
    reach = miles / EARTH_RADIUS_MI * (1 + 1e-9) + 1e-11
    degrees = math.degrees(reach)
    south, north = latitude - degrees, latitude + degrees
    if south <= -MAX_LATITUDE or north >= MAX_LATITUDE:
        # A pole is within, and with it every longitude.
        return (Box(max(south, -90.0), min(north, 90.0), -180.0, 180.0),)
    aside = math.degrees(math.asin(min(math.sin(reach) / math.cos(math.radians(latitude)), 1.0)))
    west, east = longitude - aside, longitude + aside
    if west <= -MAX_LONGITUDE:
        return Box(south, north, -180.0, east), Box(south, north, west + 360, 180.0)
    if east >= MAX_LONGITUDE:
        return Box(south, north, west, 180.0), Box(south, north, -180.0, east - 360)
    return (Box(south, north, west, east),)


def rounding_mi(place: Place) -> float:
    """How far a place may be off by the digits that it is written with.

    Parameters
    ----------
    place
        Latitude and longitude, degrees.

    Returns
    -------
    float
        Half of the last place of both, across, statute miles; of the two, the one with more places
        counts, since the last digit of the other may be a nought.

    Source: the definition of rounding.

    >>> rounding_mi((44.5, -72.51))
    0.4
    """
    latitude, _ = checked_place(place)
    half = 0.5 * 10.0 ** -max(_decimals(degrees) for degrees in place)
    mile = math.radians(half) * EARTH_RADIUS_MI
    return mile * math.hypot(1.0, math.cos(math.radians(latitude)))


def _decimals(degrees: float) -> int:
    _, _, after = f"{degrees:.9f}".rstrip("0").partition(".")
    return len(after)


def _radians(place: Place) -> Place:
    latitude, longitude = checked_place(place)
    return math.radians(latitude), math.radians(longitude)
