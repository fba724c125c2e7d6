"""Water that stands in a well bore, and how readily the well gives it."""

from __future__ import annotations

import math

from wellbook.engineering._checks import MAX_DEPTH_FT, non_negative, positive

GAL_PER_FT3 = 7.48052
# Ten feet: wider than any hand-dug well that a pump is hung in.
MAX_BORE_IN = 120.0
MAX_GPM = 10_000.0


def gal_per_ft(diameter_in: float) -> float:
    """Water in one foot of bore, 0.0408 d^2 (exactly pi/4 (d/12)^2 x 7.48052).

    Parameters
    ----------
    diameter_in
        Inside diameter of the bore or casing, inches. A 6 in casing is often 6.065 in inside,
        which is where the rule of 1.5 gal/ft comes from.

    Returns
    -------
    float
        US gallons per foot.

    Raises
    ------
    ValueError
        Where diameter_in is not above zero, not finite or absurd.

    Source: geometry. Published: Colorado DRMS file, Apr 2013, Table 2-1: 6 in is 1.47 gal/ft.

    >>> gal_per_ft(6)
    1.47
    """
    diameter = positive(diameter_in, "diameter_in", at_most=MAX_BORE_IN)
    return math.pi / 4 * (diameter / 12) ** 2 * GAL_PER_FT3


def stored_gal(diameter_in: float, from_ft: float, to_ft: float) -> float:
    """Water standing in a bore between two depths.

    For what a pump can draw, count from the static level down to the intake or the cut-off of its
    protection, not to the bottom of the well.

    Parameters
    ----------
    diameter_in
        Inside diameter, inches.
    from_ft, to_ft
        The upper and the lower depth, feet below the same datum.

    Returns
    -------
    float
        US gallons; zero where the two depths are one.

    Raises
    ------
    ValueError
        Where a depth is negative, to_ft is above from_ft, or a number is not finite or absurd.

    Source: geometry. Published: Colorado DRMS file, Apr 2013: a 2 in well 100 ft deep with water
    at 20 ft holds 12.80 gal at 0.16 gal/ft; unrounded it is

    >>> stored_gal(2, 20, 100)
    13.1
    """
    upper = non_negative(from_ft, "from_ft", at_most=MAX_DEPTH_FT)
    lower = non_negative(to_ft, "to_ft", at_most=MAX_DEPTH_FT)
    if lower < upper:
        raise ValueError(f"to_ft: {lower:g} is above from_ft, {upper:g}")
    return gal_per_ft(diameter_in) * (lower - upper)


def specific_capacity_gpm_per_ft(gpm: float, drawdown_ft: float) -> float:
    """Yield of a well for each foot that its level is drawn down, Q/s.

    Two of them compare only where the rate and the time pumped were about the same.

    Parameters
    ----------
    gpm
        Rate pumped, US gallons per minute.
    drawdown_ft
        Pumping level less static level, feet.

    Returns
    -------
    float
        gpm per foot.

    Raises
    ------
    ValueError
        Where either is not above zero, not finite or absurd.

    Source: the definition. Published example: 20 gpm at 40 ft is 0.5 gpm/ft, so that 30 gpm is
    foretold to draw it down 60 ft.

    >>> specific_capacity_gpm_per_ft(20, 40)
    0.5
    >>> 30 / specific_capacity_gpm_per_ft(20, 40)
    60.0
    """
    rate = positive(gpm, "gpm", at_most=MAX_GPM)
    return rate / positive(drawdown_ft, "drawdown_ft", at_most=MAX_DEPTH_FT)
