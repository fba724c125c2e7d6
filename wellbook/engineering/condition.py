"""Electrical readings of a pump at the control box: windings, amperes, volts and their balance.

Windings are read with the power off, locked out, and the leads off the control box.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from wellbook.engineering._checks import finite, non_negative, positive
from wellbook.engineering.cable import CableSection
from wellbook.engineering.conductors import ohm_per_kft
from wellbook.engineering.motor_amps import MAX_AMPS, MAX_VOLTS

VOLTAGE_TOLERANCE_PERCENT: Final = 10.0
"""A motor runs within this of its nameplate's volts (NEMA MG 1, 12.44.1)."""

VOLTAGE_UNBALANCE_LIMIT_PERCENT: Final = 1.0
"""What a motor is rated for; never to be run above five times this (NEMA MG 1)."""

CURRENT_UNBALANCE_LIMIT_PERCENT: Final = 5.0
"""What a maker of submersible motors allows; a maker of instruments allows 10."""

MAX_OHM: Final = 100_000.0
MAX_READING: Final = 1e6


@dataclass(frozen=True, slots=True)
class WindingReading:
    """A resistance between two leads, less the cable's loop.

    `word` is "low", "in range", "high", or "cannot say" where the motor's own limits are not
    known. `winding_ohm` is below zero where the reading is less than the cable alone would give:
    then the short is in the cable.

    Source: none, a record of what winding_reading works out.

    >>> WindingReading(0.98, 1.52, "in range", "").word
    'in range'
    """

    loop_ohm: float
    winding_ohm: float
    word: str
    means: str


_MEANS: Final = {
    "low": "shorted turns, or a short in the cable or a splice",
    "in range": "as the motor's data has it",
    "high": "an open winding, or a bad joint in a splice",
    "cannot say": "the least and the most ohms of this motor's winding are missing",
}


def cable_loop_ohm(run: Sequence[CableSection], *, water_f: float = 50) -> float:
    """Resistance of the cable there and back, as a meter at its top sees it.

    Parameters
    ----------
    run
        The sections between the meter and the motor.
    water_f
        Temperature of the groundwater, degrees Fahrenheit; the cable at rest is as cold.

    Returns
    -------
    float
        Ohms.

    Raises
    ------
    ValueError
        Where run is empty, or water_f is not between 32 and 212.

    Source: the resistances of NEC chapter 9 table 8 brought to the water's temperature by the
    note of the table (0.00323 from 75 C, the same as 0.00393 from 20 C). Computed from ASTM and
    MIL-HDBK-1004/10: #12 is 0.311 ohm per 100 ft at 50 F; a maker's table has 0.338.

    >>> cable_loop_ohm([CableSection(12, 100)])
    0.313
    """
    if not run:
        raise ValueError("run: at least one section of cable is needed")
    water = finite(water_f, "water_f")
    if not 32 <= water <= 212:
        raise ValueError(f"water_f: {water:g} is not between 32 and 212")
    water_c = (water - 32) / 1.8
    per_conductor = sum(
        section.length_ft * ohm_per_kft(section.awg, temperature_c=water_c) for section in run
    )
    return 2 * per_conductor / 1000


