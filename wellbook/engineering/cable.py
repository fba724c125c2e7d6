"""Voltage drop in the cable to a pump, and the gauge that a run of it needs.

The length is always that of the whole run, one way: from the supply to the wellhead and down the
hole. Resistances are those of stranded copper, the higher of the two, unless solid is asked for.

Published charts of makers of motors differ from this arithmetic, and from each other, by up to a
fifth. Against 40 rows of one of them it gives -12 to +2 per cent (solid copper: -10 to +4), against
another 15 per cent less; so it stands mostly on the safe side, and where the maker's own chart is
shorter still, that one is the limit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from wellbook.engineering._checks import positive
from wellbook.engineering.conductors import GAUGES, ampacity_amps, known_gauge, ohm_per_kft
from wellbook.engineering.motor_amps import (
    MAX_AMPS,
    MAX_VOLTS,
    lengths_of_conductor,
    needed_ampacity_amps,
)

DROP_LIMIT_PERCENT: Final = 5.0
MAX_RUN_FT: Final = 20_000.0
# Of stranded copper at 75 C, rounded: 3.14 ohm/1000 ft x 4,110 circular mils.
OHM_CMIL_PER_FT: Final = 12.9


@dataclass(frozen=True, slots=True)
class CableSection:
    """A length of one gauge in the run from the supply to the motor.

    Parameters
    ----------
    awg
        Gauge of the conductors, one of GAUGES.
    length_ft
        One way, feet.

    Raises
    ------
    ValueError
        Where the gauge is none of GAUGES, or length_ft is not above zero, not finite or absurd.

    Source: none, a record of two facts.

    >>> CableSection(12, 260).awg
    12
    """

    awg: int
    length_ft: float

    def __post_init__(self) -> None:
        known_gauge(self.awg)
        positive(self.length_ft, "length_ft", at_most=MAX_RUN_FT)


@dataclass(frozen=True, slots=True)
class VoltageDrop:
    """What the cable takes of the supply's voltage.

    Source: none, a record of what voltage_drop works out.

    >>> VoltageDrop(11.5, 5).drop_percent
    5
    """

    drop_v: float
    drop_percent: float


def voltage_drop(
    amps: float,
    run: Sequence[CableSection],
    *,
    volts: float = 230,
    phase: int = 1,
    solid: bool = False,
) -> VoltageDrop:
    """Voltage lost between the supply and the motor: k I L R / 1000, summed over the sections.

    k is 2 for one phase (there and back) and the root of 3 for three.

    Parameters
    ----------
    amps
        Current of the motor, amperes.
    run
        The sections of the whole run, supply to wellhead and down the hole; of one gauge or mixed.
    volts
        Voltage of the supply, volts.
    phase
        1 or 3.
    solid
        Solid and not stranded copper.

    Returns
    -------
    VoltageDrop
        Volts, and per cent of the supply's.

    Raises
    ------
    ValueError
        Where run is empty, amps or volts is not above zero, not finite or absurd, or phase is
        neither 1 nor 3.

    Source: Ohm's law with the resistances of ohm_per_kft. Published worked example: 16 A through
    100 ft of #12 lose 6.18 V by resistance (solid), 6.32 V by the constant 12.9 (stranded).

    >>> run = [CableSection(12, 100)]
    >>> voltage_drop(16, run, volts=120, solid=True).drop_v, voltage_drop(16, run).drop_v
    (6.18, 6.34)
    """
    if not run:
        raise ValueError("run: at least one section of cable is needed")
    per_amp = sum(s.length_ft * ohm_per_kft(s.awg, solid=solid) for s in run) / 1000
    drop_v = lengths_of_conductor(phase) * positive(amps, "amps", at_most=MAX_AMPS) * per_amp
    return VoltageDrop(drop_v, 100 * drop_v / positive(volts, "volts", at_most=MAX_VOLTS))


def max_length_ft(
    amps: float,
    awg: int,
    *,
    volts: float = 230,
    phase: int = 1,
    percent: float = DROP_LIMIT_PERCENT,
    solid: bool = False,
) -> float:
    """Longest run of one gauge that keeps within a drop; the inverse of voltage_drop.

    Whether the gauge may carry the current at all is another question: see ampacity_amps.

    Parameters
    ----------
    amps, volts, phase, solid
        As voltage_drop.
    awg
        Gauge, one of GAUGES.
    percent
        The drop allowed, per cent of volts: 5 for feeder and branch together, 3 for the branch.

    Returns
    -------
    float
        Feet, one way, not rounded.

    Raises
    ------
    ValueError
        Where the gauge is none of GAUGES, phase is neither 1 nor 3, or another is not above zero,
        not finite or absurd.

    Source: as voltage_drop; limits NEC 210.19(A) and 215.2(A), informational notes. A published
    chart has 190 ft for 1-1/2 hp (10 A) on #14:

    >>> max_length_ft(10, 14, solid=True), max_length_ft(10, 14)
    (187.3, 183.1)
    """
    allowed = positive(percent, "percent", at_most=100)
    of_one_foot = voltage_drop(
        amps, [CableSection(awg, 1)], volts=volts, phase=phase, solid=solid
    ).drop_percent
    return allowed / of_one_foot


def used_of_allowed(lengths_and_limits: Sequence[tuple[float, float]]) -> float:
    """How much of the drop a run of mixed gauges uses, from the longest run allowed of each.

    The same as the drop of the run over the drop allowed, for where only a chart is at hand.

    Parameters
    ----------
    lengths_and_limits
        Of each section its length and the longest run of its gauge alone, both in feet.

    Returns
    -------
    float
        A share: 1 is all of it, above 1 is too much.

    Raises
    ------
    ValueError
        Where there is no section, or a number is not above zero, not finite or absurd.

    Source: a published worked example (a motor maker's manual), 3 hp at 230 V: 160 ft of #10 with
    310 ft of #8 fails, with 310 ft of #6 it passes (printed as 0.946). Reckoned by voltage_drop
    and not from that maker's chart, the second fails as well, by 4 per cent.

    >>> used_of_allowed([(160, 300), (310, 470)]), used_of_allowed([(160, 300), (310, 750)])
    (1.193, 0.947)
    """
    if not lengths_and_limits:
        raise ValueError("lengths_and_limits: at least one section is needed")
    return sum(
        positive(length, "length_ft", at_most=MAX_RUN_FT) / positive(limit, "max_length_ft")
        for length, limit in lengths_and_limits
    )


def smallest_awg(
    amps: float,
    length_ft: float,
    *,
    volts: float = 230,
    phase: int = 1,
    percent: float = DROP_LIMIT_PERCENT,
    column_c: int = 60,
    solid: bool = False,
) -> int | None:
    """Thinnest gauge that keeps within the drop and may carry 125 per cent of the current.

    Parameters
    ----------
    amps, volts, phase, solid
        As voltage_drop.
    length_ft
        The whole run, one way, feet.
    percent
        The drop allowed, per cent of volts.
    column_c
        Column of the table of ampacities, 60 or 75.

    Returns
    -------
    int or None
        AWG; None where even the thickest of GAUGES is too thin.

    Raises
    ------
    ValueError
        Where a number is not above zero, not finite or absurd, phase is neither 1 nor 3, or
        column_c neither 60 nor 75.

    Source: as voltage_drop and ampacity_amps. Computed from published inputs: 40 A at 240 V, 230
    ft and 3 per cent need 32,967 circular mils, so #4.

    >>> smallest_awg(40, 230, volts=240, percent=3)
    4
    """
    length = positive(length_ft, "length_ft", at_most=MAX_RUN_FT)
    needed = needed_ampacity_amps(amps)
    return next(
        (
            awg
            for awg in GAUGES
            if ampacity_amps(awg, column_c=column_c) >= needed
            and max_length_ft(amps, awg, volts=volts, phase=phase, percent=percent, solid=solid)
            >= length
        ),
        None,
    )


def needed_circular_mils(
    amps: float,
    length_ft: float,
    *,
    volts: float = 230,
    phase: int = 1,
    percent: float = DROP_LIMIT_PERCENT,
) -> float:
    """Cross-section that keeps within a drop, as electricians reckon it: k K I L / drop, K = 12.9.

    It is a second way beside smallest_awg, within half a per cent of it by the drop; what the
    conductor may carry is not in it.

    Parameters
    ----------
    amps, length_ft, volts, phase, percent
        As smallest_awg.

    Returns
    -------
    float
        Circular mils, not rounded.

    Raises
    ------
    ValueError
        Where a number is not above zero, not finite or absurd, or phase is neither 1 nor 3.

    Source: exam guides of electricians (constant 12.9 for copper). Computed from published inputs:

    >>> needed_circular_mils(40, 230, volts=240, percent=3)
    32966.7
    """
    drop_v = (
        positive(volts, "volts", at_most=MAX_VOLTS)
        * positive(percent, "percent", at_most=100)
        / 100
    )
    current = positive(amps, "amps", at_most=MAX_AMPS)
    length = positive(length_ft, "length_ft", at_most=MAX_RUN_FT)
    return lengths_of_conductor(phase) * OHM_CMIL_PER_FT * current * length / drop_v
