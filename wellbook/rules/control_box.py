"""A control box that is made for another motor than the one that hangs below it, or for none.

The capacitors and the relay of a box are matched to its motor's horsepower: with those of another size
the motor starts hard, runs hot, and is called a bad motor. The box is changed with the pump. A
two-wire motor has all of it inside and takes no box; a three-wire one, or one of three phases, wants
three conductors beside the ground.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Control, Motor
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import over
from wellbook.rules.finding import COMMON_PRACTICE, Finding, Numbers, Rule, occurrence
from wellbook.rules.motor_facts import LOCKED_OUT, MotorFacts, hp_text, motor_facts
from wellbook.rules.spans import Span, both, said_since
from wellbook.terms import ControlType, Occasion, Severity, Verdict

NAME = names.CONTROL_BOX
ASPECT, LEADS = "control box", "conductors for the motor"
SOURCE = f"{COMMON_PRACTICE}: the box is for its motor's horsepower; a two-wire motor takes none"
LEADS_SOURCE = f"{COMMON_PRACTICE}: a conductor for each lead of the motor, beside the ground"
_TWO_WIRE = 2


def checks(hole: Hole, _numbers: Numbers) -> Iterator[Check]:
    """The box against the motor; a drive or a relay is set, not matched. Then the conductors."""
    motor, found = motor_facts(hole), hole.the(Control)
    if motor is None:
        return
    boxed = found is not None and found[1].type is ControlType.CONTROL_BOX
    if found is not None and boxed:
        yield _box(hole, motor, *found)
    yield from _conductors(hole, motor, boxed=boxed)


def _box(hole: Hole, motor: MotorFacts, component: Component, box: Control) -> Check:
    own = hole.the(Motor)
    if own is not None and own[1].wires == _TWO_WIRE:
        span = both(
            motor.since,
            *(said_since(hole, c, n) for c, n in ((own[0], "wires"), (component, "type"))),
        )
        says = "a control box on a two-wire motor, which takes none"
        return _check(ASPECT, SOURCE, says, _finding(component, "wires", span, says))
    if box.hp is None or motor.hp is None:
        lacks = "horsepower of the motor" if motor.hp is None else "horsepower of the control box"
        return cannot_say(NAME, ASPECT, "control box", lacks, source=SOURCE)
    says = f"control box of {hp_text(box.hp)} on a motor of {hp_text(motor.hp)}"
    if over(abs(box.hp - motor.hp), 0) <= 0:
        return _check(ASPECT, SOURCE, says)
    span = both(motor.since, said_since(hole, component, "hp"))
    numbers = {"control_hp": box.hp, "motor_hp": motor.hp}
    return _check(ASPECT, SOURCE, says, _finding(component, "hp", span, says, **numbers))


def _conductors(hole: Hole, motor: MotorFacts, *, boxed: bool) -> Iterator[Check]:
    """Whether the cable has a conductor for each lead, where both are on record."""
    wants, have = _leads(hole, motor, boxed=boxed), list(hole.parts(Cable))
    if wants is None or not have or any(cable.conductors is None for _, cable in have):
        return
    fewest, cable = min(have, key=lambda found: found[1].conductors or 0)
    has = cable.conductors or 0
    says = f"cable of {has} conductors beside the ground for a motor that wants {wants}"
    made = replace(
        _check(LEADS, LEADS_SOURCE, says), value=float(has), limit=float(wants), at_least=True
    )
    if has >= wants:
        yield made
        return
    span = both(motor.since, said_since(hole, fewest, "conductors"))
    numbers = {"conductors": float(has), "wanted": float(wants)}
    finding = _finding(fewest, "leads", span, says, **numbers)
    yield replace(made, verdict=Verdict.FAIL, finding=finding)


def _leads(hole: Hole, motor: MotorFacts, *, boxed: bool) -> int | None:
    """How many leads its motor has: on record, or by its phases, or by the box on the wall."""
    own = hole.the(Motor)
    if own is not None and own[1].wires is not None:
        return own[1].wires
    return 3 if motor.phases == 3 or boxed else None


def _check(aspect: str, source: str, says: str, finding: Finding | None = None) -> Check:
    return Check(
        rule=NAME,
        aspect=aspect,
        subject=aspect,
        verdict=Verdict.PASS if finding is None else Verdict.FAIL,
        says=says,
        source=source,
        finding=finding,
    )


def _finding(component: Component, what: str, span: Span, says: str, **numbers: float) -> Finding:
    leads = what == "leads"
    return Finding(
        rule=NAME,
        subject=LEADS if leads else "control box",
        occurrence=occurrence(NAME, what, component.uid),
        may_from=span[0],
        surely_from=span[1],
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=says,
        action=(
            f"read the motor's plate and count the leads at the well head; {LOCKED_OUT}"
            if leads
            else f"read both plates; fit what the motor's maker names; {LOCKED_OUT}"
        ),
        source=LEADS_SOURCE if leads else SOURCE,
        counts_from=component.uid,
        numbers=dict(numbers),
        to_customer=(
            f"Our record of this well has this: {says}; we would read the plates at the next visit."
        ),
    )


RULE = Rule(
    name=NAME,
    title="control box for another motor",
    why=__doc__ or "",
    thresholds=(),
    checks=checks,
)
