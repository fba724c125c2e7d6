"""Friction, total head, how deep a pump lifts from, and the flow that it gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from wellbook.calculators.calculator import Calculator
from wellbook.calculators.naming import OPEN_DISCHARGE, missing, naming
from wellbook.engineering._checks import MAX_HP, positive
from wellbook.engineering.bore import MAX_GPM
from wellbook.engineering.curves import MAX_HEAD_FT, HeadCurve
from wellbook.engineering.friction import (
    CHECK_VALVE_FPS,
    DEFAULT_C,
    USUAL_FPS,
    FlowRun,
    fittings_k,
    friction_ft_per_100ft,
    velocity_fps,
)
from wellbook.engineering.head import total_head_ft, water_hp
from wellbook.engineering.lift import (
    MAX_SERVICE_FACTOR,
    Band,
    PumpCurves,
    estimated_curves,
    pump_lift,
)
from wellbook.engineering.operating import NoOperatingPoint, OperatingPoint, System, operating_point

_C_HELP = "Hazen-Williams C: plastic 140 (in print 133 to 150), galvanized 120 new, 100 old"
_CUT_OUT_HELP = "pressure at which the switch stops the pump"
_RISE_HELP = "height of the tank above the wellhead"
_CURVE_HELP = "the pump's points of flow and head, gpm:ft, such as 0:330, 5:300, 10:230"
_RATED_HELP = "flow that the pump is made for"
_HP_HELP = "horsepower of the motor, where no curve is known"
_FACTOR_HELP = "service factor on the motor's plate"

_STALL_CAUTION = (
    "A pump that runs without giving water overheats, and can scald whoever opens the pipe: a stalled"
    " pump is stopped at its breaker."
)


@dataclass(frozen=True, slots=True)
class Friction:
    """Head that a flow loses in a pipe."""

    ft_per_100ft: float
    loss_ft: float
    velocity_fps: float
    notes: tuple[str, ...] = ()


def friction(
    *,
    gpm: Annotated[float, "flow"],
    id_in: Annotated[float, "inside diameter of the pipe, not its nominal size"],
    c: Annotated[float, _C_HELP] = DEFAULT_C,
    length_ft: Annotated[float, "length of the pipe"] = 100.0,
) -> Friction:
    """Friction by Hazen-Williams, and the speed of the water."""
    fps = velocity_fps(gpm, id_in)
    notes: tuple[str, ...] = ()
    if fps > CHECK_VALVE_FPS:
        notes = (f"{fps:.1f} ft/s is more than {CHECK_VALVE_FPS:g}, too fast for a check valve",)
    elif fps > USUAL_FPS:
        notes = (f"{fps:.1f} ft/s is above the usual {USUAL_FPS:g}",)
    loss_ft = _loss_ft(FlowRun(length_ft, id_in, c), gpm)
    return Friction(friction_ft_per_100ft(gpm, id_in, c), loss_ft, fps, notes)


def _loss_ft(run: FlowRun, gpm: float) -> float:
    loss_ft = run.loss_ft(gpm)
    if loss_ft > MAX_HEAD_FT:
        raise ValueError(
            f"gpm, id_in, c, length_ft: such a pipe would lose {loss_ft:.3g} ft of head, which cannot"
            " be meant"
        )
    return loss_ft


FRICTION = Calculator(
    name="friction",
    title="head that a flow loses in a pipe, and how fast the water goes",
    reckon=friction,
    source="Hazen-Williams, 10.44 L Q^1.852 / (C^1.852 d^4.8655)",
    example="--gpm 10 --id-in 1.38 --length-ft 400",
)


@dataclass(frozen=True, slots=True)
class TotalHead:
    """What a pump works against; `water_hp` needs a flow."""

    total_head_ft: float
    water_hp: float | None
    notes: tuple[str, ...] = ()


def total_head(
    *,
    pumping_level_ft: Annotated[float, "depth of the water while the pump runs"],
    rise_ft: Annotated[float, _RISE_HELP] = 0.0,
    cut_out_psi: Annotated[float, _CUT_OUT_HELP] = 0.0,
    friction_ft: Annotated[float | None, "head lost in the pipe, or say the pipe itself"] = None,
    gpm: Annotated[float | None, "flow"] = None,
    id_in: Annotated[float | None, "inside diameter of the pipe"] = None,
    c: Annotated[float, _C_HELP] = DEFAULT_C,
    length_ft: Annotated[float | None, "length of the pipe, down the well and to the tank"] = None,
) -> TotalHead:
    """Pumping level, rise, pressure as head and friction."""
    notes: tuple[str, ...] = (OPEN_DISCHARGE,) if cut_out_psi == 0 else ()
    run = _run(length_ft, id_in, c)
    if run is not None and gpm is None:
        raise missing("gpm", why="a pipe's friction hangs on the flow")
    if run is not None and gpm is not None:
        friction_ft = _loss_ft(run, gpm)
    elif friction_ft is None:
        notes += ("no friction is in it: neither friction_ft nor a pipe was given",)
    if gpm is None:
        notes += ("water horsepower takes the flow, gpm",)
    head_ft = total_head_ft(
        pumping_level_ft, rise_ft=rise_ft, cut_out_psi=cut_out_psi, friction_ft=friction_ft or 0.0
    )
    return TotalHead(head_ft, None if gpm is None else water_hp(gpm, head_ft), notes)


def _run(length_ft: float | None, id_in: float | None, c: float, k: float = 0) -> FlowRun | None:
    """The pipe; None where none was given."""
    if length_ft is None and id_in is None:
        FlowRun(0, 1, c)  # a C that cannot be is an error even where there is no pipe
        return None
    if length_ft is None or id_in is None:
        lacks = "length_ft" if length_ft is None else "id_in"
        raise missing(lacks, why="a pipe's friction takes its length and its inside diameter")
    return FlowRun(length_ft, id_in, c, k)


TOTAL_HEAD = Calculator(
    name="total-head",
    title="what a pump works against: lift, rise, pressure and friction",
    reckon=total_head,
    source="pumping level + rise + 2.31 psi + friction; Q H / 3960 (NMSU Guide M-227)",
    either={"friction_ft": ("id_in", "length_ft", "c")},
    example="--pumping-level-ft 250 --rise-ft 6 --cut-out-psi 50 --friction-ft 7",
)


@dataclass(frozen=True, slots=True)
class Lift:
    """Three depths; `low` and `high` only where they are estimated, the middle beside them."""

    at_rated_flow_ft: float | None
    at_rated_flow_low_ft: float | None
    at_rated_flow_high_ft: float | None
    reaches_cut_out_ft: float | None
    reaches_cut_out_low_ft: float | None
    reaches_cut_out_high_ft: float | None
    stalls_ft: float | None
    stalls_low_ft: float | None
    stalls_high_ft: float | None
    notes: tuple[str, ...] = ()


def lift(
    *,
    curve: Annotated[HeadCurve | None, _CURVE_HELP] = None,
    hp: Annotated[float | None, _HP_HELP] = None,
    rated_gpm: Annotated[float | None, _RATED_HELP] = None,
    service_factor: Annotated[float | None, _FACTOR_HELP] = None,
    cut_out_psi: Annotated[float, _CUT_OUT_HELP] = 0.0,
    rise_ft: Annotated[float, _RISE_HELP] = 0.0,
    friction_ft: Annotated[float, "head lost in the pipe at the rated flow"] = 0.0,
) -> Lift:
    """How deep a pump delivers its rated flow, still reaches the cut-out, and stalls."""
    curves, notes = _curves(curve, hp, rated_gpm, service_factor)
    found = pump_lift(
        curves,
        rated_gpm=rated_gpm,
        cut_out_psi=cut_out_psi,
        rise_ft=rise_ft,
        friction_ft=friction_ft,
    )
    if cut_out_psi == 0:
        notes += (OPEN_DISCHARGE,)
    if found.reaches_cut_out_ft is not None and found.reaches_cut_out_ft.high == 0:
        notes += (f"it never reaches {cut_out_psi:g} psi, not even from the surface",)
    if found.at_rated_flow_ft is not None and found.at_rated_flow_ft.high == 0:
        notes += ("it never delivers its rated flow against that, not even from the surface",)
    if found.stalls_ft is None:
        notes += ("the curve does not begin at no flow: where the pump stalls is not known",)
    if found.at_rated_flow_ft is None:
        notes += (
            "no rated flow was given"
            if rated_gpm is None
            else f"the rated flow, {rated_gpm:g} gpm, is not on the curve",
        )
    elif friction_ft == 0:
        notes += ("friction in the pipe takes from the depth at the rated flow; none was given",)
    return Lift(
        *_three(found.at_rated_flow_ft, found.estimated),
        *_three(found.reaches_cut_out_ft, found.estimated),
        *_three(found.stalls_ft, found.estimated),
        notes,
    )


def _three(band: Band | None, estimated: bool) -> tuple[float | None, float | None, float | None]:
    if band is None:
        return None, None, None
    return (band.middle, band.low, band.high) if estimated else (band.middle, None, None)


def _curves(
    curve: HeadCurve | None,
    hp: float | None,
    rated_gpm: float | None,
    service_factor: float | None,
) -> tuple[PumpCurves, tuple[str, ...]]:
    """The maker's curve where there is one, else those of the estimate; and which it is."""
    # What cannot be is an error even where the curve goes before it.
    most = {"hp": MAX_HP, "rated_gpm": MAX_GPM, "service_factor": MAX_SERVICE_FACTOR}
    given = {"hp": hp, "rated_gpm": rated_gpm, "service_factor": service_factor}
    for name, value in given.items():
        if value is not None:
            positive(value, name, at_most=most[name])
    if curve is not None:
        return PumpCurves.known(curve), ()
    lacking = [n for n, v in (("hp", hp), ("rated_gpm", rated_gpm)) if v is None]
    if hp is None or rated_gpm is None:
        raise missing(*lacking, why="without the pump's curve both are needed")
    with naming(points="rated_gpm"):
        curves = estimated_curves(hp, rated_gpm, service_factor)
    return curves, ("estimated from horsepower and rated flow; the pump's own curve goes before",)


