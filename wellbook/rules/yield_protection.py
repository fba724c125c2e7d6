"""A pump that can lift more than the well gives, with nothing that stops it in time.

Such a pump draws the well down to its intake and then runs dry, which wrecks it in minutes. A
smaller pump, a valve that holds it back, or a control that stops it when the water runs out keeps
it whole.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Pump
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
from wellbook.rules.spans import both, none_since, read_since, said_since
from wellbook.terms import Kind, Occasion, PumpType, Quantity, Severity

NAME = "yield-protection"


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Protection recorded as missing is to be planned for; not recorded, it is to be watched."""
    found = hole.the(Pump)
    gives = hole.fact(Quantity.YIELD_GPM)
    if found is None or gives is None or found[1].type is PumpType.HAND:
        return
    component, pump = found
    control = hole.the(Control)
    protected = control[1].low_water_protection if control else None
    margin = numbers["margin_gpm"]
    if pump.rated_gpm is None or protected:
        return
    if over(pump.rated_gpm - gives.number, margin) <= 0:
        return
    may, surely = both(
        since(component.set_on, component.noted_on),
        read_since(hole, gives.record),
        said_since(hole, control[0], "low_water_protection")
        if control
        else none_since(hole, Kind.CONTROL),
    )
    unprotected = protected is False
    yield Finding(
        rule=NAME,
        subject="low-water protection",
        occurrence=occurrence(NAME, "pump", component.uid),
        may_from=may,
        # What nobody wrote down may be there.
        surely_from=surely if unprotected else None,
        severity=Severity.PLAN if unprotected else Severity.WATCH,
        occasion=Occasion.NEXT_VISIT,
        reason=(
            f"pump rated {pump.rated_gpm:g} gpm on a well that gives {gives.number:g} gpm"
            f" ({gives.basis.label}, {gives.as_of});"
            f" low-water protection {'none' if unprotected else 'not recorded'}"
        ),
        action=(
            "fit low-water protection, or hold the flow back to what the well gives"
            if unprotected
            else "look whether anything stops the pump when the water runs out, and write it down"
        ),
        source=COMMON_PRACTICE,
        counts_from=component.uid,
        numbers={
            "rated_gpm": pump.rated_gpm,
            "yield_gpm": gives.number,
            "margin_gpm": margin,
        },
    )


RULE = Rule(
    name=NAME,
    title="pump rated above the yield without low-water protection",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "margin_gpm",
            0,
            "how far a pump may be rated above the yield before it counts",
            COMMON_PRACTICE,
            0,
            1000,
        ),
    ),
    judge=judge,
)
