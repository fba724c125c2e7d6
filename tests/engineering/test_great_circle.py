"""Distance and direction on the globe, against published worked examples."""

import math

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.great_circle import (
    EARTH_RADIUS_KM,
    EARTH_RADIUS_MI,
    KM_PER_MILE,
    bearing_degrees,
    boxes_around,
    compass_point,
    distance_mi,
    read_place,
    rounding_mi,
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


# An independent library (C. F. F. Karney, "Algorithms for geodesics", Journal of Geodesy 87, 2013),
# once on a ball of the same radius and once on the ellipsoid that the Earth nearly is.
BALL = Geodesic(EARTH_RADIUS_KM * 1000, 0)
EARTH = Geodesic.WGS84


@given(places, places)
def test_distance_and_direction_are_those_of_an_independent_library(
    here: tuple[float, float], there: tuple[float, float]
) -> None:
    found = BALL.Inverse(*here, *there)
    miles = distance_mi(here, there)
    assert miles == pytest.approx(found["s12"] / 1609.344, rel=1e-8, abs=1e-6)
    # From a pole, and to the other end of the globe, every direction will do.
    if miles > 0.001 and miles < 12_400 and abs(here[0]) < 89.9999:
        apart = (bearing_degrees(here, there) - found["azi1"] + 180) % 360 - 180
        assert abs(apart) < 1e-3
    on_earth = EARTH.Inverse(*here, *there)["s12"] / 1609.344
    assert miles == pytest.approx(on_earth, rel=0.0057, abs=1e-6)


@pytest.mark.parametrize(
    ("degrees", "point"),
    [
        (11.24, "N"), (11.26, "NNE"), (33.76, "NE"), (56.26, "ENE"), (90, "E"), (112.5, "ESE"),
        (135, "SE"), (157.5, "SSE"), (180, "S"), (202.5, "SSW"), (225, "SW"), (247.5, "WSW"),
        (270, "W"), (292.5, "WNW"), (315, "NW"), (337.5, "NNW"), (348.8, "N"),
    ],
)  # fmt: skip
def test_the_sixteen_points_of_the_compass(degrees: float, point: str) -> None:
    """The definition: a point every 22.5 degrees, reaching half way to the next."""
    assert compass_point(degrees, 16) == point


RADII = st.floats(1e-3, 15_000)


@given(places, RADII, st.floats(0, 360), st.floats(0, 1))
def test_the_boxes_hold_all_that_is_within(
    here: tuple[float, float], miles: float, towards: float, part: float
) -> None:
    """A point of the circle or inside it, by the independent library."""
    there = BALL.Direct(*here, towards, miles * part * 1609.344)
    place = (there["lat2"], there["lon2"])
    assert any(box.holds(place) for box in boxes_around(here, miles))


@given(places, places, RADII)
def test_what_no_box_holds_is_farther(
    here: tuple[float, float], there: tuple[float, float], miles: float
) -> None:
    if distance_mi(here, there) <= miles:
        assert any(box.holds(there) for box in boxes_around(here, miles))


@given(places, RADII)
def test_a_box_is_no_larger_than_it_must_be(here: tuple[float, float], miles: float) -> None:
    """Each edge is touched by the circle, where no pole is within (a meridian that touches it)."""
    boxes = boxes_around(here, miles)
    if len(boxes) > 1 or (boxes[0].west, boxes[0].east) == (-180, 180):
        return
    (box,) = boxes
    assert distance_mi(here, (box.north, here[1])) == pytest.approx(miles, rel=1e-6, abs=1e-6)
    assert distance_mi(here, (box.south, here[1])) == pytest.approx(miles, rel=1e-6, abs=1e-6)
    reach = miles / EARTH_RADIUS_MI
    touching = math.degrees(math.asin(math.sin(math.radians(here[0])) / math.cos(reach)))
    assert distance_mi(here, (touching, box.east)) == pytest.approx(miles, rel=1e-6, abs=1e-4)


def test_the_box_of_a_published_example() -> None:
    """J. P. Matuschek, "Finding points within a distance of a latitude/longitude": 1000 km round
    (1.3963, -0.6981) radians, which are 80 and -40 degrees, on 6371 km: latitudes 1.2393 to 1.5532,
    longitudes -1.8184 to 0.4221. From memory of the page."""
    miles = 1000 / 6371 * EARTH_RADIUS_MI
    (box,) = boxes_around((80, -40), miles)
    edges = (box.south, box.north, box.west, box.east)
    assert [math.radians(edge) for edge in edges] == pytest.approx(
        [1.2393, 1.5532, -1.8184, 0.4221], abs=5.1e-5
    )


def test_at_the_pole_and_at_180_degrees() -> None:
    assert [(b.west, b.east) for b in boxes_around((89.99, 10), 5)] == [(-180, 180)]
    assert boxes_around((-90, 0), 1)[0].north == pytest.approx(-90 + 1 / 69.0933, abs=1e-5)
    left, right = boxes_around((10, 179.99), 5)
    assert (left.east, right.west) == (180, -180)
    # The same meridian has two names.
    assert any(box.holds((0, -180)) for box in boxes_around((0, 180), 1))
    assert any(box.holds((0, 180)) for box in boxes_around((0, -180), 1))


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("44.51,-72.40", (44.51, -72.4)),
        (" 44.51 , -72.4 ", (44.51, -72.4)),
        ("44.51 -72.4", (44.51, -72.4)),
        ("+44,72", (44, 72)),
        ("-33.9,151.", (-33.9, 151)),
    ],
)
def test_a_place_as_people_write_it(text: str, place: tuple[float, float]) -> None:
    assert read_place(text) == place


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("44.51", "write latitude and longitude in degrees, as 44.51,-72.40"),
        ("44.51N,72.4W", "is no place"),
        ("44,51,-72,4", "is no place"),
        ("nan,inf", "is no place"),
        ("91,0", "latitude: 91 is not between"),
        ("0,181", "longitude: 181 is not between"),
        ("٤٤,٧٢", "is no place"),
    ],
)
def test_what_is_no_pair_of_degrees_is_refused(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        read_place(text)


def test_how_far_a_rounded_place_may_be_off() -> None:
    """A degree of latitude is 69.09 mi on the mean radius: half a hundredth of it, each way."""
    assert rounding_mi((0, 0.01)) == pytest.approx(0.005 * 69.0933 * math.sqrt(2), rel=1e-4)
    assert rounding_mi((60, 0.001)) == pytest.approx(
        0.0005 * 69.0933 * math.hypot(1, 0.5), rel=1e-4
    )
    assert rounding_mi((44.5, -72.51234)) < 0.001


@pytest.mark.parametrize("miles", [0, -1, math.nan, math.inf])
def test_a_distance_that_is_none_is_refused(miles: float) -> None:
    with pytest.raises(ValueError, match="miles"):
        boxes_around((0, 0), miles)
