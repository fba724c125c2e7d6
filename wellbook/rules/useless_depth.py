"""A setting of which the lowest feet are below what the pump lifts from.

From below where it still brings the tank to the cut-out, a pump runs without end at falling pressure;
from below where it stalls it gives nothing. So the water that stands there is none to count on, and
pipe and cable down to it are spent for nothing. It is put right when the string is up: another pump,
more head and less flow, has all of the hole's water.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.engineering.lift import Band, useless_depth_ft
from wellbook.hole.hole import Hole
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
from wellbook.rules.pressures import USUAL_CUT_OUT
from wellbook.rules.spans import both, said_since
from wellbook.terms import Occasion, Severity, Verdict

NAME = "useless-depth"
ASPECT = "setting out of its reach"


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The feet of the setting below where the pump reaches the cut-out, as a band."""
    lift, least_ft = lift_of(hole, numbers["usual_cut_out_psi"]), numbers["min_useless_ft"]
    if lift is None:
        lacks = missing_for_lift(hole)
        if lacks:
            yield cannot_say(NAME, ASPECT, "pump", *lacks, source=HEAD)
        return
    set_ft, reaches, stalls = (
        lift.by.pump.set_depth_ft,
        lift.depths.reaches_cut_out_ft,
        lift.depths.stalls_ft,
    )
    lacks = ("set depth",) if set_ft is None else (f"{CURVE} at no flow",)
    if set_ft is None or reaches is None or stalls is None:
        yield cannot_say(NAME, ASPECT, "pump", *lacks, source=lift.by.source)
        return
    try:
        useless, dead = (_useless(set_ft, whole_ft(depth)) for depth in (reaches, stalls))
    except ValueError:
        # No pump hangs at nought or two miles down: a slip of the pen.
        return
    surely, possibly = (over(feet, least_ft) > 0 for feet in (useless.low, useless.high))
    none = f"; no water at all from {span_ft(dead)} of them" if dead.high else ""
    says = (
        f"set at {figure(set_ft)} ft; reaches {lift.at_top} from {span_ft(whole_ft(reaches))}:"
        f" {span_ft(useless)} below that{none}"
    )
    unsure = possibly and not surely
    finding = _finding(hole, lift, set_ft, useless=useless, dead=dead, says=says, surely=surely)
    yield Check(
        rule=NAME,
        aspect=ASPECT,
        subject=f"pump at {figure(set_ft)} ft",
        verdict=Verdict.FAIL if surely else Verdict.CANNOT_SAY if unsure else Verdict.PASS,
        says=f"{says}{lift.stop.assumed}" + (f"; cannot say: missing {CURVE}" if unsure else ""),
        source=f"{lift.by.source}; {HEAD}",
        # What passes does so by the most that may be out of reach, what fails by the least.
        value=useless.low if surely else useless.high,
        limit=least_ft,
        unit="ft",
        taken=lift.stop.taken,
        missing=(CURVE,) if unsure else (),
        finding=finding if possibly else None,
    )


def _useless(set_ft: float, lifts_from_ft: Band) -> Band:
    feet = useless_depth_ft(set_ft, lifts_from_ft)
    return Band(over(feet.low, 0), over(feet.high, 0))


def _finding(
    hole: Hole, lift: Lift, set_ft: float, *, useless: Band, dead: Band, says: str, surely: bool
) -> Finding:
    pump = lift.by.component
    may, sure_from = both(lift.since, said_since(hole, pump, "set_depth_ft"))
    depths = {
        name: whole_ft(band)
        for name, band in (
            ("reaches", lift.depths.reaches_cut_out_ft),
            ("stalls", lift.depths.stalls_ft),
        )
        if band is not None
    }
    return Finding(
        rule=NAME,
        subject="pump, below its lift",
        occurrence=occurrence(NAME, "pump", pump.uid),
        may_from=may,
        surely_from=sure_from if surely and lift.stop.known else None,
        severity=Severity.PLAN if surely else Severity.WATCH,
        occasion=Occasion.NEXT_PULL,
        reason=f"pump {says} ({lift.by.rests_on}){lift.stop.assumed}",
        action=(
            "do not count on the water down there; at the next pull set a pump that lifts from its"
            f" setting, and guard this one against running on: {STALLED}"
        ),
        source=lift.by.source,
        counts_from=pump.uid,
        numbers={
            **lift.numbers,
            "set_depth_ft": set_ft,
            "useless_low_ft": useless.low,
            "useless_high_ft": useless.high,
            "no_water_low_ft": dead.low,
            "no_water_high_ft": dead.high,
            **{f"{name}_low_ft": band.low for name, band in depths.items()},
            **{f"{name}_high_ft": band.high for name, band in depths.items()},
        },
    )


RULE = Rule(
    name=NAME,
    title="setting deeper than the pump lifts from",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "min_useless_ft",
            20,
            "so much of a setting below the pump's lift is left alone",
            "a joint of pipe: " + COMMON_PRACTICE,
            0,
            1000,
        ),
        USUAL_CUT_OUT,
    ),
    checks=checks,
)
