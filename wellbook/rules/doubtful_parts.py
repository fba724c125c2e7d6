"""Doubts about parts: dates that slipped, horsepowers that do not go together, and what was told of
one part as if it were another.

A caller who says that the pump is five years old, where the book has it set eleven years ago, may
be wrong; or somebody else changed it, and all that the book says of it is of a pump that is gone.
It is asked until somebody who knows better has seen the part.

A control box is made for one horsepower. Where a bigger pump went in and the box on the wall stayed,
its capacitors and its overload are the old motor's.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any, cast

from wellbook.hole.component import SETTING, Claim, Component
from wellbook.hole.describe import field_text, told_text
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Motor, Pump
from wellbook.quantities import show
from wellbook.rules.doubt import doubt
from wellbook.rules.figures import over
from wellbook.rules.finding import Finding
from wellbook.rules.spans import Span, both, said_since
from wellbook.terms import IN_THE_HOLE, ControlType, Kind


def doubtful_parts(hole: Hole) -> Iterator[Finding]:
    """One finding for each doubt about a part that is or was there."""
    if not hole.components:
        return
    for component in hole.components:
        yield from _date_slips(component)
    yield from _drilled_after_set(hole)
    yield from _horsepowers(hole)
    for kind in Kind:
        for component in hole.down(kind):
            yield from _told_otherwise(component)
            yield from _another_serial(component)


def _date_slips(component: Component) -> Iterator[Finding]:
    """What was made after it was set, or pulled before: only where no reading of the dates fits."""
    noted: Span = (component.noted_on, component.noted_on)
    kind, set_on, pulled_on = component.kind.label, component.set_on, component.pulled_on
    for field, words in (("model_year", "model year"), ("made", "made")):
        made = getattr(component.part, field, None)
        if made is not None and set_on.latest is not None and made.is_after(set_on.latest):
            yield doubt(
                f"{kind} {words}",
                component.uid,
                noted,
                f"{kind} {words} {made} is later than its setting ({set_on})",
                "read the plate or the print on it; ask when it was set",
            )
    if pulled_on is not None and pulled_on.latest is not None and set_on.is_after(pulled_on.latest):
        yield doubt(
            f"{kind} pulled before set",
            component.uid,
            noted,
            f"{kind} pulled {pulled_on}, before it was set ({set_on})",
            "look at the two sheets: one of the dates is wrong",
        )


def _drilled_after_set(hole: Hole) -> Iterator[Finding]:
    # A tank or a switch may have served an older well before this one.
    before = [
        (c.set_on.latest, c)
        for c in hole.components
        if c.kind in IN_THE_HOLE
        and c.set_on.latest is not None
        and hole.drilled_on.is_after(c.set_on.latest)
    ]
    if not before:
        return
    _, first = min(before, key=lambda one: (one[0], one[1].uid))
    noted = max(hole.entered_on, min(c.noted_on for _, c in before))
    yield doubt(
        "drilled date",
        hole.uid,
        (noted, noted),
        f"well drilled {hole.drilled_on}, but its {first.kind.label} was set {first.set_on}",
        "ask when the well was drilled, and whether it was drilled anew",
    )


def _horsepowers(hole: Hole) -> Iterator[Finding]:
    """A motor weaker than its pump, and a control that goes with neither."""
    pump, motor, control = hole.the(Pump), hole.the(Motor), hole.the(Control)
    driven = [found for found in (motor, pump) if found and found[1].hp is not None]
    # A stronger motor than the pump asks for is often what was on the truck, and does no harm.
    if motor and pump and _over(pump[1].hp, motor[1].hp) > 0:
        yield _beside(hole, motor[0], pump[0])
    if control and driven and _unfit(control[1], driven[0][1].hp):
        yield _beside(hole, control[0], driven[0][0])


def _unfit(control: Control, motor_hp: float | None) -> bool:
    """A control box goes with one horsepower; a drive or a relay may also be too big for its motor."""
    missing = _over(motor_hp, control.hp)
    return missing > 0 or (missing < 0 and control.type in (ControlType.CONTROL_BOX, None))


def _over(one_hp: float | None, other_hp: float | None) -> float:
    return 0.0 if one_hp is None or other_hp is None else over(one_hp, other_hp)


def _beside(hole: Hole, part: Component, other: Component) -> Finding:
    """One part beside another that asks for another horsepower."""
    kind, beside = _named(part), _named(other)
    mine, theirs = (cast(Fact, c.fact("hp")).number for c in (part, other))
    # The one that came last is what made them differ.
    newer = max((part, other), key=lambda c: (c.set_on.latest or c.noted_on, c.noted_on))
    numbers: dict[str, Any] = {f"{part.kind.value}_hp": mine, f"{other.kind.value}_hp": theirs}
    return doubt(
        f"{kind} horsepower",
        newer.uid,
        both(said_since(hole, part, "hp"), said_since(hole, other, "hp")),
        f"{kind} {show(mine, 'hp')} beside a {beside} of {show(theirs, 'hp')}",
        f"ask whether the {kind} was changed with the {beside}, and read the hp on the plates;"
        " power off and locked out before a cover comes off",
        **numbers,
    )


def _named(component: Component) -> str:
    kind = getattr(component.part, "type", None)
    return kind.label if isinstance(kind, ControlType) else component.kind.label


def _told_otherwise(component: Component) -> Iterator[Finding]:
    """One question for all that was told of a part as of another one."""
    changed = component.said_changed
    # Told to be older than it is on record, it is not another one.
    told = [c for c in component.doubts if c.field != SETTING or c is changed]
    if not told:
        return
    # What is left of a longer section is a part of its own since the rest was cut off.
    first = max(min(c.noted_on for c in told), component.cut_on or date.min)
    kind = component.kind.label
    known = ", ".join(_on_record(component, c) for c in told)
    yield doubt(
        f"{kind} told otherwise",
        component.uid,
        (first, first),
        f"{kind} {told_text(told)}; on record: {known}",
        f"ask whether the {kind} was changed since {component.seen_on} ({told_text(told)})",
        **_numbers_of(component, told),
    )


def _another_serial(component: Component) -> Iterator[Finding]:
    """Another serial was read where one was on record: a slip of the pen, or another part."""
    read = [c for c in component.claims if c.field == "serial" and c.counts and c.was]
    other = [c for c in read if _plain(c.value) != _plain(c.was)]
    if not other:
        return
    last, kind = other[-1], component.kind.label
    yield doubt(
        f"{kind} serial",
        component.uid,
        (last.noted_on, last.noted_on),
        f"{kind} serial {last.value} read {last.noted_on}, where {last.was} was on record",
        f"ask whether the {kind} was changed before {last.noted_on} (serial {last.value}, was"
        f" {last.was}), and write it down or correct the sheet",
    )


def _plain(serial: object) -> str:
    return "".join(c for c in str(serial).upper() if c.isalnum())


def _numbers_of(component: Component, told: list[Claim]) -> dict[str, Any]:
    """What is a number of that which was told, and of that which is on record."""
    numbers: dict[str, Any] = {}
    for claim in told:
        if isinstance(claim.value, int | float):
            numbers[claim.field] = getattr(component.part, claim.field)
            numbers[f"told_{claim.field}"] = claim.value
    return numbers


def _on_record(component: Component, claim: Claim) -> str:
    if claim.field == SETTING:
        return f"set {component.set_on}"
    return field_text(claim.field, getattr(component.part, claim.field))
