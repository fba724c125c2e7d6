"""What the history says of each part, and what a sheet says it will change before it is written.

The sheets are invented, and replayed as a book replays them.
"""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest
from present_holes import TODAY, thin

from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.hole.replay import replay
from wellbook.hole.said import Sheet
from wellbook.hole.sheet import read_sheet
from wellbook.hole.story import Recorded
from wellbook.present.changes import changes
from wellbook.present.history import build_history
from wellbook.present.json_history import history_json
from wellbook.terms import Kind, SheetKind, WellStatus

SET = """
date = 2010-01-01
reason = "new well"
[set.pump]
hp = 2
set_depth_ft = 500
[[set.pipe]]
material = "galvanized steel"
nominal_in = "1-1/4"
to_ft = 100
[[set.pipe]]
material = "galvanized steel"
nominal_in = "1"
from_ft = 100
to_ft = 500
[set.cable]
awg = 10
to_ft = 500
"""
HIGHER = """
date = 2015-05-05
reason = "pull and inspect"
[back.pump]
set_depth_ft = 400
[back.pipe]
to_ft = 400
[back.cable]
to_ft = 400
splices_added = 1
"""
CUT = """
date = 2018-06-06
reason = "replacement"
disinfected = true
[pulled.pump]
why = "worn"
[pulled.pipe]
from_ft = 300
to_ft = 400
why = "split"
[set.pipe]
material = "pvc"
from_ft = 300
to_ft = 400
[set.pump]
hp = 3
set_depth_ft = 400
"""
OUT = """
date = 2020-06-06
reason = "replacement"
left_without_pump = true
[pulled.pump]
[pulled.pipe]
"""


def well(*texts: str) -> Hole:
    """A well of these sheets, in the order in which they came into the book."""
    read = [read_sheet(tomllib.loads(t), today=TODAY, kind=SheetKind.VISIT) for t in texts]
    rows = [Recorded(f"s{n}", "w", sheet, n) for n, sheet in enumerate(read)]
    story = replay(rows)
    rows.sort(key=lambda row: row.place)
    return thin(
        components=tuple(sorted(story.components, key=lambda c: list(Kind).index(c.kind))),
        inspections=tuple(row for _, row in story.inspections),
        observations=tuple(row for _, row in story.observations),
        visits=tuple(_visit(row.root_uid, row.sheet, row.entered + 1) for row in rows),
    )


def _visit(uid: str, sheet: Sheet, number: int) -> Visit:
    return Visit(
        uid,
        sheet.kind,
        sheet.start,
        sheet.end,
        sheet.reason,
        sheet.crew,
        sheet.left_without_pump,
        sheet.left_for_next_time,
        sheet.notes,
        sheet.opened,
        sheet.disinfected,
        number=number,
    )


def told(hole: Hole, year: int) -> list[str]:
    """The lines on parts of one year."""
    rows = [e for e in build_history(hole) if e.component and e.day.year == year]
    return [f"{e.what} {e.label}: {e.text}" for e in rows]


def test_each_part_is_told_of_as_it_was_set() -> None:
    assert told(well(SET, HIGHER, CUT), 2010) == [
        "set pipe: 1-1/4 in galvanized, to 100 ft",
        "set pipe: 1 in galvanized, 100 to 500 ft",
        "set cable: #10, to 500 ft",
        "set pump: 2 hp, at 500 ft",
    ]


def test_where_it_went_back_and_what_was_spliced_stands_at_the_visit() -> None:
    entry = next(e for e in build_history(well(SET, HIGHER)) if e.number == 2)
    assert set(entry.details) == {
        ("put back", "pipe: to 400 ft (was to 500 ft)"),
        ("put back", "cable: to 400 ft (was to 500 ft)"),
        ("put back", "pump: at 400 ft (was at 500 ft)"),
        ("spliced", "cable: 1 splice added"),
    }


def test_of_a_section_that_was_cut_the_stretch_that_came_out_is_out_and_the_rest_is_left() -> None:
    hole = well(SET, HIGHER, CUT)
    assert told(hole, 2018) == [
        "pulled pipe: 1 in galvanized, 300 to 400 ft; set 2010-01-01, in the well 8 years; split",
        "pulled pump: 2 hp, at 400 ft; set 2010-01-01, in the well 8 years; worn",
        "left pipe: 1 in galvanized, 100 to 300 ft; set 2010-01-01",
        "set pipe: PVC, rating unknown, 300 to 400 ft",
        "set pump: 3 hp, at 400 ft",
    ]
    sheet = next(e for e in build_history(hole) if e.number == 3)
    assert sheet.details == (("disinfected", "the well"),)
    # What was said of the whole section is said once.
    before = next(e for e in build_history(hole) if e.number == 2)
    assert len(before.details) == len(set(before.details)) == 4


