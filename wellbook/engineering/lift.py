"""How deep a pump can lift from: three depths that are easily taken for one another.

- where it still delivers its **rated flow** against the pressure at which the switch stops it;
- where it still **reaches the cut-out** with the last of its flow; below that the switch never opens,
  and the pump runs on without end;
- where it **stalls** and gives no water at all, even into the open. It then churns the same
  water hot, which destroys the motor and softens plastic pipe above it.

With the maker's head-capacity points they are read from the curve. Without them they are estimated
from horsepower and rated flow, as a band. Between rated flow and stall the curve of a small submersible
is steep, so that a band of 15 to 20 % either way is as good as it gets.

What the estimate rests on:

- a pump uses all that its motor may give, horsepower times service factor (common practice);
- small 4 in submersibles turn 45 to 65 % of it into lifted water (from memory), fewer at low flows;
- they make 1.3 to 1.5 times their rated head at no flow (from memory);
- two facts of the trade (common practice; the pressure at the top is not stated, so each lies between
  "reaches the cut-out" and "stalls"): 3/4 hp rated 10 gpm lifts from about 280 ft, 3/4 hp rated 5 gpm
  from 415 to 420 ft. The second is why 0.40 is taken at 5 gpm: 0.45 would have the pump reach a 50 psi
  cut-out from deeper than practice knows.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from wellbook.engineering._checks import MAX_DEPTH_FT, MAX_HP, MAX_PSI, non_negative, positive
from wellbook.engineering.bore import MAX_GPM
from wellbook.engineering.curves import MAX_HEAD_FT, HeadCurve
from wellbook.engineering.head import FT_PER_PSI, GPM_FT_PER_HP
from wellbook.engineering.tables import along

# Service factor of 4 in submersible motors by hp, makers' (from memory; the nameplate goes before).
# General-purpose motors of these sizes have 1.25 and 1.15 (NEMA, from memory): with those a pump
# would fall short of what the trade sees it lift.
_SERVICE_FACTOR: Final = (
    *((0.5, 1.6), (0.75, 1.5), (1.0, 1.4), (1.5, 1.3), (2.0, 1.25), (3.0, 1.15), (5.0, 1.15)),
)
# No motor of the trade has more (common practice).
MAX_SERVICE_FACTOR: Final = 2.0

# Efficiency of the pump alone at its rated flow, by that flow in gpm; see the head of this module.
_EFFICIENCY: Final = ((1.0, 0.20), (5.0, 0.40), (10.0, 0.55), (20.0, 0.60))
_EFFICIENCY_EITHER_WAY = 0.05
# Head at no flow, as a multiple of that at the rated flow.
_SHUT_OFF_LOW, _SHUT_OFF_HIGH = 1.3, 1.5

# An estimated curve falls with the square of the flow, and ends a little past the rated one: beyond
# that nothing is known of the pump.
_FRACTIONS_OF_RATED = (0.0, 0.25, 0.5, 0.75, 1.0, 1.125, 1.25)


@dataclass(frozen=True, slots=True)
class Band:
    """Between what and what a number lies; the same twice where it is known.

    >>> Band(174, 286).middle
    230.0
    """

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Half way between."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class PumpCurves:
    """What is known of a pump's head at each flow: between `low` and `high`, both the same curve
    where it is the maker's.
    """

    low: HeadCurve
    high: HeadCurve

    @classmethod
    def known(cls, curve: HeadCurve) -> PumpCurves:
        """Those of a pump whose curve is known."""
        return cls(curve, curve)

    @property
    def estimated(self) -> bool:
        """Whether they are an estimate and not the maker's."""
        return self.low != self.high

    @property
    def middle(self) -> HeadCurve:
        """Half way between the two, at each flow."""
        pairs = zip(self.low.points, self.high.points, strict=True)
        return HeadCurve(tuple((q, (low + high) / 2) for (q, low), (_, high) in pairs))


