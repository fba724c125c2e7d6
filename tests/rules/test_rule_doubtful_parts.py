"""What was told of a part as if it were another is asked once, until somebody has seen the part.

The sheets are invented, and replayed as a book replays them.
"""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from rule_holes import component, hole, judged, the_one

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Motor, Part, Pump
from wellbook.hole.replay import replay
from wellbook.hole.sheet import read_sheet
from wellbook.hole.story import Recorded
from wellbook.rules.doubtful_record import RULE
from wellbook.rules.finding import Finding
from wellbook.terms import ControlType, Kind, Occasion, Severity, SheetKind

TODAY, TOLD = date(2026, 11, 25), date(2026, 11, 20)
SET = {
    "date": "2015-05-05",
    "reason": "replacement",
    "set": {"pump": {"hp": 0.5, "type": "submersible", "set_depth_ft": 320, "serial": "S1"}},
}


def call(**pump: Any) -> tuple[SheetKind, dict[str, Any]]:
    return SheetKind.CALL, {"date": TOLD.isoformat(), "down": {"pump": pump}}


def visit(day: str, **more: Any) -> tuple[SheetKind, dict[str, Any]]:
    return SheetKind.VISIT, {"date": day, "reason": "check up", **more}


def after(*sheets: tuple[SheetKind, dict[str, Any]]) -> Hole:
    rows = [(SheetKind.VISIT, SET), *sheets]
    story = replay(
        Recorded(f"s{n}", "w", read_sheet(data, today=TODAY, kind=kind), n)
        for n, (kind, data) in enumerate(rows)
    )
    return hole(components=story.components)


def pump_of(well: Hole) -> Component:
    return well.down(Kind.PUMP)[0]


@pytest.mark.parametrize(
    ("told", "reason"),
    [
        (
            {"set_on": "5 years old"},
            "pump told 2026-11-20: 5 years old; on record: set 2015-05-05",
        ),
        (
            {"set_on": "about 2018"},
            "pump told 2026-11-20: set about 2018; on record: set 2015-05-05",
        ),
        ({"hp": 1}, "pump told 2026-11-20: 1 hp; on record: 1/2 hp"),
        (
            {"set_on": "5 years old", "hp": 1, "serial": "S2"},
            "pump told 2026-11-20: 5 years old, 1 hp, serial S2;"
            " on record: set 2015-05-05, 1/2 hp, serial S1",
        ),
    ],
)
def test_what_was_told_of_it_as_of_another_pump_is_asked_once(told, reason):
    well = after(call(**told))
    found = the_one(RULE, well)
    assert found.reason == reason
    assert found.action.startswith("ask whether the pump was changed since 2015-05-05 (told 2026-")
    assert (found.severity, found.occasion) == (Severity.ASK, Occasion.NEXT_VISIT)
    assert (found.may_from, found.surely_from) == (TOLD, TOLD)
    assert found.counts_from == pump_of(well).uid


@pytest.mark.parametrize(
    "told",
    [
        {"set_on": "11 years old"},
        {"set_on": "about 2015"},
        {"set_on": "2011"},
        {"hp": 0.5, "serial": "s1", "type": "Submersible"},
        # It may be said in other words, or hang elsewhere than was counted: no other pump yet.
        {"set_depth_ft": 300},
        {"maker": "some brand", "model": "the big one"},
    ],
)
def test_what_may_be_said_of_the_same_pump_is_not_asked(told):
    assert judged(RULE, after(call(**told))) == []


@pytest.mark.parametrize(
    "seen",
    [
        visit("2026-11-22", down={"pump": {}}),
        visit("2026-11-22", down={"pump": {"hp": 0.5}}),
        visit("2026-11-22", reason="pull and inspect", back={"pump": {}}),
        visit("2026-11-22", down={"pump": {"hp": 1}}),
        visit("2026-11-22", reason="replacement", set={"pump": {"hp": 1}}),
        visit("2026-11-22", reason="no water", left_without_pump=True),
    ],
    ids=["seen", "read", "put back", "read to be so", "replaced", "pulled"],
)
@pytest.mark.parametrize("told", [{"hp": 1}, {"set_on": "5 years old"}, {"hp": 1, "serial": "S2"}])
def test_who_saw_the_pump_since_has_answered(told, seen):
    assert [f.subject for f in judged(RULE, after(call(**told)))] == ["pump told otherwise"]
    assert judged(RULE, after(call(**told), seen)) == []


def test_who_was_there_without_seeing_the_pump_has_not_answered():
    look = visit("2026-11-22", measured={"flow_gpm": 6})
    assert judged(RULE, after(call(hp=1), look)) != []
    assert judged(RULE, after(call(hp=1), call(set_depth_ft=300))) != []


