"""A motor that is fed with the wrong voltage, or draws more than its nameplate allows.

Both shorten its life long before it stops: low volts make it draw more amperes, and a pump that
drags or a winding that begins to go does the same. Both are read in minutes at the control box.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wellbook.engineering.condition import (
    VOLTAGE_TOLERANCE_PERCENT,
    percent_of_nameplate,
    voltage_limits_v,
)
from wellbook.hole.hole import Hole
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.customer_words import in_words
from wellbook.rules.figures import over, shown
from wellbook.rules.finding import Finding, Numbers, OfPlan, Rule, Threshold, occurrence
from wellbook.rules.motor_facts import LOCKED_OUT, USUAL_V, MotorFacts, motor_facts
from wellbook.rules.part_readings import holds_since, read_of
from wellbook.rules.spans import both
from wellbook.terms import Occasion, Quantity, Severity, Verdict

NAME = names.MOTOR_LOAD
VOLTS, AMPS = "supply voltage", "running amps"
VOLTS_SOURCE = "NEMA MG 1, 12.44.1: a motor runs within 10 % of its nameplate's volts"
AMPS_SOURCE = "NEMA MG 1, 1.42: the service factor is the most that a motor may carry"

_NAMEPLATE_V = {120.0: 115.0, 208.0: 200.0, 240.0: 230.0, 480.0: 460.0}
"""What stands on the nameplate of a motor for a supply of that name."""

_OTHER_V = (115.0, 460.0)
"""Where nobody wrote down the volts of the motor, a reading near these is of such a motor."""


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The newest reading of either, of the motor that hangs there now."""
    motor = motor_facts(hole)
    if motor is None:
        return
    try:
        made = [_volts(hole, motor, numbers), _amps(hole, motor, numbers)]
    except ValueError:
        # No motor is like that: a slip of the pen, not a reading to judge.
        return
    yield from made


def _volts(hole: Hole, motor: MotorFacts, numbers: Numbers) -> Check:
    # The supply is the house's: it was the same under the pump before.
    read = read_of(hole, Quantity.SUPPLY_V, [])
    if not read:
        return cannot_say(NAME, VOLTS, "supply", "a reading of the volts", source=VOLTS_SOURCE)
    seen, tolerance = read[-1], numbers["voltage_tolerance_percent"]
    volts = seen.value or 0.0
    rated = _NAMEPLATE_V.get(motor.volts, motor.volts)
    if motor.supply_v is None and any(_within(volts, other, tolerance) for other in _OTHER_V):
        return cannot_say(NAME, VOLTS, "supply", "volts of the motor", source=VOLTS_SOURCE)
    low, high = voltage_limits_v(rated, tolerance_percent=tolerance)
    below = volts < rated
    limit = low if below else high
    fails = over(low, volts) > 0 or over(volts, high) > 0
    taken = "" if motor.supply_v is not None else f" ({USUAL_V:g} V taken: not on record)"
    says = (
        f"{volts:g} V ({seen.basis.label}, {seen.when}); a motor of {rated:g} V wants {low:g} to"
        f" {high:g} V{taken}"
    )
    made = Check(
        rule=NAME,
        aspect=VOLTS,
        subject="supply",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=VOLTS_SOURCE,
        value=volts,
        limit=limit,
        unit="V",
        at_least=below,
    )
    if not fails:
        return made
    may, surely = both(motor.since, holds_since(hole, seen, []))
    finding = Finding(
        rule=NAME,
        subject=f"supply voltage {'low' if below else 'high'}",
        occurrence=occurrence(NAME, "volts", motor.pump.uid),
        may_from=may,
        surely_from=surely if motor.supply_v is not None else None,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=says,
        action=(
            "read the volts again at the control box, at rest and with the pump running: good at"
            " rest, it is the wiring; bad at rest, it is the power company's; qualified hands only,"
            f" the box is live; before any work {LOCKED_OUT}"
        ),
        source=VOLTS_SOURCE,
        counts_from=motor.pump.uid,
        numbers={"supply_v": volts, "rated_v": rated, "least_v": low, "most_v": high},
        to_customer=(
            f"The supply to the pump read {volts:g} volts {in_words(seen.when)}, compared with the"
            f" {low:g} to {high:g} volts that a motor of {rated:g} volts is made for: we would read it"
            " again at the next visit."
        ),
    )
    return replace(made, finding=finding)


def _within(volts: float, rated: float, tolerance: float) -> bool:
    low, high = voltage_limits_v(rated, tolerance_percent=tolerance)
    return low <= volts <= high


def _amps(hole: Hole, motor: MotorFacts, numbers: Numbers) -> Check:
    read = read_of(hole, Quantity.RUNNING_A, motor.parts)
    missing = [
        *([] if read else ["a reading of the running amps"]),
        *([] if motor.nameplate_a is not None else ["service-factor amps of the nameplate"]),
        # Before a drive the current is another than behind it, at other volts.
        *(["whether they were read before or behind the drive"] if motor.behind_drive else []),
    ]
    if missing or motor.nameplate_a is None:
        return cannot_say(NAME, AMPS, "motor", *missing, source=AMPS_SOURCE)
    seen, plate, most = read[-1], motor.nameplate_a, numbers["most_percent_of_nameplate"]
    amps = seen.value or 0.0
    percent = percent_of_nameplate(amps, plate)
    fails = over(percent, most) > 0
    says = (
        f"{amps:g} A ({seen.basis.label}, {seen.when}) is {shown(percent, most, decimals=1)} % of the"
        f" nameplate's {plate:g} A at its service factor; limit {most:g} %"
    )
    made = Check(
        rule=NAME,
        aspect=AMPS,
        subject="motor",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=AMPS_SOURCE,
        value=percent,
        limit=most,
        unit="%",
    )
    if not fails:
        return made
    may, surely = both(motor.since, holds_since(hole, seen, motor.parts))
    finding = Finding(
        rule=NAME,
        subject="running amps high",
        occurrence=occurrence(NAME, "amps", motor.pump.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=says,
        action=(
            "read amps and volts together under load: low volts, sand in the pump, a dragging"
            f" bearing or a bad capacitor does it; qualified hands only; before any work {LOCKED_OUT}"
        ),
        source=AMPS_SOURCE,
        counts_from=motor.pump.uid,
        numbers={
            "running_a": amps,
            "nameplate_a": plate,
            "percent_of_nameplate": float(shown(percent, most, decimals=1)),
            "most_percent_of_nameplate": most,
        },
        to_customer=(
            f"The pump drew {amps:g} amperes {in_words(seen.when)}, compared with {plate:g} amperes on"
            " the plate of its motor: we would look for the reason before the motor stops."
        ),
    )
    return replace(made, finding=finding)


RULE = Rule(
    name=NAME,
    title="supply voltage off, or the motor draws too much",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "voltage_tolerance_percent",
            VOLTAGE_TOLERANCE_PERCENT,
            "how far the volts may be from the nameplate's, either way",
            VOLTS_SOURCE,
            1,
            20,
        ),
        Threshold(
            "most_percent_of_nameplate",
            100,
            "the most that a motor may draw of its service-factor amps",
            AMPS_SOURCE,
            50,
            150,
        ),
    ),
    checks=checks,
    of_a_plan=OfPlan.NEVER,
)
