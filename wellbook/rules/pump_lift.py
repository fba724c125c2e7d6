"""What the pump of a well can lift, and what the well asks of it: one reckoning for rules and screens.

With the curve of its model in the shop's list it is the maker's, else an estimate from horsepower and
rated flow, as a band. Limits are in whole feet, rounded down, so that what is shown is what was
compared.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wellbook.dates import When
from wellbook.engineering.friction import FITTING_K, FlowRun, friction_loss_ft, roughness_c
from wellbook.engineering.lift import Band, PumpCurves, PumpLift, estimated_curves, pump_lift
from wellbook.engineering.operating import (
    NoOperatingPoint,
    OperatingPoint,
    System,
    operating_point,
)
from wellbook.engineering.pipe import POLYETHYLENE, inside_diameter_in, table_material
from wellbook.engineering.pressure import floor_ft
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, CheckValve, Motor, Pipe, Pump
from wellbook.quantities import show
from wellbook.rules.capacity import specific_capacity
from wellbook.rules.finding import COMMON_PRACTICE, Number, since
from wellbook.rules.pipe_rating import bottom_ft, cut_out, rise_ft
from wellbook.rules.spans import Span, both, said_since
from wellbook.terms import LevelState, PumpType, Quantity

HEAD = "NDSU Extension AE1057: total head = level + rise + 2.31 ft for each psi at the top"
CURVE = "curve of the pump"
"""What is missing where only the pump's own curve could say on which side of a limit it is."""

STALLED = (
    "a pump that gives no water overheats: it ruins its motor, softens plastic pipe and can scald"
    " whoever opens the line"
)

_NAMED_BY = ("maker", "model", "hp", "rated_gpm")


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


def lifter_of(hole: Hole) -> Lifter | None:
    """The well's pump, where it is a submersible and can be judged; else None."""
    found = hole.the(Pump)
    down = _submersible_since(hole)
    if found is None or down is None:
        return None
    component, pump = found
    hp, hp_since = _hp(hole, component, pump)
    span = both(down, hp_since, *(said_since(hole, component, name) for name in _NAMED_BY))
    model = hole.pump_model
    gpm, factor = pump.rated_gpm, None
    if model is not None:
        gpm, factor = model.rated_gpm if gpm is None else gpm, model.service_factor
    if model is not None and model.curve is not None:
        curves, rests_on = PumpCurves.known(model.curve), f"curve of {model.name}"
        return Lifter(component, pump, curves, gpm, hp, rests_on, span)
    if hp is None or gpm is None:
        return None
    try:
        curves = estimated_curves(hp, gpm, factor)
    except ValueError:
        # A slip of the pen: no pump has that power and that flow.
        return None
    rests_on = f"estimate from {show(hp, 'hp')}, rated {show(gpm, 'gpm')}"
    return Lifter(component, pump, curves, gpm, hp, rests_on, span)


def _hp(hole: Hole, component: Component, pump: Pump) -> tuple[float | None, Span]:
    """Horsepower as the pump's record has it, else the motor's, else the model's; and since when."""
    motor, model = hole.the(Motor), hole.pump_model
    span = said_since(hole, component, "hp")
    if pump.hp is not None:
        return pump.hp, span
    if motor is not None and motor[1].hp is not None:
        return motor[1].hp, both(span, said_since(hole, motor[0], "hp"))
    return (model.hp if model else None), span


def _submersible_since(hole: Hole) -> Span | None:
    """From when the pump is known for a submersible; None where it is none, or nobody knows."""
    found = hole.the(Pump)
    if found is None:
        return None
    component, pump = found
    if pump.type is PumpType.SUBMERSIBLE:
        return said_since(hole, component, "type")
    cables = [since(c.set_on, c.noted_on) for c, _ in hole.parts(Cable)]
    if pump.type is not None or not cables:
        return None
    # One with a cable down the hole has its motor there.
    return both(said_since(hole, component, "type"), *cables)


def curves_of(hole: Hole) -> PumpCurves | None:
    """Head by flow of the well's pump: the maker's curve, else two estimated ones; None if neither."""
    lifter = lifter_of(hole)
    return None if lifter is None else lifter.curves