@dataclass(frozen=True, slots=True)
class PumpLift:
    """Three depths of the water below the wellhead, feet; 0 where not even from there.

    Parameters
    ----------
    at_rated_flow_ft
        Deepest level from which it delivers its rated flow against the cut-out pressure, feet;
        None where the rated flow is not known or the curve does not go there.
    reaches_cut_out_ft
        Deepest level from which it still brings the tank to the cut-out pressure, feet; None where
        the curve does not begin at no flow.
    stalls_ft
        Level below which it gives no water at all, with no pressure at the top, feet; None as
        before.
    estimated
        Whether they were estimated from horsepower and rated flow.
    """

    at_rated_flow_ft: Band | None
    reaches_cut_out_ft: Band | None
    stalls_ft: Band | None
    estimated: bool


def usual_service_factor(hp: float) -> float:
    """Service factor that a 4 in submersible motor is likely to have.

    Parameters
    ----------
    hp
        Rated horsepower.

    Returns
    -------
    float
        Plain number; on a straight line between the sizes of the table, and its ends beyond them.

    Raises
    ------
    ValueError
        Where hp is not above zero, not finite or absurd.

    Source: makers' tables, from memory; the nameplate goes before.

    >>> usual_service_factor(0.75), usual_service_factor(10)
    (1.5, 1.15)
    """
    return along(_SERVICE_FACTOR, positive(hp, "hp", at_most=MAX_HP))


def pump_efficiency(rated_gpm: float) -> Band:
    """Part of its shaft power that a small submersible pump turns into lifted water.

    Parameters
    ----------
    rated_gpm
        Flow that the pump is made for, US gallons per minute.

    Returns
    -------
    Band
        Fractions.

    Raises
    ------
    ValueError
        Where rated_gpm is not above zero, not finite or absurd.

    Source: from memory, 0.45 to 0.65; below 10 gpm brought down to meet the facts of the trade
    named at the head of this module.

    >>> pump_efficiency(10)
    Band(low=0.5, high=0.6)
    """
    middle = along(_EFFICIENCY, positive(rated_gpm, "rated_gpm", at_most=MAX_GPM))
    return Band(middle - _EFFICIENCY_EITHER_WAY, middle + _EFFICIENCY_EITHER_WAY)


def estimated_curves(
    hp: float, rated_gpm: float, service_factor: float | None = None
) -> PumpCurves:
    """Head-capacity curves between which a pump of that power and flow is likely to be.

    Parameters
    ----------
    hp
        Rated horsepower.
    rated_gpm
        Flow that the pump is made for, US gallons per minute.
    service_factor
        From the nameplate, a plain number; that of `usual_service_factor` where it is None.

    Returns
    -------
    PumpCurves
        From no flow to 1.25 times the rated one.

    Raises
    ------
    ValueError
        Naming `hp`, `rated_gpm` or `service_factor`, where it is not above zero, not finite or
        absurd, or the head that would come of them is.

    Source: H = 3960 hp SF efficiency / Q, and what is named at the head of this module.

    >>> curves = estimated_curves(0.75, 10)
    >>> curves.low.shut_off_ft, curves.high.shut_off_ft, curves.middle.head_ft(10)
    (289.6, 401.0, 245.0)
    """
    power = positive(hp, "hp", at_most=MAX_HP)
    usual = usual_service_factor(power) if service_factor is None else service_factor
    factor = positive(usual, "service_factor", at_most=MAX_SERVICE_FACTOR)
    if factor < 1:
        raise ValueError(f"service_factor: {factor:g} is below 1, and no motor has such a one")
    efficiency = pump_efficiency(rated_gpm)
    perfect_ft = GPM_FT_PER_HP * power * factor / rated_gpm
    if perfect_ft * efficiency.high * _SHUT_OFF_HIGH > MAX_HEAD_FT:
        raise ValueError(f"rated_gpm: {rated_gpm:g} is too little water for {power:g} hp")
    return PumpCurves(
        _falling_curve(rated_gpm, perfect_ft * efficiency.low, _SHUT_OFF_LOW),
        _falling_curve(rated_gpm, perfect_ft * efficiency.high, _SHUT_OFF_HIGH),
    )


