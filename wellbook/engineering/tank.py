"""Pressure tank: what it gives between the switch's two points, and how often the pump starts."""

from __future__ import annotations

import math
from typing import Final

from wellbook.engineering._checks import MAX_HP, MAX_PSI, finite, non_negative, positive, short
from wellbook.engineering.bore import MAX_GPM

SEA_LEVEL_PSI: Final = 14.696
PRECHARGE_BELOW_CUT_IN_PSI: Final = 2.0
"""Air is set this much below cut-in, read with the tank empty (published guides of tanks)."""

MAX_TANK_GAL: Final = 100_000.0
# From the shore of the Dead Sea to above the highest town.
_ALTITUDES_FT: Final = (-1_500.0, 20_000.0)

# Rated hp up to -> starts in 24 h of a submersible motor, single-phase and three-phase.
_STARTS_PER_DAY: Final = ((0.75, 300, 300), (5.5, 100, 300), (30.0, 50, 100))


def atmosphere_psi(altitude_ft: float) -> float:
    """Pressure of the air at an altitude.

    Parameters
    ----------
    altitude_ft
        Above sea level, feet; below zero where the place lies under it.

    Returns
    -------
    float
        psi, absolute.

    Raises
    ------
    ValueError
        Where altitude_ft is not between -1,500 and 20,000.

    Source: U.S. Standard Atmosphere 1976. Published (The Driller, Feb 2006): 14.7 psi at sea
    level, 11.8 at 6,000 ft.

    >>> atmosphere_psi(0), atmosphere_psi(6000)
    (14.7, 11.8)
    """
    altitude = finite(altitude_ft, "altitude_ft")
    lowest, highest = _ALTITUDES_FT
    if not lowest <= altitude <= highest:
        raise ValueError(
            f"altitude_ft: {altitude:g} is not between {lowest:,.0f} and {highest:,.0f}"
        )
    return SEA_LEVEL_PSI * math.pow(1 - 6.8756e-6 * altitude, 5.2559)


def drawdown_gal(
    volume_gal: float,
    precharge_psi: float,
    cut_in_psi: float,
    cut_out_psi: float,
    *,
    altitude_ft: float = 0,
) -> float:
    """Water that a captive-air tank gives from cut-out down to cut-in.

    V [(P1 + a) / (P2 + a) - (P1 + a) / (P3 + a)], where a is the pressure of the air outside.
    Catalogues often take the precharge as equal to cut-in, which promises 4 to 6 per cent more
    than the usual 2 psi below it gives.

    Parameters
    ----------
    volume_gal
        Volume of the tank, US gallons.
    precharge_psi
        Air in the empty tank, psi; at most cut-in, or the tank is empty before the pump starts.
    cut_in_psi, cut_out_psi
        At which the switch starts and stops the pump, psi.
    altitude_ft
        Of the tank above sea level, feet.

    Returns
    -------
    float
        US gallons.

    Raises
    ------
    ValueError
        Where volume_gal or cut_in_psi is not above zero, precharge_psi is negative or above
        cut_in_psi, cut_out_psi is not above cut_in_psi, altitude_ft is not between -1,500 and
        20,000, or any is not finite or absurd.

    Source: Boyle's law. Published worked example (The Driller, Feb 2006): 28, 30 and 50 psi and 85
    gal, at sea level and at 6,000 ft (printed there as 26.1 from rounded terms).

    >>> drawdown_gal(85, 28, 30, 50), drawdown_gal(85, 28, 30, 50, altitude_ft=6000)
    (25.1, 26.2)
    """
    volume = positive(volume_gal, "volume_gal", at_most=MAX_TANK_GAL)
    precharge = non_negative(precharge_psi, "precharge_psi", at_most=MAX_PSI)
    cut_in = positive(cut_in_psi, "cut_in_psi", at_most=MAX_PSI)
    cut_out = positive(cut_out_psi, "cut_out_psi", at_most=MAX_PSI)
    if cut_out <= cut_in:
        raise ValueError(f"cut_out_psi: {cut_out:g} is not above cut_in_psi, {cut_in:g}")
    if precharge > cut_in:
        raise ValueError(
            f"precharge_psi: {precharge:g} is above cut_in_psi, {cut_in:g}: the tank is empty"
            f" before the pump starts; {PRECHARGE_BELOW_CUT_IN_PSI:g} psi below cut-in is usual"
        )
    air = atmosphere_psi(altitude_ft)
    return volume * (precharge + air) * (1 / (cut_in + air) - 1 / (cut_out + air))


