"""Pressure ratings of drop pipe from its material and dimensions, at 73 F or below.

The class printed on a pipe does not say what it is made of, and the same wall has another rating in
another material: SIDR 9 is 160 psi in PE3408 and 200 psi in PE4710. So a rating is worked out from
material and wall together. No credit is ever taken for water colder than 73 F.
"""

from __future__ import annotations

import math
from typing import Final

from wellbook.engineering._checks import MAX_PSI, pipe_ring, positive
from wellbook.engineering.pipe import (
    DR_RATIOS,
    MAX_RATIO,
    POLYETHYLENE,
    PVC,
    SIDR_RATIOS,
    STEEL,
    nominal_size,
    outside_diameter_and_wall_in,
    parse_wall,
)
from wellbook.quantities import quoted

# Hydrostatic design stress: the last two digits of the designation, in hundreds of psi.
HDS_PSI: Final[dict[str, float]] = {"pe3408": 800.0, "pe3608": 800.0, "pe4710": 1000.0}
PVC_DESIGN_PSI: Final = 2000.0

# The classes that well polyethylene is sold under. 125 is what 128 is sold as.
MARKETED_CLASSES_PSI: Final = (80, 100, 125, 160, 200, 250)

_STEEL_REASON = "steel: no rating is applied, its wall is not what limits a setting at these depths"


def controlled_inside_rating_psi(sidr: float, hds_psi: float) -> float:
    """Rating of polyethylene pipe made to a held inside diameter, PR = 2 HDS / (SIDR + 1).

    Parameters
    ----------
    sidr
        Inside diameter / minimum wall.
    hds_psi
        Hydrostatic design stress of the material, psi (HDS_PSI).

    Returns
    -------
    float
        psi, not rounded.

    Raises
    ------
    ValueError
        Where either is not above zero, not finite or absurd.

    Source: ASTM D2239 (the form from memory; it is the outside-held form with DR = SIDR + 2).
    Published (a table of PE4710 classes): SIDR 11.5 is 160 psi.

    >>> controlled_inside_rating_psi(11.5, 1000)
    160.0
    """
    ratio = positive(sidr, "sidr", at_most=MAX_RATIO)
    return 2 * positive(hds_psi, "hds_psi", at_most=MAX_PSI) / (ratio + 1)


def controlled_outside_rating_psi(dr: float, hds_psi: float) -> float:
    """Rating of polyethylene pipe made to a held outside diameter, PR = 2 HDS / (DR - 1).

    Parameters
    ----------
    dr
        Outside diameter / minimum wall; above 2, or there would be no bore.
    hds_psi
        Hydrostatic design stress of the material, psi (HDS_PSI).

    Returns
    -------
    float
        psi, not rounded.

    Raises
    ------
    ValueError
        Where dr is 2 or less, hds_psi is not above zero, or either is not finite or absurd.

    Source: ASTM D3035. Published (a table of PE4710 pipe): DR 13.5 is 160 psi.

    >>> controlled_outside_rating_psi(13.5, 1000)
    160.0
    """
    ratio = positive(dr, "dr", at_most=MAX_RATIO)
    if ratio <= 2:
        raise ValueError(f"dr: {ratio:g} is a solid rod, not a pipe")
    return 2 * positive(hds_psi, "hds_psi", at_most=MAX_PSI) / (ratio - 1)


def pvc_rating_psi(outside_diameter_in: float, wall_in: float) -> float:
    """Rating of plain-end PVC pipe at 73 F, P = 2 S t / (D - t) with S = 2000 psi.

    Parameters
    ----------
    outside_diameter_in, wall_in
        Inches; the wall is the minimum one, and less than half the diameter.

    Returns
    -------
    float
        psi, not rounded.

    Raises
    ------
    ValueError
        Where a dimension is not above zero, not finite or absurd.

    Source: ASTM D1785. Published (Machinery's Handbook, 31st ed., p. 2770): 1 in schedule 80 is
    630 psi.

    >>> pvc_rating_psi(1.315, 0.179)
    630.3
    """
    outside, wall = pipe_ring(outside_diameter_in, wall_in)
    return 2 * PVC_DESIGN_PSI * wall / (outside - wall)


def threaded_rating_psi(plain_end_psi: float) -> float:
    """Rating of PVC pipe with threads cut in it: half of the plain-end rating.

    Parameters
    ----------
    plain_end_psi
        psi.

    Returns
    -------
    float
        psi.

    Raises
    ------
    ValueError
        Where plain_end_psi is not above zero, not finite or absurd.

    Source: common practice, published on makers' derating pages and not in ASTM D1785 as read.

    >>> threaded_rating_psi(630)
    315.0
    """
    return positive(plain_end_psi, "plain_end_psi", at_most=MAX_PSI) / 2


