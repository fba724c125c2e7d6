"""Pressure tanks, and the chlorine for a well."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from wellbook.calculators.calculator import Calculator
from wellbook.calculators.naming import naming
from wellbook.engineering.disinfection import bleach_dose, column_gal
from wellbook.engineering.tank import (
    drawdown_gal,
    least_run_minutes,
    most_starts_per_day,
    run_minutes,
    worst_starts_per_day,
)
from wellbook.quantities import show

TANK_CAUTIONS = (
    "Power off and locked out, and the tank drained, before the precharge is read or changed.",
    "Cut-out stays below the working pressure on the tank's plate, and the relief valve stays on.",
)
CHLORINE_CAUTIONS = (
    "Ventilate; gloves and eye protection: chlorine gas gathers in pits and well houses.",
    "Never mix bleach with acid, ammonia or another cleaner: the gas kills.",
    "Plain unscented bleach only, no thickened or color-safe kinds; check its date.",
    "Nobody drinks the water until it is flushed out and a laboratory has found it safe.",
    "Ask the local health department for the strength, the hours, and where to flush it to.",
)


@dataclass(frozen=True, slots=True)
class TankAnswer:
    """What a tank gives, and how often its pump starts at the worst demand."""

    drawdown_gal: float
    run_minutes: float | None
    starts_per_day_worst: float | None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DisinfectAnswer:
    """Liquid bleach to pour, in three measures of the same volume."""

    litres: float
    fl_oz: float
    cups: float
    notes: tuple[str, ...] = ()


def tank(
    *,
    volume_gal: Annotated[float, "volume of the tank, as on its plate"],
    precharge_psi: Annotated[float, "air in the empty tank; usually 2 psi below cut-in"],
    cut_in_psi: Annotated[float, "pressure at which the switch starts the pump"],
    cut_out_psi: Annotated[float, "pressure at which the switch stops the pump"],
    altitude_ft: Annotated[float, "of the tank above sea level"] = 0.0,
    gpm: Annotated[float | None, "flow of the pump, for run time and starts"] = None,
    hp: Annotated[
        float | None, "of the motor (single-phase), to hold them against its limits"
    ] = None,
) -> TankAnswer:
    """Drawdown by Boyle's law; run time with no demand; starts at half the pump's flow."""
    drawdown = drawdown_gal(
        volume_gal, precharge_psi, cut_in_psi, cut_out_psi, altitude_ft=altitude_ft
    )
    if gpm is None:
        why = "Run time and starts take the flow of the pump, gpm"
        limits = (
            "" if hp is None else f"; then they are held against the limits of {show(hp, 'hp')}"
        )
        return TankAnswer(drawdown, None, None, (f"{why}{limits}.",))
    with naming(drawdown_gal="volume_gal"):
        minutes, starts = run_minutes(drawdown, gpm), worst_starts_per_day(gpm, drawdown)
    notes = () if hp is None else _against_limits(hp, gpm, minutes, starts)
    return TankAnswer(drawdown, minutes, starts, notes)


def disinfect(
    *,
    diameter_in: Annotated[float | None, "inside diameter of the well"] = None,
    water_ft: Annotated[float | None, "height of the water in it, not the well's depth"] = None,
    gallons: Annotated[float | None, "the water, instead of diameter and height"] = None,
    target_mgl: Annotated[float, "chlorine wanted; 100 is common, 50 to 500 in print"],
    strength_percent: Annotated[float, "of the bleach: grams of available chlorine in 100 ml"],
) -> DisinfectAnswer:
    """Bleach for the water that stands in the well."""
    water = _water_gal(diameter_in, water_ft, gallons)
    dose = bleach_dose(water, target_mgl, strength_percent)
    note = f"For {show(water, 'gallons')}; water in tank and pipes comes on top."
    return DisinfectAnswer(dose.litres, dose.fl_oz, dose.cups, (note,))


def _water_gal(diameter_in: float | None, water_ft: float | None, gallons: float | None) -> float:
    if gallons is not None:
        return gallons
    if diameter_in is None or water_ft is None:
        missing = "diameter_in" if diameter_in is None else "water_ft"
        raise ValueError(f"{missing}: missing; give diameter_in and water_ft, or gallons")
    return column_gal(diameter_in, water_ft)


def _against_limits(hp: float, gpm: float, minutes: float, starts: float) -> tuple[str, ...]:
    """What the motor's limits say of a tank's run time and starts."""
    least, most = least_run_minutes(hp), most_starts_per_day(hp)
    motor = f"A motor of {show(hp, 'hp')}"
    ran = (
        f"{motor} should run {show(least, 'minutes')} at each start: this is a short cycle;"
        f" {show(least * gpm, 'gal')} of drawdown would do."
        if minutes < least
        else f"{motor} should run {show(least, 'minutes')} at each start: it does."
    )
    if most is None:
        return (ran, f"{motor}: no published limit of starts is known here.")
    worst = (
        f"more than that is possible, at a steady draw of {show(gpm / 2, 'gpm')}"
        if starts > most
        else "no steady draw can cause more"
    )
    return (ran, f"{motor} (single-phase) may start {most} times a day: {worst}.")


TANK = Calculator(
    name="tank",
    title="what a pressure tank gives, how long the pump runs, how often it may start",
    reckon=tank,
    source="Boyle's law (The Driller, Feb 2006); starts by Washington DOH 331-123, eq. 11-1, 11-2",
    cautions=TANK_CAUTIONS,
    example="--volume-gal 85 --precharge-psi 28 --cut-in-psi 30 --cut-out-psi 50 --gpm 10 --hp 3/4",
)
DISINFECT = Calculator(
    name="disinfect",
    title="liquid bleach for the water that stands in a well",
    reckon=disinfect,
    source="gallons x 3.785 x mg/L / (per cent x 10,000); 77 Ill. Adm. Code 925.50 agrees",
    cautions=CHLORINE_CAUTIONS,
    either={"gallons": ("diameter_in", "water_ft")},
    example="--diameter-in 6 --water-ft 230 --target-mgl 100 --strength-percent 8.25",
)
