"""Current of a motor by its horsepower, and what its conductors must be able to carry."""

from __future__ import annotations

import math
from typing import Final

from wellbook.engineering._checks import MAX_HP, positive, short

# Phases, and volts of the motor -> hp and full-load amperes. Only the single-phase rows of 1/2 to
# 5 hp at 230 V were seen in a copy of the table; the others are from memory.
_FULL_LOAD_AMPS: Final[dict[tuple[int, int], tuple[tuple[float, float], ...]]] = {
    (1, 115): (
        *((1 / 6, 4.4), (0.25, 5.8), (1 / 3, 7.2), (0.5, 9.8), (0.75, 13.8), (1.0, 16.0)),
        *((1.5, 20.0), (2.0, 24.0), (3.0, 34.0), (5.0, 56.0), (7.5, 80.0), (10.0, 100.0)),
    ),
    (1, 208): (
        *((1 / 6, 2.4), (0.25, 3.2), (1 / 3, 4.0), (0.5, 5.4), (0.75, 7.6), (1.0, 8.8)),
        *((1.5, 11.0), (2.0, 13.2), (3.0, 18.7), (5.0, 30.8), (7.5, 44.0), (10.0, 55.0)),
    ),
    (1, 230): (
        *((1 / 6, 2.2), (0.25, 2.9), (1 / 3, 3.6), (0.5, 4.9), (0.75, 6.9), (1.0, 8.0)),
        *((1.5, 10.0), (2.0, 12.0), (3.0, 17.0), (5.0, 28.0), (7.5, 40.0), (10.0, 50.0)),
    ),
    (3, 208): (
        *((0.5, 2.4), (0.75, 3.5), (1.0, 4.6), (1.5, 6.6), (2.0, 7.5), (3.0, 10.6), (5.0, 16.7)),
        *((7.5, 24.2), (10.0, 30.8), (15.0, 46.2), (20.0, 59.4), (25.0, 74.8), (30.0, 88.0)),
    ),
    (3, 230): (
        *((0.5, 2.2), (0.75, 3.2), (1.0, 4.2), (1.5, 6.0), (2.0, 6.8), (3.0, 9.6), (5.0, 15.2)),
        *((7.5, 22.0), (10.0, 28.0), (15.0, 42.0), (20.0, 54.0), (25.0, 68.0), (30.0, 80.0)),
    ),
    (3, 460): (
        *((0.5, 1.1), (0.75, 1.6), (1.0, 2.1), (1.5, 3.0), (2.0, 3.4), (3.0, 4.8), (5.0, 7.6)),
        *((7.5, 11.0), (10.0, 14.0), (15.0, 21.0), (20.0, 27.0), (25.0, 34.0), (30.0, 40.0)),
    ),
}
# The volts of the supply for which each column may be used.
_SUPPLY_V: Final = {115: (110, 120), 208: (208, 208), 230: (220, 240), 460: (440, 480)}

MOTOR_CONDUCTOR_FACTOR: Final = 1.25

MAX_AMPS: Final = 1_000.0
MAX_VOLTS: Final = 1_000.0


def full_load_amps(hp: float, *, volts: float = 230, phase: int = 1) -> float | None:
    """Current of a motor at full load, for where its nameplate is not known.

    The service-factor amperes on the nameplate of a submersible motor are often more than these;
    where they are known, the larger of the two is the one to size by.

    Parameters
    ----------
    hp
        Rated horsepower; one between two rows is taken as the larger.
    volts
        Voltage of the supply, volts: 110-120, 208, 220-240, and for three phases also 440-480.
    phase
        1 or 3.

    Returns
    -------
    float or None
        Amperes; None where the table has no such horsepower or voltage.

    Raises
    ------
    ValueError
        Where hp or volts is not above zero, not finite or absurd, or phase is neither 1 nor 3.

    Source: NEC tables 430.248 (single-phase) and 430.250 (three-phase). Only the rows of 1/2 to
    5 hp at 230 V, single-phase, were seen in print; the others are from memory.

    >>> full_load_amps(0.75), full_load_amps(0.8), full_load_amps(3, volts=460, phase=3)
    (6.9, 8.0, 4.8)
    """
    rated = positive(hp, "hp", at_most=MAX_HP)
    supply = positive(volts, "volts", at_most=MAX_VOLTS)
    lengths_of_conductor(phase)
    column = next((v for v, (low, high) in _SUPPLY_V.items() if low <= supply <= high), 0)
    rows = _FULL_LOAD_AMPS.get((phase, column), ())
    return next((amps for up_to, amps in rows if rated <= up_to + 1e-3), None)


def sizing_amps(amps: float | None, table_amps: float | None) -> float | None:
    """Current to size a cable by: the larger of the nameplate's and the table's, where known.

    Parameters
    ----------
    amps
        Service-factor amperes of the nameplate; None where they are not known.
    table_amps
        Of full_load_amps, amperes; None where the table has none.

    Returns
    -------
    float or None
        Amperes; None where neither is known.

    Raises
    ------
    ValueError
        Where a known one is not above zero, not finite or absurd.

    Source: NEC 430.6(A) sizes conductors by its tables; the nameplate of a submersible motor is
    taken where it is more, so that the drop is not shown too small.

    >>> sizing_amps(9.8, full_load_amps(1)), sizing_amps(None, full_load_amps(1))
    (9.8, 8.0)
    """
    known = [
        positive(value, field, at_most=MAX_AMPS)
        for field, value in (("amps", amps), ("table_amps", table_amps))
        if value is not None
    ]
    return max(known, default=None)


def needed_ampacity_amps(amps: float) -> float:
    """Current that the conductors of one motor must be able to carry, 125 per cent of its own.

    Parameters
    ----------
    amps
        Full-load current of the motor, amperes.

    Returns
    -------
    float
        Amperes.

    Raises
    ------
    ValueError
        Where amps is not above zero, not finite or absurd.

    Source: NEC 430.22.

    >>> needed_ampacity_amps(28)
    35.0
    """
    return MOTOR_CONDUCTOR_FACTOR * positive(amps, "amps", at_most=MAX_AMPS)


def lengths_of_conductor(phase: int) -> float:
    """Lengths of conductor that the current of one phase comes to, there and back; checks *phase*.

    >>> lengths_of_conductor(1), lengths_of_conductor(3)
    (2.0, 1.732)
    """
    if phase not in (1, 3):
        raise ValueError(f"phase: {short(phase)} is neither 1 nor 3")
    return 2.0 if phase == 1 else math.sqrt(3)
