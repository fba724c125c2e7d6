"""A line of a shop's own shorthand, read as a proposal. How the trade writes: common practice,
no published source; the lines are invented."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.exchange.equipment_text import read_equipment
from wellbook.exchange.mapping import OF_A_PART, OF_THE_WELL
from wellbook.hole.sheet import read_sheet
from wellbook.terms import SheetKind

LINES = {
    "3/4 hp sub, 230v, 2-wire": {
        "pump.hp": "3/4 hp",
        "pump.type": "submersible",
        "motor.supply_v": "230 v",
        "motor.wires": "2",
    },
    "1 1/2 HP 10GPM set 300' 12-3 w/g": {
        "pump.hp": "1 1/2 hp",
        "pump.rated_gpm": "10 gpm",
        "pump.set_depth_ft": "300 ft",
        "cable.awg": "12",
        "cable.conductors": "3",
        "cable.ground_wire": "yes",
    },
    'set @ 420 ft, 2" sch 80 pvc, 40/60, 86 gal tank': {
        "pump.set_depth_ft": "420 ft",
        "pipe.wall": "sch. 80",
        "pipe.nominal_in": "2 in",
        "pipe.material": "PVC",
        "switch.cut_in_psi": "40 psi",
        "switch.cut_out_psi": "60 psi",
        "tank.volume_gal": "86 gal",
    },
    "TD 305' SWL 40' makes 5 gpm": {
        "depth_ft": "305 ft",
        "water_level_ft": "40 ft",
        "yield_gpm": "5 gpm",
    },
    "0.75kW 25 l/min at 75 m": {
        "pump.hp": "0.75 kW",
        "pump.rated_gpm": "25 l/min",
        "pump.set_depth_ft": "75 m",
    },
    "model 2003, installed 2004": {"pump.model_year": "2003", "pump.set_on": "2004"},
    "180' of wire, 1-1/4 in poly 160 psi": {
        "cable.to_ft": "180 ft",
        "pipe.nominal_in": "1-1/4 in",
        "pipe.material": "polyethylene",
        "pipe.rating_psi": "160 psi",
    },
}


@pytest.mark.parametrize("line", LINES)
def test_what_has_a_word_of_its_own_is_read_without_a_doubt(line: str) -> None:
    found = read_equipment(line)
    assert found.said == LINES[line]
    assert found.doubts == ()
    assert found.unread == ""


@pytest.mark.parametrize("line", LINES)
def test_a_visit_sheet_takes_what_was_read(line: str) -> None:
    down: dict[str, dict[str, str]] = {}
    for target, value in read_equipment(line).said.items():
        assert target in OF_A_PART or target in OF_THE_WELL
        kind, _, name = target.rpartition(".")
        if kind:
            down.setdefault(kind, {})[name] = value
    if down:
        document = {"date": "2026-01-01", "down": down}
        assert read_sheet(document, today=date(2026, 1, 1), kind=SheetKind.OPENING)


@pytest.mark.parametrize(
    ("line", "doubt"),
    [
        ("1 hp @ 240", "240 is read as the setting in feet; it can be volts"),
        ("1 hp 230v @ 240", "240 is read as the setting in feet; it can be metres"),
        ("1 hp '98", "1998 is read as the year of setting; it can be the model year"),
        ("1 hp 2 hp", "'2 hp' is a second hp beside 1 hp; not read"),
    ],
)
def test_what_can_be_two_things_is_said(line: str, doubt: str) -> None:
    assert doubt in read_equipment(line).doubts


@pytest.mark.parametrize(
    "line",
    [
        "called 3 times; ok",
        "phone 555-0123, gate 40-60",
        "pulled 2011-05-03",
        "2011 and 2014",
        "",
    ],
)
def test_what_is_no_equipment_stays_as_it_is(line: str) -> None:
    found = read_equipment(line)
    assert found.said == {}
    assert found.unread == line


PIECES = (
    "1/2 hp",
    "7 gpm",
    "2011",
    "@ 240",
    "230v",
    "#12",
    "poly",
    "Earl",
    "40/60",
    "x",
    "TD 300'",
)


@given(st.lists(st.sampled_from(PIECES), max_size=8).map(" ".join) | st.text(max_size=40))
def test_no_digit_is_lost(line: str) -> None:
    """Each number of a line is in what was read, or in what was not."""
    found = read_equipment(line)
    told = " ".join([*found.said.values(), found.unread])
    for number in re.findall(r"[0-9]+", line):
        assert number in told
