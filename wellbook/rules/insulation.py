"""Insulation of motor and cable that is low, or falls from one reading to the next.

It falls for years before the breaker trips, so a reading a year gives warning. The two tables in
print give opposite advice between 0.02 and 0.5 megohm: both are said, and nobody pulls a pump for
such a reading alone. The standard for a motor alone is never held against motor and cable in a
well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from wellbook.engineering.insulation import (
    FALLING_RATIO,
    InsulationReading,
    InsulationTrend,
    insulation_reading,
    insulation_trend,
)
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable
from wellbook.hole.records import Observation
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.customer_words import in_words
from wellbook.rules.finding import Finding, Numbers, OfPlan, Rule, Threshold, occurrence
from wellbook.rules.motor_facts import LOCKED_OUT, motor_facts
from wellbook.rules.part_readings import holds_since, read_of
from wellbook.rules.spans import Span, both
from wellbook.terms import Occasion, Quantity, Severity, Verdict

NAME = names.INSULATION
SUBJECT = "motor and cable"
READING, TREND = "insulation", "insulation, trend"
GOOD_MEGOHM = 0.5
FAILED_MEGOHM = 0.01
SOURCE = (
    "makers' tables: motor and cable in the well, 500 V DC, leads off the control box; no"
    " standard covers the two together"
)
TREND_SOURCE = (
    "a cable maker's note: one reading alone neither passes nor fails; how far is a proposal"
)
MEASURE = "measure again, cold, by 500 V DC, the leads off the control box"


@dataclass(frozen=True, slots=True)
class _Read:
    """The readings of what hangs there now, oldest first, and what they come to."""

    hole: Hole
    pump: Component
    parts: tuple[Component, ...]
    seen: list[Observation]
    words: InsulationReading
    trend: InsulationTrend | None

    @property
    def newest(self) -> Observation:
        return self.seen[-1]

    @property
    def falls(self) -> bool:
        return self.trend is not None and self.trend.falling

    @property
    def said(self) -> str:
        past = "over " if self.newest.fact().at_least else ""
        return f"{past}{self.words.megohm:g} megohm ({self.newest.basis.label}, {self.newest.when})"


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The newest reading of what hangs there now, by both tables; then how it stands to earlier."""
    motor = motor_facts(hole)
    if motor is None:
        return
    parts = (*motor.parts, *(component for component, _ in hole.parts(Cable)))
    seen = read_of(hole, Quantity.INSULATION_MEGOHM, parts)
    if not seen:
        missing = "an insulation reading of what hangs there now"
        yield cannot_say(NAME, READING, SUBJECT, missing, source=SOURCE)
        return
    ratio = numbers["falling_ratio"]
    try:
        words, trend = insulation_reading(seen[-1].value or 0.0), _trend(seen, ratio)
    except ValueError:
        # No tester shows such a number: a slip of the pen, not a reading to judge.
        return
    read = _Read(hole, motor.pump, parts, seen, words, trend)
    yield _reading(read)
    yield _course(read, ratio)


def _trend(seen: list[Observation], ratio: float) -> InsulationTrend | None:
    """In the order of the record: of some readings only the order is known, not the year.

    Past the last mark of the tester all is well: that is never held against a longer scale.
    """
    if len(seen) < 2:
        return None
    rows = [(float(n), one.value or 0.0) for n, one in enumerate(seen)]
    trend = insulation_trend(rows, falling_ratio=ratio)
    return replace(trend, falling=False) if seen[-1].fact().at_least else trend


def _reading(read: _Read) -> Check:
    words = read.words
    says = f"{read.said}: {_by_tables(words)}"
    # Past the last mark of a tester with a short scale nothing is known to be wrong.
    fails = words.megohm < GOOD_MEGOHM and not read.newest.fact().at_least
    made = Check(
        rule=NAME,
        aspect=READING,
        subject=SUBJECT,
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=words.megohm,
        limit=GOOD_MEGOHM,
        unit="megohm",
        at_least=True,
    )
    if not fails:
        return made
    trend, failed = read.trend, not words.tables_disagree
    before, numbers = "", {"megohm": words.megohm, "good_megohm": GOOD_MEGOHM}
    if trend is not None:
        word = "falling" if trend.falling else "not falling"
        before = f"; {word}: {trend.before_megohm:g} megohm before"
        numbers["before_megohm"] = trend.before_megohm
    finding = _finding(
        read,
        "failed" if failed else "low",
        holds_since(read.hole, read.newest, read.parts),
        Severity.ACT if failed else Severity.PLAN,
        _occasion(words, read.falls),
        reason=says + before,
        action=_action(words, read.falls),
        source=SOURCE,
        numbers=numbers,
        to_customer=_told(read),
    )
    return replace(made, finding=finding)


