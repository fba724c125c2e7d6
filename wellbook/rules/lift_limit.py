"""A pump that cannot lift the water from where it stands while it runs.

Each pump has three depths: from where it gives its rated flow, from where it still brings the tank to
the cut-out, and where it stalls. Below the second the switch never opens and the pump runs without
end; below the third it gives no water and cooks. The level while pumping and the setting are judged
apart: what the setting has too much is `useless-depth`, and a work-a-day level that is out of reach is
this one. That a pump gives less than its rated flow at the cut-out is said, and no fault.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.engineering.lift import Band
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import figure, over
from wellbook.rules.finding import Finding, Numbers, Rule, occurrence
from wellbook.rules.levels import worked_since
from wellbook.rules.lift import (
    CURVE,
    HEAD,
    STALLED,
    Lift,
    lift_of,
    missing_for_lift,
    span_ft,
    whole_ft,
)
from wellbook.rules.pressures import USUAL_CUT_OUT, Stop
from wellbook.rules.spans import Span, both, read_since
from wellbook.terms import Basis, LevelState, Occasion, Severity, Verdict

NAME = "lift-limit"
RATED, REACHES = "delivers its rated flow", "reaches cut-out"
DRAWN_DOWN, STALLS = "reaches cut-out, drawn down", "stalls, drawn down"


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """From the level while pumping, else that at rest; then with the well drawn down to the pump."""
    lift = lift_of(hole, numbers["usual_cut_out_psi"])
    if lift is None:
        lacks = missing_for_lift(hole)
        if lacks:
            yield cannot_say(NAME, REACHES, "pump", *lacks, source=HEAD)
        return
    level = _level(hole)
    yield from _rated(lift, level)
    yield from _reaches(lift, level)
    yield from _set_depth(lift)


class _Level:
    """The level from which the pump lifts, in feet below ground, and how well it is known."""

    def __init__(self, hole: Hole, fact: Fact, ft: float, since: Span) -> None:
        self.ft = ft
        self.fact = fact
        self.since = both(worked_since(hole), since)
        self.pumping = fact.state is LevelState.PUMPING

    @property
    def words(self) -> str:
        state = "pumping level" if self.pumping else "static level"
        return f"{state} {figure(self.ft)} ft"


def _level(hole: Hole) -> _Level | None:
    pumping, still, still_ft = hole.level(LevelState.PUMPING), hole.at_rest(), hole.at_rest_ft()
    if pumping is not None and pumping.value is not None:
        below_ft = hole.below_ground(pumping)
        return _Level(hole, pumping, below_ft, read_since(hole, pumping.record))
    if still is None or still_ft is None:
        return None
    # A pumping level of which no number is known took the place of one that may have had one.
    spans = [read_since(hole, fact.record) for fact in (pumping, still) if fact is not None]
    return _Level(hole, still, still_ft, both(*spans))


def _verdict(ft: float, limit: Band) -> Verdict:
    if over(ft, limit.high) > 0:
        return Verdict.FAIL
    return Verdict.CANNOT_SAY if over(ft, limit.low) > 0 else Verdict.PASS


def _compared(
    lift: Lift,
    aspect: str,
    subject: str,
    *,
    ft: float,
    limit: Band,
    says: str,
    against: Stop | None,
    finding: Finding | None = None,
) -> Check:
    """A depth of water held against how deep the pump lifts from, against a pressure at the top."""
    verdict = _verdict(ft, limit)
    fails, unsure = verdict is Verdict.FAIL, verdict is Verdict.CANNOT_SAY
    assumed, taken = (against.assumed, against.taken) if against is not None else ("", ())
    return Check(
        rule=NAME,
        aspect=aspect,
        subject=subject,
        verdict=verdict,
        says=f"{says}{assumed}" + (f"; cannot say: missing {CURVE}" if unsure else ""),
        source=f"{lift.by.source}; {HEAD}",
        value=ft,
        # What passes does so by the least that the pump lifts, what fails by the most.
        limit=limit.high if fails else limit.low,
        unit="ft",
        taken=taken,
        missing=(CURVE,) if unsure else (),
        finding=finding,
    )


def _rated(lift: Lift, level: _Level | None) -> Iterator[Check]:
    depth, gpm = lift.depths.at_rated_flow_ft, lift.by.rated_gpm
    lacks = [*([] if gpm is not None else ["rated flow"]), *([] if level else ["pumping level"])]
    if depth is None or gpm is None or level is None:
        lacks = lacks or [CURVE]
        yield cannot_say(NAME, RATED, "pump", *lacks, source=lift.by.source)
        return
    limit = whole_ft(depth)
    unsaid = f" {lift.unsaid}" if lift.unsaid else ""
    says = f"{gpm:g} gpm against {lift.at_top} from {span_ft(limit)}{unsaid}; {level.words}"
    check = _compared(
        lift, RATED, level.words, ft=level.ft, limit=limit, says=says, against=lift.stop
    )
    if check.verdict is Verdict.PASS and not level.pumping:
        yield cannot_say(NAME, RATED, "pump", "pumping level", source=lift.by.source)
        return
    yield check


def _reaches(lift: Lift, level: _Level | None) -> Iterator[Check]:
    depth, set_ft = lift.depths.reaches_cut_out_ft, lift.by.pump.set_depth_ft
    if depth is None:
        yield cannot_say(NAME, REACHES, "pump", f"{CURVE} at no flow", source=lift.by.source)
        return
    limit = whole_ft(depth)
    says = f"reaches {lift.at_top} from {span_ft(limit)}"
    if level is not None:
        made = _compared(
            lift,
            REACHES,
            level.words,
            ft=level.ft,
            limit=limit,
            says=f"{says}; {level.words}",
            against=lift.stop,
            finding=_finding(lift, level, limit),
        )
        if level.pumping or made.verdict is not Verdict.PASS:
            yield made
            return
    if set_ft is not None and over(set_ft, limit.low) <= 0:
        # The level never falls below the pump.
        words = f"pump at {figure(set_ft)} ft"
        full = f"{says}; {words}"
        yield _compared(lift, REACHES, words, ft=set_ft, limit=limit, says=full, against=lift.stop)
        return
    yield cannot_say(NAME, REACHES, "pump", "pumping level", source=lift.by.source)


def _set_depth(lift: Lift) -> Iterator[Check]:
    """With the well drawn down to the pump. What the ledger keeps of it is `useless-depth`'s."""
    set_ft, depths = lift.by.pump.set_depth_ft, lift.depths
    reaches = (DRAWN_DOWN, depths.reaches_cut_out_ft, f"reaches {lift.at_top} from", lift.stop)
    # Where it stalls there is no pressure at the top; into an open cistern it comes up until then.
    stalls = (STALLS, depths.stalls_ft, "gives no water at all from below", None)
    for aspect, depth, says, against in (reaches, stalls) if lift.stop.psi else (stalls,):
        if set_ft is None or depth is None:
            lacks = "set depth" if set_ft is None else f"{CURVE} at no flow"
            yield cannot_say(NAME, aspect, "pump", lacks, source=lift.by.source)
            continue
        limit, words = whole_ft(depth), f"pump at {figure(set_ft)} ft"
        full = f"{says} {span_ft(limit)}; {words}"
        yield _compared(lift, aspect, words, ft=set_ft, limit=limit, says=full, against=against)