def winding_reading(
    reading_ohm: float,
    run: Sequence[CableSection],
    *,
    low_ohm: float | None = None,
    high_ohm: float | None = None,
    water_f: float = 50,
) -> WindingReading:
    """A winding's own resistance, and what it says.

    High and low mixed over the leads of one motor mean that leads are crossed.

    Parameters
    ----------
    reading_ohm
        Read between two leads at the top of the cable, ohms.
    run
        The sections between the meter and the motor.
    low_ohm, high_ohm
        Between which the motor's own data has this winding, ohms; None where it is not known.
    water_f
        Temperature of the groundwater, degrees Fahrenheit.

    Returns
    -------
    WindingReading
        Ohms of the loop and of the winding, the word, and what it means.

    Raises
    ------
    ValueError
        Where reading_ohm is negative, not finite or absurd, a limit is not above zero or the
        limits are crossed, run is empty, or water_f is not between 32 and 212.

    Source: motor ohms are the reading less the cable's loop (makers' manuals).

    >>> found = winding_reading(2.5, [CableSection(12, 300)], low_ohm=1.4, high_ohm=1.9)
    >>> found.loop_ohm, found.winding_ohm, found.word
    (0.939, 1.56, 'in range')
    """
    reading = non_negative(reading_ohm, "reading_ohm", at_most=MAX_OHM)
    loop = cable_loop_ohm(run, water_f=water_f)
    winding = reading - loop
    low = None if low_ohm is None else positive(low_ohm, "low_ohm", at_most=MAX_OHM)
    high = None if high_ohm is None else positive(high_ohm, "high_ohm", at_most=MAX_OHM)
    if low is not None and high is not None and low > high:
        raise ValueError(f"low_ohm: {low:g} is above high_ohm, {high:g}")
    if low is not None and winding < low:
        word = "low"
    elif high is not None and winding > high:
        word = "high"
    elif low is None or high is None:
        # Less than the cable alone needs no data of the motor.
        word = "low" if winding <= 0 else "cannot say"
    else:
        word = "in range"
    return WindingReading(loop, winding, word, _MEANS[word])


def percent_of_nameplate(amps: float, nameplate_amps: float) -> float:
    """Running current as per cent of the nameplate's service-factor amperes.

    Parameters
    ----------
    amps
        Measured while pumping at its usual pressure, amperes.
    nameplate_amps
        The service-factor amperes of the nameplate (its rated ones where it has no others).

    Returns
    -------
    float
        Per cent; above 100 the motor is overloaded or its voltage is low.

    Raises
    ------
    ValueError
        Where amps is negative, nameplate_amps is not above zero, or either is not finite or absurd.

    Source: NEMA MG 1, 1.42: the service factor is the most that a motor may carry.

    >>> percent_of_nameplate(9.2, 8)
    115.0
    """
    measured = non_negative(amps, "amps", at_most=MAX_AMPS)
    return 100 * measured / positive(nameplate_amps, "nameplate_amps", at_most=MAX_AMPS)


def voltage_limits_v(
    rated_v: float, *, tolerance_percent: float = VOLTAGE_TOLERANCE_PERCENT
) -> tuple[float, float]:
    """Least and most volts at which a motor runs as it should.

    Parameters
    ----------
    rated_v
        Of the nameplate (230 for a supply called 240), volts.
    tolerance_percent
        Per cent of it, either way.

    Returns
    -------
    tuple of float
        Volts, the least and the most.

    Raises
    ------
    ValueError
        Where rated_v is not above zero, tolerance_percent is negative or above 100, or either is
        not finite or absurd.

    Source: NEMA MG 1 (condensed, 2011), 12.44.1: plus or minus 10 per cent. Published (a trade
    association of motor repair shops): 230 V is 207 to 253.

    >>> voltage_limits_v(230)
    (207.0, 253.0)
    """
    rated = positive(rated_v, "rated_v", at_most=MAX_VOLTS)
    share = non_negative(tolerance_percent, "tolerance_percent", at_most=100)
    either_way = rated * share / 100
    return rated - either_way, rated + either_way


def unbalance_percent(readings: Sequence[float]) -> float:
    """Unbalance of three phases: the largest deviation from their average, over the average.

    A deviation below the average counts as one above it. Two pages in print leave that out and
    so have 208/206/199 V at 2.3 per cent, and 400/395/388 at 1.45 instead of 1.61.

    Parameters
    ----------
    readings
        Three of one kind, amperes or volts between phases.

    Returns
    -------
    float
        Per cent of the average.

    Raises
    ------
    ValueError
        Where there are not three readings, one is negative, not finite or absurd, or all are zero.

    Source: NEMA MG 1. Published worked example (a maker's manual): 51/46/53 A.

    >>> unbalance_percent([51, 46, 53]), unbalance_percent([208, 206, 199])
    (8.0, 2.61)
    """
    if len(readings) != 3:
        raise ValueError(f"readings: three are needed, one of each phase, not {len(readings)}")
    known = [non_negative(reading, "readings", at_most=MAX_READING) for reading in readings]
    average = sum(known) / 3
    if average == 0:
        raise ValueError("readings: all three are zero")
    return 100 * max(abs(reading - average) for reading in known) / average
