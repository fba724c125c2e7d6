"""Insulation of motor and cable that is low, or falls from one reading to the next.

It falls for years before the breaker trips, so a reading a year gives warning. The two tables in
print give opposite advice between 0.02 and 0.5 megohm: both are said, and nobody pulls a pump for
such a reading alone. The standard for a motor alone is never held against motor and cable in a
well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

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
from wellbook.rules.check import Check, cannot_say, judged_by
from wellbook.rules.figures import over, shown
from wellbook.rules.finding import Finding, Number, Numbers, Rule, Threshold, occurrence
from wellbook.rules.motor_facts import LOCKED_OUT, MotorFacts, motor_facts
from wellbook.rules.part_readings import holds_since, read_of
from wellbook.rules.spans import Span, both
from wellbook.terms import Occasion, Quantity, Severity, Verdict

NAME = "insulation"
READING, TREND = "insulation", "insulation, trend"
GOOD_MEGOHM = 0.5
FAILED_MEGOHM = 0.01
SOURCE = (
    "makers' tables for motor and cable in the well, 500 V DC, leads off the control box; no"
    " standard covers the two together"
)
TREND_SOURCE = (
    "a cable maker's note that one reading alone neither passes nor fails; how far is a proposal"
)
MEASURE = "measure again, cold, by 500 V DC, the leads off the control box"


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The newest reading of what hangs there now, by both tables; then how it stands to earlier."""
    motor = motor_facts(hole)
    if motor is None:
        return
    parts = (*motor.parts, *(component for component, _ in hole.parts(Cable)))
    read = read_of(hole, Quantity.INSULATION_MEGOHM, parts)
    if not read:
        missing = "an insulation reading of what hangs there now"
        yield cannot_say(NAME, READING, "motor and cable", missing, source=SOURCE)
        return
    try:
        words = insulation_reading(read[-1].value or 0.0)
        trend = _trend(read, numbers["falling_ratio"])
    except ValueError:
        # No tester shows such a number: a slip of the pen, not a reading to judge.
        return
    low = _reading(hole, motor, parts, read, words, trend)
    yield low
    if trend is None:
        missing = "an earlier insulation reading"
        yield cannot_say(NAME, TREND, "motor and cable", missing, source=TREND_SOURCE)
        return
    yield _falling(hole, motor, parts, read, trend, numbers, low)


def _trend(read: list[Observation], ratio: float) -> InsulationTrend | None:
    """In the order of the record: of some readings only the order is known, not the year.

    Past the last mark of the tester nothing falls, so such a newest reading is never held against
    a meter with a longer scale.
    """
    if len(read) < 2:
        return None
    rows = [(float(n), seen.value or 0.0) for n, seen in enumerate(read)]
    trend = insulation_trend(rows, falling_ratio=ratio)
    return replace(trend, falling=False) if read[-1].fact().at_least else trend


def _said(seen: Observation) -> str:
    over_scale = "over " if seen.fact().at_least else ""
    return f"{over_scale}{seen.value:g} megohm ({seen.basis.label}, {seen.when})"


def _tables(words: InsulationReading) -> str:
    return (
        f"by the current table of 3 bands: {words.current.band} ({words.current.advice}); by the"
        f" older table of 5 bands: {words.older.band} ({words.older.advice})"
    )


def _reading(
    hole: Hole,
    motor: MotorFacts,
    parts: tuple[Component, ...],
    read: list[Observation],
    words: InsulationReading,
    trend: InsulationTrend | None,
) -> Check:
    seen = read[-1]
    fails = words.megohm < GOOD_MEGOHM
    says = f"{_said(seen)}: {_tables(words)}"
    made = Check(
        rule=NAME,
        aspect=READING,
        subject="motor and cable",
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
    failed, falls = not words.tables_disagree, trend is not None and trend.falling
    severity = Severity.ACT if failed else Severity.PLAN
    finding = _finding(
        motor,
        "failed" if failed else "low",
        holds_since(hole, seen, parts),
        severity,
        _occasion(words, falls),
        reason=says + (_course(trend) if trend is not None else ""),
        action=_action(words, falls),
        source=SOURCE,
        numbers={"megohm": words.megohm, "good_megohm": GOOD_MEGOHM},
    )
    return replace(made, finding=finding)


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


def _course(trend: InsulationTrend) -> str:
    word = "falling" if trend.falling else "not falling"
    return f"; {word}: {trend.newest_megohm:g} after {trend.before_megohm:g} megohm before"


def _falling(
    hole: Hole,
    motor: MotorFacts,
    parts: tuple[Component, ...],
    read: list[Observation],
    trend: InsulationTrend,
    numbers: Numbers,
    low: Check,
) -> Check:
    limit = trend.before_megohm * numbers["falling_ratio"]
    says = (
        f"{_said(read[-1])} after {trend.before_megohm:g} megohm before (the middle of"
        f" {len(read) - 1} earlier): {'falling' if trend.falling else 'not falling'}"
    )
    made = Check(
        rule=NAME,
        aspect=TREND,
        subject="motor and cable",
        verdict=Verdict.FAIL if trend.falling else Verdict.PASS,
        says=says,
        source=TREND_SOURCE,
        value=trend.newest_megohm,
        limit=limit,
        unit="megohm",
        at_least=True,
    )
    if not trend.falling or low.finding is not None:
        # One line is enough: a low reading tells of the fall too.
        return made
    finding = _finding(
        motor,
        "falling",
        both(*(holds_since(hole, seen, parts) for seen in read)),
        Severity.WATCH,
        Occasion.NEXT_VISIT,
        reason=says,
        action=f"{MEASURE}; a motor that ran just before reads lower; {LOCKED_OUT}",
        source=TREND_SOURCE,
        numbers={
            "megohm": trend.newest_megohm,
            "before_megohm": trend.before_megohm,
            "falling_ratio": numbers["falling_ratio"],
        },
    )
    return replace(made, finding=finding)


def _finding(
    motor: MotorFacts,
    what: str,
    span: Span,
    severity: Severity,
    occasion: Occasion,
    *,
    reason: str,
    action: str,
    source: str,
    numbers: dict[str, Number],
) -> Finding:
    return Finding(
        rule=NAME,
        subject=f"insulation, {what}",
        # Each grade is a thing of its own: a low one that was put off says nothing of a failed one.
        occurrence=occurrence(NAME, what, motor.pump.uid),
        may_from=span[0],
        surely_from=span[1],
        severity=severity,
        occasion=occasion,
        reason=reason,
        action=action,
        source=source,
        counts_from=motor.pump.uid,
        numbers=numbers,
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
    judge=judged_by(checks),
    checks=checks,
)
