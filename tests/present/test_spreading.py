"""Labels never cover one another, keep their order, and stay in the drawing."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from wellbook.present.spreading import spread

PLACES = st.lists(st.floats(0, 600), min_size=1, max_size=30).map(sorted)


@given(PLACES)
def test_labels_are_apart_in_order_and_inside(wanted: list[float]) -> None:
    places = spread(wanted, 17, 0, 600)
    assert all(lower - upper >= 17 - 1e-6 for upper, lower in pairwise(places))
    assert places[0] >= -1e-6 and places[-1] <= 600 + 1e-6


@given(PLACES)
def test_what_has_room_stands_where_it_is_wanted(wanted: list[float]) -> None:
    apart = [place + 17 * n for n, place in enumerate(wanted)]
    moved = [abs(a - b) for a, b in zip(spread(apart, 17, 0, 2000), apart, strict=True)]
    assert max(moved) < 1e-6


def test_with_too_little_room_they_share_it() -> None:
    assert spread([5, 5, 5], 17, 0, 20) == [0, 10, 20]
    assert spread([], 17, 0, 20) == []
