"""Driving order: known shortest trips, every order tried as the oracle, and what must always hold."""

from __future__ import annotations

from itertools import combinations, pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tsplib import BURMA14, PROBLEMS, ULYSSES16, Problem

from wellbook.engineering import _tours
from wellbook.engineering.great_circle import Place, distance_mi
from wellbook.engineering.routes import MOST_STOPS, Trip, round_trip, trips_of_days

# A county: nobody drives to the other side of the globe, and close ones are what differs.
places = st.tuples(
    st.floats(40, 40.8).map(lambda x: round(x, 4)), st.floats(-95, -94).map(lambda x: round(x, 4))
)
SHOP = (40.4, -94.5)


# -- known shortest trips --------------------------------------------------------------------------


@pytest.mark.parametrize("problem", PROBLEMS, ids=lambda p: p.name)
def test_a_small_problem_of_the_library_is_solved(problem: Problem) -> None:
    table = problem.table()
    tour = _tours.best_tour(table)
    assert sorted(tour) == list(range(1, len(table)))
    assert _tours.length(table, tour) == problem.optimum


@pytest.mark.parametrize("problem", [BURMA14, ULYSSES16], ids=lambda p: p.name)
def test_the_exact_method_gives_the_published_optimum(problem: Problem) -> None:
    table = problem.table()
    assert _tours.length(table, _tours.shortest(table)) == problem.optimum


def test_the_miles_of_burma_are_near_the_kilometres_of_the_library() -> None:
    """GEO rounds each leg up and takes a larger ball: at most 1 km a leg and 0.12 % more."""
    start, *stops = BURMA14.places()
    km = round_trip(start, stops).total_mi * 1.609344
    assert BURMA14.optimum * 0.998 - 14 <= km <= BURMA14.optimum


# -- every order tried -----------------------------------------------------------------------------


def table_of(points: list[Place]) -> list[list[float]]:
    return [[distance_mi(a, b) for b in points] for a in points]


@settings(max_examples=40)
@given(st.lists(places, max_size=6))
def test_of_few_stops_no_order_is_shorter(stops: list[Place]) -> None:
    table = table_of([SHOP, *stops])
    orders = permutations(range(1, len(table)))
    assert round_trip(SHOP, stops).total_mi == pytest.approx(
        min(_tours.length(table, order) for order in orders)
    )


@settings(max_examples=40)
@given(st.lists(places, min_size=1, max_size=7), st.integers(1, 4), st.integers(1, 4))
def test_a_round_trip_is_cut_where_it_costs_least(
    stops: list[Place], days: int, per_day: int
) -> None:
    if len(stops) > days * per_day:
        return
    table = table_of([SHOP, *stops])
    tour = list(range(1, len(table)))
    cuts = (
        [tour[a:b] for a, b in pairwise((0, *some, len(tour)))]
        for count in range(days)
        for some in combinations(range(1, len(tour)), count)
    )
    least = min(
        sum(_tours.length(table, day) for day in cut)
        for cut in cuts
        if all(len(day) <= per_day for day in cut)
    )
    found = _tours.cut_into_days(table, tour, days, per_day)
    assert [stop for day in found for stop in day] == tour
    assert sum(_tours.length(table, day) for day in found) == pytest.approx(least)


# -- what must always hold -------------------------------------------------------------------------


def holds_together(trip: Trip, stops: list[Place]) -> None:
    way = [SHOP, *(stops[at] for at in trip.order), SHOP]
    if trip.order:
        assert trip.legs_mi == pytest.approx([distance_mi(a, b) for a, b in pairwise(way)])
    assert trip.total_mi == sum(trip.legs_mi)


def nearest_next_mi(stops: list[Place]) -> float:
    left, here, miles = sorted(stops), SHOP, 0.0
    while left:
        nearest = min(left, key=lambda stop: distance_mi(here, stop))
        miles += distance_mi(here, nearest)
        left.remove(nearest)
        here = nearest
    return miles + distance_mi(here, SHOP)


@settings(max_examples=60)
@given(st.lists(places, max_size=40))
def test_a_trip_has_every_stop_once_and_is_never_longer_than_the_nearest_next(
    stops: list[Place],
) -> None:
    trip = round_trip(SHOP, stops)
    assert sorted(trip.order) == list(range(len(stops)))
    holds_together(trip, stops)
    if len(set(stops)) == len(stops):
        assert trip.total_mi <= nearest_next_mi(stops) + 1e-6


@settings(max_examples=60)
@given(st.lists(places, max_size=30), st.randoms(use_true_random=False))
def test_the_order_in_which_stops_come_changes_nothing(stops: list[Place], lots: object) -> None:
    mixed = list(stops)
    lots.shuffle(mixed)  # type: ignore[attr-defined]
    one, other = round_trip(SHOP, stops), round_trip(SHOP, mixed)
    assert [stops[at] for at in one.order] == [mixed[at] for at in other.order]
    days, others = (trips_of_days(SHOP, some, 6, 5) for some in (stops, mixed))
    assert [[stops[at] for at in day.order] for day in days] == [
        [mixed[at] for at in day.order] for day in others
    ]


@settings(max_examples=60)
@given(st.lists(places, max_size=30), st.integers(1, 8), st.integers(1, 8))
def test_days_keep_their_limits_and_leave_no_stop_out(
    stops: list[Place], days: int, per_day: int
) -> None:
    if len(stops) > days * per_day:
        with pytest.raises(ValueError, match="have room for"):
            trips_of_days(SHOP, stops, days, per_day)
        return
    trips = trips_of_days(SHOP, stops, days, per_day)
    assert len(trips) <= days
    assert all(1 <= len(trip.order) <= per_day for trip in trips)
    assert sorted(at for trip in trips for at in trip.order) == list(range(len(stops)))
    for trip in trips:
        holds_together(trip, stops)


def test_stops_at_one_place_are_one_leg_of_nothing() -> None:
    trip = round_trip(SHOP, [(40.5, -94.5)] * 3)
    assert trip.legs_mi[1:3] == (0, 0)


def test_without_stops_nobody_drives() -> None:
    assert round_trip(SHOP, []) == Trip((), ())
    assert trips_of_days(SHOP, [], 3, 6) == ()


def test_two_clusters_are_two_days() -> None:
    north = [(40.70 + n / 100, -94.5) for n in range(3)]
    south = [(40.10 - n / 100, -94.5) for n in range(3)]
    days = trips_of_days(SHOP, [north[0], south[0], north[1], south[1], north[2], south[2]], 2, 3)
    assert sorted(sorted(day.order) for day in days) == [[0, 2, 4], [1, 3, 5]]


@pytest.mark.parametrize(("days", "per_day"), [(0, 6), (3, 0), (-1, 6)])
def test_no_days_at_all_are_refused(days: int, per_day: int) -> None:
    with pytest.raises(ValueError, match="a whole number of one or more is wanted"):
        trips_of_days(SHOP, [SHOP], days, per_day)


def test_what_nobody_drives_is_refused() -> None:
    with pytest.raises(ValueError, match="which is no list to drive"):
        round_trip(SHOP, [SHOP] * (MOST_STOPS + 1))
