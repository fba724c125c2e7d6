"""Days to drive: every stop once, in driving order where coordinates are known, limits kept."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wellbook.engineering.great_circle import Place, distance_mi
from wellbook.engineering.routes import MOST_STOPS
from wellbook.reminders.driving import Day, days_of, far_off

SHOP = (42.05, -101.45)


@dataclass(frozen=True)
class At:
    name: str
    town: str = ""
    place: Place | None = None

    @property
    def address(self) -> tuple[bool, str, str, str]:
        return not self.town, self.town, "", self.name


def north(name: str, miles: float, town: str = "") -> At:
    return At(name, town, (SHOP[0] + miles / 69.09, SHOP[1]))


def named(days: tuple[Day[At], ...]) -> list[str]:
    return ["".join(visit.stop.name for visit in day.visits) for day in days]


places = st.tuples(
    st.floats(41.5, 42.5).map(lambda x: round(x, 3)),
    st.floats(-102, -101).map(lambda x: round(x, 3)),
)
stops = st.lists(
    st.tuples(st.sampled_from(["", "Dravel", "Ambelow"]), st.none() | places), max_size=20
).map(lambda some: [At(f"{n:02}", town, place) for n, (town, place) in enumerate(some)])


@settings(max_examples=80)
@given(stops, st.none() | st.just(SHOP), st.integers(1, 6), st.randoms(use_true_random=False))
def test_every_stop_is_on_one_day_and_no_day_is_too_full(
    some: list[At], start: Place | None, per_day: int, lots: object
) -> None:
    room = (-(-len(some) // per_day) or 1, per_day)
    days = days_of(some, start, room)
    assert len(days) <= room[0]
    assert [day.number for day in days] == list(range(1, len(days) + 1))
    assert all(1 <= len(day.visits) <= per_day for day in days)
    assert sorted(v.stop.name for d in days for v in d.visits) == [stop.name for stop in some]
    mixed = list(some)
    lots.shuffle(mixed)  # type: ignore[attr-defined]
    assert [d.total_mi for d in days_of(mixed, start, room)] == [d.total_mi for d in days]


@settings(max_examples=40)
@given(stops)
def test_without_days_all_are_on_one(some: list[At]) -> None:
    for start in (None, SHOP):
        days = days_of(some, start, None)
        assert len(days) == bool(some)
        assert sorted(v.stop.name for d in days for v in d.visits) == [s.name for s in some]


def test_from_a_place_they_stand_in_driving_order_with_the_legs_miles() -> None:
    (day,) = days_of([north("c", 9), north("a", 2), north("b", 5)], SHOP, None)
    assert named((day,)) == ["abc"]
    assert [v.leg_mi for v in day.visits] == pytest.approx([2, 3, 4], abs=0.01)
    assert day.total_mi == pytest.approx(18, abs=0.01)
    assert [v.bearing_degrees for v in day.visits] == pytest.approx([0, 0, 0])


def test_without_a_start_they_stand_by_town_and_road_and_have_no_miles() -> None:
    some = [north("c", 2, "Dravel"), north("b", 9, "Ambelow"), north("a", 5, "Dravel"), At("d")]
    (day,) = days_of(some, None, None)
    assert named((day,)) == ["bacd"]
    assert day.total_mi is None
    assert all(visit.leg_mi is None for visit in day.visits)


def test_a_stop_without_coordinates_goes_with_its_town_and_has_no_miles() -> None:
    near = [north("a", 2, "Dravel"), north("b", 2.2, "Dravel")]
    far = [north("c", 20, "Ambelow"), north("d", 20.2, "Ambelow")]
    days = days_of([*near, *far, At("x", "Ambelow"), At("y", "Dravel")], SHOP, (2, 3))
    assert sorted("".join(sorted(names)) for names in named(days)) == ["aby", "cdx"]
    for day in days:
        assert [v.leg_mi is None for v in day.visits] == [v.stop.place is None for v in day.visits]
        lone = [v.stop.place for v in day.visits if v.stop.place]
        assert day.total_mi == pytest.approx(2 * max(distance_mi(SHOP, p) for p in lone), abs=0.01)


def test_a_stop_of_a_town_that_nobody_has_placed_comes_last() -> None:
    days = days_of(
        [At("x", "Corsel"), north("a", 2, "Dravel"), north("b", 20, "Ambelow")], SHOP, None
    )
    assert named(days) == ["abx"]
    days = days_of([At("x"), north("a", 2), north("b", 20)], SHOP, (2, 2))
    assert "x" in named(days)[-1]


def test_where_no_stop_has_coordinates_there_are_no_miles() -> None:
    days = days_of([At("b", "B"), At("a", "A"), At("c", "C")], SHOP, (2, 2))
    assert named(days) == ["ab", "c"]
    assert [day.total_mi for day in days] == [None, None]


def test_too_many_for_a_round_trip_stand_by_town_and_road() -> None:
    some = [north(f"{n:04}", n / 100, "Dravel") for n in range(MOST_STOPS + 1)]
    (day,) = days_of(some[::-1], SHOP, None)
    assert [visit.stop for visit in day.visits] == some


def test_what_lies_too_far_off_is_told() -> None:
    some = [north("a", 299), At("b", "", (-42.05, 101.45)), At("c")]
    assert [stop.name for stop in far_off(days_of(some, SHOP, None), SHOP)] == ["b"]
    assert far_off(days_of(some, None, None), None) == []
