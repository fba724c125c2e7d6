"""A pump that was seen to stall at another level than its curve or power says.

Where it stalls well above that, the pump is worn, the pipe leaks, it works against pressure, or the
record has another pump than the one that hangs there: each is worth knowing before the water falls so
far. Where it is seen to lift from deeper than it can, the record is wrong. A stalled pump overheats.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wellbook.engineering.lift import Band, pump_lift
from wellbook.hole.hole import Hole
from wellbook.hole.records import Observation
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.customer_words import in_words
from wellbook.rules.figures import figure, over
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    OfPlan,
    Rule,
    Threshold,
    occurrence,
    since,
)
from wellbook.rules.lift import (
    CURVE,
    HEAD,
    STALLED,
    Lifter,
    lifter_of,
    missing_for_lift,
    span_ft,
    whole_ft,
)
from wellbook.rules.pressures import rise_ft
from wellbook.rules.spans import both, read_since
from wellbook.terms import Occasion, Quantity, Severity, Verdict

NAME = "observed-stall"
ASPECT = "stalls where it should"


@dataclass(frozen=True, slots=True)
class _Stall:
    """A stall that was seen, and where the pump that is there should stall."""

    by: Lifter
    seen: Observation
    ft: float
    stalls: Band
    tolerance_percent: float

    @property
    def least_ft(self) -> float:
        """It stalls too early above this."""
        return self.stalls.low * (1 - self.tolerance_percent / 100)

    @property
    def most_ft(self) -> float:
        """It cannot have lifted from below this."""
        return self.stalls.high * (1 + self.tolerance_percent / 100)

    @property
    def above(self) -> bool:
        return over(self.least_ft, self.ft) > 0

    @property
    def below(self) -> bool:
        return over(self.ft, self.most_ft) > 0

    @property
    def says(self) -> str:
        return (
            f"stalled at {figure(self.ft)} ft; with no pressure at the top it should at"
            f" {span_ft(self.stalls)} ({self.by.rests_on})"
        )

    @property
    def of_another_pump(self) -> bool:
        first, _ = since(self.by.component.set_on, self.by.component.noted_on)
        latest = self.seen.when.latest
        return first is not None and latest is not None and latest < first

    @property
    def surely_of_this_pump(self) -> bool:
        _, there = since(self.by.component.set_on, self.by.component.noted_on)
        return self.seen.when.earliest is not None and self.seen.when.earliest >= there


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The last stall that was seen of this pump, against where it should; nothing if none was."""
    fact, by = hole.fact(Quantity.STALL_LEVEL_FT), lifter_of(hole)
    if fact is None:
        return
    if by is None:
        lacks = missing_for_lift(hole)
        if lacks:
            yield cannot_say(NAME, ASPECT, "pump", *lacks, source=HEAD)
        return
    stalls = pump_lift(by.curves, rise_ft=rise_ft(hole)).stalls_ft
    if stalls is None:
        yield cannot_say(NAME, ASPECT, "pump", f"{CURVE} at no flow", source=by.source)
        return
    (seen,) = (o for o in hole.observations if o.uid == fact.record)
    tolerance = numbers["tolerance_percent"]
    stall = _Stall(by, seen, hole.below_ground(fact), whole_ft(stalls), tolerance)
    if not stall.of_another_pump:
        yield _compared(hole, stall)


def _compared(hole: Hole, stall: _Stall) -> Check:
    wrong = stall.above or stall.below
    return Check(
        rule=NAME,
        aspect=ASPECT,
        subject="pump",
        verdict=Verdict.FAIL if wrong else Verdict.PASS,
        says=stall.says,
        source=stall.by.source,
        value=stall.ft,
        limit=stall.most_ft if stall.below else stall.least_ft,
        unit="ft",
        at_least=not stall.below,
        finding=_finding(hole, stall) if wrong else None,
    )


def _finding(hole: Hole, stall: _Stall) -> Finding:
    pump, seen = stall.by.component, stall.seen
    may, surely = both(stall.by.since, read_since(hole, seen.uid))
    why = (
        "the pump is worn, the pipe leaks, it worked against pressure, or the record is wrong"
        if stall.above
        else "no pump lifts from deeper than it can, so its power, its flow or the level is wrong"
    )
    return Finding(
        rule=NAME,
        subject="pump, stalled",
        occurrence=occurrence(NAME, "pump", pump.uid),
        may_from=may,
        surely_from=surely if stall.surely_of_this_pump else None,
        severity=Severity.PLAN if stall.above else Severity.ASK,
        occasion=Occasion.NEXT_VISIT,
        reason=f"pump {stall.says}; {seen.basis.label}, {seen.when}: {why}",
        action=(
            "time its flow into the open, shut the line and see whether the pressure holds, read its"
            f" plate when it is up; never leave it running stalled: {STALLED}"
            if stall.above
            else "ask what was seen, and read horsepower, model and flow on the plate or the bill"
        ),
        source=stall.by.source,
        counts_from=pump.uid,
        numbers={
            **stall.by.numbers,
            "stall_level_ft": stall.ft,
            "stalls_low_ft": stall.stalls.low,
            "stalls_high_ft": stall.stalls.high,
            "tolerance_percent": stall.tolerance_percent,
        },
        to_customer=(
            f"The pump lifted no more from {figure(stall.ft)} ft {in_words(seen.when)}, compared with"
            f" {span_ft(stall.stalls)} that it is made for: we would test it before it stops."
            if stall.above
            else ""
        ),
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
    checks=checks,
    of_a_plan=OfPlan.NEVER,
)
