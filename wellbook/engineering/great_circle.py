"""Distance and direction between two places on the globe, as the crow flies.

The Earth is taken for a ball, which is off by at most about half a per cent. A road is longer than this
by much more, and by how much nobody can say without a map of the roads.
"""

from __future__ import annotations

import math
from typing import Final

from wellbook.engineering._checks import finite, short

Place = tuple[float, float]
"""Latitude (north above zero) and longitude (east above zero), in degrees."""

KM_PER_MILE: Final = 1.609344
# The mean radius R1 = (2a + b) / 3 of the Geodetic Reference System 1980 (Moritz, Journal of Geodesy
# 74, 2000, page 131), in kilometres.
EARTH_RADIUS_KM: Final = 6371.0088
EARTH_RADIUS_MI: Final = EARTH_RADIUS_KM / KM_PER_MILE

MAX_LATITUDE = 90.0
MAX_LONGITUDE = 180.0

_POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


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


def compass_point(degrees: float) -> str:
    """A direction as one of the eight points of the compass.

    Parameters
    ----------
    degrees
        Clockwise from north.

    Raises
    ------
    ValueError
        Where it is not finite or absurd.

    Source: the definition, a point every 45 degrees.

    >>> compass_point(50), compass_point(350)
    ('NE', 'N')
    """
    return _POINTS[round(finite(degrees, "degrees") / 45) % len(_POINTS)]


def _radians(place: Place) -> Place:
    latitude, longitude = checked_place(place)
    return math.radians(latitude), math.radians(longitude)