def _finding(lift: Lift, level: _Level, limit: Band) -> Finding | None:
    verdict = _verdict(level.ft, limit)
    if verdict is Verdict.PASS:
        return None
    # A level on a log is often that of a test from the very bottom, at more than this pump gives.
    sure = verdict is Verdict.FAIL and level.fact.basis is Basis.MEASURED
    may, surely = both(lift.since, level.since)
    pump = lift.by.component
    return Finding(
        rule=NAME,
        subject="pump, from the water's level",
        occurrence=occurrence(NAME, "level", pump.uid),
        may_from=may,
        surely_from=surely if sure and lift.stop.known else None,
        severity=Severity.PLAN if sure else Severity.WATCH,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pump reaches {lift.at_top} from {span_ft(limit)} ({lift.by.rests_on});"
            f" {level.words} ({level.fact.basis.label}, {level.fact.as_of}){lift.stop.assumed}"
        ),
        action=(
            "see whether it ever stops by itself; at the next pull set a pump that lifts higher:"
            f" {STALLED}"
        ),
        source=lift.by.source,
        counts_from=pump.uid,
        numbers={
            **lift.numbers,
            "level_ft": level.ft,
            "reaches_low_ft": limit.low,
            "reaches_high_ft": limit.high,
        },
    )


RULE = Rule(
    name=NAME,
    title="water below what the pump lifts from",
    why=__doc__ or "",
    thresholds=(USUAL_CUT_OUT,),
    checks=checks,
)