def _falling_curve(rated_gpm: float, rated_head_ft: float, shut_off: float) -> HeadCurve:
    return HeadCurve(
        tuple(
            (part * rated_gpm, rated_head_ft * (shut_off - (shut_off - 1) * part**2))
            for part in _FRACTIONS_OF_RATED
        )
    )


def pump_lift(
    curves: PumpCurves,
    *,
    rated_gpm: float | None = None,
    cut_out_psi: float = 0,
    rise_ft: float = 0,
    friction_ft: float = 0,
) -> PumpLift:
    """The three depths of a pump.

    Parameters
    ----------
    curves
        The maker's (`PumpCurves.known`) or estimated ones (`estimated_curves`).
    rated_gpm
        Flow that the pump is made for, US gallons per minute; None where it is not known.
    cut_out_psi
        Pressure at which the switch stops the pump, psi at the tank; 0 is an open discharge.
    rise_ft
        Height of the tank above the wellhead, feet.
    friction_ft
        Head lost in pipe and fittings at the rated flow, feet.

    Returns
    -------
    PumpLift
        Feet, each as a band; a known curve's have the same number twice.

    Raises
    ------
    ValueError
        Where rated_gpm is not above zero, another is negative, or one is not finite or absurd.

    Source: total head (head.total_head_ft) solved for the level. Computed: 330 ft at no flow, less
    115.5 ft for a 50 psi switch.

    >>> curve = HeadCurve(((0, 330), (5, 300), (10, 230)))
    >>> pump_lift(PumpCurves.known(curve), rated_gpm=10, cut_out_psi=50).reaches_cut_out_ft
    Band(low=214.5, high=214.5)
    """
    rise = non_negative(rise_ft, "rise_ft", at_most=MAX_DEPTH_FT)
    at_top = FT_PER_PSI * non_negative(cut_out_psi, "cut_out_psi", at_most=MAX_PSI)
    friction = non_negative(friction_ft, "friction_ft", at_most=MAX_HEAD_FT)
    rated = None if rated_gpm is None else positive(rated_gpm, "rated_gpm", at_most=MAX_GPM)
    return PumpLift(
        at_rated_flow_ft=_band(curves, lambda c: _head_at(c, rated), rise + at_top + friction),
        reaches_cut_out_ft=_band(curves, lambda c: c.shut_off_ft, rise + at_top),
        stalls_ft=_band(curves, lambda c: c.shut_off_ft, rise),
        estimated=curves.estimated,
    )


def _head_at(curve: HeadCurve, gpm: float | None) -> float | None:
    if gpm is None or not curve.points[0][0] <= gpm <= curve.most_gpm:
        return None
    return curve.head_ft(gpm)


def _band(
    curves: PumpCurves, head_of: Callable[[HeadCurve], float | None], less_ft: float
) -> Band | None:
    low, high = head_of(curves.low), head_of(curves.high)
    if low is None or high is None:
        return None
    return Band(max(0.0, low - less_ft), max(0.0, high - less_ft))


def useless_depth_ft(set_depth_ft: float, lifts_from_ft: Band) -> Band:
    """Feet of a setting that lie below where the pump can lift from, and so give no water.

    Parameters
    ----------
    set_depth_ft
        Depth of the pump below the wellhead, feet.
    lifts_from_ft
        One of the depths of a PumpLift, feet: against `stalls_ft` there is no water at all from the
        feet that are left over, against `reaches_cut_out_ft` none that ever stops the pump.

    Returns
    -------
    Band
        Feet; 0.0 where the pump lifts from all of it.

    Raises
    ------
    ValueError
        Where set_depth_ft is not above zero, not finite or absurd.

    Source: subtraction.

    >>> useless_depth_ft(350, Band(290, 401))
    Band(low=0.0, high=60.0)
    """
    setting = positive(set_depth_ft, "set_depth_ft", at_most=MAX_DEPTH_FT)
    return Band(max(0.0, setting - lifts_from_ft.high), max(0.0, setting - lifts_from_ft.low))
