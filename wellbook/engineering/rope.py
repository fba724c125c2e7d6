"""Rope and hoist: how many times the load it must hold before it breaks."""

from __future__ import annotations

from typing import Final

from wellbook.engineering._checks import positive
from wellbook.engineering.weight import MAX_LB

DESIGN_FACTORS: Final[dict[str, float]] = {
    "hoisting": 5.0,
    "rotation_resistant": 3.5,
    "rotation_resistant_repeated": 5.0,
    "well_service": 3.0,
    "well_service_stuck": 2.0,
}
"""Breaking strength over load, by use of the rope.

Sources: hoisting, Mich. Admin. Code R 408.12013; rotation-resistant and the same for repeated
lifts, 29 CFR 1926.1414(e)(2); hoisting line of an oil and gas service rig, and with the pipe
stuck, Mich. Admin. Code R 408.15732. The last two are an oil-field rig's and not a pump hoist's.
"""


def rope_design_factor(use: str) -> float:
    """How many times the load a rope of this use must hold.

    Parameters
    ----------
    use
        One of DESIGN_FACTORS.

    Returns
    -------
    float
        Breaking strength over load.

    Raises
    ------
    ValueError
        Where use is none of them.

    Source: the regulations named at DESIGN_FACTORS.

    >>> rope_design_factor("hoisting")
    5.0
    """
    if use not in DESIGN_FACTORS:
        raise ValueError(f"use: '{use}' is not one of: {', '.join(DESIGN_FACTORS)}")
    return DESIGN_FACTORS[use]


def least_breaking_lb(hook_lb: float, *, use: str = "hoisting") -> float:
    """Breaking strength that a rope must have for a load.

    Parameters
    ----------
    hook_lb
        What hangs on the hook, pounds (weight.string_weight).
    use
        One of DESIGN_FACTORS.

    Returns
    -------
    float
        Pounds; of the whole line as rigged, its end fittings and knots counted.

    Raises
    ------
    ValueError
        Where hook_lb is not above zero, not finite or absurd, or use is none of DESIGN_FACTORS.

    Source: as rope_design_factor. Computed: a string of 532 lb needs 2,660 lb.

    >>> least_breaking_lb(532)
    2660.0
    """
    return positive(hook_lb, "hook_lb", at_most=MAX_LB) * rope_design_factor(use)
