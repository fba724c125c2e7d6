"""The cross-section, as a vector drawing and on the screen: to scale, in order, legible, and honest."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from present_holes import CHECKED, TODAY, component, dug, flowing, level, rich, seen, thin
from rich.cells import cell_len

from wellbook.dates import When
from wellbook.engineering.curves import HeadCurve
from wellbook.hole.hole import Hole
from wellbook.hole.parts import CheckValve, Pipe, Pump, Switch
from wellbook.hole.records import Interval, PumpModel
from wellbook.present.cross_section import LIMITS, CrossSection, cross_section
from wellbook.present.hole_drawing import svg_of
from wellbook.present.hole_screen import WIDTH, draw_screen
from wellbook.present.picture import draw, scene_of
from wellbook.present.text import to_ascii
from wellbook.rules.reach import reach_of
from wellbook.terms import Basis, IntervalKind, LevelState, PumpType, Quantity, WellStatus

SVG = "{http://www.w3.org/2000/svg}"
SUB = PumpType.SUBMERSIBLE


def section_of(hole: Hole) -> CrossSection:
    return cross_section(hole, reach_of(hole, 50), TODAY)


class Drawn:
    """A vector drawing, read back."""

    def __init__(self, hole: Hole) -> None:
        self.text = svg_of(section_of(hole))
        self.root = ElementTree.fromstring(self.text)

    @property
    def places(self) -> list[tuple[str, float, float]]:
        """What each label is of, its depth, and the height to which its line leads."""
        lines = [e for e in self.root.iter(f"{SVG}polyline") if e.get("data-what")]
        return [
            (e.attrib["data-what"], float(e.attrib["data-depth-ft"]), _first_y(e)) for e in lines
        ]

    def y(self, what: str) -> float:
        return next(y for name, _, y in self.places if name == what)

    @property
    def labels(self) -> list[ElementTree.Element]:
        return [e for e in self.root.iter(f"{SVG}text") if e.get("class") == "label"]

    @property
    def words(self) -> str:
        return "\n".join(self.root.itertext())


def _first_y(line: ElementTree.Element) -> float:
    return float(line.attrib["points"].split()[0].split(",")[1])


def hung(pipe_psi: float = 160, set_ft: float = 400, curve: HeadCurve | None = None) -> Hole:
    """A drilled well with a pump on plain pipe."""
    hole = thin(
        observations=(
            seen("b", Quantity.DEPTH_FT, 450, CHECKED),
            level("s", 120, CHECKED, LevelState.STATIC),
            level("p", 250, CHECKED, LevelState.PUMPING),
        ),
        intervals=(
            Interval("i", IntervalKind.CASING, 0, 60, 6, "steel", Basis.MEASURED, When.unknown()),
        ),
        components=(
            component("pipe", Pipe("pvc", "1", None, pipe_psi, 0, set_ft, 20)),
            component("pump", Pump(SUB, hp=0.75, rated_gpm=10, set_depth_ft=set_ft)),
            component("switch", Switch(30, 50)),
        ),
    )
    if curve is None:
        return hole
    return replace(hole, pump_models={"pump": PumpModel("Kesp", "K-9", 0.75, 10, curve=curve)})


def test_it_is_a_document_that_says_what_it_is_and_what_it_shows() -> None:
    drawn = Drawn(rich())
    assert drawn.root.tag == f"{SVG}svg"
    width, height = drawn.root.attrib["viewBox"].split()[2:]
    assert (drawn.root.attrib["width"], drawn.root.attrib["height"]) == (width, height)
    assert drawn.root.findtext(f"{SVG}title", "").startswith("LV-0212")
    said = drawn.root.findtext(f"{SVG}desc", "")
    assert "static level 150 ft." in said
    assert "pump, 1 hp, 10 gpm 260 ft." in said
    assert "http" not in drawn.text.replace("http://www.w3.org/2000/svg", "")
    assert re.findall(r"font-family: ([^;]*);", drawn.text) == ["sans-serif"]


@pytest.mark.parametrize("hole", [rich(), dug(), flowing(), hung(), hung(200, 440)])
def test_every_place_is_linear_in_depth(hole: Hole) -> None:
    places = Drawn(hole).places
    (_, shallow, top), (_, deep, foot) = min(places, key=_ft), max(places, key=_ft)
    slope = (foot - top) / (deep - shallow)
    for what, feet, y in places:
        assert y == pytest.approx(top + slope * (feet - shallow), abs=0.02), what


def _ft(place: tuple[str, float, float]) -> float:
    return place[1]


def test_a_pipe_past_its_rating_is_seen_above_the_pump() -> None:
    drawn = Drawn(hung())
    assert drawn.y("water") < drawn.y("with_cut_out") < drawn.y("column") < drawn.y("pump")
    assert "pipe past its rating" in drawn.words
    assert "keep off the head under pressure" in drawn.words
    fine = Drawn(hung(315, 400))
    assert "pipe past its rating" not in fine.words
    assert fine.y("water") < fine.y("pump")


def test_where_the_pump_gives_no_water_is_hatched() -> None:
    known = Drawn(hung(315, 400, HeadCurve(((0, 330), (5, 300), (10, 230)))))
    assert 'fill="url(#dry)"' in known.text
    assert 'fill="url(#may)"' in known.text
    assert known.y("stalls") < known.y("pump")
    # 330 ft at no flow less 50 psi x 2.31 ft is 214 ft (NDSU AE1057), and the pump hangs at 400 ft.
    assert "do not count on the lowest 186 ft" in known.words
    assert "a stalled pump overheats" in known.words
    guessed = Drawn(hung(315, 400))
    assert 'fill="url(#may)"' in guessed.text
    assert guessed.y("may_stall") < guessed.y("stalls")
    assert "estimated from power and flow" in guessed.words


def test_limits_deeper_than_the_hole_are_named_and_do_not_squash_it() -> None:
    drawn = Drawn(hung(200, 100))
    assert "Deeper than the drawing goes: 461 ft: 200 psi pipe, column alone" in drawn.words
    assert max(feet for _, feet, _ in drawn.places) == 450


def test_usable_water_in_gallons_or_why_not() -> None:
    assert "usable: " in Drawn(hung(315, 240)).words
    wide = Drawn(replace(hung(315, 240), intervals=()))
    assert "gallons not known, as the width of the bore is not" in wide.words
    assert "usable: width unknown" in wide.words


def test_what_is_not_known_is_said_to_be_unknown() -> None:
    drawn = Drawn(thin())
    assert "bottom not known" in drawn.words
    assert "nothing on record" in drawn.words
    odd = thin(
        components=(
            component("a", Pipe(to_ft=200.0)),
            component("b", Pump(SUB, set_depth_ft=200)),
        )
    )
    assert "no limit can be said" in Drawn(odd).words
    assert "cannot say: no curve of the pump, nor its power and rated flow" in Drawn(odd).words
    unset = Drawn(thin(components=(component("b", Pump(SUB, hp=1)),)))
    assert "set depth unknown" in unset.words


def test_a_well_that_flows_a_sealed_one_and_one_not_drilled_yet() -> None:
    assert Drawn(flowing()).y("water") < Drawn(flowing()).y("ground")
    sealed = Drawn(replace(hung(), status=WellStatus.SEALED))
    assert "SEALED" in sealed.words
    assert not {"pump", "with_cut_out", "usable"} & {what for what, _, _ in sealed.places}
    coming = thin(drilled_on=When.on(date(2026, 12, 1)))
    assert "not drilled yet" in Drawn(coming).words
    assert Drawn(coming).places == []
    assert any("not drilled yet" in row.plain for row in draw_screen(section_of(coming)))


def test_no_pump_is_drawn_where_only_pipe_hangs() -> None:
    there = replace(hung(), components=hung().components[:1])
    assert 'class="pump"' not in Drawn(there).text
    assert 'class="pump"' in Drawn(hung()).text
    assert not any("█" in row.plain for row in draw_screen(section_of(there)))


def test_pipe_that_nobody_wrote_down_is_drawn_as_unknown() -> None:
    pipe, *rest = hung().components
    short = replace(hung(), components=(replace(pipe, part=replace(pipe.part, to_ft=300)), *rest))
    assert 'class="pipe untold"' in Drawn(short).text
    assert "to 300 ft on record, the pump at 400 ft" in Drawn(short).words
    assert 'class="pipe untold"' not in Drawn(hung()).text


def test_what_people_wrote_cannot_break_the_drawing() -> None:
    nasty = "<script>&\x1b[31m]]>\x00\u202e"
    hole = replace(rich(), driller=nasty, tag=f"T{nasty}")
    assert "\x1b" not in Drawn(hole).text
    assert "<script" not in Drawn(hole).text


depth = st.one_of(st.none(), st.floats(0.5, 1500))


@given(
    st.tuples(depth, depth, depth, depth, depth),
    st.lists(st.floats(1, 1500), max_size=12),
    st.sampled_from([None, 100.0, 160.0, 315.0]),
    st.sampled_from([None, 0.5, 5.0]),
)
def test_any_record_is_drawn_in_order_and_legibly(known, valves, rating, hp) -> None:
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
        components=(
            component("u", Pump(SUB, hp=hp, rated_gpm=10, set_depth_ft=pump)),
            component("q", Pipe("pvc", "1", None, rating, 0, pump, 20)),
            *(component(f"v{n}", CheckValve("brass", feet)) for n, feet in enumerate(valves)),
        ),
        intervals=(
            Interval("i", IntervalKind.CASING, 0, casing, 6, "", Basis.ESTIMATED, When.unknown()),
        ),
    )
    drawn = Drawn(hole)
    for right in (False, True):
        side = [p for p in drawn.places if (p[0] in LIMITS) is right]
        assert all(a[1] <= b[1] and a[2] <= b[2] for a, b in pairwise(side))
        ends = [e for e in drawn.labels if (e.get("text-anchor") is None) is right]
        rows = [float(e.attrib["y"]) for e in ends]
        assert len(rows) == len(side)
        assert all(lower - upper >= 16 for upper, lower in pairwise(rows))
    box = [float(n) for n in drawn.root.attrib["viewBox"].split()]
    texts = [e for e in drawn.root.iter(f"{SVG}text") if e.get("y")]
    assert all(0 <= float(e.attrib["y"]) <= box[3] for e in texts)
    screen = [row.plain for row in draw_screen(section_of(hole))]
    assert max(map(cell_len, screen)) <= WIDTH
    assert to_ascii("\n".join(screen)).isascii()


# -- on the screen -----------------------------------------------------------------------------


def rows_of(hole: Hole) -> list[str]:
    return [row.plain for row in draw_screen(section_of(hole))]


def row_of(rows: list[str], words: str) -> int:
    return next(n for n, row in enumerate(rows) if words in row)


def test_the_screen_shows_both_limits_of_the_pipe_above_the_pump() -> None:
    rows = rows_of(hung())
    with_switch, alone = row_of(rows, "160 psi pipe, 50 psi on top"), row_of(rows, "column alone")
    assert row_of(rows, "static level") < with_switch < alone < row_of(rows, "pump, 3/4 hp")
    assert "═" in rows[with_switch] and " 253 " in rows[with_switch]
    assert "═" in rows[alone] and " 369 " in rows[alone]
    assert "╳" in rows[with_switch + 1] and "╳" not in rows[with_switch]
    assert not any("╳" in row for row in rows_of(hung(315, 300)))


def test_the_screen_brackets_the_usable_water_and_shades_what_is_of_no_use() -> None:
    rows = rows_of(hung(315, 400, HeadCurve(((0, 330), (5, 300), (10, 230)))))
    top, foot, dry = row_of(rows, "┐"), row_of(rows, "┘ 214"), row_of(rows, " 330 ")
    assert "static level" in rows[top]
    assert "pump reaches 50 psi" in rows[foot]
    assert "░" in rows[foot + 1] and "░" not in rows[foot - 1]
    assert "pump stalls" in rows[dry]
    assert "▒" in rows[dry + 1] and "▒" not in rows[dry - 1]


@pytest.mark.parametrize("width", [40, 60, 80, 200])
def test_the_screen_keeps_to_the_width_of_the_terminal(width: int) -> None:
    rows = [row.plain for row in draw_screen(section_of(rich()), width)]
    assert max(map(cell_len, rows)) <= min(width, WIDTH)


def test_the_page_shows_only_limits_that_something_hangs_past() -> None:
    def labels(hole: Hole) -> list[str]:
        return [f.label for f in scene_of(hole, reach_of(hole, 50)).features]

    assert {"pipe+switch", "pipe alone"} <= set(labels(hung()))
    assert "pipe alone" not in labels(hung(160, 300)) and "pipe+switch" in labels(hung(160, 300))
    assert not {"pipe+switch", "pipe alone", "lift ends", "stalls", "may stall"} & set(
        labels(hung(200, 200))
    )
    assert "stalls" in labels(hung(315, 400, HeadCurve(((0, 330), (10, 230)))))
    rows = draw(scene_of(hung(), reach_of(hung(), 50)), 24)
    assert row_of(rows, "═┃═╎ pipe+switch") < row_of(rows, "═┃═╎ pipe alone") < row_of(rows, "█")
