"""A control box that is made for another motor than the one that hangs below it.

The capacitors and the relay of a box are matched to its motor's horsepower: with those of another size
the motor starts hard, runs hot, and is called a bad motor. The box is changed with the pump.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import over
from wellbook.rules.finding import COMMON_PRACTICE, Finding, Numbers, Rule, occurrence
from wellbook.rules.motor_facts import LOCKED_OUT, hp_text, motor_facts
from wellbook.rules.spans import both, said_since
from wellbook.terms import ControlType, Occasion, Severity, Verdict

NAME = names.CONTROL_BOX
ASPECT = "control box"
SOURCE = f"{COMMON_PRACTICE}: the box is for its motor's horsepower"


def checks(hole: Hole, _numbers: Numbers) -> Iterator[Check]:
    """The box's horsepower against the motor's; a drive or a relay is set, not matched."""
    motor, found = motor_facts(hole), hole.the(Control)
    if motor is None or found is None or found[1].type is not ControlType.CONTROL_BOX:
        return
    component, box = found
    if box.hp is None or motor.hp is None:
        lacks = "horsepower of the motor" if motor.hp is None else "horsepower of the control box"
        yield cannot_say(NAME, ASPECT, "control box", lacks, source=SOURCE)
        return
    says = f"control box of {hp_text(box.hp)} on a motor of {hp_text(motor.hp)}"
    fits = over(abs(box.hp - motor.hp), 0) <= 0
    may, surely = both(motor.since, said_since(hole, component, "hp"))
    finding = Finding(
        rule=NAME,
        subject="control box",
        occurrence=occurrence(NAME, "hp", component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=says,
        action=f"read both plates; fit the box that the motor's maker names; {LOCKED_OUT}",
        source=SOURCE,
        counts_from=component.uid,
        numbers={"control_hp": box.hp, "motor_hp": motor.hp},
    )
    yield Check(
        rule=NAME,
        aspect=ASPECT,
        subject="control box",
        verdict=Verdict.PASS if fits else Verdict.FAIL,
        says=says,
        source=SOURCE,
        finding=None if fits else finding,
    )


RULE = Rule(
    name=NAME,
    title="control box for another motor",
    why=__doc__ or "",
    thresholds=(),
    checks=checks,
)
