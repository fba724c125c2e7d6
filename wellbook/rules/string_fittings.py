"""A deep string that hangs on plastic, or that has no check valve but the pump's own.

A long string with its water weighs hundreds of pounds, and all of it hangs on the seal or pitless:
on a deep well that is a matter for steel or brass. When the only check valve leaks, the whole
column runs back and slams at the next start; a second one in the string takes half of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pipe, Pump, Seal
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
from wellbook.rules.materials import is_plastic
from wellbook.rules.spans import Span, both, none_since, said_since
from wellbook.terms import Kind, Occasion, PumpType, Severity

NAME = "string-fittings"


def string_ft(hole: Hole) -> tuple[float, Span] | None:
    """How long the string is, and from when; None where nobody knows.

    The pump's setting says it best, else the end of the lowest section of pipe.
    """
    found = hole.the(Pump)
    if found and found[1].set_depth_ft is not None:
        return found[1].set_depth_ft, said_since(hole, found[0], "set_depth_ft")
    ends = [(p.to_ft, c) for c, p in hole.parts(Pipe) if p.to_ft is not None]
    if not ends:
        return None
    length, lowest = max(ends, key=lambda end: end[0])
    # The pump before this one may have told another length.
    told = since(found[0].set_on, found[0].noted_on) if found else none_since(hole, Kind.PUMP)
    return length, both(said_since(hole, lowest, "to_ft"), told)


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """The seal and the valves, each from its own length of string."""
    string = string_ft(hole)
    if string is None:
        return
    length, span = string
    if over(length, numbers["metal_seal_from_ft"]) >= 0:
        yield from _seal(hole, length, span, numbers["metal_seal_from_ft"])
    if over(length, numbers["second_check_from_ft"]) >= 0:
        yield from _valves(hole, length, span, numbers["second_check_from_ft"])


def _seal(hole: Hole, length: float, span: Span, limit: float) -> Iterator[Finding]:
    found = hole.the(Seal)
    # A material that nobody wrote down is a gap in the record, not a plastic.
    if found is None or found[1].material is None or not is_plastic(found[1].material):
        return
    component, seal = found
    may, surely = both(span, since(component.set_on, component.noted_on))
    what = seal.type.label if seal.type else "seal or pitless"
    yield Finding(
        rule=NAME,
        subject="seal",
        occurrence=occurrence(NAME, "seal", component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"{what} of {seal.material} carries {length:g} ft of string;"
            f" from {limit:g} ft it is steel or brass"
        ),
        action="when the string is up, fit one of steel or brass",
        source=COMMON_PRACTICE,
        counts_from=component.uid,
        numbers={"string_ft": length, "metal_seal_from_ft": limit},
    )


def _valves(hole: Hole, length: float, span: Span, limit: float) -> Iterator[Finding]:
    found = hole.the(Pump)
    if hole.down(Kind.CHECK_VALVE) or found is None or not _string_was_seen(hole, found[0]):
        return
    if found[1].type not in (PumpType.SUBMERSIBLE, None):
        return
    may, surely = both(span, none_since(hole, Kind.CHECK_VALVE))
    yield Finding(
        rule=NAME,
        subject="check valve",
        occurrence=occurrence(NAME, "check-valve", found[0].uid),
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
        counts_from=found[0].uid,
        numbers={"string_ft": length, "second_check_from_ft": limit},
    )


def _string_was_seen(hole: Hole, pump: Component) -> bool:
    """Whether the sheet of the visit that set this pump is here: its crew had every valve in hand.

    On a paper record or a customer's word, no valve written down means that nobody knows.
    """
    visits = {v.uid: v for v in hole.visited()}
    by = visits.get(pump.set_by)
    return by is not None and by.opened and pump.set_on.earliest == by.start


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
    judge=judge,
)
