"""Where a pump's curve meets what the well and the pipe ask of it: the flow that it will give.

What the system asks for rises with the flow, for friction does and the level falls; what the pump can do
falls. So there is one such flow at most, and bisection finds it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from wellbook.engineering._checks import MAX_DEPTH_FT, MAX_PSI, non_negative, positive
from wellbook.engineering.bore import MAX_GPM
from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.friction import FlowRun, friction_loss_ft
from wellbook.engineering.head import FT_PER_PSI
from wellbook.engineering.solving import root


@dataclass(frozen=True, slots=True)
class System:
    """What a pump works against.

    Parameters
    ----------
    static_level_ft
        Depth of the water below the wellhead with the pump at rest, feet.
    rise_ft
        Height of the tank above the wellhead, feet.
    cut_out_psi
        Pressure at the tank, psi: the cut-out for the worst of a cycle, another for that of the
        moment, 0 for an open discharge.
    runs
        The pipe from the pump to the tank, with the fittings in it.
    specific_capacity_gpm_per_ft
        Yield for each foot that the level is drawn down, gpm per foot; None where it is not known:
        the level then stays where it is.

    Raises
    ------
    ValueError
        Where specific_capacity_gpm_per_ft is not above zero, another is negative, or one is not
        finite or absurd.

    >>> well = System(100, rise_ft=12, cut_out_psi=50, specific_capacity_gpm_per_ft=0.5)
    >>> well.pumping_level_ft(10), well.head_ft(0), well.head_ft(10)
    (120.0, 227.5, 247.5)
    """

    static_level_ft: float
    rise_ft: float = 0.0
    cut_out_psi: float = 0.0
    runs: Sequence[FlowRun] = ()
    specific_capacity_gpm_per_ft: float | None = None

    def __post_init__(self) -> None:
        non_negative(self.static_level_ft, "static_level_ft", at_most=MAX_DEPTH_FT)
        non_negative(self.rise_ft, "rise_ft", at_most=MAX_DEPTH_FT)
        non_negative(self.cut_out_psi, "cut_out_psi", at_most=MAX_PSI)
        if self.specific_capacity_gpm_per_ft is not None:
            positive(
                self.specific_capacity_gpm_per_ft, "specific_capacity_gpm_per_ft", at_most=MAX_GPM
            )

    def pumping_level_ft(self, gpm: float) -> float:
        """Depth of the water below the wellhead at a flow.

        Parameters
        ----------
        gpm
            US gallons per minute.

        Returns
        -------
        float
            Feet. It can come out deeper than the pump hangs, or the well is: the pump then breaks
            suction, and the flow is not what is asked here.

        Raises
        ------
        ValueError
            Where gpm is negative, not finite or absurd.

        Source: s = Q / (Q/s). A specific capacity holds near the rate and the time it was measured
        at; far above that the level falls faster.
        """
        flow = non_negative(gpm, "gpm", at_most=MAX_GPM)
        if self.specific_capacity_gpm_per_ft is None:
            return self.static_level_ft
        return self.static_level_ft + flow / self.specific_capacity_gpm_per_ft

    def head_ft(self, gpm: float) -> float:
        """Total dynamic head at a flow: what the pump has to make.

        Parameters
        ----------
        gpm
            US gallons per minute.

        Returns
        -------
        float
            Feet of water.

        Raises
        ------
        ValueError
            Where gpm is negative, not finite or absurd.

        Source: as head.total_head_ft.
        """
        return (
            self.pumping_level_ft(gpm)
            + self.rise_ft
            + FT_PER_PSI * self.cut_out_psi
            + friction_loss_ft(self.runs, gpm)
        )


@dataclass(frozen=True, slots=True)
class Flow:
    """What a pump gives, as far as its curve says: between what and what.

    Parameters
    ----------
    least_gpm
        It gives no less, gpm.
    most_gpm
        It gives no more, gpm; None where its curve ends before.
    """

    least_gpm: float
    most_gpm: float | None

    @property
    def gpm(self) -> float | None:
        """The flow itself; None where the curve does not say it.

        >>> Flow(8, 8).gpm, Flow(0, 5).gpm, Flow(12, None).gpm
        (8, None, None)
        """
        return self.least_gpm if self.least_gpm == self.most_gpm else None


@dataclass(frozen=True, slots=True)
class OperatingPoint:
    """The flow at which the pump makes just the head that is asked for, gpm and feet."""

    gpm: float
    head_ft: float
    pumping_level_ft: float

    @property
    def flow(self) -> Flow:
        """The flow, known."""
        return Flow(self.gpm, self.gpm)


class Why(Enum):
    """Why a pump's curve does not meet what is asked of it."""

    CANNOT_LIFT = "even at no flow the pump makes less than is asked for"
    CURVE_ENDS = "it gives more than the last flow of its curve"
    CURVE_BEGINS_LATER = "it gives less than the first flow of its curve; whether any, is not known"


