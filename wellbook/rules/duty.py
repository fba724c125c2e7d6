"""What a pump gives with the water at each level that matters: at rest, pumped, and drawn down.

Each level is taken as it is: the flow there is where the pump's curve meets the lift, the pressure of
the switch, the rise and the friction. An estimated pump gives a band of flows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.operating import (
    Flow,
    NoOperatingPoint,
    OperatingPoint,
    System,
    flow_between,
    operating_point,
)
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules.figures import over
from wellbook.rules.lift import lift_of
from wellbook.rules.pressures import stop_of
from wellbook.rules.well_asks import runs_of, system_of
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
    low_gpm
        It gives no less, gpm: with a curve the flow itself, else the lower end of a band.
    high_gpm
        It gives no more, gpm; None where its curve ends before.
    lifts
        Whether it gives any water there, against no pressure; None where its curve does not say.
    begins_later
        Whether its curve begins only with `high_gpm`, which is more than it gives here: whether it
        gives any water is then not known.
    unsaid
        What is not in it, in words: the friction of pipe of unknown size.
    cut_out_known
        Whether the pressure is on record, and not the usual one.
    estimated
        Whether it comes of horsepower and rated flow, and not of a curve.
    """

    where: str
    level_ft: float
    cut_out_psi: float
    low_gpm: float
    high_gpm: float | None
    lifts: bool | None
    begins_later: bool = False
    unsaid: str = ""
    cut_out_known: bool = True
    estimated: bool = False

    @property
    def at_least(self) -> bool:
        """Whether the curve ends before, so that it gives no less than that."""
        return self.high_gpm is None


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
    curves, stops_psi, runs = lift.by.curves, lift.stop.psi, runs_of(hole, on)
    set_ft = _set_ft(hole)
    for where, level_ft in _levels(hole):
        if set_ft is not None and over(level_ft, set_ft) > 0:
            # Above the water it gives none.
            continue
        try:
            # The level is what is asked about, so it does not move with the flow.
            at = System(max(level_ft, 0.0), lift.rise_ft, stops_psi, runs.known)
            low, high = flow_between(curves.low, at), flow_between(curves.high, at)
            into_the_open = flow_between(curves.high, replace(at, cut_out_psi=0.0))
        except ValueError:
            # Numbers that cannot be are asked about by the rules.
            continue
        ends = low.most_gpm is None or high.most_gpm is None
        yield Duty(
            where,
            level_ft,
            stops_psi,
            low.least_gpm,
            None if ends else high.most_gpm,
            _lifts(into_the_open),
            high.gpm is None and high.least_gpm == 0,
            runs.unsaid,
            lift.stop.known,
            curves.estimated,
        )


def _lifts(into_the_open: Flow) -> bool | None:
    if into_the_open.least_gpm > 0:
        return True
    return False if into_the_open.most_gpm == 0 else None


def _levels(hole: Hole) -> Iterator[tuple[str, float]]:
    fact, rest_ft = hole.at_rest(), hole.at_rest_ft()
    if fact is not None and rest_ft is not None:
        flows = fact.state is LevelState.FLOWING
        yield "at rest, flowing" if flows else "at the static level", rest_ft
    pumping_ft = hole.level_ft(LevelState.PUMPING)
    if pumping_ft is not None:
        yield "at the pumping level", pumping_ft
    set_ft = _set_ft(hole)
    if set_ft is not None:
        yield "drawn down to the pump", set_ft


def _set_ft(hole: Hole) -> float | None:
    pump = hole.the(Pump)
    return pump[1].set_depth_ft if pump is not None else None


@dataclass(frozen=True, slots=True)
class Meeting:
    """A pump's curve and what one well asks for, with the point where they meet, or why not."""

    tag: str
    system: System
    point: OperatingPoint | NoOperatingPoint
    set_depth_ft: float | None
    unsaid: str = ""
    """What is not in it, in words: the friction of pipe of unknown size."""
    cut_out_known: bool = True
    """Whether the pressure is on record, and not the usual one."""

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
    stop = stop_of(hole, usual_cut_out_psi)
    system = system_of(hole, stop.psi, on)
    if system is None:
        return None
    pump = hole.the(Pump)
    set_ft = pump[1].set_depth_ft if pump else None
    unsaid = runs_of(hole).unsaid
    return Meeting(hole.tag, system, operating_point(curve, system), set_ft, unsaid, stop.known)
