"""What a pumping test tells of the aquifer: Theis, Cooper-Jacob, recovery and Thiem.

All four take a confined aquifer of wide extent and even thickness, pumped at one rate. In the pumped
well itself the losses at its wall come on top, so that a storativity worked out from its levels
says nothing; the transmissivity holds, because it rests on how the level changes.

Rates are in gpm, times in minutes, distances and drawdowns in feet; transmissivity comes in square
feet a day (1 m2/day is 10.764 ft2/day).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from wellbook.engineering._checks import MAX_DEPTH_FT, MAX_MINUTES, non_negative, positive, short
from wellbook.engineering.bore import GAL_PER_FT3, MAX_GPM
from wellbook.engineering.solving import least
from wellbook.engineering.straight_line import fit_line, rmse
from wellbook.engineering.well_function import EULER_GAMMA, well_function

MINUTES_PER_DAY: Final = 1440.0
FT3_PER_DAY_PER_GPM: Final = MINUTES_PER_DAY / GAL_PER_FT3
# Twenty miles off: beyond this a unit has slipped.
MAX_RADIUS_FT: Final = 1e5
# Two numbers are fitted; with two readings any pair would do.
FEWEST: Final = 3
# Where the straight line is within 2 per cent of the curve. Print has 0.01 to 0.1.
SMALL_U: Final = 0.05

_LN10 = math.log(10)
# The straight line is -gamma - ln u, so that S = 4 e^-gamma T t0 / r^2, printed as 2.25 T t0 / r^2.
_AT_ZERO = 4 * math.exp(-EULER_GAMMA)
# The late u's that are searched, in logarithms: below the least the curve cannot be told from a
# straight line, above the greatest nothing has reached the well yet.
_LN_U_FROM, _LN_U_TO, _LN_U_STEP = -36.0, 2.0, 0.25


class Observed(NamedTuple):
    """A level in a well while another (or it) is pumped.

    Parameters
    ----------
    minutes
        Since pumping began.
    drawdown_ft
        Feet below the static level.
    radius_ft
        Distance from the pumped well, feet; in the pumped well itself its radius.
    """

    minutes: float
    drawdown_ft: float
    radius_ft: float


@dataclass(frozen=True, slots=True)
class AquiferFit:
    """What a test came to.

    Parameters
    ----------
    method
        "Theis", "Cooper-Jacob" or "Theis recovery".
    transmissivity_ft2_per_day
        Square feet a day.
    storativity
        Without a unit; None where the method gives none.
    rmse_ft
        Root of the mean square of measured less fitted drawdown, feet.
    readings_used
        How many readings it rests on.

    Source: none, a record of what the functions of this module work out.
    """

    method: str
    transmissivity_ft2_per_day: float
    storativity: float | None
    rmse_ft: float
    readings_used: int


def theis_drawdown_ft(
    gpm: float,
    *,
    transmissivity_ft2_per_day: float,
    storativity: float,
    radius_ft: float,
    minutes: float,
) -> float:
    """Drawdown that a well makes at a distance, s = Q / (4 pi T) W(u), u = r^2 S / (4 T t).

    Parameters
    ----------
    gpm
        Rate pumped, US gallons per minute.
    transmissivity_ft2_per_day
        Square feet a day.
    storativity
        Without a unit.
    radius_ft
        Distance from the pumped well, feet.
    minutes
        Since pumping began.

    Returns
    -------
    float
        Feet.

    Raises
    ------
    ValueError
        Where one of them is not above zero, not finite or absurd; it names the field.

    Source: Theis, Trans. Am. Geophys. Union 16 (1935) 519-524. Checked against the Gridley test:
    220 gpm, 824 ft away, after 500 minutes 10.90 ft measured.

    >>> theis_drawdown_ft(
    ...     220, transmissivity_ft2_per_day=1324, storativity=2.1e-5, radius_ft=824, minutes=500
    ... )
    10.9
    """
    flow = positive(gpm, "gpm", at_most=MAX_GPM) * FT3_PER_DAY_PER_GPM
    t = positive(transmissivity_ft2_per_day, "transmissivity_ft2_per_day")
    s = positive(storativity, "storativity")
    r = positive(radius_ft, "radius_ft", at_most=MAX_RADIUS_FT)
    days = positive(minutes, "minutes", at_most=MAX_MINUTES) / MINUTES_PER_DAY
    return flow / (4 * math.pi * t) * well_function(r * r * s / (4 * t * days))


def theis(readings: Sequence[Observed], gpm: float) -> AquiferFit:
    """Transmissivity and storativity by least squares of the drawdowns on Theis' curve.

    With the ratio S/T held the drawdown is proportional to 1/T, which least squares gives at once;
    so what is searched for is one number only, first in steps and then by golden section. Readings
    of several wells are fitted together.

    Parameters
    ----------
    readings
        At least three, at not all the same time and distance.
    gpm
        Rate pumped, US gallons per minute.

    Returns
    -------
    AquiferFit
        With transmissivity, storativity and root-mean-square error.

    Raises
    ------
    ValueError
        Naming `gpm` or `readings`: too few, not above zero, absurd, or such that Theis' curve
        fits no better than any other.

    Source: Theis (1935), as theis_drawdown_ft; the separation of the linear parameter is that of
    Golub and Pereyra, SIAM J. Numer. Anal. 10 (1973) 413-432.

    >>> made = [
    ...     Observed(t, theis_drawdown_ft(220, transmissivity_ft2_per_day=1300, storativity=2e-5,
    ...                                   radius_ft=824, minutes=t), 824)
    ...     for t in (3, 10, 30, 100, 300)
    ... ]
    >>> found = theis(made, 220)
    >>> round(found.transmissivity_ft2_per_day), found.storativity, found.rmse_ft
    (1300, 2e-05, 0.0)
    """
    flow = positive(gpm, "gpm", at_most=MAX_GPM) * FT3_PER_DAY_PER_GPM
    days_per_ft2, drawdowns = _reduced(readings)

    def shape(ln_ratio: float) -> list[float]:
        quarter = math.exp(ln_ratio) / 4
        return [well_function(quarter / x) for x in days_per_ft2]

    def size(curve: Sequence[float]) -> float:
        square = sum(w * w for w in curve)
        return sum(w * s for w, s in zip(curve, drawdowns, strict=True)) / square if square else 0.0

    def error(ln_ratio: float) -> float:
        curve = shape(ln_ratio)
        factor = size(curve)
        return rmse([factor * w for w in curve], drawdowns)

    late = math.log(4 * max(days_per_ft2))
    steps = int((_LN_U_TO - _LN_U_FROM) / _LN_U_STEP)
    tried = [late + _LN_U_FROM + n * _LN_U_STEP for n in range(steps + 1)]
    errors = [error(ln_ratio) for ln_ratio in tried]
    best = errors.index(min(errors))
    if best in (0, steps):
        raise ValueError("readings: they do not bend as Theis' curve does, so it cannot say")
    ln_ratio = least(error, tried[best - 1], tried[best + 1])
    transmissivity = flow / (4 * math.pi * size(shape(ln_ratio)))
    return AquiferFit(
        "Theis",
        transmissivity,
        transmissivity * math.exp(ln_ratio),
        error(ln_ratio),
        len(drawdowns),
    )


def cooper_jacob(
    readings: Sequence[Observed], gpm: float, *, u_below: float = SMALL_U
) -> AquiferFit:
    """Transmissivity and storativity from the straight line of drawdown against the log of time.

    The line holds only where u = r^2 S / (4 T t) is small. It is laid through all readings, and the
    earliest are left out one by one until u is below the limit for every one that is left.

    Parameters
    ----------
    readings
        At least three, of which three have to be late enough.
    gpm
        Rate pumped, US gallons per minute.
    u_below
        Largest u that is let into the line; print has 0.01 to 0.1.

    Returns
    -------
    AquiferFit
        With transmissivity, storativity and root-mean-square error of the readings in the line.

    Raises
    ------
    ValueError
        Naming `gpm`, `u_below` or `readings`: too few that are late enough, a drawdown that does
        not grow, or a number that is not above zero, not finite or absurd.

    Source: Cooper and Jacob, Trans. Am. Geophys. Union 27 (1946) 526-534: T = 2.30 Q / (4 pi ds)
    for ds in a log cycle of time, S = 2.25 T t0 / r^2.

    >>> made = [
    ...     Observed(t, theis_drawdown_ft(220, transmissivity_ft2_per_day=1300, storativity=2e-5,
    ...                                   radius_ft=50, minutes=t), 50)
    ...     for t in (30, 100, 300, 1000)
    ... ]
    >>> found = cooper_jacob(made, 220)
    >>> found.transmissivity_ft2_per_day, found.storativity
    (1300., 2.00e-05)
    """
    flow = positive(gpm, "gpm", at_most=MAX_GPM) * FT3_PER_DAY_PER_GPM
    limit = positive(u_below, "u_below", at_most=1)
    days_per_ft2, drawdowns = _reduced(readings)
    logs = [math.log10(x) for x in days_per_ft2]
    for first in range(len(logs) - FEWEST + 1):
        line = fit_line(logs[first:], drawdowns[first:])
        if line is None or line.slope <= 0:
            raise ValueError("readings: the drawdown does not grow with time, so there is no line")
        transmissivity = _LN10 * flow / (4 * math.pi * line.slope)
        at_zero = 10 ** (-line.intercept / line.slope)
        storativity = _AT_ZERO * transmissivity * at_zero
        if storativity / (4 * transmissivity * days_per_ft2[first]) < limit:
            return AquiferFit(
                "Cooper-Jacob", transmissivity, storativity, line.rmse, len(logs) - first
            )
    raise ValueError(
        f"readings: fewer than {FEWEST} are late enough for the straight line (u below {limit:g});"
        " Theis' curve takes early ones too"
    )


def recovery(
    residuals: Sequence[tuple[float, float]], gpm: float, pumped_minutes: float
) -> AquiferFit:
    """Transmissivity from the levels after the pump stopped: s' against the log of t/t'.

    It gives no storativity. In an observation well only late readings belong into it (r^2 S / (4 T
    t') below 0.05); in the pumped well all but those of the first minutes do.

    Parameters
    ----------
    residuals
        Pairs of minutes since the pump stopped and feet that the level still is below the static
        level; at least three.
    gpm
        Rate that was pumped, US gallons per minute.
    pumped_minutes
        How long it was pumped.

    Returns
    -------
    AquiferFit
        With transmissivity and root-mean-square error; storativity is None.

    Raises
    ------
    ValueError
        Naming `gpm`, `pumped_minutes` or `readings`: too few, not above zero, absurd, or a level
        that does not rise.

    Source: Theis (1935). Published: Todd, Groundwater Hydrology (2nd ed. 1980), 2500 m3/day (458.6
    gpm) for 240 minutes, 1140 m2/day (12,270 ft2/day) by a line drawn by hand; by least squares 4 per
    cent more.

    >>> minutes = (1, 2, 3, 5, 7, 10, 15, 20, 30, 40, 60, 80, 100, 140, 180)
    >>> cm = (89, 81, 76, 68, 64, 56, 49, 45, 38, 34, 28, 24, 21, 17, 14)
    >>> found = recovery([(t, s / 30.48) for t, s in zip(minutes, cm)], 458.6, 240)
    >>> round(found.transmissivity_ft2_per_day, -2), found.storativity
    (12800.0, None)
    """
    flow = positive(gpm, "gpm", at_most=MAX_GPM) * FT3_PER_DAY_PER_GPM
    pumped = positive(pumped_minutes, "pumped_minutes", at_most=MAX_MINUTES)
    pairs = sorted(_checked(minutes, feet) for minutes, feet in residuals)
    _enough(pairs)
    line = fit_line([math.log10((pumped + t) / t) for t, _ in pairs], [s for _, s in pairs])
    if line is None or line.slope <= 0:
        raise ValueError("readings: the level does not rise after the pump stopped")
    transmissivity = _LN10 * flow / (4 * math.pi * line.slope)
    return AquiferFit("Theis recovery", transmissivity, None, line.rmse, len(pairs))


def thiem_transmissivity_ft2_per_day(
    gpm: float,
    *,
    near_ft: float,
    near_drawdown_ft: float,
    far_ft: float,
    far_drawdown_ft: float,
) -> float:
    """Transmissivity from the drawdowns in two wells once they no longer change against each other.

    Parameters
    ----------
    gpm
        Rate pumped, US gallons per minute.
    near_ft, far_ft
        Distances of both wells from the pumped one, feet.
    near_drawdown_ft, far_drawdown_ft
        Their drawdowns, feet.

    Returns
    -------
    float
        Square feet a day.

    Raises
    ------
    ValueError
        Where a number is not above zero, not finite or absurd, or the far well is not farther off
        or not less drawn down.

    Source: Thiem (1906), T = Q ln(r2/r1) / (2 pi (s1 - s2)). Published (Kruseman and de Ridder,
    Oude Korendijk): 788 m3/day (144.56 gpm), 1.088 m at 30 m and 0.716 m at 90 m; from these two
    wells it is 370 m2/day.

    >>> thiem_transmissivity_ft2_per_day(
    ...     144.56, near_ft=98.4, near_drawdown_ft=3.570, far_ft=295.3, far_drawdown_ft=2.349
    ... ) / 10.764
    370.
    """
    flow = positive(gpm, "gpm", at_most=MAX_GPM) * FT3_PER_DAY_PER_GPM
    near = positive(near_ft, "near_ft", at_most=MAX_RADIUS_FT)
    far = positive(far_ft, "far_ft", at_most=MAX_RADIUS_FT)
    deep = positive(near_drawdown_ft, "near_drawdown_ft", at_most=MAX_DEPTH_FT)
    shallow = non_negative(far_drawdown_ft, "far_drawdown_ft", at_most=MAX_DEPTH_FT)
    if far <= near:
        raise ValueError(f"far_ft: {far:g} is not farther off than near_ft, {near:g}")
    if shallow >= deep:
        raise ValueError(
            f"far_drawdown_ft: {shallow:g} is not less than near_drawdown_ft, {deep:g}"
        )
    return flow * math.log(far / near) / (2 * math.pi * (deep - shallow))


def _reduced(readings: Sequence[Observed]) -> tuple[list[float], list[float]]:
    """Time over the square of the distance (days per ft2), in rising order, and the drawdowns."""
    pairs = []
    for reading in readings:
        minutes, drawdown = _checked(reading.minutes, reading.drawdown_ft)
        radius = positive(reading.radius_ft, "radius_ft", at_most=MAX_RADIUS_FT)
        pairs.append((minutes / MINUTES_PER_DAY / radius**2, drawdown))
    _enough(pairs)
    pairs.sort()
    return [x for x, _ in pairs], [s for _, s in pairs]


def _checked(minutes: float, drawdown_ft: float) -> tuple[float, float]:
    """Both, or a ValueError that says which reading is wrong."""
    try:
        return (
            positive(minutes, "minutes", at_most=MAX_MINUTES),
            non_negative(drawdown_ft, "drawdown_ft", at_most=MAX_DEPTH_FT),
        )
    except ValueError as wrong:
        raise ValueError(f"readings: at {short(minutes)}:{short(drawdown_ft)}, {wrong}") from None


def _enough(pairs: Sequence[tuple[float, float]]) -> None:
    if len({x for x, _ in pairs}) < FEWEST:
        raise ValueError(f"readings: at least {FEWEST} at different times are needed")
    if not any(s > 0 for _, s in pairs):
        raise ValueError("readings: none of them is drawn down")
