"""How deep the pump of a well lifts from, against the pressure at the top of this well.

With the curve of its model in the shop's list it is the maker's, else an estimate from horsepower and
rated flow, as a band. Limits are in whole feet, rounded down, so that what is shown is what was
compared.
"""

from __future__ import annotations

from dataclasses import dataclass

from wellbook.engineering.friction import friction_loss_ft
from wellbook.engineering.lift import Band, PumpCurves, PumpLift, pump_lift
from wellbook.engineering.pressure import floor_ft
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules.asked_again import once_a_hole
from wellbook.rules.finding import COMMON_PRACTICE, Number
from wellbook.rules.pressures import Stop, rise_ft, stop_of, up_to_tank
from wellbook.rules.pump_facts import pump_facts
from wellbook.rules.spans import Span, both
from wellbook.rules.well_asks import runs_of
from wellbook.terms import PumpType

HEAD = "NDSU Extension AE1057: total head = level + rise + 2.31 ft for each psi at the top"
CURVE = "curve of the pump"
"""What is missing where only the pump's own curve could say on which side of a limit it is."""

STALLED = (
    "a pump that gives no water overheats: it ruins its motor, softens plastic pipe and can scald"
    " whoever opens the line"
)

# -- the pump ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Lifter:
    """A submersible of which it is known what it can lift.

    Parameters
    ----------
    component, pump
        The pump that is there now.
    curves
        Its own, or estimated ones.
    rated_gpm
        Its rated flow; None where only the curve is known.
    rests_on
        What they are: "curve of Quillmoor Q5-07", "estimate from 3/4 hp, rated 5 gpm".
    since
        From when the pump there is this one.
    """

    component: Component
    pump: Pump
    curves: PumpCurves
    rated_gpm: float | None
    hp: float | None
    rests_on: str
    since: Span

    @property
    def source(self) -> str:
        """What a limit that comes of it rests on."""
        why = COMMON_PRACTICE if self.curves.estimated else "in the shop's pump list"
        return f"{self.rests_on}: {why}"

    @property
    def numbers(self) -> dict[str, Number]:
        """What it was estimated from, for a finding."""
        return {"hp": self.hp, "rated_gpm": self.rated_gpm}


@once_a_hole
def lifter_of(hole: Hole) -> Lifter | None:
    """The well's pump, where it is a submersible and can be judged; else None."""
    facts = pump_facts(hole)
    if facts is None or facts.kind.value is not PumpType.SUBMERSIBLE:
        return None
    curves = facts.curves
    if curves is None:
        return None
    hp, gpm = facts.pump_hp, facts.rated_gpm
    since = both(facts.kind.since, facts.named_since, hp.since, gpm.since)
    return Lifter(facts.component, facts.pump, curves, gpm.value, hp.value, facts.rests_on, since)


def missing_for_lift(hole: Hole) -> tuple[str, ...]:
    """What would have to be known to say how deep the pump lifts from, in the words of the trade.

    Empty where it can be said, and where there is nothing to say: no pump, or no submersible.
    """
    facts = pump_facts(hole)
    if facts is None or facts.kind.value not in (None, PumpType.SUBMERSIBLE):
        return ()
    if facts.kind.value is None:
        return ("kind of pump",)
    if facts.curves is not None:
        return ()
    lacks = [*([] if facts.pump_hp.value is not None else ["horsepower"])]
    lacks += [] if facts.rated_gpm.value is not None else ["rated flow"]
    return tuple(lacks) or ("horsepower and rated flow that go together",)


# -- how deep it lifts from ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Lift:
    """How deep a well's pump lifts from against the pressure at the top of this well.

    Parameters
    ----------
    by
        The pump.
    depths
        The three depths, feet below the wellhead.
    stop
        Where the pump stops.
    rise_ft
        How far the tank is above the wellhead, feet.
    unsaid
        What is not in it, in words: the friction of pipe of unknown size.
    """

    by: Lifter
    depths: PumpLift
    stop: Stop
    rise_ft: float
    unsaid: str = ""

    @property
    def since(self) -> Span:
        """From when both the pump and the cut-out are these."""
        return both(self.by.since, self.stop.since)

    @property
    def at_top(self) -> str:
        """What it pumps against, in words."""
        return f"{self.stop.words}{up_to_tank(self.rise_ft)}"

    @property
    def numbers(self) -> dict[str, Number]:
        """What it was worked out from, for a finding."""
        return {**self.by.numbers, "cut_out_psi": self.stop.psi, "rise_ft": self.rise_ft}


def lift_of(hole: Hole, usual_cut_out_psi: float) -> Lift | None:
    """How deep the well's pump lifts from; None where it cannot be said (`missing_for_lift`).

    The cut-out is the switch's or a drive's setpoint (`pressures.cut_out`); where none is known, the
    usual one.
    """
    by = lifter_of(hole)
    if by is None:
        return None
    stop, rise, runs = stop_of(hole, usual_cut_out_psi), rise_ft(hole), runs_of(hole)
    rated = by.rated_gpm
    try:
        friction = 0.0 if rated is None else friction_loss_ft(runs.known, rated)
        depths = pump_lift(
            by.curves, rated_gpm=rated, cut_out_psi=stop.psi, rise_ft=rise, friction_ft=friction
        )
    except ValueError:
        return None
    return Lift(by, depths, stop, rise, runs.unsaid)


def whole_ft(band: Band) -> Band:
    """A band of depths in whole feet, rounded down.

    >>> whole_ft(Band(174.1, 285.5))
    Band(low=174, high=285)
    """
    return Band(floor_ft(band.low), floor_ft(band.high))


def span_ft(band: Band) -> str:
    """A band of feet as one reads it.

    >>> span_ft(Band(174, 285)), span_ft(Band(214, 214))
    ('174 to 285 ft', '214 ft')
    """
    if band.low == band.high:
        return f"{band.high:g} ft"
    return f"{band.low:g} to {band.high:g} ft"
