"""Chlorine for the water that stands in a well.

The dose is always that of the water COLUMN, from the static level to the bottom, never of the
well's depth. The strength is what the trade calls trade per cent: weight of available chlorine in
a volume, so that 1 per cent is 10 g in a litre, whatever the density. A label may give per cent
of sodium hypochlorite by weight instead; taken as trade per cent it gives some 3 per cent more
chlorine than asked at 5.25, and some 12 more at 12.5 (densities 1.08 and 1.18, from memory), never
less. Bleach that has stood for months has lost more than that.

Where a table in print differs, the arithmetic stands: Indiana's has 11,690 gal for 100 ft of 60 in
(it is 14,688) and 106 for 5 in (102), an Alabama brochure multiplies by the well's depth, and
the "100 mg/L" of a military handbook come to 131.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from wellbook.engineering._checks import MAX_DEPTH_FT, non_negative, positive
from wellbook.engineering.bore import gal_per_ft

LITRES_PER_GAL: Final = 3.785411784
LITRES_PER_FL_OZ: Final = LITRES_PER_GAL / 128
LITRES_PER_CUP: Final = LITRES_PER_GAL / 16
MG_PER_LITRE_OF_ONE_PERCENT: Final = 10_000.0

MAX_GALLONS: Final = 1_000_000.0
# Ten times the strongest shock in print (Maryland allows 500).
MAX_TARGET_MGL: Final = 5_000.0
# Liquid hypochlorite is not sold stronger; what says 65 or 70 is granules, which go by weight.
MAX_STRENGTH_PERCENT: Final = 20.0


@dataclass(frozen=True, slots=True)
class Dose:
    """A volume of liquid bleach, in the measures at hand; each says the same.

    Source: none, a record of what bleach_dose works out.

    >>> Dose(0.72, 24.4, 3.05).cups
    3.05
    """

    litres: float
    fl_oz: float
    cups: float


def column_gal(diameter_in: float, water_ft: float) -> float:
    """Water that stands in a well: what a dose is for.

    Parameters
    ----------
    diameter_in
        Inside diameter of the bore or casing, inches.
    water_ft
        Height of the water, from the static level to the bottom, feet; not the well's depth.

    Returns
    -------
    float
        US gallons.

    Raises
    ------
    ValueError
        Where one is not above zero, not finite or absurd.

    Source: geometry, as bore.gal_per_ft. Published (a Texas ground water district): 6 in, 120 ft
    deep and water at 20 ft is 100 ft and, at the rule of 1.5 gal/ft, 150 gal; unrounded it is

    >>> column_gal(6, 120 - 20)
    146.9
    """
    return gal_per_ft(diameter_in) * positive(water_ft, "water_ft", at_most=MAX_DEPTH_FT)


def bleach_dose(gallons: float, target_mgl: float, strength_percent: float) -> Dose:
    """Liquid bleach that brings standing water to a strength of chlorine.

    Parameters
    ----------
    gallons
        Water that stands in the well (column_gal), with what is treated in tank and pipes, US
        gallons.
    target_mgl
        Available chlorine wanted, milligrams per litre. In print: 100 (Wisconsin, Illinois), 100
        to 500 (Maryland), 200 (Alberta, Nebraska), 50 for 24 hours (some counties).
    strength_percent
        Of the bleach, per cent: grams of available chlorine in 100 millilitres.

    Returns
    -------
    Dose
        Litres, US fluid ounces and US cups.

    Raises
    ------
    ValueError
        Where one is not above zero, not finite or absurd, or strength_percent is that of granules.

    Source: litres = gallons x 3.785 x mg/L / (per cent x 10,000). Published: 77 Ill. Adm. Code
    925.50: 3 cups of 5.25 per cent to 100 gal for 100 mg/L.

    >>> dose = bleach_dose(100, 100, 5.25)
    >>> dose.litres, dose.fl_oz, dose.cups
    (0.721, 24.4, 3.05)
    """
    water_l = LITRES_PER_GAL * positive(gallons, "gallons", at_most=MAX_GALLONS)
    target = positive(target_mgl, "target_mgl", at_most=MAX_TARGET_MGL)
    litres = water_l * target / _mg_per_litre(strength_percent)
    return Dose(litres, litres / LITRES_PER_FL_OZ, litres / LITRES_PER_CUP)


def granules_g(gallons: float, target_mgl: float, strength_percent: float) -> float:
    """Granules or tablets of calcium hypochlorite that do the same; they go by weight.

    Parameters
    ----------
    gallons, target_mgl
        As bleach_dose.
    strength_percent
        Available chlorine, per cent of the weight: 65 or 70 are usual.

    Returns
    -------
    float
        Grams.

    Raises
    ------
    ValueError
        Where one is not above zero, not finite or absurd.

    Source: weight of chlorine over strength. Published (Alberta): 240 imperial gal, 288 US, at 200
    mg/L take 312 g of 70 per cent.

    >>> granules_g(288.2, 200, 70)
    311.7
    """
    water_l = LITRES_PER_GAL * positive(gallons, "gallons", at_most=MAX_GALLONS)
    target = positive(target_mgl, "target_mgl", at_most=MAX_TARGET_MGL)
    strength = positive(strength_percent, "strength_percent", at_most=100)
    return water_l * target / 1000 / (strength / 100)


def concentration_mgl(gallons: float, bleach_litres: float, strength_percent: float) -> float:
    """Chlorine that a volume of bleach makes in standing water; the inverse of bleach_dose.

    Parameters
    ----------
    gallons
        Water that stands in the well, US gallons.
    bleach_litres
        Poured in, litres.
    strength_percent
        Of the bleach, per cent: grams of available chlorine in 100 millilitres.

    Returns
    -------
    float
        Milligrams per litre; the volume of the bleach itself is left out, as in print.

    Raises
    ------
    ValueError
        Where gallons or strength_percent is not above zero, bleach_litres is negative, any is not
        finite or absurd, or strength_percent is that of granules.

    Source: as bleach_dose. Published: a quart of laundry bleach (5.25 per cent) to 50 gal is 200
    to 300 ppm (a national ground water trust).

    >>> concentration_mgl(50, 3.785411784 / 4, 5.25)
    262.5
    """
    water_l = LITRES_PER_GAL * positive(gallons, "gallons", at_most=MAX_GALLONS)
    bleach = non_negative(bleach_litres, "bleach_litres", at_most=MAX_GALLONS)
    return bleach * _mg_per_litre(strength_percent) / water_l


def _mg_per_litre(strength_percent: float) -> float:
    strength = positive(strength_percent, "strength_percent")
    if strength > MAX_STRENGTH_PERCENT:
        raise ValueError(
            f"strength_percent: {strength:g} is more than {MAX_STRENGTH_PERCENT:g}, which no liquid"
            " bleach has; granules go by weight and not by this"
        )
    return strength * MG_PER_LITRE_OF_ONE_PERCENT
