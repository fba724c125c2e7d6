"""A pump that can lift more than the well gives, with nothing that stops it in time.

Such a pump draws the well down to its intake and then runs dry, which wrecks it in minutes. A
smaller pump, a valve that holds it back, or a control that stops it when the water runs out keeps
it whole.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.customer_words import in_words
from wellbook.rules.figures import over
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.rules.pump_facts import PumpFacts, pump_facts
from wellbook.rules.spans import both, none_since, read_since, said_since
from wellbook.terms import Kind, Occasion, PumpType, Quantity, Severity, Verdict

NAME = names.YIELD_PROTECTION
ASPECT = "rated flow against yield"
MISSING = "low-water protection"


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """Protection recorded as missing is to be planned for; not recorded, it is to be watched."""
    pump, gives = pump_facts(hole), hole.fact(Quantity.YIELD_GPM)
    if pump is None or pump.kind.value is PumpType.HAND:
        return
    control, rated, margin = hole.the(Control), pump.rated_gpm.value, numbers["margin_gpm"]
    protected = control[1].low_water_protection if control else None
    if protected or rated is None or gives is None:
        yield _protected(rated) if protected else _lacks(rated, gives)
        return
    says = (
        f"pump rated {rated:g} gpm on a well that gives {gives.number:g} gpm ({gives.basis.label},"
        f" {gives.as_of})"
    )
    fails = over(rated - gives.number, margin) > 0
    finding = None
    if fails:
        finding = _finding(hole, pump, says, gives, rated_gpm=rated, margin_gpm=margin)
    if fails and protected is None:
        # What nobody wrote down may be there.
        yield cannot_say(
            NAME,
            ASPECT,
            "pump",
            MISSING,
            source=COMMON_PRACTICE,
            finding=finding,
            value=rated,
            limit=gives.number + margin,
            unit="gpm",
        )
        return
    yield Check(
        rule=NAME,
        aspect=ASPECT,
        subject="pump",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=f"{says}; no low-water protection" if fails else says,
        source=COMMON_PRACTICE,
        value=rated,
        limit=gives.number + margin,
        unit="gpm",
        finding=finding,
    )


def _protected(rated: float | None) -> Check:
    """Where something stops the pump in time it does not matter what it is rated."""
    return Check(
        rule=NAME,
        aspect=ASPECT,
        subject="pump",
        verdict=Verdict.PASS,
        says="low-water protection stops the pump when the water runs out",
        source=COMMON_PRACTICE,
        value=rated,
        unit="gpm",
    )


def _lacks(rated: float | None, gives: Fact | None) -> Check:
    missing = [] if rated is not None else ["rated flow of the pump"]
    missing += [] if gives is not None else ["yield of the well"]
    return cannot_say(NAME, ASPECT, "pump", *missing, source=COMMON_PRACTICE)


def _finding(hole: Hole, pump: PumpFacts, says: str, gives: Fact, **numbers: float) -> Finding:
    control = hole.the(Control)
    may, surely = both(
        pump.rated_gpm.since,
        read_since(hole, gives.record),
        said_since(hole, control[0], "low_water_protection")
        if control
        else none_since(hole, Kind.CONTROL),
    )
    unprotected = control is not None and control[1].low_water_protection is False
    return Finding(
        rule=NAME,
        subject=MISSING,
        occurrence=occurrence(NAME, "pump", pump.component.uid),
        may_from=may,
        surely_from=surely if unprotected else None,
        severity=Severity.PLAN if unprotected else Severity.WATCH,
        occasion=Occasion.NEXT_VISIT,
        reason=f"{says}; low-water protection {'none' if unprotected else 'not recorded'}",
        action=(
            "fit low-water protection, or hold the flow back to what the well gives"
            if unprotected
            else "look whether anything stops the pump when the water runs out, and write it down"
        ),
        source=COMMON_PRACTICE,
        counts_from=pump.component.uid,
        numbers={"yield_gpm": gives.number, **numbers},
        to_customer=(
            f"The well gave {gives.number:g} gallons a minute {in_words(gives.as_of)}, and its pump is"
            f" rated {numbers['rated_gpm']:g}: nothing stops the pump when the water runs out, and we"
            " would fit what does."
            if unprotected
            else ""
        ),
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
    checks=checks,
)