def run_minutes(drawdown_gal: float, gpm: float) -> float:
    """Time the pump runs to fill the tank from cut-in to cut-out while nobody draws.

    Parameters
    ----------
    drawdown_gal
        What the tank takes between the two, US gallons.
    gpm
        Flow of the pump, gallons a minute.

    Returns
    -------
    float
        Minutes.

    Raises
    ------
    ValueError
        Where one is not above zero, not finite or absurd.

    Source: arithmetic; published practice is a drawdown of flow times the least run time.

    >>> run_minutes(25.1, 10)
    2.51
    """
    drawdown = positive(drawdown_gal, "drawdown_gal", at_most=MAX_TANK_GAL)
    return drawdown / positive(gpm, "gpm", at_most=MAX_GPM)


def starts_per_day(gpm: float, demand_gpm: float, drawdown_gal: float) -> float:
    """Starts of the pump in 24 hours of one steady demand.

    A cycle is the time to draw the tank down at the demand, and the time to fill it again at what
    the pump gives beyond that.

    Parameters
    ----------
    gpm
        Flow of the pump, gallons a minute.
    demand_gpm
        What is drawn, gallons a minute.
    drawdown_gal
        Of the tank, US gallons.

    Returns
    -------
    float
        Starts per day; zero where nothing is drawn, or as much as the pump gives or more.

    Raises
    ------
    ValueError
        Where gpm or drawdown_gal is not above zero, demand_gpm is negative, or any is not finite
        or absurd.

    Source: arithmetic. Published worked example (a maker's manual): a 10 gpm pump, 10 gal, and 8
    or 2 gpm drawn, is 230 starts a day; with 20 gal it is 115.

    >>> starts_per_day(10, 8, 10), starts_per_day(10, 2, 10), starts_per_day(10, 8, 20)
    (230.4, 230.4, 115.2)
    """
    flow = positive(gpm, "gpm", at_most=MAX_GPM)
    demand = non_negative(demand_gpm, "demand_gpm", at_most=MAX_GPM)
    drawdown = positive(drawdown_gal, "drawdown_gal", at_most=MAX_TANK_GAL)
    if demand == 0 or demand >= flow:
        return 0.0
    return 1440 * demand * (flow - demand) / (flow * drawdown)


def worst_starts_per_day(gpm: float, drawdown_gal: float) -> float:
    """Most starts that any steady demand can cause in 24 hours: that of half the pump's flow.

    Parameters
    ----------
    gpm
        Flow of the pump, gallons a minute.
    drawdown_gal
        Of the tank, US gallons.

    Returns
    -------
    float
        Starts per day: 24 times 15 Q / drawdown.

    Raises
    ------
    ValueError
        Where one is not above zero, not finite or absurd.

    Source: Water System Design Manual (Washington DOH 331-123), from equations 11-1 and 11-2: 10
    gpm and 25 gal are 6 an hour.

    >>> worst_starts_per_day(10, 25) / 24
    6.0
    """
    return starts_per_day(gpm, positive(gpm, "gpm", at_most=MAX_GPM) / 2, drawdown_gal)


def least_run_minutes(hp: float) -> float:
    """Time that a submersible motor of 4 in must run at each start to lose the heat of it.

    Parameters
    ----------
    hp
        Rated horsepower.

    Returns
    -------
    float
        Minutes.

    Raises
    ------
    ValueError
        Where hp is not above zero, not finite or absurd.

    Source: published by several vendors: 1 minute up to 3/4 hp, 2 above.

    >>> least_run_minutes(0.75), least_run_minutes(1)
    (1.0, 2.0)
    """
    return 1.0 if positive(hp, "hp", at_most=MAX_HP) <= 0.75 else 2.0


def most_starts_per_day(hp: float, *, phase: int = 1) -> int | None:
    """Starts in 24 hours that a submersible motor is made for.

    Parameters
    ----------
    hp
        Rated horsepower; one between two rows is taken as the larger.
    phase
        1 or 3.

    Returns
    -------
    int or None
        Starts per day; None above 30 hp.

    Raises
    ------
    ValueError
        Where hp is not above zero, not finite or absurd, or phase is neither 1 nor 3.

    Source: a maker's table: single-phase 300, 100 and 50 up to 3/4, 5-1/2 and 30 hp; three-phase
    300, 300 and 100. A trade journal (Water Well Journal) has 300 below 1 hp and 50 above 5.

    >>> most_starts_per_day(0.75), most_starts_per_day(1), most_starts_per_day(7.5, phase=3)
    (300, 100, 100)
    """
    rated = positive(hp, "hp", at_most=MAX_HP)
    if phase not in (1, 3):
        raise ValueError(f"phase: {short(phase)} is neither 1 nor 3")
    return next(
        (one if phase == 1 else three for up_to, one, three in _STARTS_PER_DAY if rated <= up_to),
        None,
    )
