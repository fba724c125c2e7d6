"""Where check valves stand in a deep string, so that none of them holds too long a column."""

from __future__ import annotations

from typing import Final

from wellbook.engineering._checks import MAX_DEPTH_FT, non_negative, positive

FIRST_ABOVE_LEVEL_FT: Final = 25.0
"""Higher above the water a column would part below the valve once the one at the pump leaks."""

SPACING_FT: Final = 200.0
JOINT_FT: Final = 20.0
"""Valves stand between joints of pipe, so a place is good to a joint; common practice."""

_LEAST_SPACING_FT: Final = 1.0


def valve_depths_ft(
    set_depth_ft: float, pumping_level_ft: float, *, spacing_ft: float = SPACING_FT
) -> tuple[float, ...]:
    """Depths of the check valves in a string, beside the one at the pump's discharge.

    The first is 25 ft above the lowest pumping level, the others follow at their spacing up to the
    uppermost joint. A level is never drawn down below the pump: one that is deeper counts as there.

    Parameters
    ----------
    set_depth_ft
        Depth of the pump, feet.
    pumping_level_ft
        Depth of the lowest pumping level, feet.
    spacing_ft
        From one valve to the next, feet.

    Returns
    -------
    tuple of float
        Feet below the well head, the lowest first; empty where the water stands so high that the
        pump's own is enough.

    Raises
    ------
    ValueError
        Where set_depth_ft is not above zero, pumping_level_ft is negative, spacing_ft is less than
        one foot, or one of them is not finite or absurd.

    Source: The Driller 85101. Published example: a pump at 750 ft, water at 700 ft: valves at the
    pump's discharge and at 675, 475, 275 and 75 ft. One maker says every 100 ft.

    >>> valve_depths_ft(750, 700)
    (675.0, 475.0, 275.0, 75.0)
    >>> valve_depths_ft(120, 20)
    ()
    """
    set_ft = positive(set_depth_ft, "set_depth_ft", at_most=MAX_DEPTH_FT)
    level_ft = non_negative(pumping_level_ft, "pumping_level_ft", at_most=MAX_DEPTH_FT)
    apart_ft = positive(spacing_ft, "spacing_ft", at_most=MAX_DEPTH_FT)
    if apart_ft < _LEAST_SPACING_FT:
        raise ValueError(f"spacing_ft: {apart_ft:g} is less than a foot")
    depth_ft = min(set_ft, level_ft) - FIRST_ABOVE_LEVEL_FT
    depths: list[float] = []
    while depth_ft > JOINT_FT:
        depths.append(float(depth_ft))
        depth_ft -= apart_ft
    return tuple(depths)