# -- horsepowers ---------------------------------------------------------------------------------
#
# A control box is made for the horsepower on its cover: common practice, no published source.


def beside(**hp: float) -> list[Finding]:
    """What is asked of a pump, a motor and a control of some horsepowers."""
    parts: dict[str, Part] = {"pump": Pump(), "motor": Motor(), "control": Control()}
    types = {"box": ControlType.CONTROL_BOX, "drive": ControlType.DRIVE, "relay": ControlType.RELAY}
    for name, value in hp.items():
        if name in types:
            parts["control"] = Control(type=types[name], hp=value)
        else:
            parts[name] = replace(parts[name], hp=value)  # type: ignore[type-var]
    return judged(RULE, hole(components=[component(p, set_on=SET_ON) for p in parts.values()]))


SET_ON = date(2015, 5, 5)


@pytest.mark.parametrize(
    ("hp", "reason"),
    [
        ({"pump": 2, "box": 1}, "control box 1 hp beside a pump of 2 hp"),
        ({"pump": 1, "box": 1.5}, "control box 1-1/2 hp beside a pump of 1 hp"),
        ({"pump": 2, "control": 1}, "control 1 hp beside a pump of 2 hp"),
        ({"pump": 2, "drive": 1}, "drive 1 hp beside a pump of 2 hp"),
        ({"pump": 2, "relay": 1.5}, "relay 1-1/2 hp beside a pump of 2 hp"),
        ({"pump": 1, "motor": 2, "box": 1}, "control box 1 hp beside a motor of 2 hp"),
        ({"pump": 2, "motor": 1}, "motor 1 hp beside a pump of 2 hp"),
    ],
)
def test_horsepowers_that_do_not_go_together_are_asked(hp, reason):
    found = beside(**hp)
    assert [f.reason for f in found] == [reason]
    assert (found[0].severity, found[0].occasion) == (Severity.ASK, Occasion.NEXT_VISIT)
    assert "power off" in found[0].action


@pytest.mark.parametrize(
    "hp",
    [
        {"pump": 2, "box": 2},
        {"pump": 2, "motor": 2, "box": 2},
        {"pump": 2},
        {"box": 2},
        {"motor": 2},
        # A motor, a drive or a relay may be stronger than what it drives.
        {"pump": 1, "motor": 1.5},
        {"pump": 1, "drive": 3},
        {"pump": 1, "relay": 2},
        # The box goes with the motor, whatever the pump at its end asks for.
        {"pump": 1, "motor": 1.5, "box": 1.5},
    ],
)
def test_horsepowers_that_may_go_together_are_not_asked(hp):
    assert beside(**hp) == []


def test_two_horsepowers_that_differ_are_both_named():
    found = beside(pump=3, motor=2, box=1)
    assert [f.subject for f in found] == ["motor horsepower", "control box horsepower"]
    assert found[1].numbers == {"control_hp": 1, "motor_hp": 2}


def test_the_box_that_stayed_is_asked_about_since_the_bigger_pump_is_there():
    box = visit("2016-06-01", down={"control": {"type": "control box", "hp": 0.5}})
    bigger = visit("2020-03-01", reason="replacement", set={"pump": {"hp": 2}})
    assert judged(RULE, after(box)) == []
    well = after(box, bigger)
    found = the_one(RULE, well)
    assert (found.may_from, found.surely_from) == (date(2020, 3, 1), date(2020, 3, 1))
    assert found.counts_from == pump_of(well).uid
    box_too = visit("2020-03-01", reason="replacement", set={"control": {"hp": 2}})
    assert judged(RULE, after(box, bigger, box_too)) == []


def test_a_box_that_was_never_there_together_with_the_pump_says_nothing():
    box = visit("2016-06-01", down={"control": {"type": "control box", "hp": 2}})
    out = visit("2016-07-01", pulled={"control": {"why": "burnt"}})
    assert [f.reason for f in judged(RULE, after(box))] == [
        "control box 2 hp beside a pump of 1/2 hp"
    ]
    assert judged(RULE, after(box, out)) == []


@pytest.mark.parametrize(("read", "asked"), [("S2", True), ("s-1", False), ("S1", False)])
def test_another_serial_read_on_the_plate_is_asked_about(read, asked):
    found = judged(RULE, after(visit("2020-06-01", down={"pump": {"serial": read}})))
    assert [f.subject for f in found] == (["pump serial"] if asked else [])
    if asked:
        assert found[0].reason == "pump serial S2 read 2020-06-01, where S1 was on record"
        assert found[0].may_from == date(2020, 6, 1)
