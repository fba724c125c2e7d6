"""Column pressure, and how deep a pipe may hang."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from wellbook.calculators.calculator import Calculator
from wellbook.calculators.drop_pipe import (
    MATERIAL_HELP,
    ONE_WALL,
    PIPE_MATERIALS,
    NominalSize,
    PipeMaterial,
    schedule_number,
)
from wellbook.calculators.naming import OPEN_DISCHARGE, missing, naming
from wellbook.engineering.pipe import (
    POLYETHYLENE,
    PVC,
    STEEL,
    table_material,
)
from wellbook.engineering.pressure import (
    PSI_PER_FT,
    bare_limit_ft,
    drawn_down_limit_ft,
    floor_ft,
    worst_case_psi,
)
from wellbook.engineering.ratings import (
    marketed_class_psi,
    no_rating_reason,
    rating_from_dimensions,
)
from wellbook.engineering.strength import derated_rating_psi


@dataclass(frozen=True, slots=True)
class ColumnPressure:
    """Pressure at the foot of a pipe full of water."""

    column_psi: float
    with_cut_out_psi: float


def column_pressure(
    *,
    height_ft: Annotated[float, "height of the column: the setting, with the well drawn down"],
    cut_out_psi: Annotated[float, "pressure at which the switch stops the pump"] = 0.0,
    rise_ft: Annotated[float, "height of the tank above the wellhead"] = 0.0,
) -> ColumnPressure:
    """The column alone, and with the switch's pressure on top."""
    with naming(set_depth_ft="height_ft"):
        column = worst_case_psi(height_ft, rise_ft=rise_ft)
        with_cut_out = worst_case_psi(height_ft, cut_out_psi=cut_out_psi, rise_ft=rise_ft)
    return ColumnPressure(column, with_cut_out)


COLUMN_PRESSURE = Calculator(
    name="column-pressure",
    title="pressure at the foot of a pipe full of water, the well drawn down to it",
    reckon=column_pressure,
    source=f"hydrostatics: {PSI_PER_FT} psi a foot of fresh water at 40 F",
    example="--height-ft 300 --cut-out-psi 50",
)


@dataclass(frozen=True, slots=True)
class PipeLimit:
    """How deep a pipe may hang: limits are whole feet, rounded down."""

    rating_psi: float
    bare_column_ft: int
    drawn_down_ft: int
    notes: tuple[str, ...] = ()


def pipe_limit(
    *,
    rating_psi: Annotated[float | None, "rating printed on the pipe, at 73 F"] = None,
    material: Annotated[PipeMaterial | None, MATERIAL_HELP] = None,
    sidr: Annotated[float | None, "polyethylene with the inside held: 7, 9, 11.5, ..."] = None,
    dr: Annotated[float | None, "polyethylene with the outside held: 7, 9, 11, ..."] = None,
    schedule: Annotated[str | None, "PVC: 40, 80 or 120"] = None,
    nominal: Annotated[NominalSize | None, "nominal size of PVC, such as 1-1/4"] = None,
    threaded: Annotated[bool, "whether threads are cut in PVC, which halves its rating"] = False,
    temperature_f: Annotated[float | None, "temperature of the water, where it is warm"] = None,
    cut_out_psi: Annotated[float, "pressure at which the switch stops the pump"] = 0.0,
    rise_ft: Annotated[float, "height of the tank above the wellhead"] = 0.0,
) -> PipeLimit:
    """The depth at which a pipe's rating is used up, by the column alone and with the switch."""
    walls = {"sidr": sidr, "dr": dr, "schedule": schedule}
    given = {name: wall for name, wall in walls.items() if wall is not None}
    rating, notes = _rating(rating_psi, material, given, nominal, threaded)
    if temperature_f is not None:
        cold, rating = rating, _in_water_of(temperature_f, rating, material)
        notes += _warmth(cold, rating, temperature_f, material)
    if cut_out_psi == 0:
        notes += (OPEN_DISCHARGE,)
    bare_ft = bare_limit_ft(rating, rise_ft=rise_ft)
    drawn_down_ft = drawn_down_limit_ft(rating, cut_out_psi=cut_out_psi, rise_ft=rise_ft)
    if drawn_down_ft == 0:
        notes += ("the switch and the rise alone use up the rating: it may not hang at all",)
    return PipeLimit(rating, floor_ft(bare_ft), floor_ft(drawn_down_ft), notes)


