"""Copper conductors by gauge: what they resist, and what they may carry.

Stranded is what is taken unless solid is asked for: it has the higher resistance of the two, so
that a cable of unknown make never comes out better than it is.
"""

from __future__ import annotations

from typing import Final

from wellbook.engineering._checks import finite, short

# AWG -> ohms per 1000 ft at 75 C, stranded and solid; above #8 the table has stranded only.
_OHM_PER_KFT_75C: Final[dict[int, tuple[float, float]]] = {
    14: (3.14, 3.07),
    12: (1.98, 1.93),
    10: (1.24, 1.21),
    8: (0.778, 0.764),
    6: (0.491, 0.491),
    4: (0.308, 0.308),
    3: (0.245, 0.245),
    2: (0.194, 0.194),
}
GAUGES: Final = tuple(_OHM_PER_KFT_75C)
"""The gauges known here, from the thinnest to the thickest."""

CIRCULAR_MILS: Final[dict[int, int]] = {
    14: 4_110,
    12: 6_530,
    10: 10_380,
    8: 16_510,
    6: 26_240,
    4: 41_740,
    3: 52_620,
    2: 66_360,
}
"""AWG -> cross-section (NEC chapter 9 table 8)."""

_COPPER_PER_C_FROM_75C: Final = 0.00323

# AWG -> amperes by the 60 C and the 75 C column.
_AMPACITY: Final[dict[int, tuple[int, int]]] = {
    14: (15, 20),
    12: (20, 25),
    10: (30, 35),
    8: (40, 50),
    6: (55, 65),
    4: (70, 85),
    3: (85, 100),
    2: (95, 115),
}


def ohm_per_kft(awg: int, *, temperature_c: float = 75, solid: bool = False) -> float:
    """Resistance of 1000 ft of one uncoated copper conductor.

    Parameters
    ----------
    awg
        Gauge, one of GAUGES.
    temperature_c
        Temperature of the conductor, degrees Celsius: 75 is that of the table, and what drops are
        reckoned at; a cable that hangs idle in a well is as cold as the water.
    solid
        Solid and not stranded copper. The table has it up to #8; above that stranded is used.

    Returns
    -------
    float
        Ohms per 1000 ft.

    Raises
    ------
    ValueError
        Where the gauge is none of GAUGES, or temperature_c is not between -50 and 150.

    Source: NEC chapter 9 table 8, and its note R2 = R1 [1 + 0.00323 (T2 - 75)]. At 20 C published
    as 1.020 at most for stranded #10 (MIL-HDBK-1004/10, table 10):

    >>> ohm_per_kft(10), ohm_per_kft(10, solid=True), ohm_per_kft(10, temperature_c=20)
    (1.24, 1.21, 1.020)
    """
    stranded_ohm, solid_ohm = _OHM_PER_KFT_75C[known_gauge(awg)]
    temperature = finite(temperature_c, "temperature_c")
    if not -50 <= temperature <= 150:
        raise ValueError(f"temperature_c: {temperature:g} is not between -50 and 150")
    at_75_c = solid_ohm if solid else stranded_ohm
    return at_75_c * (1 + _COPPER_PER_C_FROM_75C * (temperature - 75))


def ampacity_amps(awg: int, *, column_c: int = 60) -> int:
    """Current that a copper conductor may carry, by the table.

    The 60 C column is the safer, and what terminals not marked otherwise allow; for #14, #12 and
    #10 its numbers are also the largest fuse or breaker (NEC 240.4(D)).

    Parameters
    ----------
    awg
        Gauge, one of GAUGES.
    column_c
        60 or 75, degrees Celsius.

    Returns
    -------
    int
        Amperes.

    Raises
    ------
    ValueError
        Where the gauge is none of GAUGES, or column_c is neither 60 nor 75.

    Source: NEC table 310.16 (2023), copper.

    >>> ampacity_amps(10), ampacity_amps(10, column_c=75)
    (30, 35)
    """
    if column_c not in (60, 75):
        raise ValueError(f"column_c: {short(column_c)} is neither 60 nor 75")
    return _AMPACITY[known_gauge(awg)][column_c == 75]


def known_gauge(awg: int) -> int:
    """Return *awg*; ValueError where it is none of GAUGES.

    >>> known_gauge(12)
    12
    """
    if awg not in _OHM_PER_KFT_75C:
        raise ValueError(f"awg: {short(awg)} is not one of {', '.join(map(str, GAUGES))}")
    return awg