@dataclass(frozen=True, slots=True)
class NoOperatingPoint:
    """Why there is none, with the two heads at the end of the curve that tells it, gpm and feet.

    Parameters
    ----------
    why
        What the curve says instead.
    gpm
        The flow at that end, gpm.
    curve_head_ft, system_head_ft
        What the pump makes there and what is asked for, feet.
    """

    why: Why
    gpm: float
    curve_head_ft: float
    system_head_ft: float

    @property
    def flow(self) -> Flow:
        """What it gives, as far as the curve says."""
        if self.why is Why.CANNOT_LIFT:
            return Flow(0.0, 0.0)
        return Flow(self.gpm, None) if self.why is Why.CURVE_ENDS else Flow(0.0, self.gpm)

    def __str__(self) -> str:
        """As it is said."""
        has, asked = f"{self.curve_head_ft:.0f} ft", f"{self.system_head_ft:.0f} ft"
        if self.why is Why.CANNOT_LIFT:
            return f"cannot lift: the pump makes {has} at no flow, and {asked} are asked for"
        if self.why is Why.CURVE_ENDS:
            return (
                f"more than {self.gpm:g} gpm, where the curve ends: the pump still makes {has}"
                f" there, and {asked} are asked for"
            )
        return (
            f"less than {self.gpm:g} gpm, where the curve begins: the pump makes {has} there, and"
            f" {asked} are asked for; whether it gives any water is not known"
        )


def operating_point(curve: HeadCurve, system: System) -> OperatingPoint | NoOperatingPoint:
    """Where a pump's curve meets what a system asks of it.

    Parameters
    ----------
    curve
        The pump's.
    system
        The well, the pipe and the pressure at the top.

    Returns
    -------
    OperatingPoint or NoOperatingPoint
        The second where the curve and the system do not meet.

    Source: the crossing of the two curves, by bisection. Computed (EPANET): 100 ft level, 12 ft
    rise, 50 psi, 150 ft of 1-1/2 in and 80 ft of 1-1/4 in pipe with C = 150 ask for 235.4 ft at
    20 gpm; a curve through that point meets it there.

    >>> well = System(100.0, 12, 50, (FlowRun(150, 1.610, 150), FlowRun(80, 1.380, 150)))
    >>> operating_point(HeadCurve(((0, 320), (20, 235.4), (25, 180))), well)
    OperatingPoint(gpm=20.0, head_ft=235.4, pumping_level_ft=100.0)
    >>> print(operating_point(HeadCurve(((0, 200), (10, 100))), well))
    cannot lift: the pump makes 200 ft at no flow, and 228 ft are asked for
    """

    def spare_ft(gpm: float) -> float:
        return curve.head_ft(gpm) - system.head_ft(gpm)

    first, last = curve.points[0][0], curve.most_gpm
    if spare_ft(first) < 0:
        why = Why.CANNOT_LIFT if first == 0 else Why.CURVE_BEGINS_LATER
        return NoOperatingPoint(why, first, curve.head_ft(first), system.head_ft(first))
    if spare_ft(last) > 0:
        return NoOperatingPoint(Why.CURVE_ENDS, last, curve.head_ft(last), system.head_ft(last))
    gpm = root(spare_ft, first, last)
    return OperatingPoint(gpm, system.head_ft(gpm), system.pumping_level_ft(gpm))


def flow_between(curve: HeadCurve, system: System) -> Flow:
    """What a pump gives against what a system asks of it, as far as its curve says.

    Parameters
    ----------
    curve, system
        As in `operating_point`.

    Returns
    -------
    Flow
        One number where the two meet; nothing where it cannot lift; at least the last flow of a curve
        that ends before, and between nothing and the first flow of one that begins later.

    Source: as operating_point.

    >>> flow_between(HeadCurve(((5, 200), (10, 100))), System(220)).most_gpm
    5.0
    """
    return operating_point(curve, system).flow
