"""Column pressure, and how deep a pipe may hang."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from wellbook.calculators.calculator import Calculator
from wellbook.engineering._checks import MAX_DEPTH_FT, positive
from wellbook.engineering.pressure import PSI_PER_FT, worst_case_psi


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
    height = positive(height_ft, "height_ft", at_most=MAX_DEPTH_FT)
    column = worst_case_psi(height, rise_ft=rise_ft)
    with_cut_out = worst_case_psi(height, cut_out_psi=cut_out_psi, rise_ft=rise_ft)
    return ColumnPressure(column, with_cut_out)


COLUMN_PRESSURE = Calculator(
    name="column-pressure",
    title="pressure at the foot of a pipe full of water, the well drawn down to it",
    reckon=column_pressure,
    source=f"hydrostatics: {PSI_PER_FT} psi a foot of fresh water at 40 F",
    example="--height-ft 300 --cut-out-psi 50",
)
