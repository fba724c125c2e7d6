"""The picture is to scale, keeps its order, and can always be drawn."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from present_holes import CHECKED, component, dug, flowing, level, rich, seen, thin, visit
from rich.cells import cell_len

from wellbook.dates import When
from wellbook.hole.parts import Pump
from wellbook.hole.records import Interval
from wellbook.present.picture import WIDTH, draw_hole, place_rows, scene_of
from wellbook.present.text import to_ascii
from wellbook.terms import Basis, IntervalKind, LevelState, MeasuringPoint, Quantity, Reason

DEPTHS = st.lists(st.floats(-50, 2000), min_size=1, max_size=9).map(sorted)


@given(DEPTHS, st.integers(1, 40))
def test_rows_rise_with_depth_and_stay_in_the_picture(depths: list[float], height: int) -> None:
    rows = place_rows(depths, height)
    assert all(a < b for a, b in pairwise(rows))
    assert rows[0] >= 0
    assert rows[-1] < max(height, len(depths))


@given(DEPTHS, st.integers(10, 60))
def test_rows_are_to_scale_but_for_what_had_to_move_out_of_the_way(
    depths: list[float], height: int
) -> None:
    span = depths[-1] - depths[0]
    rows = place_rows(depths, height)
    for depth, row in zip(depths, rows, strict=True):
        exact = (depth - depths[0]) / span * (height - 1) if span else 0
        assert abs(row - exact) <= len(depths)


def test_depths_far_apart_stand_exactly_on_scale() -> None:
    assert place_rows([0, 100, 250, 300, 500], 51) == [0, 10, 25, 30, 50]


depth = st.one_of(st.none(), st.floats(0.5, 1500))


@given(st.tuples(depth, depth, depth, depth, depth), st.integers(1, 40), st.booleans())
def test_any_record_can_be_drawn(known, height, plain) -> None:
    bottom, static, pumping, pump, casing = known
    observations = []
    if bottom is not None:
        observations.append(seen("b", Quantity.DEPTH_FT, bottom, CHECKED))
    if static is not None:
        observations.append(level("s", static, CHECKED, LevelState.STATIC))
    if pumping is not None:
        observations.append(level("p", pumping, CHECKED, LevelState.PUMPING))
    hole = thin(
        observations=tuple(observations),
        components=(component("u", Pump(set_depth_ft=pump)),) if pump else (),
        intervals=(
            Interval("i", IntervalKind.CASING, 0, casing, 6, "", Basis.ESTIMATED, When.unknown()),
        ),
    )
    rows = draw_hole(hole, height)
    rows = [to_ascii(row) for row in rows] if plain else rows
    assert max(map(cell_len, rows)) <= WIDTH
    assert len(rows) >= height
    if plain:
        assert all(row.isascii() for row in rows)
    numbers = [float(row[:5]) for row in rows if row[:5].strip()]
    assert numbers == sorted(numbers)
    labels = "\n".join(rows)
    assert ("bottom ?" in labels) == (bottom is None)
    for there, label in ((static, "static"), (pumping, "pumping"), (pump, "pump ")):
        assert (label in labels) == (there is not None)


def row_of(rows: list[str], label: str) -> int:
    return next(n for n, row in enumerate(rows) if label in row)


def test_the_rich_well_is_drawn_to_scale() -> None:
    rows = draw_hole(rich(), 40)
    top, bottom = row_of(rows, "casing top"), row_of(rows, "bottom")
    for label, feet in (("casing ◐", 64), ("static", 150), ("pumping", 226.5), ("pump ●", 260)):
        exact = top + (feet + 1.5) / (310 + 1.5) * (bottom - top)
        assert abs(row_of(rows, label) - exact) <= 1


def test_signs_of_the_features() -> None:
    rows = draw_hole(rich(), 24)
    assert "╡ ┃ ╞" in rows[row_of(rows, "casing ◐")]
    assert "~" in rows[row_of(rows, "static ○")]
    assert "┄" in rows[row_of(rows, "pumping ●")]
    assert "█" in rows[row_of(rows, "pump ●")]
    assert "└───┘" in rows[row_of(rows, "bottom ◐")]


def test_levels_from_the_casing_top_are_drawn_below_ground() -> None:
    assert "226" in draw_hole(rich(), 24)[row_of(draw_hole(rich(), 24), "pumping")]


def test_no_water_is_drawn_where_it_stood_before_the_well_was_dry() -> None:
    old = level("a", 98, date(2015, 5, 5), LevelState.STATIC)
    dry = level("b", None, date(2018, 6, 3), LevelState.DRY)
    assert "static" in "".join(draw_hole(thin(observations=(old,)), 10))
    assert "static" not in "".join(draw_hole(thin(observations=(old, dry)), 10))


def test_nothing_known_is_an_open_hole() -> None:
    rows = draw_hole(thin(), 8)
    assert "ground" in rows[0]
    assert "?" in rows[-1]
    assert "└" not in "".join(rows)


def test_a_dug_well_with_a_hand_pump() -> None:
    rows = draw_hole(dug(), 10)
    assert row_of(rows, "static") < row_of(rows, "cylinder") < row_of(rows, "bottom")


def test_a_flowing_well_stands_above_the_ground() -> None:
    rows = draw_hole(flowing(), 10)
    assert row_of(rows, "flows") < row_of(rows, "ground")
    assert "+3.5" in rows[row_of(rows, "flows")]
    without_height = draw_hole(flowing(None), 10)
    assert row_of(without_height, "flows") < row_of(without_height, "ground")


def test_a_pump_below_the_bottom_is_drawn_where_the_record_says() -> None:
    hole = thin(
        observations=(
            seen("b", Quantity.DEPTH_FT, 200, date(2020, 1, 1), point=MeasuringPoint.GROUND),
        ),
        components=(component("u", Pump(set_depth_ft=220)),),
    )
    rows = draw_hole(hole, 12)
    assert row_of(rows, "bottom") < row_of(rows, "pump ")


@pytest.mark.parametrize("height", [0, 1, 3])
def test_too_few_rows_still_show_every_feature(height: int) -> None:
    assert len(draw_hole(rich(), height)) == len(scene_of(rich()).features)


def test_a_bottom_from_before_the_hole_was_deepened_is_drawn_in_doubt() -> None:
    hole = thin(
        observations=(seen("a", Quantity.DEPTH_FT, 428, date(1999, 8, 2), Basis.DRILLERS_LOG),),
        visits=(visit("v", date(2020, 6, 1), Reason.DEEPENING),),
    )
    rows = draw_hole(hole, 10)
    assert "  428 │? ?│ till then ◐" in rows
    assert rows[-1].endswith("?   ? bottom ?")
    # Fracturing opens the rock at the sides: the bottom is where it was.
    fractured = replace(hole, visits=(visit("v", date(2020, 6, 1), Reason.HYDROFRACTURING),))
    assert draw_hole(fractured, 10)[-1] == "  428 └───┘ bottom ◐"
