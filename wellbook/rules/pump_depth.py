"""A pump that hangs too near the bottom, or above the level to which the water is drawn.

Near the bottom a pump takes in sand and silt, and has no room when the hole fills up. Above the
pumping level it runs dry each time the well is drawn down. Both are put right when the string is
up: the next one is cut to the right length.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules.figures import over
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.rules.spans import both, hangs_since, read_since
from wellbook.terms import Basis, LevelState, Occasion, PumpType, Quantity, Severity

NAME = "pump-depth"

_NOT_JUDGED = frozenset({PumpType.SHALLOW_JET, PumpType.HAND})
"""One stands above the ground; the other lifts too little to stir a bottom or draw a well down."""


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Set depths count from the ground, as sheets give them; the others are brought to it."""
    found = hole.the(Pump)
    if found is None or found[1].type in _NOT_JUDGED or found[1].set_depth_ft is None:
        return
    yield from _off_the_bottom(hole, found[0], found[1].set_depth_ft, numbers)
    yield from _above_pumping_level(hole, found[0], found[1].set_depth_ft)


def _off_the_bottom(
    hole: Hole, component: Component, set_ft: float, numbers: Numbers
) -> Iterator[Finding]:
    depth = hole.depth_ft()
    act, plan = numbers["act_off_bottom_ft"], numbers["plan_off_bottom_ft"]
    if depth is None:
        return
    gap = over(depth, set_ft)
    if gap >= max(act, plan):
        return
    may, surely = hangs_since(hole, component, "set_depth_ft", Quantity.DEPTH_FT)
    # Below the bottom one of two numbers is wrong, and `doubtful-record` asks which. Until that is
    # known the pump counts as standing on the bottom: nothing else fits both numbers better.
    off = f"{gap:g} ft off the bottom" if gap >= 0 else f"{-gap:g} ft below the recorded bottom"
    yield Finding(
        rule=NAME,
        subject="pump, off the bottom",
        occurrence=occurrence(NAME, "bottom", component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.ACT if gap < act else Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pump set at {set_ft:g} ft in a hole of {depth:g} ft: {off},"
            f" limit {act if gap < act else plan:g} ft"
        ),
        action="when the string is up, sound the bottom and hang the pump higher",
        source=COMMON_PRACTICE,
        counts_from=component.uid,
        numbers={
            "set_depth_ft": set_ft,
            "depth_ft": depth,
            "off_bottom_ft": gap,
            "act_off_bottom_ft": act,
            "plan_off_bottom_ft": plan,
        },
    )


def _above_pumping_level(hole: Hole, component: Component, set_ft: float) -> Iterator[Finding]:
    fact = hole.level(LevelState.PUMPING)
    if fact is None or fact.value is None:
        return
    level = hole.below_ground(fact)
    above = over(level, set_ft)
    if above <= 0:
        return
    may, surely = both(
        hangs_since(hole, component, "set_depth_ft", Quantity.WATER_LEVEL_FT),
        read_since(hole, fact.record),
    )
    # A level on a log is often that of a test from the very bottom, at more than this pump gives.
    measured = fact.basis is Basis.MEASURED
    yield Finding(
        rule=NAME,
        subject="pump, above the pumping level",
        occurrence=occurrence(NAME, "pumping-level", component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.ACT if measured else Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pump set at {set_ft:g} ft, {above:g} ft above the pumping level of {level:g} ft"
            f" ({fact.basis.label}, {fact.as_of})"
        ),
        action="when the string is up, hang the pump below the pumping level or hold its flow back",
        source=COMMON_PRACTICE,
        counts_from=component.uid,
        numbers={"set_depth_ft": set_ft, "pumping_level_ft": level, "above_level_ft": above},
    )


RULE = Rule(
    name=NAME,
    title="pump too near the bottom or above the pumping level",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "act_off_bottom_ft",
            5,
            "nearer to the bottom than this is wrong",
            COMMON_PRACTICE,
            0,
            200,
        ),
        Threshold(
            "plan_off_bottom_ft",
            10,
            "nearer than this is better mended",
            COMMON_PRACTICE,
            0,
            200,
        ),
    ),
    judge=judge,
    in_order=(("act_off_bottom_ft", "plan_off_bottom_ft"),),
)
