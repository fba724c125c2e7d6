"""What a pump gives with the water at each level that matters: at rest, pumped, and drawn down.

Each level is taken as it is: the flow there is where the pump's curve meets the lift, the pressure of
the switch, the rise and the friction. An estimated pump gives a band of flows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.operating import NoOperatingPoint, OperatingPoint, System, operating_point
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules.pipe_rating import cut_out
from wellbook.rules.pump_lift import lift_of, runs_of, system_of
from wellbook.terms import LevelState


@dataclass(frozen=True, slots=True)
class Duty:
    """What the pump gives with the water at one level, against the pressure of the cut-out.

    Parameters
    ----------
    where
        Which level: "at the static level".
    level_ft
        Its depth below ground, feet.
    cut_out_psi
        The pressure at the top, psi.
    low_gpm, high_gpm
        The flow, gpm: one number twice with a curve, a band without; 0 where it gives none.
    lifts
        Whether it gives any water there, against no pressure.
    at_least
        Whether the curve ends before, so that it gives no less than that.
    """

    where: str
    level_ft: float
    cut_out_psi: float
    low_gpm: float
    high_gpm: float
    lifts: bool
    at_least: bool = False


def duties(hole: Hole, usual_cut_out_psi: float, on: date) -> Iterator[Duty]:
    """The duty at each level that is known; none where the pump's lift cannot be reckoned.

    Parameters
    ----------
    hole
        The well with the string that hangs, or is to hang, in it.
    usual_cut_out_psi
        The cut-out taken where none is recorded, psi.
    on
        The day, for the age of pipe that rusts.
    """
    lift = lift_of(hole, usual_cut_out_psi)
    if lift is None:
        return
    curves, stops_psi = lift.by.curves, lift.cut_out_psi
    for where, level_ft in _levels(hole):
        try:
            # The level is what is asked about, so it does not move with the flow.
            at = System(max(level_ft, 0.0), lift.rise_ft, stops_psi, runs_of(hole, on))
            low, high = _flow(curves.low, at), _flow(curves.high, at)
        except ValueError:
            # Numbers that cannot be are asked about by the rules.
            continue
        stalls = lift.depths.stalls_ft
        lifts = stalls is None or level_ft < stalls.high
        yield Duty(where, level_ft, stops_psi, low.gpm, high.gpm, lifts, high.more or low.more)


def _levels(hole: Hole) -> Iterator[tuple[str, float]]:
    static, pumping = hole.level_ft(LevelState.STATIC), hole.level_ft(LevelState.PUMPING)
    if static is not None:
        yield "at the static level", static
    if pumping is not None:
        yield "at the pumping level", pumping
    pump = hole.the(Pump)
    if pump is not None and pump[1].set_depth_ft is not None:
        yield "drawn down to the pump", pump[1].set_depth_ft


@dataclass(frozen=True, slots=True)
class _Flow:
    gpm: float
    more: bool = False


def _flow(curve: HeadCurve, system: System) -> _Flow:
    point = operating_point(curve, system)
    if isinstance(point, OperatingPoint):
        return _Flow(point.gpm)
    if point.why == "curve ends":
        return _Flow(point.gpm, more=True)
    return _Flow(0.0)


@dataclass(frozen=True, slots=True)
class Meeting:
    """A pump's curve and what one well asks for, with the point where they meet, or why not."""

    tag: str
    system: System
    point: OperatingPoint | NoOperatingPoint
    set_depth_ft: float | None

    @property
    def drawn_down(self) -> bool:
        """Whether the water would fall to the pump that hangs there before the two meet."""
        met = self.point
        if not isinstance(met, OperatingPoint) or self.set_depth_ft is None:
            return False
        return met.pumping_level_ft > self.set_depth_ft


def meeting(hole: Hole, curve: HeadCurve, usual_cut_out_psi: float, on: date) -> Meeting | None:
    """Where a pump would work in a well, its level falling with the flow where that is known.

    Parameters
    ----------
    hole
        The well with its pipe, tank and switch.
    curve
        The pump's, whether it hangs there or not.
    usual_cut_out_psi
        The cut-out taken where none is recorded, psi.
    on
        The day, for the age of pipe that rusts.
    """
    known, _ = cut_out(hole)
    system = system_of(hole, usual_cut_out_psi if known is None else known, on)
    if system is None:
        return None
    pump = hole.the(Pump)
    set_ft = pump[1].set_depth_ft if pump else None
    return Meeting(hole.tag, system, operating_point(curve, system), set_ft)
