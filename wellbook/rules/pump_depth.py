"""A pump that hangs too near the bottom, in its screen, or with too little water over it.

Near the bottom a pump takes in sand and silt, and has no room when the hole fills up. In the screen
it draws the sand through the slots beside it, and the water does not pass its motor. Above the
pumping level it runs dry each time the well is drawn down, and close below it a dry summer does the
same. All are put right when the string is up: the next one is cut to the right length.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wellbook.hole.component import Component
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.hole.records import Interval
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import figure, over
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.rules.pump_facts import pump_kind
from wellbook.rules.spans import Span, both, hangs_since, read_since, said_since
from wellbook.terms import (
    Basis,
    Construction,
    IntervalKind,
    LevelState,
    Occasion,
    PumpType,
    Quantity,
    Severity,
    Verdict,
)

NAME = "pump-depth"
SCREEN_SOURCE = "Davis, a textbook, fig. 4-13: at least 1.5 m above the top of the screen; a maker's manual: 5 ft"
OFF_BOTTOM, OVER_PUMP, ABOVE_SCREEN = "off the bottom", "water over the pump", "above the screen"

_NOT_JUDGED = frozenset({PumpType.SHALLOW_JET, PumpType.HAND})
"""One stands above the ground; the other lifts too little to stir a bottom or draw a well down."""

_SHALLOW_BY_NATURE = frozenset({Construction.DUG, Construction.DRIVEN})
"""A few feet of water over the pump are all there is in one of these."""


@dataclass(frozen=True, slots=True)
class _Hung:
    """The pump that is judged, and where it hangs."""

    hole: Hole
    component: Component
    set_ft: float

    @property
    def subject(self) -> str:
        return f"pump at {self.set_ft:g} ft"

    def drawn_since(self, level: Fact) -> Span:
        """From when it hangs there in water of that level."""
        return both(
            hangs_since(self.hole, self.component, "set_depth_ft", Quantity.WATER_LEVEL_FT),
            read_since(self.hole, level.record),
        )


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """Set depths count from the ground, as sheets give them; the others are brought to it."""
    found = hole.the(Pump)
    if found is None:
        return
    component, set_ft = found[0], found[1].set_depth_ft
    if pump_kind(hole) in _NOT_JUDGED:
        depth = hole.depth_ft()
        if set_ft is not None and depth is not None and over(set_ft, depth) > 0:
            # Nothing hangs deeper than its hole, whatever it is.
            yield _off_the_bottom(_Hung(hole, component, set_ft), numbers)
        return
    if set_ft is None:
        for aspect in (OFF_BOTTOM, OVER_PUMP):
            yield cannot_say(NAME, aspect, "pump", "set depth", source=COMMON_PRACTICE)
        return
    hung = _Hung(hole, component, set_ft)
    yield _off_the_bottom(hung, numbers)
    yield _over_the_pump(hung, numbers)
    yield from _above_the_screen(hung, numbers)


# -- the bottom ----------------------------------------------------------------------------------


def _off_the_bottom(hung: _Hung, numbers: Numbers) -> Check:
    depth = hung.hole.depth_ft()
    act, plan = numbers["act_off_bottom_ft"], numbers["plan_off_bottom_ft"]
    if depth is None:
        return cannot_say(
            NAME, OFF_BOTTOM, hung.subject, "depth of the hole", source=COMMON_PRACTICE
        )
    gap = over(depth, hung.set_ft)
    fails = gap < max(act, plan)
    # Below the bottom one of two numbers is wrong, and `doubtful-record` asks which. Until that is
    # known the pump counts as standing on the bottom: nothing else fits both numbers better.
    off = f"{gap:g} ft off the bottom" if gap >= 0 else f"{-gap:g} ft below the recorded bottom"
    return Check(
        rule=NAME,
        aspect=OFF_BOTTOM,
        subject=hung.subject,
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=f"hole of {depth:g} ft: pump {off}",
        source=COMMON_PRACTICE,
        value=gap,
        limit=max(act, plan),
        unit="ft",
        at_least=True,
        finding=_bottom_finding(hung, depth, off, numbers) if fails else None,
    )


def _bottom_finding(hung: _Hung, depth: float, off: str, numbers: Numbers) -> Finding:
    act, plan = numbers["act_off_bottom_ft"], numbers["plan_off_bottom_ft"]
    gap = over(depth, hung.set_ft)
    may, surely = hangs_since(hung.hole, hung.component, "set_depth_ft", Quantity.DEPTH_FT)
    return Finding(
        rule=NAME,
        subject="pump, off the bottom",
        occurrence=occurrence(NAME, "bottom", hung.component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.ACT if gap < act else Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pump set at {hung.set_ft:g} ft in a hole of {depth:g} ft: {off},"
            f" limit {act if gap < act else plan:g} ft"
        ),
        action="when the string is up, sound the bottom and hang the pump higher",
        source=COMMON_PRACTICE,
        counts_from=hung.component.uid,
        numbers={
            "set_depth_ft": hung.set_ft,
            "depth_ft": depth,
            "off_bottom_ft": gap,
            "act_off_bottom_ft": act,
            "plan_off_bottom_ft": plan,
        },
    )


# -- the water -----------------------------------------------------------------------------------


def _over_the_pump(hung: _Hung, numbers: Numbers) -> Check:
    still = hung.hole.at_rest()
    if still is not None and still.value is not None:
        level = hung.hole.below_ground(still)
        if over(hung.set_ft, level) < 0:
            # Whatever it is drawn down to lies deeper still.
            return _over(hung, still, level, 0.0, _above_level(hung, still, level))
    fact = hung.hole.level(LevelState.PUMPING)
    if fact is None or fact.value is None:
        return cannot_say(NAME, OVER_PUMP, hung.subject, "pumping level", source=COMMON_PRACTICE)
    level = hung.hole.below_ground(fact)
    shallow = hung.hole.construction in _SHALLOW_BY_NATURE
    least = 0.0 if shallow else numbers["least_over_pump_ft"]
    water = over(hung.set_ft, level)
    finding = None
    if water < 0:
        finding = _above_level(hung, fact, level)
    elif water < least:
        finding = _little_water(hung, fact, level, least)
    return _over(hung, fact, level, least, finding)


def _over(hung: _Hung, fact: Fact, level: float, least: float, finding: Finding | None) -> Check:
    water = over(hung.set_ft, level)
    says = f"{water:g} ft of water over it" if water >= 0 else f"{-water:g} ft above the water"
    return Check(
        rule=NAME,
        aspect=OVER_PUMP,
        subject=hung.subject,
        verdict=Verdict.FAIL if finding else Verdict.PASS,
        says=f"{says} at the {_state(fact)} level of {level:g} ft ({fact.basis.label}, {fact.as_of})",
        source=COMMON_PRACTICE,
        value=water,
        limit=least,
        unit="ft",
        at_least=True,
        finding=finding,
    )


def _state(fact: Fact) -> str:
    return "pumping" if fact.state is LevelState.PUMPING else "static"


def _above_level(hung: _Hung, fact: Fact, level: float) -> Finding:
    may, surely = hung.drawn_since(fact)
    state = _state(fact)
    above = over(level, hung.set_ft)
    # A level on a log is often that of a test from the very bottom, at more than this pump gives.
    measured = fact.basis is Basis.MEASURED
    drawn = fact.state is LevelState.PUMPING
    return Finding(
        rule=NAME,
        subject=f"pump, above the {state} level",
        occurrence=occurrence(NAME, "pumping-level", hung.component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.ACT if measured and drawn else Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pump set at {hung.set_ft:g} ft, {above:g} ft above the {state} level of {level:g} ft"
            f" ({fact.basis.label}, {fact.as_of})"
        ),
        action=(
            "when the string is up, hang the pump below the pumping level or hold its flow back"
            if drawn
            else "measure the level with the pump at rest, for one of the two numbers may be wrong;"
            " if not, hang the pump below the water"
        ),
        source=COMMON_PRACTICE,
        counts_from=hung.component.uid,
        numbers={"set_depth_ft": hung.set_ft, f"{state}_level_ft": level, "above_level_ft": above},
    )


def _little_water(hung: _Hung, fact: Fact, level: float, least: float) -> Finding:
    """The milder grade of the same occurrence: one pump at one level is one thing to put right."""
    may, surely = hung.drawn_since(fact)
    water = over(hung.set_ft, level)
    return Finding(
        rule=NAME,
        subject="pump, water over it",
        occurrence=occurrence(NAME, "pumping-level", hung.component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN if fact.basis is Basis.MEASURED else Severity.WATCH,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pump set at {hung.set_ft:g} ft has {water:g} ft of water over it at the pumping level of"
            f" {level:g} ft ({fact.basis.label}, {fact.as_of}); at least {least:g} ft is usual"
        ),
        action="when the string is up, hang the pump lower if the hole allows, or hold its flow back",
        source=COMMON_PRACTICE,
        counts_from=hung.component.uid,
        numbers={
            "set_depth_ft": hung.set_ft,
            "pumping_level_ft": level,
            "over_pump_ft": water,
            "least_over_pump_ft": least,
        },
    )


# -- the screen ----------------------------------------------------------------------------------


def _top_ft(screen: Interval) -> float | None:
    if screen.from_ft is None or screen.to_ft is None:
        return screen.from_ft
    # One that runs upward on record has its depths changed places: `doubtful-record` asks.
    return min(screen.from_ft, screen.to_ft)


def _above_the_screen(hung: _Hung, numbers: Numbers) -> Iterator[Check]:
    """Judged by the uppermost screen; a hole without one on record is open rock, as most are."""
    screens = [i for i in hung.hole.intervals if i.kind is IntervalKind.SCREEN]
    tops = [(top, i.uid) for i in screens if (top := _top_ft(i)) is not None]
    if screens and not tops:
        yield cannot_say(
            NAME, ABOVE_SCREEN, hung.subject, "top of the screen", source=SCREEN_SOURCE
        )
    if not tops:
        return
    top, uid = min(tops)
    least, above = numbers["least_above_screen_ft"], over(top, hung.set_ft)
    says = f"{above:g} ft above" if above >= 0 else f"{-above:g} ft below"
    may, surely = both(
        said_since(hung.hole, hung.component, "set_depth_ft"), read_since(hung.hole, uid)
    )
    finding = Finding(
        rule=NAME,
        subject="pump, at the screen",
        occurrence=occurrence(NAME, "screen", hung.component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.WATCH,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pump set at {hung.set_ft:g} ft is {says} the top of the screen at {figure(top)} ft; at"
            f" least {least:g} ft above it is right"
        ),
        action=(
            "when the string is up, look for sand in the pump; hang it above the screen where the"
            " level allows, or with a shroud round the motor"
        ),
        source=SCREEN_SOURCE,
        counts_from=hung.component.uid,
        numbers={
            "set_depth_ft": hung.set_ft,
            "screen_top_ft": top,
            "above_screen_ft": above,
            "least_above_screen_ft": least,
        },
    )
    fails = above < least
    yield Check(
        rule=NAME,
        aspect=ABOVE_SCREEN,
        subject=hung.subject,
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=f"pump {says} the top of the screen at {figure(top)} ft",
        source=SCREEN_SOURCE,
        value=above,
        limit=least,
        unit="ft",
        at_least=True,
        finding=finding if fails else None,
    )


RULE = Rule(
    name=NAME,
    title="pump too near the bottom, in its screen, or with too little water over it",
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
        Threshold(
            "least_over_pump_ft",
            10,
            "less water than this over the pump at the pumping level is too little",
            COMMON_PRACTICE,
            0,
            500,
        ),
        Threshold(
            "least_above_screen_ft",
            5,
            "nearer than this above the top of the screen a pump draws sand",
            SCREEN_SOURCE,
            0,
            200,
        ),
    ),
    checks=checks,
    in_order=(("act_off_bottom_ft", "plan_off_bottom_ft"),),
)
