"""The air in a pressure tank against the pressure at which its pump starts."""

from __future__ import annotations

from dataclasses import replace

from wellbook.engineering.tank import PRECHARGE_BELOW_CUT_IN_PSI
from wellbook.hole.component import Component
from wellbook.rules.check import Check
from wellbook.rules.figures import over
from wellbook.rules.finding import Finding, occurrence
from wellbook.rules.spans import Span
from wellbook.terms import Occasion, Severity, Verdict

PRECHARGE = "precharge"
SOURCE = "guides of tanks in print: 2 psi below cut-in, read with the tank empty"

SHORT_OF_AIR_PSI = 5.0
"""A tank that has lost no more than this since it was filled is let be; common practice."""

DRAINED = (
    "power off and locked out, and the tank drained, before its air is read or changed; cut-out"
    " stays below the pressure on the tank's plate"
)


def air_check(rule: str, component: Component, psi: float, cut_in_psi: float, span: Span) -> Check:
    """A tank's air: above cut-in it fails, and far below what is right it is watched.

    Parameters
    ----------
    rule
        The rule that asks, whose finding it is.
    component
        The tank.
    psi, cut_in_psi
        Its air with the tank empty, and where the switch starts the pump.
    span
        From when both are so.
    """
    fails = over(psi, cut_in_psi) > 0
    right = max(cut_in_psi - PRECHARGE_BELOW_CUT_IN_PSI, 0.0)
    says = f"tank holds {psi:g} psi of air at a cut-in of {cut_in_psi:g} psi"
    if fails:
        says += ": it is empty before the pump starts, and the pressure drops out each time"
    elif over(right - psi, SHORT_OF_AIR_PSI) > 0:
        # What it costs in run time is judged by itself, and put on the list there.
        return Check(
            rule=rule,
            aspect=PRECHARGE,
            subject="tank",
            verdict=Verdict.FAIL,
            says=f"{says}: {right:g} psi is right; {DRAINED}",
            source=SOURCE,
            value=psi,
            limit=right - SHORT_OF_AIR_PSI,
            unit="psi",
            at_least=True,
        )
    made = Check(
        rule=rule,
        aspect=PRECHARGE,
        subject="tank",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=psi,
        limit=cut_in_psi,
        unit="psi",
    )
    if not fails:
        return made
    may, surely = span
    finding = Finding(
        rule=rule,
        subject="tank's air",
        occurrence=occurrence(rule, "precharge", component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=says,
        action=f"set the air to {right:g} psi; {DRAINED}",
        source=SOURCE,
        counts_from=component.uid,
        numbers={"precharge_psi": psi, "cut_in_psi": cut_in_psi, "right_precharge_psi": right},
        to_customer=(
            f"By our record the pressure tank holds {psi:g} psi of air, compared with {cut_in_psi:g} psi"
            " at which the pump starts, so the pressure drops out each time: we would set its air."
        ),
    )
    return replace(made, finding=finding)
