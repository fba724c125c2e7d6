"""A deep string that hangs on plastic, or that has no check valve but the pump's own.

A long string with its water weighs hundreds of pounds, and all of it hangs on the seal or pitless:
on a deep well that is a matter for steel or brass. When the only check valve leaks, the whole
column runs back and slams at the next start; a second one in the string takes half of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump, Seal
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import over
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
    since,
)
from wellbook.rules.materials import is_metal, is_plastic
from wellbook.rules.pump_facts import pump_kind
from wellbook.rules.spans import Span, both, none_since
from wellbook.rules.string_facts import (
    HAS_OWN_VALVE,
    VALVES_UNSEEN,
    string_ft,
    string_was_seen,
)
from wellbook.terms import Kind, Occasion, PumpType, Severity, Verdict

NAME = names.STRING_FITTINGS
SEAL, SECOND_CHECK = "length for its seal", "length for one check valve"


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The seal and the valves, each from its own length of string."""
    found = hole.the(Pump)
    if found is not None and pump_kind(hole) in (PumpType.SHALLOW_JET, PumpType.HAND):
        # Nothing of weight hangs in the hole, unless the record says how far down.
        if string_ft(hole) is None:
            return
    elif found is None and not hole.down(Kind.PIPE):
        return
    yield from _seal(hole, numbers["metal_seal_from_ft"])
    yield from _valves(hole, numbers["second_check_from_ft"])


def _answer(
    aspect: str, length: float, limit: float | None, says: str, finding: Finding | None = None
) -> Check:
    """One answer; without a limit where the length does not matter."""
    return Check(
        rule=NAME,
        aspect=aspect,
        subject=f"string of {length:g} ft",
        verdict=Verdict.FAIL if finding else Verdict.PASS,
        says=says,
        source=COMMON_PRACTICE,
        value=length,
        limit=limit,
        unit="ft",
        finding=finding,
    )


def _lacks(aspect: str, *missing: str) -> Check:
    return cannot_say(NAME, aspect, "string", *missing, source=COMMON_PRACTICE)


def _seal(hole: Hole, limit: float) -> Iterator[Check]:
    string, found = string_ft(hole), hole.the(Seal)
    material = found[1].material if found else None
    if string is None:
        yield _lacks(SEAL, "length of the string")
        return
    length, span = string
    if over(length, limit) < 0:
        yield _answer(SEAL, length, limit, f"any seal carries less than {limit:g} ft of string")
    elif found is None or material is None:
        # A material that nobody wrote down is a gap in the record, not a plastic.
        yield _lacks(SEAL, "material of the seal or pitless")
    elif is_metal(material):
        of = material.replace("_", " ")
        yield _answer(SEAL, length, None, f"{_named(found[1])} of {of} carries the string")
    elif not is_plastic(material):
        yield _lacks(SEAL, f"whether a seal of {material.replace('_', ' ')} carries such a string")
    else:
        finding = _seal_finding(found[0], found[1], length, span, limit)
        yield _answer(SEAL, length, None, finding.reason, finding)


def _named(seal: Seal) -> str:
    return seal.type.label if seal.type else "seal or pitless"


def _seal_finding(
    component: Component, seal: Seal, length: float, span: Span, limit: float
) -> Finding:
    may, surely = both(span, since(component.set_on, component.noted_on))
    return Finding(
        rule=NAME,
        subject="seal",
        occurrence=occurrence(NAME, "seal", component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"{_named(seal)} of {seal.material} carries {length:g} ft of string;"
            f" from {limit:g} ft it is steel or brass"
        ),
        action="when the string is up, fit one of steel or brass",
        source=COMMON_PRACTICE,
        counts_from=component.uid,
        numbers={"string_ft": length, "metal_seal_from_ft": limit},
    )


def _valves(hole: Hole, limit: float) -> Iterator[Check]:
    """Whether there is a second one. Where it stands is judged by `check-valve-spacing`."""
    string, found, valves = string_ft(hole), hole.the(Pump), hole.down(Kind.CHECK_VALVE)
    if found is None or pump_kind(hole) not in HAS_OWN_VALVE:
        return
    if string is None:
        yield _lacks(SECOND_CHECK, "length of the string")
        return
    length, span = string
    if valves:
        more = f"{len(valves)} check valve{'' if len(valves) == 1 else 's'} beside the pump's own"
        yield _answer(SECOND_CHECK, length, None, more)
    elif over(length, limit) < 0:
        enough = f"the pump's own valve is enough for less than {limit:g} ft of string"
        yield _answer(SECOND_CHECK, length, limit, enough)
    elif not string_was_seen(hole, found[0]):
        yield _lacks(SECOND_CHECK, VALVES_UNSEEN)
    else:
        finding = _valve_finding(hole, found[0], length, span, limit)
        yield _answer(SECOND_CHECK, length, None, finding.reason, finding)


def _valve_finding(hole: Hole, pump: Component, length: float, span: Span, limit: float) -> Finding:
    may, surely = both(span, none_since(hole, Kind.CHECK_VALVE))
    return Finding(
        rule=NAME,
        subject="check valve",
        occurrence=occurrence(NAME, "check-valve", pump.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"no check valve but the pump's own on {length:g} ft of string;"
            f" from {limit:g} ft there is a second one"
        ),
        action="when the string is up, put a check valve into it",
        source=COMMON_PRACTICE,
        counts_from=pump.uid,
        numbers={"string_ft": length, "second_check_from_ft": limit},
    )


RULE = Rule(
    name=NAME,
    title="plastic seal or a single check valve on a deep string",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "metal_seal_from_ft",
            300,
            "from this length of string the seal or pitless is of steel or brass",
            COMMON_PRACTICE,
            0,
            5000,
        ),
        Threshold(
            "second_check_from_ft",
            300,
            "from this length of string there is a check valve beside the pump's own",
            COMMON_PRACTICE,
            0,
            5000,
        ),
    ),
    checks=checks,
)