def missing_for_lift(hole: Hole) -> tuple[str, ...]:
    """What would have to be known to say how deep the pump lifts from, in the words of the trade.

    Empty where it can be said, and where there is nothing to say: no pump, or no submersible.
    """
    found = hole.the(Pump)
    if found is None or lifter_of(hole) is not None:
        return ()
    component, pump = found
    if pump.type not in (None, PumpType.SUBMERSIBLE):
        return ()
    if _submersible_since(hole) is None:
        return ("kind of pump",)
    hp, _ = _hp(hole, component, pump)
    lacks = [*(["horsepower"] if hp is None else [])]
    lacks += ["rated flow"] if pump.rated_gpm is None and hole.pump_model is None else []
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
    cut_out_psi
        The pressure at which the pump stops, psi.
    cut_out_known
        Whether it is on record; else the usual one was taken.
    rise_ft
        How far the tank is above the wellhead, feet.
    since
        From when both the pump and the cut-out are these.
    """

    by: Lifter
    depths: PumpLift
    cut_out_psi: float
    cut_out_known: bool
    rise_ft: float
    since: Span

    @property
    def assumed(self) -> str:
        """The words for a cut-out that nobody wrote down."""
        return "" if self.cut_out_known else " (cut-out not recorded: usual one taken)"

    @property
    def at_top(self) -> str:
        """What it pumps against, in words."""
        up = f" and {self.rise_ft:g} ft up to the tank" if self.rise_ft else ""
        return f"{self.cut_out_psi:g} psi{up}"

    @property
    def numbers(self) -> dict[str, Number]:
        """What it was worked out from, for a finding."""
        return {**self.by.numbers, "cut_out_psi": self.cut_out_psi, "rise_ft": self.rise_ft}


def lift_of(hole: Hole, usual_cut_out_psi: float) -> Lift | None:
    """How deep the well's pump lifts from; None where it cannot be said (`missing_for_lift`).

    The cut-out is the switch's, a drive's setpoint, or what was measured since
    (`pipe_rating.cut_out`); where none is known, the usual one.
    """
    by = lifter_of(hole)
    if by is None:
        return None
    known, stops_since = cut_out(hole)
    stops_psi, rise = usual_cut_out_psi if known is None else known, rise_ft(hole)
    rated = by.rated_gpm
    try:
        friction = 0.0 if rated is None else friction_loss_ft(runs_of(hole), rated)
        depths = pump_lift(
            by.curves, rated_gpm=rated, cut_out_psi=stops_psi, rise_ft=rise, friction_ft=friction
        )
    except ValueError:
        return None
    return Lift(by, depths, stops_psi, known is not None, rise, both(by.since, stops_since))


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


# -- what the well asks of it --------------------------------------------------------------------

# Where nobody wrote down the wall: the one that drop pipe mostly has (common practice). Polyethylene
# with its inside held has the same bore at every ratio.
_USUAL_WALL = {
    **dict.fromkeys((*POLYETHYLENE, "polyethylene"), "SIDR 9"),
    "pvc": "sch 80",
    "galvanized_steel": "sch 40",
    "stainless_steel": "sch 40",
}


def runs_of(hole: Hole, on: date | None = None) -> tuple[FlowRun, ...]:
    """The sections of drop pipe as the water goes through them, with their check valves.

    A section of which the bore or the length cannot be said is left out: see `left_out`.

    Parameters
    ----------
    on
        The day for the age of pipe that rusts; without one it counts as old.
    """
    found = ((_run(hole, *section, on)) for section in hole.parts(Pipe))
    return tuple(run for run in found if run is not None)


def left_out(hole: Hole) -> tuple[str, ...]:
    """The sections of drop pipe whose friction cannot be said, in the words of the trade."""
    return tuple(
        f"size of the {pipe.material or 'drop'} pipe"
        for component, pipe in hole.parts(Pipe)
        if _run(hole, component, pipe, None) is None
    )


def _run(hole: Hole, component: Component, pipe: Pipe, on: date | None) -> FlowRun | None:
    end_ft, top_ft = bottom_ft(hole, pipe), pipe.from_ft or 0.0
    if end_ft is None or pipe.material is None or end_ft <= top_ft:
        return None
    material = table_material(pipe.material)
    wall = pipe.wall or _USUAL_WALL.get(material)
    valves = [v.depth_ft for _, v in hole.parts(CheckValve) if v.depth_ft is not None]
    k = FITTING_K["check_valve"] * sum(top_ft < depth <= end_ft for depth in valves)
    try:
        id_in = inside_diameter_in(material, wall, pipe.nominal_in) if wall else None
        if id_in is None:
            return None
        c = roughness_c(material, _years(component.set_on, on))
        return FlowRun(end_ft - top_ft, id_in, c, k)
    except ValueError:
        # No pipe is so long or so wide: a slip of the pen.
        return None


def _years(set_on: When, on: date | None) -> float | None:
    if set_on.earliest is None or on is None or on < set_on.earliest:
        return None
    return (on - set_on.earliest).days / 365.25


def system_of(hole: Hole, cut_out_psi: float, on: date | None = None) -> System | None:
    """What the pump of a well works against; None where the static level is not known.

    Parameters
    ----------
    cut_out_psi
        Pressure at the tank, psi.
    on
        The day for the age of pipe that rusts; without one it counts as old.
    """
    still = hole.level_ft(LevelState.STATIC, LevelState.FLOWING)
    if still is None:
        return None
    capacity = specific_capacity(hole)
    try:
        return System(
            max(still, 0.0),
            rise_ft(hole),
            cut_out_psi,
            runs_of(hole, on),
            capacity.gpm_per_ft if capacity is not None else None,
        )
    except ValueError:
        return None


Point = OperatingPoint | NoOperatingPoint


@dataclass(frozen=True, slots=True)
class Points:
    """Where the pump works in its well: by the lower curve and the higher, the same if it is known."""

    low: Point
    high: Point


def operating_point_of(
    hole: Hole, usual_cut_out_psi: float, on: date | None = None
) -> Points | None:
    """The flow that the pump gives as it reaches the cut-out; None where it cannot be said.

    Parameters
    ----------
    usual_cut_out_psi
        Taken where no cut-out is on record, psi.
    on
        As in `system_of`.
    """
    known, _ = cut_out(hole)
    curves = curves_of(hole)
    system = system_of(hole, usual_cut_out_psi if known is None else known, on)
    if curves is None or system is None:
        return None
    try:
        return Points(operating_point(curves.low, system), operating_point(curves.high, system))
    except ValueError:
        return None


def missing_for_point(hole: Hole) -> tuple[str, ...]:
    """What would have to be known to say at which flow the pump works."""
    still = hole.level_ft(LevelState.STATIC, LevelState.FLOWING)
    lacks = missing_for_lift(hole)
    return lacks if still is not None else (*lacks, "static level")


# -- from when -----------------------------------------------------------------------------------


def worked_since(hole: Hole) -> Span:
    """From when the water stands as it does since the last work on the hole."""
    worked = hole.worked_on(Quantity.WATER_LEVEL_FT)
    return (None, date.min) if worked is None else (worked, worked)
