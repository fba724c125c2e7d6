"""A control box is for its motor's horsepower, and each lead of a motor has its conductor: common practice,
no published source.
"""

from __future__ import annotations

from datetime import date

import pytest
from rule_holes import cable, component, hole, judged, pump, the_one

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Motor
from wellbook.rules.control_box import RULE
from wellbook.rules.finding import Settings
from wellbook.terms import ControlType, Occasion, PumpType, Severity, Verdict

SET, BOXED = date(2019, 6, 3), date(2021, 4, 1)


def boxed(
    box_hp: float | None, motor_hp: float | None, kind: ControlType = ControlType.CONTROL_BOX
) -> Hole:
    box = component(Control(type=kind, hp=box_hp), set_on=BOXED, noted_on=BOXED)
    hung = pump(SET, noted_on=SET, type=PumpType.SUBMERSIBLE, hp=motor_hp)
    return hole(components=[hung, box])


def verdicts(well: Hole) -> list[Verdict]:
    return [c.verdict for c in RULE.checks(well, Settings().numbers(RULE))]  # type: ignore[misc]


@pytest.mark.parametrize(("box_hp", "trips"), [(0.75, False), (0.5, True), (1.0, True)])
def test_the_box_is_for_its_motor(box_hp: float, trips: bool) -> None:
    well = boxed(box_hp, 0.75)
    found = judged(RULE, well)
    assert [(f.severity, f.occasion) for f in found] == [
        (Severity.PLAN, Occasion.NEXT_VISIT)
    ] * trips
    assert verdicts(well) == [Verdict.FAIL if trips else Verdict.PASS]


def test_it_holds_since_both_are_there_and_says_to_lock_out() -> None:
    one = the_one(RULE, boxed(1.0, 0.75))
    assert (one.may_from, one.surely_from) == (BOXED, BOXED)
    assert "locked out" in one.action


def test_the_motor_counts_before_the_pump() -> None:
    box = component(Control(type=ControlType.CONTROL_BOX, hp=1.0), set_on=SET)
    hung = pump(SET, type=PumpType.SUBMERSIBLE, hp=0.75)
    motor = component(Motor(hp=1.0), set_on=SET)
    assert judged(RULE, hole(components=[hung, motor, box])) == []


@pytest.mark.parametrize(("box_hp", "motor_hp"), [(None, 0.75), (0.75, None)])
def test_what_is_not_known_cannot_be_said(box_hp: float | None, motor_hp: float | None) -> None:
    assert verdicts(boxed(box_hp, motor_hp)) == [Verdict.CANNOT_SAY]


def test_a_drive_is_set_to_its_motor() -> None:
    assert verdicts(boxed(2.0, 0.75, ControlType.DRIVE)) == []


def leads(wires: int | None, conductors: int | None, **motor: float) -> Hole:
    parts = [
        pump(SET, type=PumpType.SUBMERSIBLE, hp=0.75),
        component(Motor(hp=0.75, wires=wires, **motor), set_on=SET),  # type: ignore[arg-type]
        cable(SET, awg=12, conductors=conductors),
    ]
    return hole(components=parts)


@pytest.mark.parametrize(
    ("wires", "conductors", "trips"),
    [(2, 2, False), (3, 3, False), (2, 3, False), (3, 2, True), (None, 2, False), (3, None, False)],
)
def test_each_lead_has_its_conductor(
    wires: int | None, conductors: int | None, trips: bool
) -> None:
    found = judged(RULE, leads(wires, conductors))
    assert [f.severity for f in found] == [Severity.PLAN] * trips


def test_three_phases_want_three_and_so_does_a_box() -> None:
    assert [f.numbers["wanted"] for f in judged(RULE, leads(None, 2, phases=3))] == [3]
    parts = [*leads(None, 2).components, component(Control(type=ControlType.CONTROL_BOX, hp=0.75))]
    assert [f.numbers["wanted"] for f in judged(RULE, hole(components=parts))] == [3]


def test_a_two_wire_motor_takes_no_box() -> None:
    box = component(Control(type=ControlType.CONTROL_BOX, hp=0.75), set_on=BOXED, noted_on=BOXED)
    one = the_one(RULE, hole(components=[*leads(2, 2).components, box]))
    assert "takes none" in one.reason
