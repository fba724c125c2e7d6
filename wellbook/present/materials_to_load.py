"""What to load on the truck for a planned string: lengths with what is cut off, and the small things.

Only what is new is on the list: a part that goes back down is at the well already.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from wellbook.engineering.disinfection import bleach_dose, column_gal
from wellbook.engineering.tank import PRECHARGE_BELOW_CUT_IN_PSI
from wellbook.engineering.valves import valve_depths_ft
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, CheckValve, Control, Motor, Part, Pipe, Pump, Seal, Switch
from wellbook.present.lines import Line
from wellbook.present.part_texts import part_text, wires_text
from wellbook.quantities import show
from wellbook.rules import names
from wellbook.rules.catalogue import checks
from wellbook.rules.finding import Settings
from wellbook.rules.materials import is_plastic
from wellbook.rules.motor_facts import motor_facts
from wellbook.rules.string_facts import bottom_ft
from wellbook.rules.tank_air import DRAINED
from wellbook.terms import Kind, LevelState, Verdict

# Common practice, no published source, but where one is named.
SUPPLY_RUN_FT: Final = 50.0
"""Cable from the well head to the house, where nobody wrote the run down."""
SLACK: Final = 0.03
"""Cable hangs 3 to 4 in slack between ties 10 ft apart (a maker's manual): about 3 per cent."""
TAIL_FT: Final = 10.0
TIE_EVERY_FT: Final = 10.0
TAPE_ROLL_FT: Final = 100.0
JOINT_FT: Final = 20.0
COIL_FT: Final = (100, 200, 300, 400, 500, 600, 800, 1000)
CLAMPS_AN_END: Final = 2
BLEACH_PERCENT: Final = 6.0
TARGET_MGL: Final = 100.0


def materials(before: Hole, planned: Hole) -> Iterator[Line]:
    """What the planned string takes beside what hangs there now.

    Parameters
    ----------
    before, planned
        The well with what hangs there, and with what is to hang there.
    """
    there = {c.uid for c in before.components}
    new = [c for c in planned.components if c.uid not in there and c.pulled_on is None]
    kinds = {c.kind for c in new}
    for kind in (Pump, Motor, Control, Switch):
        yield from _as_they_are(planned, new, kind)
    yield from _box(planned)
    yield from _air(planned, new)
    for component in new:
        if isinstance(component.part, Pipe):
            yield Line("pipe", _pipe(planned, component.part))
    for component in new:
        if isinstance(component.part, Cable):
            yield Line("cable", _cable(planned, component.part))
    if Kind.CABLE in kinds or Kind.PUMP in kinds:
        yield from _on_the_cable(planned, [c for c in new if c.kind is Kind.CABLE])
    if {Kind.PIPE, Kind.PUMP} & kinds:
        yield from _in_the_pipe(planned, new)
    yield Line("seal", _seal(planned))
    yield Line("chlorine", _chlorine(planned))


def _as_they_are(hole: Hole, new: list[Component], kind: type[Part]) -> Iterator[Line]:
    for component in new:
        if isinstance(component.part, kind):
            yield Line(component.kind.label, part_text(hole, component, None))


def _box(hole: Hole) -> Iterator[Line]:
    """A control box for the new motor, where the one on the wall is for another."""
    motor = motor_facts(hole)
    if motor is not None and motor.hp is not None:
        for check in checks(hole, Settings()):
            if check.rule == names.CONTROL_BOX and check.verdict is Verdict.FAIL:
                yield Line("control", f"a control box for {show(motor.hp, 'hp')}: {check.says}")


def _air(hole: Hole, new: list[Component]) -> Iterator[Line]:
    """What a new switch asks of the tank's air."""
    for component in new:
        starts = component.part.cut_in_psi if isinstance(component.part, Switch) else None
        if starts is not None and hole.down(Kind.TANK):
            right = max(starts - PRECHARGE_BELOW_CUT_IN_PSI, 0.0)
            yield Line("air", f"gauge and pump: set the tank's air to {right:g} psi; {DRAINED}")


def _string_ft(hole: Hole) -> float | None:
    pump = hole.the(Pump)
    if pump is not None and pump[1].set_depth_ft is not None:
        return pump[1].set_depth_ft
    ends = [end for _, pipe in hole.parts(Pipe) if (end := bottom_ft(hole, pipe)) is not None]
    return max(ends, default=None)


def _pipe(hole: Hole, pipe: Pipe) -> str:
    end = bottom_ft(hole, pipe)
    made_of = " ".join(
        w
        for w in (
            f"{pipe.nominal_in} in" if pipe.nominal_in else "",
            (pipe.material or "").replace("_", " "),
            pipe.wall or "",
        )
        if w
    )
    if end is None:
        return f"{made_of or 'pipe'}, length unknown"
    length = end - (pipe.from_ft or 0.0)
    return f"{show(length, 'ft')} of {made_of or 'pipe'}: {_lengths(pipe, length)}"


def _coiled(pipe: Pipe) -> bool:
    """Whether it comes in a coil and is joined by fittings that are clamped."""
    material = pipe.material or ""
    return not pipe.joint_ft and (material.startswith("pe") or material == "polyethylene")


def _lengths(pipe: Pipe, length: float) -> str:
    if _coiled(pipe):
        coil = next((c for c in COIL_FT if c >= length), None)
        return f"a coil of {coil} ft" if coil else "coils, coupled"
    joint = pipe.joint_ft or JOINT_FT
    taken = "" if pipe.joint_ft else " (length of a joint not said)"
    return f"{math.ceil(round(length / joint, 6))} joints of {joint:g} ft{taken}, and one to spare"


def _cable(hole: Hole, cable: Cable) -> str:
    end = cable.to_ft if cable.to_ft is not None else _string_ft(hole)
    gauge = f"#{cable.awg}" if cable.awg is not None else "gauge not said,"
    what = " ".join(w for w in (gauge, wires_text(cable), cable.jacket or "") if w)
    if end is None:
        return f"{what} cable, length unknown"
    down = (end - (cable.from_ft or 0.0)) * (1 + SLACK) + TAIL_FT
    run = SUPPLY_RUN_FT if not cable.from_ft else 0.0
    total = 5 * math.ceil((down + run) / 5)
    house = f" and {run:g} ft to the house (not on record: measure it)" if run else ""
    return f"{total} ft of {what} cable: {end:g} ft down, slack and tail{house}"


def _on_the_cable(hole: Hole, cables: list[Component]) -> Iterator[Line]:
    length = _string_ft(hole)
    kits = 1 + max(len(cables) - 1, 0)
    yield Line("splices", f"{kits + 1} splice kits ({kits} to make, one to spare)")
    if length:
        ties = math.ceil(length / TIE_EVERY_FT)
        rolls = math.ceil(length / TAPE_ROLL_FT)
        guards = math.ceil(length / (2 * JOINT_FT))
        yield Line(
            "ties",
            f"{ties} ties or tapings, one each {TIE_EVERY_FT:g} ft ({rolls} rolls of tape);"
            f" {guards} cable guards",
        )


def _in_the_pipe(hole: Hole, new: list[Component]) -> Iterator[Line]:
    length, pipes = _string_ft(hole), [pipe for _, pipe in hole.parts(Pipe)]
    planned = [v for _, v in hole.parts(CheckValve)]
    by_the_rule = _places(hole, length) if length and not planned else ()
    if length:
        yield Line("valves", _valves(hole, by_the_rule, bool(planned), new))
    plastic = [p for p in pipes if p.material and is_plastic(p.material)]
    coiled = [p for p in plastic if _coiled(p)]
    if coiled:
        ends = 2 * (len(coiled) + len(planned or by_the_rule))
        yield Line(
            "clamps",
            f"{CLAMPS_AN_END * ends} stainless clamps, {CLAMPS_AN_END} for each of {ends} ends;"
            " insert fittings to fit",
        )
    if plastic:
        yield Line("arrestor", "a torque arrestor, a few feet above the pump")
    if plastic and length:
        yield Line("rope", f"{5 * math.ceil((length + 2 * TAIL_FT) / 5)} ft of safety rope")


def _places(hole: Hole, length: float) -> tuple[int, ...]:
    """Where the spacing rule has valves above the pump's own, in feet as they are measured off."""
    level = hole.level_ft(LevelState.PUMPING)
    try:
        # The water may be drawn down to the pump where nobody measured how far it is.
        depths = valve_depths_ft(length, length if level is None else max(level, 0.0))
    except ValueError:
        return ()
    # Rounded towards the water that each is to stand near.
    return tuple(math.ceil(round(depth, 6)) for depth in depths)


def _valves(hole: Hole, by_the_rule: tuple[int, ...], planned: bool, new: list[Component]) -> str:
    fresh = [c.part.depth_ft for c in new if isinstance(c.part, CheckValve)]
    if fresh:
        at = ", ".join(f"{d:g} ft" if d is not None else "?" for d in fresh)
        return f"{len(fresh)} check {'valve' if len(fresh) == 1 else 'valves'}: at {at}"
    if planned:
        return "those on record go back; look at each before it goes down"
    if not by_the_rule:
        return "one at the pump"
    above = ", ".join(f"{d}" for d in by_the_rule)
    known = hole.level_ft(LevelState.PUMPING) is not None
    drawn_down = "" if known else ", the well taken as drawn down to the pump"
    return f"one at the pump; above it at {above} ft by the spacing rule{drawn_down}"


def _seal(hole: Hole) -> str:
    found = hole.the(Seal)
    kind = found[1].type.label if found and found[1].type else "seal or pitless"
    return f"gaskets or O-rings for the {kind}"


def _chlorine(hole: Hole) -> str:
    depth, level = hole.depth_ft(), hole.at_rest_ft()
    diameter = hole.bore_diameter_in()
    if depth is None or level is None or diameter is None or level >= depth:
        return "bleach, plain and unscented: the water column is not known, so neither is the dose"
    try:
        gallons = column_gal(diameter, depth - max(level, 0.0))
        dose = bleach_dose(gallons, TARGET_MGL, BLEACH_PERCENT)
    except ValueError:
        return "bleach, plain and unscented"
    return (
        f"{dose.litres:.1f} litres ({dose.cups:.0f} cups) of plain {BLEACH_PERCENT:g} % bleach for"
        f" {gallons:.0f} gal at {TARGET_MGL:g} mg/L; the label and the local code count"
    )
