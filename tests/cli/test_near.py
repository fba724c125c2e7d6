"""`wellbook near`, as a user meets it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from commands import Commands

from wellbook.engineering.great_circle import bearing_degrees, distance_mi
from wellbook.present.near_texts import NO_PROMISE
from wellbook.store.book import open_book
from wellbook.store.wells import add_site, add_well

TODAY = date(2026, 11, 25)
pytestmark = pytest.mark.usefixtures("at_the_demo")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Commands:
    return Commands(capsys)


def test_the_neighbours_are_summed_up_and_listed(run: Commands) -> None:
    said = run.fine("near", "TF-0031", "--within", "3mi").splitlines()
    assert said[0] == "6 recorded wells within 3 mi of TF-0031 · 4 Larkspur Bend, Nettlewick"
    assert said[1] == "from     the shop's own book; drilled 1993 to 2003"
    assert said[2] == "depth    240 to 300 ft, median 260 ft (6 of 6)"
    assert f"mind     {NO_PROMISE}" in said
    assert "unseen   15 wells of the book have no coordinates and may be near as well" in said
    first = next(n for n, line in enumerate(said) if line.startswith("miles"))
    assert [line.split()[:3] for line in said[first + 1 : first + 3]] == [
        ["1.08", "WNW", "TF-0080"],
        ["1.12", "WNW", "TF-0081"],
    ]
    assert len(said) == first + 8


def test_json_has_the_promised_keys(run: Commands) -> None:
    shape = run.json("near", "TF-0031", "--within", "10mi", "--limit", "2")
    assert shape["schema"] == {"name": "wellbook.near", "version": 1}
    assert set(shape) == {
        "schema", "place", "within_mi", "count", "summed_up", "without_coordinates", "summary",
        "dry", "flowing", "sealed", "wells", "caution",
    }  # fmt: skip
    assert (shape["count"], len(shape["wells"])) == (40, 2)
    depth = shape["summary"]["depth_ft"]
    assert set(depth) == {
        "count", "least", "first_quartile", "median", "third_quartile", "most",
    }  # fmt: skip
    one = shape["wells"][0]
    assert set(one) == {
        "well", "permit_no", "role", "status", "road", "town", "latitude", "longitude",
        "rounding_mi", "sharing_coordinates", "away_mi", "bearing_degrees", "drilled_on", "dry",
        "flowing", "figures",
    }  # fmt: skip
    assert set(one["figures"]) == {"depth_ft", "level_ft", "yield_gpm", "casing_ft", "pump_set_ft"}
    assert set(one["figures"]["level_ft"]) == {"value", "basis", "as_of"}
    here = (shape["place"]["latitude"], shape["place"]["longitude"])
    there = (one["latitude"], one["longitude"])
    assert one["away_mi"] == distance_mi(here, there)
    assert one["bearing_degrees"] == bearing_degrees(here, there)
    assert run.json("near", "80,10")["wells"] == []


@pytest.mark.parametrize("within", ["2", "2 mi", "3.3km", "3300 m", "10560 ft"])
def test_a_distance_may_be_in_any_unit(run: Commands, within: str) -> None:
    """NIST SP 811, appendix B: a mile is 1609.344 m, a foot 0.3048 m."""
    assert run.json("near", "42.0711,-101.3236", "--within", within)["within_mi"] == pytest.approx(
        2, abs=0.06
    )


@pytest.mark.parametrize(
    "words",
    [["42.0711,-101.3236"], ["42.0711, -101.3236"], ["42.0711", "-101.3236"], ["larkspur"]],
)
def test_a_place_may_be_said_in_several_ways(run: Commands, words: list[str]) -> None:
    place = run.json("near", *words)["place"]
    assert (place["latitude"], place["longitude"]) == (42.0711, -101.3236)


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (["TF-9999"], 1, "WELL: no well has the tag"),
        (["nobody knows"], 1, "no well fits 'nobody knows'"),
        (["91,0"], 2, "LAT,LON: latitude: 91 is not between -90 and 90"),
        (["44.5,-200"], 2, "LAT,LON: longitude: -200 is not"),
        (["-33.9,151.2"], 1, "no well is recorded within 1 mi of -33.9,151.2 (15 of the book"),
        (["TF-0031"], 1, "look farther: --within '5 mi'"),
        (["TF-0031", "--within", "0"], 2, "--within: '0' is no distance"),
        (["TF-0031", "--within", "-1 mi"], 2, "--within"),
        (["TF-0031", "--within", "500 mi"], 2, "give up to 100 mi"),
        (
            ["TF-0031", "--within", "7 gpm"],
            2,
            "--within: '7 gpm' is a flow; this field wants miles",
        ),
        (["TF-0031", "--within", "near"], 2, "--within"),
        (["TF-0031", "--limit", "0"], 2, "--limit: 0 is too few"),
        (["TF-0031", "--witin", "3"], 2, "No such option: --witin"),
        ([], 2, "Missing argument"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(
    run: Commands, words: list[str], status: int, says: str
) -> None:
    assert says in run.refused("near", *words, status=status)


def test_a_page_that_knows_little_points_to_the_neighbours(run: Commands) -> None:
    pointer = "what the neighbours' wells say: wellbook near TF-0049\n"
    assert pointer in run.fine("hole", "TF-0049")
    assert "neighbours" not in run.fine("hole", "TF-0031")


def test_public_records_shared_and_rounded_places_are_told(run: Commands, shop: Path) -> None:
    book = open_book(shop)
    with book.writing() as connection:
        for n in range(5):
            place = {"road": "", "town": "", "latitude": 50.51, "longitude": -100.49}
            add_well(
                connection,
                "me",
                f"R-{n}",
                {"site_id": add_site(connection, "me", place), "role": "reference"},
                today=TODAY,
            )
    said = run.fine("near", "50.5104,-100.4903")
    assert "from     public records; when drilled is not said by any\n" in said
    assert "depth    not said by any\n" in said
    assert "place    5 bear the same coordinates, 50.51,-100.49: perhaps the middle" in said
    assert "rounded  the coordinates of 5; they may be off by up to 0.41 mi\n" in said
    assert said.count("place of 5") == 5