PUMP_LIFT = Calculator(
    name="pump-lift",
    title="how deep a pump delivers its rated flow, still reaches the cut-out, and stalls",
    reckon=lift,
    source="the pump's curve; without one an estimate from 3960 hp SF efficiency / Q, partly from memory",
    cautions=(_STALL_CAUTION,),
    either={"curve": ("hp", "service_factor")},
    example="--hp 3/4 --rated-gpm 10 --cut-out-psi 50",
)


@dataclass(frozen=True, slots=True)
class Operating:
    """The flow that a pump gives; `low` and `high` only where the pump's curve is estimated."""

    gpm: float | None
    head_ft: float | None
    pumping_level_ft: float | None
    low_gpm: float | None = None
    high_gpm: float | None = None
    notes: tuple[str, ...] = ()


def operating(
    *,
    curve: Annotated[HeadCurve | None, _CURVE_HELP] = None,
    hp: Annotated[float | None, _HP_HELP] = None,
    rated_gpm: Annotated[float | None, _RATED_HELP] = None,
    service_factor: Annotated[float | None, _FACTOR_HELP] = None,
    level_ft: Annotated[float, "depth of the water with the pump at rest"],
    rise_ft: Annotated[float, _RISE_HELP] = 0.0,
    cut_out_psi: Annotated[float, _CUT_OUT_HELP] = 0.0,
    length_ft: Annotated[float | None, "length of the pipe, down the well and to the tank"] = None,
    id_in: Annotated[float | None, "inside diameter of the pipe"] = None,
    c: Annotated[float, _C_HELP] = DEFAULT_C,
    check_valves: Annotated[int, "check valves in the pipe"] = 0,
    elbows: Annotated[int, "90 degree elbows in the pipe"] = 0,
    specific_capacity: Annotated[float | None, "yield of the well, gpm for each foot drawn"] = None,
) -> Operating:
    """Where the pump's curve meets what the well, the pipe and the switch ask of it."""
    curves, notes = _curves(curve, hp, rated_gpm, service_factor)
    k = fittings_k(check_valves=check_valves, elbows=elbows)
    run = _run(length_ft, id_in, c, k)
    if run is None and k:
        raise missing("length_ft", "id_in", why="fittings lose head by the speed in their pipe")
    with naming(static_level_ft="level_ft", specific_capacity_gpm_per_ft="specific_capacity"):
        system = System(level_ft, rise_ft, cut_out_psi, (run,) if run else (), specific_capacity)
    if cut_out_psi == 0:
        notes += (OPEN_DISCHARGE,)
    if run is None:
        notes += ("no friction is in it: no pipe was given",)
    if specific_capacity is None:
        notes += ("the level is taken to stay where it is: no specific capacity was given",)
    found = operating_point(curves.middle, system)
    at = found if isinstance(found, OperatingPoint) else None
    if isinstance(found, NoOperatingPoint):
        notes += (str(found),)
    low_gpm = high_gpm = None
    if curves.estimated:
        low_gpm, high_gpm = (_gpm(operating_point(c, system)) for c in (curves.low, curves.high))
    return Operating(
        _gpm(found),
        at.head_ft if at else None,
        at.pumping_level_ft if at else None,
        low_gpm,
        high_gpm,
        notes,
    )


def _gpm(found: OperatingPoint | NoOperatingPoint) -> float | None:
    """The flow; none at all where the pump cannot lift, and None where the curve does not say."""
    return found.flow.gpm


OPERATING_POINT = Calculator(
    name="operating-point",
    title="the flow that a pump gives in a well: its curve against what is asked of it",
    reckon=operating,
    source="level + rise + 2.31 psi + friction against the pump's curve, by bisection",
    cautions=(
        "The pumping level must stay above the pump: where it comes out deeper than the setting, the"
        " well cannot give that flow.",
        _STALL_CAUTION,
    ),
    either={"curve": ("hp", "service_factor")},
    # What a pump gives in a well hangs on no rated flow, once its curve is known.
    before={"curve": ("rated_gpm",)},
    example="--curve 0:330,5:300,10:230,14:120 --level-ft 60 --specific-capacity 0.2"
    " --cut-out-psi 50 --length-ft 300 --id-in 1.049",
)