def _in_water_of(temperature_f: float, rating_psi: float, material: PipeMaterial | None) -> float:
    """The rating in that water; of a material or a grade that is not told, the lowest of all."""
    meant = [m for m in PIPE_MATERIALS if m != "polyethylene"] if material is None else [material]
    if material == "polyethylene":
        meant = sorted(POLYETHYLENE)
    return min(derated_rating_psi(rating_psi, table_material(m), temperature_f) for m in meant)


def _warmth(
    cold_psi: float, psi: float, temperature_f: float, material: str | None
) -> tuple[str, ...]:
    if psi == cold_psi:
        return (f"{psi:g} psi at 73 F, and no more in water of {temperature_f:g} F",)
    unknown = "; material not told: that which suffers most" if material is None else ""
    return (f"{cold_psi:g} psi at 73 F, {psi:.4g} in water of {temperature_f:g} F{unknown}",)


def _rating(
    rating_psi: float | None,
    material: PipeMaterial | None,
    walls: dict[str, float | str],
    nominal: NominalSize | None,
    threaded: bool,
) -> tuple[float, tuple[str, ...]]:
    """The rating at 73 F, as it is printed or from the dimensions, and what was taken for it."""
    if rating_psi is not None:
        return rating_psi, ()
    if material is None:
        raise missing("rating_psi", why="or say material, wall (sidr, dr, schedule) and nominal")
    if material == "polyethylene":
        grades = ", ".join(sorted(POLYETHYLENE))
        raise ValueError(f"material: the grade is missing, which makes the rating: one of {grades}")
    if not walls:
        raise missing("schedule" if material == PVC else "sidr", why="the wall makes the rating")
    if threaded and material != PVC:
        raise ValueError(f"threaded: counts for PVC only, and this is {material}")
    (kind, wall), *_ = walls.items()
    marked = (
        f"sch {schedule_number(str(wall))}" if kind == "schedule" else f"{kind.upper()} {wall:g}"
    )
    if material == PVC and kind != "schedule":
        raise ValueError(f"{kind}: counts for polyethylene; of PVC say schedule and nominal")
    if material == PVC and nominal is None:
        raise missing("nominal", why="the rating of PVC hangs on its size")
    with naming(nominal_in="nominal"):
        found = rating_from_dimensions(table_material(material), marked, nominal, threaded=threaded)
        if found is None:
            reason = no_rating_reason(table_material(material), marked, nominal, threaded=threaded)
            raise ValueError(
                f"{'material' if table_material(material) in STEEL else kind}: {reason}"
            )
    size = f", {nominal} in" if material == PVC else ""
    notes: tuple[str, ...] = (
        f"{found:g} psi is worked out from the dimensions of {material} {marked}{size}",
    )
    if material in POLYETHYLENE:
        notes += _as_sold(found)
    if material == PVC and not threaded:
        notes += ("of plain ends: threads cut into it halve the rating (threaded)",)
    return found, notes


def _as_sold(rating_psi: float) -> tuple[str, ...]:
    """What is printed on the pipe, where that is another number."""
    sold = marketed_class_psi(rating_psi)
    if sold is None or sold == rating_psi:
        return ()
    return (f"such pipe is sold and marked as {sold} psi: what is printed on it counts",)


PIPE_LIMIT = Calculator(
    name="pipe-limit",
    title="how deep a pipe may hang: the column alone, and drawn down with the switch on top",
    reckon=pipe_limit,
    source=f"hydrostatics, {PSI_PER_FT} psi a foot; ratings by ASTM D2239, D3035 and D1785",
    cautions=(
        "Judge the setting and not today's water level: the level can fall. A pump run against a"
        " closed valve can bring more than the switch: compare its shut-off head.",
    ),
    example="--material pe3408 --sidr 9 --cut-out-psi 50",
    either={"rating_psi": ("sidr", "dr", "schedule", "threaded"), **ONE_WALL},
    before={"rating_psi": ("nominal",)},
)
