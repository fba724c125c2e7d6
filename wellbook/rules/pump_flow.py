"""What a pump gives into its tank: as measured, as its curve says, or as it is rated."""

from __future__ import annotations

from dataclasses import replace

from wellbook.engineering.operating import NoOperatingPoint, operating_point
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules.motor_facts import MotorFacts
from wellbook.rules.part_readings import holds_since, read_of
from wellbook.rules.pump_lift import lifter_of, system_of, worked_since
from wellbook.rules.spans import Span, both, read_since, said_since
from wellbook.terms import Basis, LevelState, Quantity


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
        return *by_curve, "by its curve, the water at rest"
    pump, model = hole.the(Pump), hole.pump_model
    rated = pump[1].rated_gpm if pump else None
    if rated is None and model is not None:
        rated = model.rated_gpm
    return rated, said_since(hole, motor.pump, "rated_gpm"), "rated"


def _by_curve(
    hole: Hole, cut_in_psi: float | None, cut_out_psi: float | None
) -> tuple[float, Span] | None:
    """What a pump of the shop's list gives half way from cut-in to cut-out, the water at rest.

    That is the most that it gives, and so the shortest run. An estimated pump has no one flow.
    """
    lifter, level = lifter_of(hole), hole.level(LevelState.STATIC, LevelState.FLOWING)
    if lifter is None or lifter.curves.estimated or level is None:
        return None
    if cut_in_psi is None or cut_out_psi is None:
        return None
    system = system_of(hole, (cut_in_psi + cut_out_psi) / 2)
    if system is None:
        return None
    point = operating_point(
        lifter.curves.middle, replace(system, specific_capacity_gpm_per_ft=None)
    )
    if isinstance(point, NoOperatingPoint) and point.why != "curve ends":
        return None
    return point.gpm, both(lifter.since, read_since(hole, level.record), worked_since(hole))
