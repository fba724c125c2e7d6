from wellbook.engineering.lift import PumpCurves, estimated_curves
from wellbook.engineering.operating import System
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.terms import LevelState


def curves_of(hole: Hole) -> PumpCurves | None:
    m = hole.pump_model
    if m and m.curve:
        return PumpCurves.known(m.curve)
    f = hole.the(Pump)
    if f and f[1].hp and f[1].rated_gpm:
        return estimated_curves(f[1].hp, f[1].rated_gpm)
    return None


def system_of(hole: Hole, usual: float) -> System | None:
    l = hole.level_ft(LevelState.STATIC)
    return None if l is None else System(max(l, 0), cut_out_psi=usual)
