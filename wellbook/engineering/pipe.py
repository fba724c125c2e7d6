"""Dimensions and weights of drop pipe, from nominal size and the wall as the pipe is marked.

Sources of the tables, one for all functions here:

- Steel: ASME B36.10 (stainless 10S: B36.19), 1/2 to 12 in.
- PVC: ASTM D1785 outside diameters and minimum walls, 1/2 to 12 in, schedules 40, 80 and 120 (of
  120 not all sizes are in print).
- Polyethylene with the inside held (SIDR): ASTM D2239, to 6 in; its inside diameters are those of
  schedule 40 iron pipe. Both are from memory, and published friction charts agree with the second.
- Polyethylene with the outside held (DR): ASTM D3035, on iron-pipe outside diameters.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import lru_cache
from typing import Final, NamedTuple

from wellbook.engineering._checks import MAX_DIAMETER_IN, finite, pipe_ring, positive
from wellbook.quantities import plain_marks

POLYETHYLENE: Final = frozenset({"pe3408", "pe3608", "pe4710"})
# Of which nobody knows the grade: as wide and as heavy as any of them, but of no rating.
ANY_POLYETHYLENE: Final = POLYETHYLENE | {"polyethylene"}
STEEL: Final = frozenset({"galvanized_steel", "stainless_steel"})
PVC: Final = "pvc"

OUTSIDE_DIAMETER_IN: Final[dict[str, float]] = {
    "1/2": 0.840,
    "3/4": 1.050,
    "1": 1.315,
    "1-1/4": 1.660,
    "1-1/2": 1.900,
    "2": 2.375,
    "2-1/2": 2.875,
    "3": 3.500,
    "4": 4.500,
    "5": 5.563,
    "6": 6.625,
    "8": 8.625,
    "10": 10.750,
    "12": 12.750,
}
_SIZES = tuple(OUTSIDE_DIAMETER_IN)
_SIDR_SIZES = _SIZES[: _SIZES.index("6") + 1]


def _walls(small_in: tuple[float, ...], large_in: tuple[float | None, ...]) -> dict[str, float]:
    """Walls of 1/2 to 4 in and of 5 to 12 in; None for a size that is not in print."""
    walls_in = zip(_SIZES, (*small_in, *large_in), strict=True)
    return {size: wall for size, wall in walls_in if wall is not None}


_SMALL_40 = (0.109, 0.113, 0.133, 0.140, 0.145, 0.154, 0.203, 0.216, 0.237)
_SMALL_80 = (0.147, 0.154, 0.179, 0.191, 0.200, 0.218, 0.276, 0.300, 0.337)
_SMALL_120 = (0.170, 0.170, 0.200, 0.215, 0.225, 0.250, 0.300, 0.350, 0.437)
_SMALL_10S = (0.083, 0.083, 0.109, 0.109, 0.109, 0.109, 0.120, 0.120, 0.120)
_WALL_40 = _walls(_SMALL_40, (0.258, 0.280, 0.322, 0.365, 0.406))
_PVC_80 = _walls(_SMALL_80, (0.375, 0.432, 0.500, 0.593, 0.687))
_PVC_120 = _walls(_SMALL_120, (None, 0.562, None, None, None))
_STEEL_80 = _walls(_SMALL_80, (0.375, 0.432, 0.500, 0.594, 0.688))
_WALL_10S = _walls(_SMALL_10S, (0.134, 0.134, 0.148, 0.165, 0.180))

# 40S and 80S have the dimensions of 40 and 80, but for thinner walls of 12 in, and of 80S of 10 in
# (B36.19): there the heavier is taken. Steel as drop pipe has no 120.
_SCHEDULES: Final[dict[str, dict[str, dict[str, float]]]] = {
    PVC: {"40": _WALL_40, "80": _PVC_80, "120": _PVC_120},
    "galvanized_steel": {"40": _WALL_40, "80": _STEEL_80},
    "stainless_steel": {"10": _WALL_10S, "40": _WALL_40, "80": _STEEL_80},
}

SIDR_RATIOS: Final = (5.3, 7.0, 9.0, 11.5, 15.0, 19.0)
# The list of D3035 is from memory; 7, 9, 11 and 13.5 were seen.
DR_RATIOS: Final = (7.0, 7.3, 9.0, 9.3, 11.0, 13.5, 15.5, 17.0, 21.0, 26.0, 32.5)

PE_LB_PER_IN3: Final = 0.0345
PVC_LB_PER_IN3: Final = 0.0506
# A wall is made a little over its minimum. One published weight (6 in schedule 40, 3.60 lb/ft)
# against 3.39 at the minimum wall gives the factor.
PVC_OVER_MINIMUM: Final = 1.06
# From memory: stainless is about 2 per cent denser than carbon steel.
STAINLESS_OVER_CARBON: Final = 1.02

MAX_RATIO: Final = 100.0

_AS_GALVANIZED = frozenset({"steel", "iron", "cast_iron"})


def table_material(word: str) -> str:
    """The name under which the tables of pipe have a material.

    Parameters
    ----------
    word
        The book's word.

    Returns
    -------
    str
        A word of the tables here; one that they do not have stays as it is.

    Source: plain steel and iron pipe have the dimensions of galvanized (ASME B36.10).

    >>> table_material("pe4710"), table_material("steel")
    ('pe4710', 'galvanized_steel')
    """
    return "galvanized_steel" if word in _AS_GALVANIZED else word


class Wall(NamedTuple):
    """How a wall is marked: *kind* is "SIDR", "DR" or "sch", *number* the ratio or schedule."""

    kind: str
    number: float


_RATIO = re.compile(r"(SIDR|DR)(?: *|-)(\d+(?:\.\d+)?)", re.IGNORECASE)
_SCHEDULE = re.compile(r"sch(?:edule|ed)?\.?(?: *|-)(\d+)S?", re.IGNORECASE)
_SIZE = re.compile(r"(?:(\d{1,3})[ -]+)?(\d{1,3})/([1-9]\d{0,2})|(\d{1,3}(?:\.\d*)?|\.\d+)")


def parse_wall(wall: str) -> Wall | None:
    """Read the marking of a wall.

    Parameters
    ----------
    wall
        "SIDR 7", "DR 11", "sch 40", "schedule 80", "sch 10S"; case and spacing are free.

    Returns
    -------
    Wall or None
        None where it is none of these. A bare "SDR" is not read: it should mean the outside, but
        is written on charts of inside-held pipe too, and taking one for the other overstates
        the rating by a quarter or more.

    Source: the markings of ASTM D2239, D3035 and D1785.

    >>> parse_wall("SIDR 11.5")
    Wall(kind='SIDR', number=11.5)
    >>> parse_wall("SDR 7") is None
    True
    """
    text = wall.strip()
    if match := _RATIO.fullmatch(text):
        return Wall(match[1].upper(), float(match[2]))
    if match := _SCHEDULE.fullmatch(text):
        return Wall("sch", float(match[1]))
    return None


@lru_cache(maxsize=1024, typed=True)
def nominal_size(nominal_in: str | float | None) -> str | None:
    """Read a nominal size as it is written on a sheet.

    Parameters
    ----------
    nominal_in
        "1-1/4", "1 1/4 in", "1¼", '1.25"', 1.25; None where it is not known.

    Returns
    -------
    str or None
        The size as the tables here write it ("1-1/4"); None where it is unknown or not in them.

    Raises
    ------
    ValueError
        Where it is a number that is not above zero, or not finite.

    Source: the sizes of ASME B36.10 from 1/2 to 12 in.

    >>> nominal_size("1 1/4 in"), nominal_size(0.75), nominal_size("7/8")
    ('1-1/4', '3/4', None)
    """
    inches = _inches(nominal_in)
    if inches is None:
        return None
    size = positive(inches, "nominal_in", at_most=MAX_DIAMETER_IN)
    return next((key for key in _SIZES if _inches(key) == size), None)


def _inches(nominal_in: str | float | None) -> float | None:
    if nominal_in is None or not isinstance(nominal_in, str):
        return None if nominal_in is None else finite(nominal_in, "nominal_in")
    text = re.sub(
        r"\s*(\"|in\.?|inch|inches)$", "", plain_marks(nominal_in).strip(), flags=re.IGNORECASE
    )
    match = _SIZE.fullmatch(text.strip())
    if match is None:
        return None
    whole, over, under, decimal = match.groups()
    return float(decimal) if decimal else float(int(whole or 0) + Fraction(int(over), int(under)))


def outside_diameter_and_wall_in(
    material: str, wall: str, nominal_in: str | float | None
) -> tuple[float, float] | None:
    """Outside diameter and wall of a pipe, both in inches (a minimum wall for plastics).

    Parameters
    ----------
    material
        "pe3408", "pe3608", "pe4710" or "polyethylene" of any grade, "pvc", "galvanized_steel" or
        "stainless_steel".
    wall
        As parse_wall reads it.
    nominal_in
        As nominal_size reads it.

    Returns
    -------
    tuple of float, or None
        None where the material, the wall or the size is not in the tables.

    Raises
    ------
    ValueError
        Where nominal_in is a number that is not above zero, or not finite.

    Source: the standards named at the head of this module. With the inside held, wall = inside
    diameter / SIDR; with the outside held, wall = outside diameter / DR.

    >>> outside_diameter_and_wall_in("pvc", "sch 80", "1-1/4")
    (1.66, 0.191)
    >>> outside_diameter_and_wall_in("pe3408", "SIDR 7", "1-1/4")
    (1.774, 0.197)
    """
    marked, size = parse_wall(wall), nominal_size(nominal_in)
    if marked is None or size is None:
        return None
    outside_in = OUTSIDE_DIAMETER_IN[size]
    if material not in ANY_POLYETHYLENE:
        wall_in = _scheduled_wall_in(material, marked, size)
        return None if wall_in is None else (outside_in, wall_in)
    if marked.kind == "DR" and marked.number in DR_RATIOS:
        return outside_in, outside_in / marked.number
    if marked.kind == "SIDR" and marked.number in SIDR_RATIOS and size in _SIDR_SIZES:
        inside_in = outside_in - 2 * _WALL_40[size]
        return inside_in * (1 + 2 / marked.number), inside_in / marked.number
    return None


def _scheduled_wall_in(material: str, marked: Wall, size: str) -> float | None:
    schedules = _SCHEDULES.get(material, {})
    if marked.kind != "sch":
        return None
    return schedules.get(f"{marked.number:g}", {}).get(size)


def inside_diameter_in(material: str, wall: str, nominal_in: str | float | None) -> float | None:
    """Inside diameter of a pipe, inches.

    For PVC it is taken at the minimum wall, which makes the water in it a little heavy; the
    average bore of 3/4 to 2 in pipe is published as some 0.01 to 0.03 in less.

    Parameters
    ----------
    material, wall, nominal_in
        As outside_diameter_and_wall_in.

    Returns
    -------
    float or None
        None where the tables cannot say.

    Raises
    ------
    ValueError
        Where nominal_in is a number that is not above zero, or not finite.

    Source: the standards named at the head of this module; inside = outside - 2 wall.
    Published (ASTM D3035 pipe, a plastics dealer's table): 2 in DR 11 is 1.943 in.

    >>> inside_diameter_in("pe4710", "DR 11", 2)
    1.943
    >>> inside_diameter_in("galvanized_steel", "sch 40", "1-1/4")
    1.38
    """
    dimensions = outside_diameter_and_wall_in(material, wall, nominal_in)
    if dimensions is None:
        return None
    outside_in, wall_in = dimensions
    return outside_in - 2 * wall_in


def steel_lb_per_ft(outside_diameter_in: float, wall_in: float) -> float:
    """Plain-end weight of carbon steel pipe, W = 10.68 t (D - t).

    Zinc and couplings add some 3 to 4 per cent at drop-pipe sizes (common practice).

    Parameters
    ----------
    outside_diameter_in, wall_in
        Inches; the wall is less than half the diameter.

    Returns
    -------
    float
        lb/ft.

    Raises
    ------
    ValueError
        Where a dimension is not above zero, not finite or absurd.

    Source: ASME B36.10. Published: Ill. Admin. Code tit. 35 pt. 604 Table A, 6 in, 18.97 lb/ft.

    >>> steel_lb_per_ft(6.625, 0.280)
    18.97
    """
    outside, wall = pipe_ring(outside_diameter_in, wall_in)
    return 10.68 * wall * (outside - wall)


def pvc_lb_per_ft(outside_diameter_in: float, wall_in: float) -> float:
    """Weight of PVC pipe: its minimum wall at 0.0506 lb/in3, and 6 per cent for what is over it.

    Parameters
    ----------
    outside_diameter_in, wall_in
        Inches; the wall is the minimum one, and less than half the diameter.

    Returns
    -------
    float
        lb/ft.

    Raises
    ------
    ValueError
        Where a dimension is not above zero, not finite or absurd.

    Source: geometry, and the 6 per cent fitted to one published weight: NRCS Pipe Weight
    Calculator v110204, 6 in schedule 40, 3.60 lb/ft.

    >>> pvc_lb_per_ft(6.625, 0.280)
    3.6
    """
    outside, wall = pipe_ring(outside_diameter_in, wall_in)
    return PVC_OVER_MINIMUM * PVC_LB_PER_IN3 * 12 * math.pi * wall * (outside - wall)


def pe_lb_per_ft(outside_diameter_in: float, wall_in: float) -> float:
    """Weight of polyethylene pipe at its minimum wall and 0.0345 lb/in3.

    Parameters
    ----------
    outside_diameter_in, wall_in
        Inches; the wall is the minimum one, and less than half the diameter.

    Returns
    -------
    float
        lb/ft.

    Raises
    ------
    ValueError
        Where a dimension is not above zero, not finite or absurd.

    Source: geometry. Computed, no published weight was found: 1-1/4 in SIDR 7.

    >>> pe_lb_per_ft(1.380 * 9 / 7, 1.380 / 7)
    0.404
    """
    outside, wall = pipe_ring(outside_diameter_in, wall_in)
    return PE_LB_PER_IN3 * 12 * math.pi * wall * (outside - wall)


def pipe_lb_per_ft(material: str, wall: str, nominal_in: str | float | None) -> float | None:
    """Weight of an empty pipe with plain ends.

    Stainless is taken as 2 per cent heavier than carbon steel (from memory).

    Parameters
    ----------
    material, wall, nominal_in
        As outside_diameter_and_wall_in.

    Returns
    -------
    float or None
        lb/ft; None where the tables cannot say.

    Raises
    ------
    ValueError
        Where nominal_in is a number that is not above zero, or not finite.

    Source: steel_lb_per_ft, pvc_lb_per_ft and pe_lb_per_ft. Published (ASME B36.10): 1-1/4 in
    schedule 40 steel, 2.27 lb/ft.

    >>> pipe_lb_per_ft("galvanized_steel", "sch 40", "1-1/4")
    2.27
    >>> pipe_lb_per_ft("pvc", "SIDR 7", "1-1/4") is None
    True
    """
    dimensions = outside_diameter_and_wall_in(material, wall, nominal_in)
    if dimensions is None:
        return None
    if material in ANY_POLYETHYLENE:
        return pe_lb_per_ft(*dimensions)
    if material == PVC:
        return pvc_lb_per_ft(*dimensions)
    heavier = STAINLESS_OVER_CARBON if material == "stainless_steel" else 1.0
    return heavier * steel_lb_per_ft(*dimensions)