@pytest.mark.parametrize(
    ("cut", "out", "left"),
    [
        ("from_ft = 100\nto_ft = 200", ["100 to 200"], ["200 to 500"]),
        ("from_ft = 200\nto_ft = 300", ["200 to 300"], ["100 to 200", "300 to 500"]),
        ("from_ft = 400\nto_ft = 500", ["400 to 500"], ["100 to 400"]),
        ("from_ft = 100\nto_ft = 500", ["100 to 500"], []),
        ("from_ft = 50\nto_ft = 200", ["50 to 100", "100 to 200"], ["to 50", "200 to 500"]),
    ],
)
def test_a_cut_at_the_top_within_and_at_the_bottom(
    cut: str, out: list[str], left: list[str]
) -> None:
    sheet = f'date = 2018-06-06\nreason = "replacement"\n[set.pipe]\nmaterial = "pvc"\n{cut}'
    lines = [line.split(";")[0] for line in told(well(SET, sheet), 2018)]
    assert [x for x in lines if x.startswith("pulled")] == [
        f"pulled pipe: {'1-1/4' if x == '50 to 100' else '1'} in galvanized, {x} ft" for x in out
    ]
    assert [x for x in lines if x.startswith("left")] == [
        f"left pipe: {'1-1/4' if x == 'to 50' else '1'} in galvanized, {x} ft" for x in left
    ]


def test_two_sections_that_come_out_together_are_told_apart() -> None:
    lines = told(well(SET, HIGHER, CUT, OUT), 2020)
    assert len(lines) == len(set(lines)) == 4
    assert lines[1].startswith("pulled pipe: 1 in galvanized, 100 to 300 ft; set 2010-01-01")


def test_other_programs_are_told_of_the_part_as_it_was_then() -> None:
    hole = well(SET, HIGHER)
    shape = history_json(hole, build_history(hole))
    pump = next(e for e in shape["entries"] if e["what"] == "set" and e["label"] == "pump")
    assert pump["component"]["facts"]["set_depth_ft"]["value"] == 500


# -- what a sheet changes ------------------------------------------------------------------------


def test_a_slip_of_older_days_says_what_it_adds_to_the_history() -> None:
    slip = 'date = 2012-03-03\nreason = "replacement"\n[set.pump]\nhp = 1.5\nset_depth_ft = 480'
    lines = changes(well(SET, CUT), well(SET, CUT, slip))
    assert "then: pump: 1-1/2 hp, at 480 ft; set 2012-03-03, pulled 2018-06-06 (worn)" in lines
    assert (
        "then: pump: 2 hp, at 500 ft; set 2010-01-01, pulled 2012-03-03 (replaced)"
        "   (was: pump: 2 hp, at 500 ft; set 2010-01-01, pulled 2018-06-06 (worn))"
    ) in lines
    back = changes(well(SET, CUT, slip), well(SET, CUT))
    assert "gone: pump: 1-1/2 hp, at 480 ft; set 2012-03-03, pulled 2018-06-06 (worn)" in back


def test_a_pump_of_old_in_a_well_that_is_sealed_now() -> None:
    slip = 'date = 2010-01-01\nreason = "new well"\n[set.pump]\nhp = 1.5'
    before, after = (replace(w, status=WellStatus.SEALED) for w in (thin(), well(slip)))
    assert changes(before, after) == [
        "then: pump: 1-1/2 hp; set 2010-01-01, left in the hole, sealed in"
    ]


def test_what_was_never_on_record_and_comes_out_is_out() -> None:
    sheet = 'date = 2020-01-01\nreason = "pull and inspect"\n[pulled.pump]\nhp = 1'
    assert changes(thin(), well(sheet)) == ["out:  pump: 1 hp"]


def test_only_the_stretch_that_came_out_is_out() -> None:
    lines = changes(well(SET, HIGHER), well(SET, HIGHER, CUT))
    assert [line for line in lines if "pipe" in line] == [
        "out:  pipe: galvanized steel, 1 in, from 300 ft, to 400 ft",
        "rest: pipe: galvanized steel, 1 in, from 100 ft, to 300 ft",
        "in:   pipe: pvc, from 300 ft, to 400 ft",
    ]


def test_what_a_sheet_says_of_the_job_is_shown() -> None:
    sheet = """
date = 2026-06-01
reason = "check up"
disinfected = true
left_for_next_time = "new tank"
left_without_pump = true
notes = "hot day"
[back.cable]
splices_added = 2
"""
    said = {
        "2 splices added to the cable",
        "the well was disinfected",
        "the well was left without a pump",
        "left for next time: new tank",
        "hot day",
    }
    before, after = well(SET), well(SET, sheet)
    assert said == {x.removeprefix("note: ") for x in changes(before, after) if "note: " in x}
    assert said == {x.removeprefix("gone: ") for x in changes(after, before) if "gone: " in x}


def test_a_sheet_that_says_nothing_changes_nothing() -> None:
    sheet = 'date = 2026-06-01\nreason = "check up"'
    assert changes(well(SET), well(SET, sheet)) == []