def _told(read: _Read) -> str:
    """What waits for the next pull anyway is nothing to worry a customer with."""
    if _occasion(read.words, read.falls) is Occasion.NEXT_PULL:
        return ""
    return (
        f"The insulation of the pump's motor and cable read {read.words.megohm:g} megohm"
        f" {in_words(read.newest.when)}, compared with {GOOD_MEGOHM:g} megohm in makers' tables: we"
        " would measure it again before the pump stops."
    )


def _by_tables(words: InsulationReading) -> str:
    """What each table says, by its name; said once where they say the same."""
    said = [f"{word.band} ({word.advice})" for word in words.words]
    if said[0] == said[1]:
        return f"by both tables, the current one of 3 bands and the older one of 5, {said[0]}"
    return f"by the current table of 3 bands {said[0]}; by the older table of 5 bands {said[1]}"


def _occasion(words: InsulationReading, falls: bool) -> Occasion:
    """Below the last band of both tables now; where they disagree, not before a pull or a fall."""
    if words.megohm < FAILED_MEGOHM:
        return Occasion.NOW
    return Occasion.NEXT_PULL if words.tables_disagree and not falls else Occasion.NEXT_VISIT


def _action(words: InsulationReading, falls: bool) -> str:
    if not words.tables_disagree:
        return f"{MEASURE}; if it stays, find the fault, then pull and repair; {LOCKED_OUT}"
    if falls:
        return (
            f"{MEASURE}; it falls, so have cable and splices at hand, but do not pull for one"
            f" reading alone; {LOCKED_OUT}"
        )
    return (
        "do not pull for this alone; measure each year, and when the string is up look for a rubbed"
        f" cable or a wet splice; {LOCKED_OUT}"
    )


def _course(read: _Read, ratio: float) -> Check:
    trend = read.trend
    if trend is None:
        return cannot_say(
            NAME, TREND, SUBJECT, "an earlier insulation reading", source=TREND_SOURCE
        )
    earlier = len(read.seen) - 1
    middle = f" (the middle of {earlier} earlier)" if earlier > 1 else ""
    says = (
        f"{read.said} after {trend.before_megohm:g} megohm before{middle}:"
        f" {'falling' if trend.falling else 'not falling'}"
    )
    made = Check(
        rule=NAME,
        aspect=TREND,
        subject=SUBJECT,
        verdict=Verdict.FAIL if trend.falling else Verdict.PASS,
        says=says,
        source=TREND_SOURCE,
        value=trend.newest_megohm,
        limit=trend.before_megohm * ratio,
        unit="megohm",
        at_least=True,
    )
    if not trend.falling or trend.newest_megohm < GOOD_MEGOHM:
        # One line is enough: a low reading tells of the fall too.
        return made
    finding = _finding(
        read,
        "falling",
        both(*(holds_since(read.hole, one, read.parts) for one in read.seen)),
        Severity.WATCH,
        Occasion.NEXT_VISIT,
        reason=says,
        action=f"{MEASURE}; a motor that ran just before reads lower; {LOCKED_OUT}",
        source=TREND_SOURCE,
        numbers={
            "megohm": trend.newest_megohm,
            "before_megohm": trend.before_megohm,
            "falling_ratio": ratio,
        },
    )
    return replace(made, finding=finding)


def _finding(
    read: _Read,
    what: str,
    span: Span,
    severity: Severity,
    occasion: Occasion,
    **rest: Any,
) -> Finding:
    return Finding(
        rule=NAME,
        subject=f"insulation, {what}",
        # Each grade is a thing of its own: a low one that was put off says nothing of a failed one.
        occurrence=occurrence(NAME, what, read.pump.uid),
        may_from=span[0],
        surely_from=span[1],
        severity=severity,
        occasion=occasion,
        counts_from=read.pump.uid,
        **rest,
    )


RULE = Rule(
    name=NAME,
    title="insulation of motor and cable low or falling",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "falling_ratio",
            FALLING_RATIO,
            "at or below this share of the earlier readings' middle one it is falling",
            "a proposal, with no published limit behind it",
            0.05,
            1,
        ),
    ),
    checks=checks,
    of_a_plan=OfPlan.NEVER,
)
