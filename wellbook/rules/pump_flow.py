"""What a pump gives into its tank: as measured, as its curve says, or as it is rated."""

from __future__ import annotations

from dataclasses import replace

from wellbook.engineering.operating import flow_between
from wellbook.hole.hole import Hole
from wellbook.rules.levels import worked_since
from wellbook.rules.lift import lifter_of
from wellbook.rules.motor_facts import MotorFacts
from wellbook.rules.part_readings import holds_since, read_of
from wellbook.rules.pump_facts import pump_facts
from wellbook.rules.spans import Span, both, read_since
from wellbook.rules.well_asks import runs_of, system_of
from wellbook.terms import Basis, Quantity


def flow_of(
    hole: Hole, motor: MotorFacts, cut_in_psi: float | None, cut_out_psi: float | None
) -> tuple[float | None, Span, str]:
    """What the pump gives: as last measured, else by its curve, else as rated; from when, and how."""
    read = read_of(hole, Quantity.FLOW_GPM, [motor.pump])
    read = [o for o in read if o.basis is Basis.MEASURED]
    if read:
        return read[-1].value, holds_since(hole, read[-1], [motor.pump]), "measured"
    by_curve = _by_curve(hole, cut_in_psi, cut_out_psi)
    if by_curve is not None:
        unsaid = runs_of(hole).unsaid
        return *by_curve, ", ".join(w for w in ("by its curve, the water at rest", unsaid) if w)
    facts = pump_facts(hole)
    assert facts is not None, "its motor is there"
    return facts.rated_gpm.value, facts.rated_gpm.since, "rated"


def _by_curve(
    hole: Hole, cut_in_psi: float | None, cut_out_psi: float | None
) -> tuple[float, Span] | None:
    """What a pump of the shop's list gives half way from cut-in to cut-out, the water at rest.

    That is the most that it gives, and so the shortest run. An estimated pump has no one flow.
    """
    lifter, level = lifter_of(hole), hole.at_rest()
    if lifter is None or lifter.curves.estimated or level is None:
        return None
    if cut_in_psi is None or cut_out_psi is None:
        return None
    system = system_of(hole, (cut_in_psi + cut_out_psi) / 2)
    if system is None:
        return None
    flow = flow_between(lifter.curves.middle, replace(system, specific_capacity_gpm_per_ft=None))
    if flow.least_gpm <= 0:
        return None
    return flow.least_gpm, both(lifter.since, read_since(hole, level.record), worked_since(hole))