def marketed_class_psi(rating_psi: float) -> int | None:
    """Highest class that polyethylene well pipe is sold under and a rating covers.

    Parameters
    ----------
    rating_psi
        psi.

    Returns
    -------
    int or None
        psi; None where the rating is below the lowest class.

    Raises
    ------
    ValueError
        Where rating_psi is not above zero, not finite or absurd.

    Source: common practice (SIDR 11.5 in PE3408 works out at 128 and is sold as 125).

    >>> marketed_class_psi(128)
    125
    """
    rating = positive(rating_psi, "rating_psi", at_most=MAX_PSI)
    return max((sold for sold in MARKETED_CLASSES_PSI if sold <= rating), default=None)


def rating_from_dimensions(
    material: str, wall: str, nominal_in: str | float | None, *, threaded: bool = False
) -> float | None:
    """Pressure rating of a pipe at 73 F as published for its material and wall.

    Parameters
    ----------
    material
        "pe3408", "pe3608", "pe4710", "pvc", "galvanized_steel" or "stainless_steel".
    wall
        "SIDR 7" (inside held), "DR 11" (outside held), "sch 80".
    nominal_in
        Nominal size, text or inches; only PVC needs it.
    threaded
        Whether PVC has threads cut in its wall, which halves the rating.

    Returns
    -------
    float or None
        psi: polyethylene to the whole psi and PVC to the nearest 10 before threading, as they are
        published. None where it cannot say; no_rating_reason tells why.

    Raises
    ------
    ValueError
        Where nominal_in is a number that is not above zero, or not finite.

    Source: ASTM D2239, D3035 and D1785, by the formulas above. Published: the same SIDR 9 is sold
    as 160 psi pipe in PE3408 and as 200 psi pipe in PE4710; 1 in schedule 80 PVC is 630 psi
    (Machinery's Handbook, 31st ed., p. 2770).

    >>> rating_from_dimensions("pe3408", "SIDR 9", None)
    160.0
    >>> rating_from_dimensions("pe4710", "SIDR 9", None)
    200.0
    >>> rating_from_dimensions("pvc", "sch 80", "1")
    630.0
    >>> rating_from_dimensions("galvanized_steel", "sch 40", "1") is None
    True
    """
    found = _rating_or_reason(material, wall, nominal_in, threaded)
    return None if isinstance(found, str) else found


def no_rating_reason(
    material: str, wall: str, nominal_in: str | float | None, *, threaded: bool = False
) -> str | None:
    """Why rating_from_dimensions has no rating for a pipe.

    Parameters
    ----------
    material, wall, nominal_in, threaded
        As rating_from_dimensions.

    Returns
    -------
    str or None
        One sentence; None where there is a rating.

    Raises
    ------
    ValueError
        Where nominal_in is a number that is not above zero, or not finite.

    Source: as rating_from_dimensions.

    >>> no_rating_reason("pe3408", "sch 40", "1")
    "polyethylene: wall 'sch 40' is not a SIDR or DR of the standards"
    """
    found = _rating_or_reason(material, wall, nominal_in, threaded)
    return found if isinstance(found, str) else None


def _rating_or_reason(
    material: str, wall: str, nominal_in: str | float | None, threaded: bool
) -> float | str:
    nominal_size(nominal_in)  # a size that cannot be is an error even where it is not used
    if material in STEEL:
        return _STEEL_REASON
    if material in POLYETHYLENE:
        return _pe_rating_or_reason(material, wall)
    if material == PVC:
        return _pvc_rating_or_reason(wall, nominal_in, threaded)
    return f"no rating is known for the material {quoted(material)}"


def _pe_rating_or_reason(material: str, wall: str) -> float | str:
    marked = parse_wall(wall)
    if marked is not None and marked.kind == "SIDR" and marked.number in SIDR_RATIOS:
        return float(round(controlled_inside_rating_psi(marked.number, HDS_PSI[material])))
    if marked is not None and marked.kind == "DR" and marked.number in DR_RATIOS:
        return float(round(controlled_outside_rating_psi(marked.number, HDS_PSI[material])))
    if wall.strip().upper().startswith("SDR"):
        return f"polyethylene: {quoted(wall)} is used for both ways of making it: say SIDR or DR"
    return f"polyethylene: wall {quoted(wall)} is not a SIDR or DR of the standards"


def _pvc_rating_or_reason(wall: str, nominal_in: str | float | None, threaded: bool) -> float | str:
    dimensions = outside_diameter_and_wall_in(PVC, wall, nominal_in)
    marked = parse_wall(wall)
    if dimensions is None or marked is None:
        return (
            f"PVC: wall {quoted(wall)} in size {quoted(nominal_in)} is not in the schedule tables"
        )
    plain_end_psi = _to_nearest_10(pvc_rating_psi(*dimensions))
    if not threaded:
        return plain_end_psi
    if marked.number < 80:
        return "PVC: schedule 40 is too thin to be threaded, so it has no threaded rating"
    return threaded_rating_psi(plain_end_psi)


def _to_nearest_10(psi: float) -> float:
    # A tie goes down: 3 in schedule 80 is 375.0 by the formula and 370 in print. The nudge keeps a
    # tie that comes out a bit high in floating point on that side.
    return 10.0 * math.ceil(psi / 10 - 0.5 - 1e-9)
