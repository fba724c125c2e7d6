"""Step-drawdown tests: how much of the drawdown is the aquifer's, and how much the well's own.

The drawdown is s = B Q + C Q^2: the first part grows with the rate as the flow through the ground
does, the second as turbulence at the screen or in the cracks does. A large C says that the well,
not the water, is short.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Final, NamedTuple

from wellbook.engineering._checks import MAX_DEPTH_FT, MAX_MINUTES, finite, positive, short
from wellbook.engineering.bore import GAL_PER_FT3, MAX_GPM
from wellbook.engineering.pumping_tests import FT3_PER_DAY_PER_GPM
from wellbook.engineering.straight_line import fit_line, rmse

FT3_PER_S_PER_GPM: Final = 1 / (GAL_PER_FT3 * 60)
# Two numbers are fitted; with two steps nothing would show whether they fit.
FEWEST_STEPS: Final = 3

_DUST = 1e-9
_WALTON_FROM = (5.0, 10.0, 40.0)
_WALTON = ("sound", "mild", "severe", "hard to restore")


class StepReading(NamedTuple):
    """A level in the pumped well during a step test.

    Parameters
    ----------
    minutes
        Since the first step began.
    drawdown_ft
        Feet below the static level.
    gpm
        Rate of the step it belongs to.
    """

    minutes: float
    drawdown_ft: float
    gpm: float


@dataclass(frozen=True, slots=True)
class StepFit:
    """What a step test came to.

    Parameters
    ----------
    method
        "Jacob's line" or "Eden-Hazel".
    formation_loss_ft_per_gpm
        B at the end of a step as long as the first, feet per gpm; where it is not above zero the
        readings are not those of a step test in this well, and its well loss has no class.
    well_loss_ft_per_gpm2
        C, feet per gpm squared; where it is below zero no well loss can be read from the test.
    transmissivity_ft2_per_day
        Square feet a day; None where the method gives none.
    rmse_ft
        Root of the mean square of measured less fitted drawdown, feet.
    readings_used
        How many drawdowns it rests on.

    Source: none, a record of what the functions of this module work out.
    """

    method: str
    formation_loss_ft_per_gpm: float
    well_loss_ft_per_gpm2: float
    transmissivity_ft2_per_day: float | None
    rmse_ft: float
    readings_used: int

    @property
    def well_loss_sec2_per_ft5(self) -> float:
        """C in sec2/ft5, the unit of the published classes."""
        return self.well_loss_ft_per_gpm2 / FT3_PER_S_PER_GPM**2

    @property
    def condition(self) -> str | None:
        """Its class by `well_condition`; None where the loss of the ground or of the well cannot be.

        Water flows through no ground for nothing: a C beside a B below zero is as untrue as the B.
        """
        loss = self.well_loss_sec2_per_ft5
        possible = loss >= 0 and self.formation_loss_ft_per_gpm > 0
        return well_condition(loss) if possible else None


def well_condition(well_loss_sec2_per_ft5: float) -> str:
    """How a well stands by its well loss: "sound", "mild", "severe" or "hard to restore".

    Parameters
    ----------
    well_loss_sec2_per_ft5
        C of a step test, sec2/ft5.

    Returns
    -------
    str
        "sound" below 5, "mild" clogging below 10, "severe" below 40, else "hard to restore".

    Raises
    ------
    ValueError
        Where it is negative or not finite.

    Source: Walton, Illinois State Water Survey Bulletin 49 (1962).

    >>> [well_condition(c) for c in (3, 7, 20, 50)]
    ['sound', 'mild', 'severe', 'hard to restore']
    """
    loss = finite(well_loss_sec2_per_ft5, "well_loss_sec2_per_ft5")
    if loss < 0:
        raise ValueError(f"well_loss_sec2_per_ft5: {loss:g} is below zero")
    return _WALTON[bisect_right(_WALTON_FROM, loss)]


def jacob_line(steps: Sequence[tuple[float, float]]) -> StepFit:
    """B and C from the straight line of s/Q against Q, one drawdown a step.

    It takes the drawdown at the end of each step as it is. What the steps before still add to it
    then counts as well loss, so that C comes out high where the steps are short; `eden_hazel` allows
    for it.

    Parameters
    ----------
    steps
        Pairs of rate (gpm) and drawdown at the end of the step (ft); at least three rates.

    Returns
    -------
    StepFit
        Without transmissivity.

    Raises
    ------
    ValueError
        Naming `readings`: too few steps, or a number that is not above zero, not finite or absurd.

    Source: Jacob, Trans. ASCE 112 (1947) 1047-1070; the line is Bierschenk's (1963).

    >>> found = jacob_line([(100, 11), (200, 24), (300, 39)])
    >>> found.formation_loss_ft_per_gpm, found.well_loss_ft_per_gpm2
    (0.1, 0.0001)
    """
    pairs = []
    for gpm, drawdown_ft in steps:
        step = _checked(StepReading(1.0, drawdown_ft, gpm))
        pairs.append((step.gpm, step.drawdown_ft))
    _enough(pairs)
    rates = [q for q, _ in pairs]
    line = fit_line(rates, [s / q for q, s in pairs])
    assert line is not None
    fitted = [line.intercept * q + line.slope * q * q for q in rates]
    error = rmse(fitted, [s for _, s in pairs])
    return StepFit("Jacob's line", line.intercept, line.slope, None, error, len(pairs))


def eden_hazel(readings: Sequence[StepReading]) -> StepFit:
    """B, C and transmissivity from all readings of a step test, by least squares.

    s = a Q + b H + C Q^2, where H is the sum over the steps begun of the change of rate times the
    log of the minutes since: what the steps before still add is in H, and not taken for well loss.
    A step ends, and the next one begins, with its last reading.

    Parameters
    ----------
    readings
        In the order of time, at least three rates and more readings than steps.

    Returns
    -------
    StepFit
        With transmissivity, 2.30 / (4 pi b).

    Raises
    ------
    ValueError
        Naming `readings`: too few, out of order, not above zero, not finite, absurd, or a drawdown
        that does not grow within the steps.

    Source: Eden and Hazel, Civ. Eng. Trans. Inst. Eng. Australia (1973) 5-10. Published, of Clark's
    test (1977): C 1045 s2/m5 (Kruseman and de Ridder 1994), 2.75 sec2/ft5; here 2.64.

    >>> made = [
    ...     StepReading(60 * n + t, 0.1 * q + 0.01 * h(n, t) + 1e-4 * q * q, q)
    ...     for h in [lambda n, t: 100 * sum(math.log10(60 * k + t) for k in range(n + 1))]
    ...     for n, q in enumerate((100, 200, 300))
    ...     for t in (10, 30, 60)
    ... ]
    >>> found = eden_hazel(made)
    >>> found.well_loss_ft_per_gpm2, found.rmse_ft
    (0.0001, 0.0)
    """
    rows = [_checked(r) for r in readings]
    if any(b.minutes <= a.minutes for a, b in pairwise(rows)):
        raise ValueError("readings: the minutes have to rise from reading to reading")
    steps = [list(step) for _, step in groupby(rows, key=lambda r: r.gpm)]
    _enough([(step[-1].gpm, step[-1].drawdown_ft) for step in steps])
    if len(rows) <= len(steps):
        raise ValueError("readings: more than one in a step is needed")
    columns = list(zip(*_columns(steps), strict=True))
    found = _least_squares(columns, [r.drawdown_ft for r in rows])
    # Drawdowns that stand still within the steps leave the dust of floats in b.
    if found is None or found[1] * max(map(abs, columns[1])) <= _DUST * rows[-1].drawdown_ft:
        raise ValueError(
            "readings: the drawdown does not grow within the steps; give the last of each step only"
        )
    a, b, c = found
    fitted = [a * q + b * h + c * qq for q, h, qq in zip(*columns, strict=True)]
    return StepFit(
        "Eden-Hazel",
        a + b * math.log10(steps[0][-1].minutes),
        c,
        math.log(10) * FT3_PER_DAY_PER_GPM / (4 * math.pi * b),
        rmse(fitted, [r.drawdown_ft for r in rows]),
        len(rows),
    )


def _columns(steps: Sequence[Sequence[StepReading]]) -> list[tuple[float, float, float]]:
    """Q, H and Q^2 at each reading."""
    columns = []
    begun: list[tuple[float, float]] = []
    began, rate = 0.0, 0.0
    for step in steps:
        begun.append((began, step[0].gpm - rate))
        for minutes, _, gpm in step:
            h = sum(change * math.log10(minutes - start) for start, change in begun)
            columns.append((gpm, h, gpm * gpm))
        began, rate = step[-1].minutes, step[-1].gpm
    return columns


def _least_squares(
    columns: Sequence[Sequence[float]], measured: Sequence[float]
) -> list[float] | None:
    """Factors of the columns that fit best; None where the columns do not tell them apart.

    The columns are made orthogonal one after the other (Gram and Schmidt), which loses fewer digits
    than the normal equations.
    """
    n = len(columns)
    rest = list(measured)
    upper = [[0.0] * n for _ in range(n)]
    unit: list[list[float]] = []
    along: list[float] = []
    for j, column in enumerate(columns):
        v = list(column)
        whole = math.hypot(*v)
        for i, e in enumerate(unit):
            upper[i][j] = math.fsum(x * y for x, y in zip(e, v, strict=True))
            v = [x - upper[i][j] * y for x, y in zip(v, e, strict=True)]
        upper[j][j] = math.hypot(*v)
        if upper[j][j] <= _DUST * whole:
            return None
        unit.append([x / upper[j][j] for x in v])
        along.append(math.fsum(x * y for x, y in zip(unit[j], rest, strict=True)))
        rest = [x - along[j] * y for x, y in zip(rest, unit[j], strict=True)]
    found = [0.0] * n
    for j in reversed(range(n)):
        known = math.fsum(upper[j][k] * found[k] for k in range(j + 1, n))
        found[j] = (along[j] - known) / upper[j][j]
    return found


def _checked(reading: StepReading) -> StepReading:
    """The reading, or a ValueError that says which one is wrong."""
    minutes, drawdown_ft, gpm = reading
    try:
        return StepReading(
            positive(minutes, "minutes", at_most=MAX_MINUTES),
            positive(drawdown_ft, "drawdown_ft", at_most=MAX_DEPTH_FT),
            positive(gpm, "gpm", at_most=MAX_GPM),
        )
    except ValueError as wrong:
        raise ValueError(f"readings: at {':'.join(map(short, reading))}, {wrong}") from None


def _enough(steps: Sequence[tuple[float, float]]) -> None:
    if len({q for q, _ in steps}) < FEWEST_STEPS:
        raise ValueError(f"readings: steps at {FEWEST_STEPS} different rates at least are needed")
