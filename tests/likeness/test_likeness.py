"""Words, names and addresses as they are compared."""

from __future__ import annotations

from itertools import combinations

import pytest

from wellbook.likeness.customers import CustomerSaid, compare_customers
from wellbook.likeness.names import NameFit, compare_names, name_key
from wellbook.likeness.places import PlaceSaid
from wellbook.likeness.roads import RoadFit, compare_roads, road_key
from wellbook.likeness.strings import alike, jaro
from wellbook.likeness.weighing import LISTED, Chance
from wellbook.likeness.wells import WellSaid, compare_wells, plain_permit


@pytest.mark.parametrize(
    ("one", "other", "by_jaro", "by_winkler"),
    [
        ("shackleford", "shackelford", 0.970, 0.982),
        ("dunningham", "cunnigham", 0.896, 0.896),
        ("nichleson", "nichulson", 0.926, 0.956),
        ("jones", "johnson", 0.790, 0.832),
        ("massey", "massie", 0.889, 0.933),
        ("abroms", "abrams", 0.889, 0.922),
        ("michelle", "michael", 0.869, 0.921),
        ("dwayne", "duane", 0.822, 0.840),
        ("martha", "marhta", 0.944, 0.961),
        ("dixon", "dicksonx", 0.767, 0.813),
    ],
)
def test_words_are_as_alike_as_in_print(
    one: str, other: str, by_jaro: float, by_winkler: float
) -> None:
    """W. E. Winkler, "Overview of record linkage and current research directions", US Bureau of the
    Census, Statistics 2006-2, table 6 (from memory); to three places."""
    assert jaro(one, other) == pytest.approx(by_jaro, abs=0.0006)
    assert alike(one, other) == pytest.approx(by_winkler, abs=0.0006)


def test_a_comparison_is_worth_the_logarithm_of_its_chances() -> None:
    """Fellegi and Sunter 1969: log2(m / u); equally likely either way says nothing."""
    assert Chance(0.5, 0.5).worth == 0
    assert Chance(0.8, 0.1).worth == pytest.approx(3)
    assert Chance(0.1, 0.8).worth == pytest.approx(-3)


ONE_NAME = (
    "Smith, John", "JOHN SMITH", "smith,john", "Mr. John Smith", "Jack Smith",
)  # fmt: skip


@pytest.mark.parametrize(("one", "other"), list(combinations(ONE_NAME, 2)))
def test_one_name_in_any_order(one: str, other: str) -> None:
    assert compare_names(one, other) is NameFit.SAME
    assert name_key(one) == name_key(other)


@pytest.mark.parametrize(
    ("one", "other", "fit"),
    [
        ("J. Smith", "John Smith", NameFit.NEAR),
        ("John & Mary Smith", "Mary Smith", NameFit.NEAR),
        ("Jon Smyth", "John Smith", NameFit.NEAR),
        ("John Tallis", "John Smith", NameFit.OTHER),
        ("John Smiht", "John Smith", NameFit.NEAR),
        ("Smith John", "John Smith", NameFit.SAME),
        ("Mary Smith", "John Smith", NameFit.FAMILY),
        ("John Smith Jr.", "John Smith Sr.", NameFit.FAMILY),
        ("John Smith Jr.", "John Smith", NameFit.SAME),
        ("Acme Pump & Well, Inc.", "ACME PUMP AND WELL CO", NameFit.SAME),
        ("Acme Pump LLC", "Acme Pump and Drilling LLC", NameFit.NEAR),
        ("Acme Pump LLC", "Best Pump LLC", NameFit.OTHER),
        ("José Muñoz", "Jose Munoz", NameFit.SAME),
        ("", "John Smith", NameFit.UNKNOWN),
        ("***", "John Smith", NameFit.UNKNOWN),
    ],
)
def test_names_fit(one: str, other: str, fit: NameFit) -> None:
    assert compare_names(one, other) is fit
    assert compare_names(other, one) is fit


@pytest.mark.parametrize(
    ("one", "other", "fit"),
    [
        ("12 Cold Spring Rd", "12 COLD SPRING ROAD", RoadFit.SAME),
        ("12 N. Main St.", "12 North Main Street", RoadFit.SAME),
        ("012 Cold Spring Rd", "12 Cold Spring Rd.", RoadFit.SAME),
        ("12 Cold Spring Rd", "12 Cold Spring Ln", RoadFit.NEAR),
        ("12 Cold Spring Rd", "12 Cold Spirng Rd", RoadFit.NEAR),
        ("12 Cold Spring Rd Apt 1", "12 Cold Spring Rd #2", RoadFit.NEAR),
        ("12 Cold Spring Rd", "Cold Spring Rd", RoadFit.NEAR),
        ("12 Cold Spring Rd", "14 Cold Spring Rd", RoadFit.ROAD),
        ("12 Cold Spring Rd", "12 Mill Ln", RoadFit.OTHER),
        ("", "12 Mill Ln", RoadFit.UNKNOWN),
    ],
)
def test_addresses_fit(one: str, other: str, fit: RoadFit) -> None:
    assert compare_roads(one, other) is fit
    assert compare_roads(other, one) is fit
    if fit is RoadFit.SAME:
        assert road_key(one, "A") == road_key(other, "A")


HERE = PlaceSaid("12 Mill Ln", "Dravel", latitude=44.0, longitude=-72.0)


def test_who_left_a_place_is_not_who_came() -> None:
    buyer = CustomerSaid("Ada Brook", places=(HERE,))
    seller = CustomerSaid("Ben Tallis", places=(PlaceSaid("12 Mill Ln", "Dravel", left=True),))
    assert compare_customers(buyer, seller).score < 0


def test_what_is_said_of_one_alone_is_worth_nothing() -> None:
    bare = compare_customers(CustomerSaid("Ada Brook"), CustomerSaid("Ada Brook"))
    more = compare_customers(
        CustomerSaid("Ada Brook", phones=("+12075550147",), places=(HERE,)),
        CustomerSaid("Ada Brook"),
    )
    assert bare.score == more.score


def test_neighbours_are_two_and_one_permit_is_one() -> None:
    """Two houses on a road have wells of one driller, year and depth; a permit has one well."""
    one = WellSaid("99-0284", (), HERE, "Ada Brook", "Ostrel Rotary", None, 300)
    next_door = PlaceSaid("14 Mill Ln", "Dravel", latitude=44.0005, longitude=-72.0)
    neighbour = WellSaid("99-0291", (), next_door, "Ben Tallis", "Ostrel Rotary", None, 305)
    logged = WellSaid(
        "99 0284", (), PlaceSaid(latitude=44.0001, longitude=-72.0), "", "", None, 302
    )
    assert compare_wells(one, neighbour).score < LISTED
    assert compare_wells(one, logged).score > LISTED
    assert plain_permit("WP 99-284") == plain_permit("wp99284")


def test_likeness_is_the_same_both_ways() -> None:
    one = CustomerSaid("Ada Brook", ("5550147",), ("a@b.example",), (HERE,))
    other = CustomerSaid("A. Brook", ("+12075550147",), ("x@b.example",), (HERE,))
    assert compare_customers(one, other).score == compare_customers(other, one).score
