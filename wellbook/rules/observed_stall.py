"""A pump that was seen to stall at another level than its curve or power says.

Where it stalls well above that, the pump is worn, the pipe leaks, it works against pressure, or the
record has another pump than the one that hangs there: each is worth knowing before the water falls so
far. Where it is seen to lift from deeper than it can, the record is wrong. A stalled pump overheats.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.engineering.lift import Band
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.records import Observation
from wellbook.rules.check import Check, cannot_say, judged_by
from wellbook.rules.figures import figure, over
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
    since,
)
from wellbook.rules.pipe_rating import USUAL_CUT_OUT
from wellbook.rules.pump_lift import (
    CURVE,
    HEAD,
    STALLED,
    Lift,
    lift_of,
    missing_for_lift,
    span_ft,
    whole_ft,
)
from wellbook.rules.spans import both, read_since
from wellbook.terms import Occasion, Quantity, Severity, Verdict

NAME = "observed-stall"
ASPECT = "stalls where it should"


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The last stall that was seen of this pump, against where it should; nothing if none was."""
    fact = hole.fact(Quantity.STALL_LEVEL_FT)
    if fact is None:
        return
    (seen,) = (o for o in hole.observations if o.uid == fact.record)
    # The cut-out is no part of it: a stall is with no pressure at the top.
    lift = lift_of(hole, USUAL_CUT_OUT_PSI)
    if lift is None:
        lacks = missing_for_lift(hole)
        if lacks:
            yield cannot_say(NAME, ASPECT, "pump", *lacks, source=HEAD)
        return
    if _of_another_pump(lift, seen):
        return
    if lift.depths.stalls_ft is None:
        yield cannot_say(NAME, ASPECT, "pump", f"{CURVE} at no flow", source=lift.by.source)
        return
    yield _compared(hole, lift, fact, seen, whole_ft(lift.depths.stalls_ft), numbers)


USUAL_CUT_OUT_PSI = float(USUAL_CUT_OUT.default)


def _of_another_pump(lift: Lift, seen: Observation) -> bool:
    first, _ = since(lift.by.component.set_on, lift.by.component.noted_on)
    return first is not None and seen.when.latest is not None and seen.when.latest < first


def _surely_of_this_pump(lift: Lift, seen: Observation) -> bool:
    _, there = since(lift.by.component.set_on, lift.by.component.noted_on)
    return seen.when.earliest is not None and seen.when.earliest >= there


def _compared(
    hole: Hole, lift: Lift, fact: Fact, seen: Observation, stalls: Band, numbers: Numbers
) -> Check:
    ft, part = hole.below_ground(fact), numbers["tolerance_percent"] / 100
    least_ft, most_ft = stalls.low * (1 - part), stalls.high * (1 + part)
    above, below = over(least_ft, ft) > 0, over(ft, most_ft) > 0
    says = (
        f"stalled at {figure(ft)} ft; with no pressure at the top it should at {span_ft(stalls)}"
        f" ({lift.by.rests_on})"
    )
    finding = None
    if above or below:
        finding = _finding(hole, lift, fact, seen, stalls, says, above, numbers)
    return Check(
        rule=NAME,
        aspect=ASPECT,
        subject="pump",
        verdict=Verdict.FAIL if above or below else Verdict.PASS,
        says=says,
        source=lift.by.source,
        value=ft,
        limit=most_ft if below else least_ft,
        unit="ft",
        at_least=not below,
        finding=finding,
    )


def _finding(
    hole: Hole,
    lift: Lift,
    fact: Fact,
    seen: Observation,
    stalls: Band,
    says: str,
    above: bool,
    numbers: Numbers,
) -> Finding:
    pump = lift.by.component
    may, surely = both(lift.by.since, read_since(hole, fact.record))
    why = (
        "the pump is worn, the pipe leaks, it worked against pressure, or the record is wrong"
        if above
        else "no pump lifts from deeper than it can, so its power, its flow or the level is wrong"
    )
    return Finding(
        rule=NAME,
        subject="pump, stalled",
        occurrence=occurrence(NAME, "pump", pump.uid),
        may_from=may,
        surely_from=surely if _surely_of_this_pump(lift, seen) else None,
        severity=Severity.PLAN if above else Severity.ASK,
        occasion=Occasion.NEXT_VISIT,
        reason=f"pump {says}; {fact.basis.label}, {fact.as_of}: {why}",
        action=(
            "time its flow into the open, shut the line and see whether the pressure holds, read its"
            f" plate when it is up; never leave it running stalled: {STALLED}"
            if above
            else "ask what was seen, and read horsepower, model and flow on the plate or the bill"
        ),
        source=lift.by.source,
        counts_from=pump.uid,
        numbers={
            **lift.by.numbers,
            "stall_level_ft": hole.below_ground(fact),
            "stalls_low_ft": stalls.low,
            "stalls_high_ft": stalls.high,
            "tolerance_percent": numbers["tolerance_percent"],
        },
    )


RULE = Rule(
    name=NAME,
    title="pump that stalled where it should not",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "tolerance_percent",
            15,
            "so much above or below where it should stall is left alone",
            "what a level read in a hurry and a little pressure at the top come to: "
            + COMMON_PRACTICE,
            0,
            50,
        ),
    ),
    judge=judged_by(checks),
    checks=checks,
)
