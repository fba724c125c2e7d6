"""Distance and direction on the globe, against published worked examples."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.great_circle import (
    EARTH_RADIUS_KM,
    EARTH_RADIUS_MI,
    KM_PER_MILE,
    bearing_degrees,
    compass_point,
    distance_mi,
)

# E. Williams, Aviation Formulary: worked examples, from 33 57 N 118 24 W to 40 38 N 73 47 W.
WEST = (33 + 57 / 60, -(118 + 24 / 60))
EAST = (40 + 38 / 60, -(73 + 47 / 60))

places = st.tuples(st.floats(-90, 90), st.floats(-180, 180))


def test_the_worked_example_of_the_aviation_formulary() -> None:
    assert distance_mi(WEST, EAST) / EARTH_RADIUS_MI == pytest.approx(0.623585, abs=5e-7)
    assert math.radians(bearing_degrees(WEST, EAST)) == pytest.approx(1.150035, abs=2e-6)


def test_the_worked_example_of_movable_type() -> None:
    """C. Veness, "Calculate distance, bearing and more": 968.9 km at 9 deg 7 min 11 s, on 6371 km."""
    south = (50 + 3 / 60 + 59 / 3600, -(5 + 42 / 60 + 53 / 3600))
    north = (58 + 38 / 60 + 38 / 3600, -(3 + 4 / 60 + 12 / 3600))
    km = distance_mi(south, north) / EARTH_RADIUS_MI * 6371
    assert km == pytest.approx(968.9, abs=0.05)
    assert bearing_degrees(south, north) == pytest.approx(9 + 7 / 60 + 11 / 3600, abs=0.5 / 3600)


def test_the_mean_radius_follows_from_the_two_axes_of_the_reference_system() -> None:
    """R1 = (2a + b) / 3; a and b as in Moritz, Geodetic Reference System 1980."""
    assert pytest.approx((2 * 6378.137 + 6356.7523141) / 3, abs=5e-5) == EARTH_RADIUS_KM
    # A statute mile of 5280 ft of 0.3048 m.
    assert pytest.approx(5280 * 0.3048 / 1000) == KM_PER_MILE


@given(places, places)
def test_it_agrees_with_the_law_of_cosines_and_is_the_same_both_ways(
    here: tuple[float, float], there: tuple[float, float]
) -> None:
    """Sources: spherical law of cosines, which is rough below some yards; the definition of a distance."""
    (a, x), (b, y) = (map(math.radians, place) for place in (here, there))
    cosine = math.sin(a) * math.sin(b) + math.cos(a) * math.cos(b) * math.cos(x - y)
    angle = math.acos(max(-1.0, min(1.0, cosine)))
    miles = distance_mi(here, there)
    assert miles == pytest.approx(EARTH_RADIUS_MI * angle, abs=1e-3)
    assert miles == pytest.approx(distance_mi(there, here))
    assert 0 <= miles <= math.pi * EARTH_RADIUS_MI + 1e-6


@given(places, places)
def test_a_direction_is_within_one_turn(
    here: tuple[float, float], there: tuple[float, float]
) -> None:
    assert 0 <= bearing_degrees(here, there) < 360


@pytest.mark.parametrize(
    ("there", "degrees", "point"),
    [((1, 0), 0, "N"), ((0, 1), 90, "E"), ((-1, 0), 180, "S"), ((0, -1), 270, "W")],
)
def test_the_four_winds(there: tuple[float, float], degrees: float, point: str) -> None:
    found = bearing_degrees((0, 0), there)
    assert found == pytest.approx(degrees)
    assert compass_point(found) == point


@pytest.mark.parametrize(
    ("degrees", "point"), [(22.4, "N"), (22.6, "NE"), (337.4, "NW"), (337.6, "N"), (359.9, "N")]
)
def test_a_point_of_the_compass_reaches_half_way_to_the_next(degrees: float, point: str) -> None:
    assert compass_point(degrees) == point


def test_two_sides_of_the_date_line_are_near() -> None:
    assert distance_mi((0, 179.5), (0, -179.5)) == pytest.approx(distance_mi((0, 0), (0, 1)))


@pytest.mark.parametrize(
    ("place", "message"),
    [
        ((90.1, 0), "latitude: 90.1 is not between -90 and 90 degrees"),
        ((0, -181), "longitude: -181 is not between -180 and 180 degrees"),
        ((math.nan, 0), "latitude: nan is not a number that can be worked with"),
    ],
)
def test_what_is_no_place_is_refused(place: tuple[float, float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        distance_mi((0, 0), place)
