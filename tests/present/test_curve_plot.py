"""A pump's curve drawn: what is to be seen, on the terminal and as a vector drawing."""

from __future__ import annotations

from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.engineering.curves import HeadCurve
from wellbook.present.curve_drawing import svg_of
from wellbook.present.curve_plot import CurvePlot, LineKind, MarkKind, plot_of, ticks
from wellbook.present.curve_screen import draw_curve
from wellbook.present.text import to_ascii

PUMP = HeadCurve(((0, 330), (5, 300), (10, 230), (14, 120)))
SVG = "{http://www.w3.org/2000/svg}"


def system(gpm: float) -> float:
    """A well that gives no more than 12 gpm."""
    if gpm > 12:
        raise ValueError("gpm: the pumping level is at the pump")
    return 150 + gpm**2


FULL = CurvePlot("Oskerby O-1007 <&>", PUMP, system, (8.3, 256.0), 10)
BARE = CurvePlot("Oskerby O-1007", PUMP)


# -- what is to be drawn -------------------------------------------------------------------------


def test_the_pumps_line_goes_through_its_points_and_no_further() -> None:
    (line,) = plot_of(BARE).lines
    assert line.kind is LineKind.PUMP
    assert line.points[0] == (0, 330) and line.points[-1] == (14, 120)
    assert all(q0 < q1 and h0 > h1 for (q0, h0), (q1, h1) in pairwise(line.points))


def test_the_systems_line_ends_where_the_well_gives_no_more() -> None:
    line = plot_of(FULL).lines[1]
    assert line.kind is LineKind.SYSTEM
    assert line.points[0] == (0, 150)
    assert line.points[-1][0] <= 12
    assert line.points[-1][1] == pytest.approx(system(line.points[-1][0]))


def test_marks_stand_on_the_curve_and_where_it_works() -> None:
    rated, works = plot_of(FULL).marks
    assert (rated.kind, rated.gpm, rated.head_ft) == (MarkKind.RATED, 10, 230)
    assert works.text == "works at 8.3 gpm, 256 ft"


def test_a_system_that_the_pump_never_reaches_is_still_to_be_seen() -> None:
    plot = plot_of(CurvePlot("too deep", PUMP, lambda gpm: 420 + gpm))
    assert plot.head.top >= 420
    assert plot.lines[1].points[0] == (0, 420)


def test_axes_begin_at_nothing_and_hold_all() -> None:
    plot = plot_of(FULL)
    assert plot.flow.ticks == (0, 2, 4, 6, 8, 10, 12, 14)
    assert plot.head.ticks == (0, 50, 100, 150, 200, 250, 300, 350)


@given(st.floats(0.05, 20_000), st.integers(3, 12))
def test_ticks_are_round_few_and_reach_the_top(highest: float, most: int) -> None:
    found = ticks(highest, most=most)
    step = found[1]
    assert found[0] == 0
    assert found[-1] >= highest * (1 - 1e-9)
    assert found[-1] - step < highest
    assert len(found) <= most + 1
    assert f"{step:e}"[0] in "125"


def test_the_description_says_it_to_whoever_cannot_see_it() -> None:
    assert plot_of(FULL).description == (
        "The pump's head falls from 330 ft at no flow to 120 ft at 14 gpm."
        " Well and plumbing ask for 150 ft at 0 gpm and 293 ft at 12 gpm."
        " Rated 10 gpm, 230 ft. Works at 8.3 gpm, 256 ft."
    )


# -- on the terminal -----------------------------------------------------------------------------


@pytest.mark.parametrize("width", [40, 60, 80, 100])
@pytest.mark.parametrize("asked", [FULL, BARE], ids=["full", "bare"])
def test_it_fits_the_screen(asked: CurvePlot, width: int) -> None:
    lines = draw_curve(plot_of(asked), width)
    assert max(map(len, lines)) <= width
    assert len(lines) <= 22


def test_rows_that_bear_a_number_are_evenly_apart() -> None:
    lines = draw_curve(plot_of(FULL))
    bears = [n for n, line in enumerate(lines) if line[:4].strip().isdigit() and line[3] == " "]
    assert len(bears) >= 7
    assert len({b - a for a, b in pairwise(bears[:7])}) == 1


def test_the_line_passes_the_height_of_its_numbers() -> None:
    """230 ft at 10 gpm: the mark stands a little below the row of 250, above that of 200."""
    lines = draw_curve(plot_of(FULL))
    (mark,) = (n for n, line in enumerate(lines) if "◇" in line and "rated" not in line)
    row = {line.split()[0]: n for n, line in enumerate(lines) if line[:3].strip().isdigit()}
    assert row["250"] < mark < row["200"]
    axis = lines[row["0"]]
    ten = lines[row["0"] + 1].index("10")
    assert abs(lines[mark].index("◇") - ten) <= 1
    assert axis.count("┬") == 7


def test_every_line_and_mark_is_in_the_legend() -> None:
    legend = " ".join(draw_curve(plot_of(FULL))[-2:])
    for said in ("pump", "well and plumbing", "◇ rated 10 gpm, 230 ft", "◆ works at 8.3 gpm"):
        assert said in legend


def test_in_ascii_the_two_lines_are_still_told_apart() -> None:
    lines = [to_ascii(line) for line in draw_curve(plot_of(FULL))]
    assert all(line.isascii() for line in lines)
    assert "**** pump" in lines[-1] and "** ** well and plumbing" in lines[-1]


def test_what_a_maker_is_called_changes_nothing_on_a_terminal() -> None:
    assert draw_curve(plot_of(CurvePlot("\x1b[31mred", PUMP))) == draw_curve(plot_of(BARE))


# -- as a vector drawing -------------------------------------------------------------------------


def test_the_drawing_is_xml_with_title_and_description() -> None:
    plot = plot_of(FULL)
    root = ElementTree.fromstring(svg_of(plot).encode())
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "title desc"
    assert root.findtext(f"{SVG}title") == "Oskerby O-1007 <&>"
    assert root.findtext(f"{SVG}desc") == plot.description


def test_all_that_is_drawn_lies_on_the_sheet() -> None:
    root = ElementTree.fromstring(svg_of(plot_of(FULL)).encode())
    for line in root.iter(f"{SVG}polyline"):
        for point in (line.get("points") or "").split():
            x, y = map(float, point.split(","))
            assert 0 <= x <= 720 and 0 <= y <= 480
    assert len(list(root.iter(f"{SVG}circle"))) == len(PUMP.points)
    lines = [e.get("class") for e in root.iter(f"{SVG}polyline")]
    assert lines.count("line pump") == lines.count("line system") == 2  # drawn, and in the legend


def test_the_drawing_needs_no_colour_and_no_font_of_its_own() -> None:
    text = svg_of(plot_of(FULL))
    assert "sans-serif" in text
    grey = [c for c in text.split("#")[1:] if c[:3].isalnum()]
    assert all(len(set(c[:3])) == 1 for c in grey)
    assert "stroke-dasharray" in text


def test_control_signs_of_a_name_do_not_break_the_drawing() -> None:
    plot = plot_of(CurvePlot("a\x00b\x1b[31mc " + "long " * 60, PUMP))
    root = ElementTree.fromstring(svg_of(plot).encode())
    assert (root.findtext(f"{SVG}title") or "").startswith("abc long")
