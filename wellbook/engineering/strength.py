"""What warm water takes from the rating of plastic pipe, and what weight it may be pulled with.

Ratings are published for 73 F. Well water is mostly colder, and no credit is taken for that: factors
above 1.00 are in print, but would pass pipe that practice does not hang.
"""

from __future__ import annotations

import math
from typing import Final

from wellbook.engineering._checks import MAX_PSI, finite, pipe_ring, positive
from wellbook.engineering.pipe import (
    POLYETHYLENE,
    PVC,
    STEEL,
    outside_diameter_and_wall_in,
)
from wellbook.engineering.tables import along

# Machinery's Handbook, 31st ed. (Industrial Press 2020), table 14: degrees F -> factor.
_PVC_BY_F: Final = (
    *((73.4, 1.00), (80.0, 0.88), (90.0, 0.75), (100.0, 0.62)),
    *((110.0, 0.50), (120.0, 0.40), (130.0, 0.30), (140.0, 0.22)),
)
# From memory, the book was not opened (an industry handbook of polyethylene pipe). It begins at
# "73 F", which is the 23 C at which pipe is rated: 73.4 F.
_PE_FROM_MEMORY_BY_F: Final = (
    *((73.4, 1.00), (80.0, 0.94), (90.0, 0.86), (100.0, 0.78)),
    *((110.0, 0.71), (120.0, 0.64), (130.0, 0.57), (140.0, 0.50)),
)
# AS/NZS 4130 for PE100, published for 20, 25, 30, 40 and 50 C; it ends there.
_PE_STANDARD_BY_F: Final = (
    *((68.0, 1.00), (77.0, 1.00), (86.0, 0.94), (104.0, 0.84), (122.0, 0.75)),
)

MAX_PLASTIC_F: Final = 140.0
_FREEZING_F = 32.0

# Stress that a length may be pulled with, psi. Polyethylene: for a pull of 12 hours (industry
# handbook, 2nd ed., as a lining contractor prints it; PE3408 as PE3608). PVC: 7,000 / 2.5.
SAFE_PULL_PSI: Final[dict[str, float]] = {
    "pe3408": 1100.0,
    "pe3608": 1100.0,
    "pe4710": 1150.0,
    PVC: 2800.0,
}


def temperature_factor(material: str, temperature_f: float) -> float:
    """Part of its 73 F rating that a pipe keeps in warm water; never above 1.00.

    Between the rows of a table it is a straight line. For polyethylene the lower of two sets
    counts: one from memory, and a published one of another country's standard.

    Parameters
    ----------
    material
        "pe3408", "pe3608", "pe4710", "pvc", "galvanized_steel" or "stainless_steel"; steel keeps
        all of it.
    temperature_f
        Temperature of the water, F; 32 to 140 for plastics.

    Returns
    -------
    float
        A fraction.

    Raises
    ------
    ValueError
        Where temperature_f is below freezing, not finite, or above what the tables reach; where
        the material is none of these.

    Source: PVC: Machinery's Handbook, 31st ed. (2020), table 14: 0.40 at 120 F. Polyethylene:
    see the tables of this module.

    >>> temperature_factor("pvc", 120), temperature_factor("pe4710", 104)
    (0.4, 0.752)
    >>> temperature_factor("pvc", 50)
    1.0
    """
    warmth = finite(temperature_f, "temperature_f")
    if warmth < _FREEZING_F:
        raise ValueError(f"temperature_f: {warmth:g} F is below freezing")
    if warmth > MAX_PLASTIC_F:
        raise ValueError(
            f"temperature_f: {warmth:g} F is above {MAX_PLASTIC_F:g} F, where the tables end"
        )
    if material in STEEL:
        return 1.0
    if material == PVC:
        return along(_PVC_BY_F, warmth)
    if material in POLYETHYLENE:
        return min(along(_PE_FROM_MEMORY_BY_F, warmth), along(_PE_STANDARD_BY_F, warmth))
    raise ValueError(f"material: no factors for warm water are known for {material!r}")


def derated_rating_psi(rating_psi: float, material: str, temperature_f: float) -> float:
    """Rating of a pipe in warm water.

    Parameters
    ----------
    rating_psi
        Rating at 73 F, psi.
    material
        As temperature_factor.
    temperature_f
        Temperature of the water, F.

    Returns
    -------
    float
        psi; never more than rating_psi.

    Raises
    ------
    ValueError
        As temperature_factor, and where rating_psi is not above zero, not finite or absurd.

    Source: as temperature_factor. Published example (Machinery's Handbook): PVC of 230 psi at
    120 F.

    >>> derated_rating_psi(230, "pvc", 120)
    92.0
    """
    rating = positive(rating_psi, "rating_psi", at_most=MAX_PSI)
    return rating * temperature_factor(material, temperature_f)


def safe_pull_lb(outside_diameter_in: float, wall_in: float, stress_psi: float) -> float:
    """Load that brings a pipe's wall to a stress, S pi t (D - t).

    Parameters
    ----------
    outside_diameter_in, wall_in
        Inches; the wall is less than half the diameter.
    stress_psi
        Stress that the material may be pulled with, psi (SAFE_PULL_PSI).

    Returns
    -------
    float
        lb.

    Raises
    ------
    ValueError
        Where one is not above zero, not finite or absurd.

    Source: geometry; stress published, load computed: 1-1/4 in SIDR 7 polyethylene at 1,150 psi.

    >>> safe_pull_lb(1.380 * 9 / 7, 1.380 / 7, 1150)
    1123.3
    """
    outside, wall = pipe_ring(outside_diameter_in, wall_in)
    return positive(stress_psi, "stress_psi", at_most=MAX_PSI) * math.pi * wall * (outside - wall)


def pipe_safe_pull_lb(
    material: str, wall: str, nominal_in: str | float | None, *, threaded: bool = False
) -> float | None:
    """Load that a plastic pipe may be pulled with, such as when a stuck string is hoisted.

    It is the pipe's alone: couplings, clamps and insert fittings let go before it. For
    polyethylene it is a pull of half a day; what it bears hanging for years is less, and no figure
    was found.

    Parameters
    ----------
    material, wall, nominal_in
        As pipe.outside_diameter_and_wall_in.
    threaded
        Whether PVC has threads cut in its wall: half counts, as it does for the pressure.

    Returns
    -------
    float or None
        lb; None for steel, and where the tables cannot say.

    Raises
    ------
    ValueError
        Where nominal_in is a number that is not above zero, or not finite.

    Source: SAFE_PULL_PSI. The half for threads is our own caution.

    >>> pipe_safe_pull_lb("pe4710", "SIDR 7", "1-1/4")
    1123.3
    """
    dimensions = outside_diameter_and_wall_in(material, wall, nominal_in)
    if dimensions is None or material not in SAFE_PULL_PSI:
        return None
    pull_lb = safe_pull_lb(*dimensions, SAFE_PULL_PSI[material])
    return pull_lb / 2 if threaded and material == PVC else pull_lb
