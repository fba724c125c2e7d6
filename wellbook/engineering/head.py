"""Head against which a pump works, and the power that it takes.

TDH is counted from the pumping level, not from the pump: water outside the pipe helps as far as it
stands.
"""

from __future__ import annotations

from typing import Final

from wellbook.engineering._checks import MAX_DEPTH_FT, MAX_PSI, non_negative, positive
from wellbook.engineering.bore import MAX_GPM
from wellbook.engineering.curves import MAX_HEAD_FT

# As print has it, of water at 60 F. `pressure.PSI_PER_FT` is of the heavier water at 40 F: a pump is
# asked for more by this one, a pipe by that one.
FT_PER_PSI: Final = 2.31
# 33,000 ft lb a minute / 8.33 lb a gallon. Some texts write 3956.
GPM_FT_PER_HP: Final = 3960.0


def psi_as_head_ft(psi: float) -> float:
    """Height of the column of water that a pressure holds up.

    Parameters
    ----------
    psi
        Pressure, psi.

    Returns
    -------
    float
        Feet of water.

    Raises
    ------
    ValueError
        Where psi is negative, not finite or absurd.

    Source: 2.31 ft per psi (NDSU Extension AE1057, rev. Feb 2022).

    >>> psi_as_head_ft(50)
    115.5
    """
    return FT_PER_PSI * non_negative(psi, "psi", at_most=MAX_PSI)


def head_as_psi(head_ft: float) -> float:
    """Pressure of a head of water; the inverse of psi_as_head_ft.

    Parameters
    ----------
    head_ft
        Feet of water.

    Returns
    -------
    float
        psi.

    Raises
    ------
    ValueError
        Where head_ft is negative, not finite or absurd.

    Source: as psi_as_head_ft. A column in a pipe is `pressure.column_psi`, which takes the coldest
    water; the two differ by 0.14 %.

    >>> head_as_psi(115.5)
    50.0
    """
    return non_negative(head_ft, "head_ft", at_most=MAX_HEAD_FT) / FT_PER_PSI


def total_head_ft(
    pumping_level_ft: float,
    *,
    rise_ft: float = 0,
    cut_out_psi: float = 0,
    friction_ft: float = 0,
) -> float:
    """Total dynamic head: lift, rise, the pressure at the top as head, and friction.

    Parameters
    ----------
    pumping_level_ft
        Depth of the water below the wellhead while the pump runs, feet.
    rise_ft
        Height of the tank above the wellhead, feet.
    cut_out_psi
        Pressure at which the switch stops the pump, psi at the tank; 0 is an open discharge.
    friction_ft
        Head lost in pipe and fittings at the flow, feet (friction.friction_loss_ft).

    Returns
    -------
    float
        Feet of water.

    Raises
    ------
    ValueError
        Where one is negative, not finite or absurd.

    Source: TDH = pumping level + rise + 2.31 psi + friction (a trade handout). Published (a
    textbook's example 9.21): 150 ft lift, 10 ft rise and 10.5 ft friction are 170.5 ft.

    >>> total_head_ft(150, rise_ft=10, friction_ft=10.5)
    170.5
    """
    return (
        non_negative(pumping_level_ft, "pumping_level_ft", at_most=MAX_DEPTH_FT)
        + non_negative(rise_ft, "rise_ft", at_most=MAX_DEPTH_FT)
        + FT_PER_PSI * non_negative(cut_out_psi, "cut_out_psi", at_most=MAX_PSI)
        + non_negative(friction_ft, "friction_ft", at_most=MAX_HEAD_FT)
    )


def water_hp(gpm: float, head_ft: float) -> float:
    """Power that the water itself takes up, Q H / 3960.

    Parameters
    ----------
    gpm
        Flow, US gallons per minute.
    head_ft
        Total dynamic head, feet.

    Returns
    -------
    float
        Horsepower.

    Raises
    ------
    ValueError
        Where one is negative, not finite or absurd.

    Source: NMSU Guide M-227. Published (a table of water horsepower): 50 gpm against 100 ft take
    1.26 hp.

    >>> water_hp(50, 100)
    1.26
    """
    flow = non_negative(gpm, "gpm", at_most=MAX_GPM)
    return flow * non_negative(head_ft, "head_ft", at_most=5 * MAX_HEAD_FT) / GPM_FT_PER_HP


def brake_hp(gpm: float, head_ft: float, efficiency: float) -> float:
    """Power that a pump takes from its motor's shaft.

    Parameters
    ----------
    gpm
        Flow, US gallons per minute.
    head_ft
        Total dynamic head, feet.
    efficiency
        Of the pump alone, a fraction above 0 and up to 1.

    Returns
    -------
    float
        Horsepower.

    Raises
    ------
    ValueError
        Where efficiency is not above zero or is above one, another is negative, or one is not
        finite or absurd.

    Source: as water_hp. Inputs published, answer computed: 500 gpm, 120 ft and 72 %.

    >>> brake_hp(500, 120, 0.72)
    21.04
    """
    return water_hp(gpm, head_ft) / positive(efficiency, "efficiency", at_most=1.0)
