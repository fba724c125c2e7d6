"""How deep the pump that hangs here can lift from: by its maker's curve, else by an estimate."""

from __future__ import annotations

from wellbook.engineering.lift import PumpCurves, PumpLift, estimated_curves, pump_lift
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules.pipe_rating import cut_out, rise_ft
from wellbook.terms import PumpType


def curves_of(hole: Hole) -> PumpCurves | None:
    """What is known of the head of the pump that is there; None where it cannot be said."""
    found = hole.the(Pump)
    if found is None or found[1].type not in (PumpType.SUBMERSIBLE, None):
        return None
    model, pump = hole.pump_model, found[1]
    if model is not None and model.curve is not None:
        return PumpCurves.known(model.curve)
    if pump.hp is None or pump.rated_gpm is None:
        return None
    try:
        return estimated_curves(pump.hp, pump.rated_gpm, model.service_factor if model else None)
    except ValueError:
        return None


def lift_of(hole: Hole, usual_cut_out_psi: float) -> PumpLift | None:
    """The three depths of the pump that is there; None where they cannot be said."""
    curves, found = curves_of(hole), hole.the(Pump)
    if curves is None or found is None:
        return None
    known, _ = cut_out(hole)
    try:
        return pump_lift(
            curves,
            rated_gpm=found[1].rated_gpm,
            cut_out_psi=usual_cut_out_psi if known is None else known,
            rise_ft=rise_ft(hole),
        )
    except ValueError:
        return None
