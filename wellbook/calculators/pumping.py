"""What a pumping test tells of the aquifer and the well."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Annotated, NamedTuple

from wellbook.calculators.calculator import Calculator
from wellbook.engineering.pumping_tests import (
    SMALL_U,
    AquiferFit,
    Observed,
    cooper_jacob,
    recovery,
    theis,
)
from wellbook.engineering.step_tests import StepFit, StepReading, eden_hazel, jacob_line
from wellbook.quantities import digits, quoted, read

METHODS = ("theis", "cooper_jacob", "recovery", "step")
# So many readings in every step show how the drawdown grows in it.
_ENOUGH_IN_A_STEP = 3
# A distance such as this is the pumped well's own radius.
_OWN_RADIUS_FT = 2.0
_LIKE = "write minutes:feet, such as 1:0.5, 2:0.8 (of a step test minutes:feet:gpm)"


class Reading(NamedTuple):
    """A level of a test: minutes, feet below static, and of a step test the rate."""

    minutes: float
    drawdown_ft: float
    gpm: float | None = None

    def __str__(self) -> str:
        """As `Readings.parse` reads it."""
        return ":".join(digits(n) for n in self if n is not None)


@dataclass(frozen=True, slots=True)
class Readings:
    """The levels of a test, in the order in which they are told."""

    rows: tuple[Reading, ...]

    @classmethod
    def parse(cls, text: str) -> Readings:
        """Read levels as they are typed, parted by commas or semicolons.

        Raises
        ------
        ValueError
            Saying which reading cannot be read.

        >>> print(Readings.parse("1:0.5, 2 min:0.8 ft; 60:21:20"))
        1:0.5, 2:0.8, 60:21:20
        """
        parts = [part.strip() for part in re.split(r"[,;]", text) if part.strip()]
        if not parts:
            raise ValueError(f"no reading is given; {_LIKE}")
        return cls(tuple(_reading(part) for part in parts))

    @classmethod
    def from_rows(cls, rows: Sequence[Mapping[str, str]]) -> Readings:
        """Read levels from the rows of a file: columns of time, of drawdown, and of a step test gpm.

        Parameters
        ----------
        rows
            Each as header -> cell; the headers minutes, time_min, time_s, time_days, drawdown_ft,
            drawdown_m, gpm. A cell may bear its own unit.

        Raises
        ------
        ValueError
            Where a column is missing, a cell cannot be read, or the times go back.

        >>> print(Readings.from_rows([{"time_s": "60", "drawdown_m": "0.3048"}]))
        1:1
        """
        headers = [*rows[0]] if rows else []
        found = {what: _column(what, headers) for what in _HEADERS}
        for what in ("minutes", "drawdown_ft"):
            if found[what] is None:
                raise ValueError(
                    f"no column of {what}; it may be headed {', '.join(_HEADERS[what])}"
                )
        made = [_row(row, n, found) for n, row in enumerate(rows, 1)]
        for n, (one, following) in enumerate(pairwise(made), 2):
            # Several observation wells below each other would be taken for one.
            if following.minutes < one.minutes:
                raise ValueError(f"the time goes back in row {n}: a file is one test of one well")
        return cls(tuple(made))

    def __str__(self) -> str:
        """As `parse` reads them."""
        return ", ".join(str(row) for row in self.rows)


# What a column may be headed, and the unit of its cells.
_HEADERS = {
    "minutes": {
        "minutes": "min",
        "time_min": "min",
        "time_minutes": "min",
        "time_s": "s",
        "time_h": "h",
        "time_days": "days",
    },
    "drawdown_ft": {"drawdown_ft": "ft", "drawdown_m": "m"},
    "gpm": {"gpm": "gpm", "rate_gpm": "gpm"},
}


def _column(what: str, headers: Sequence[str]) -> str | None:
    """The header under which it stands, None where there is none."""
    return next((h for h in headers if h in _HEADERS[what]), None)


def _row(row: Mapping[str, str], number: int, found: Mapping[str, str | None]) -> Reading:
    minutes, feet, gpm = (_cell(row, number, what, found[what]) for what in _HEADERS)
    if minutes is None or feet is None:
        raise ValueError(f"row {number} has no time or no drawdown")
    return Reading(minutes, feet, gpm)


def _cell(row: Mapping[str, str], number: int, what: str, header: str | None) -> float | None:
    """What stands in a cell, in the unit of what it is."""
    text = row[header].strip() if header else ""
    if header is None or not text:
        return None
    # Programs write small times as 1e-06.
    if re.fullmatch(r"[0-9.]+[eE][+-]?[0-9]+", text):
        text = f"{float(text):.12f}"
    unit = "" if re.search(r"[a-z]", text, re.IGNORECASE) else f" {_HEADERS[what][header]}"
    try:
        return read(f"{text}{unit}", "ft" if what == "drawdown_ft" else what)
    except ValueError as wrong:
        raise ValueError(f"{header} in row {number}: {wrong}") from None


def _reading(text: str) -> Reading:
    told = text.split(":")
    if len(told) not in (2, 3):
        raise ValueError(f"{quoted(text)} is no reading; {_LIKE}")
    try:
        minutes, feet = read(told[0], "minutes"), read(told[1], "ft")
        return Reading(minutes, feet, read(told[2], "gpm") if told[2:] else None)
    except ValueError as wrong:
        raise ValueError(f"in {quoted(text)}, {wrong}; {_LIKE}") from None


@dataclass(frozen=True, slots=True)
class PumpingTest:
    """What a test came to: ft2/day, no unit, feet of root-mean-square error; and of a step test."""

    transmissivity: float | None
    storativity: float | None
    fit: float
    readings_used: int
    formation_loss_ft_per_gpm: float | None = None
    well_loss_ft_per_gpm2: float | None = None
    well_loss_sec2_per_ft5: float | None = None
    well_condition: str | None = None
    notes: tuple[str, ...] = ()


def pumping_test(
    *,
    readings: Annotated[
        Readings, "minutes:drawdown_ft, parted by commas; of a step test minutes:drawdown_ft:gpm"
    ],
    method: Annotated[str, "how it is worked out", METHODS] = "theis",
    gpm: Annotated[float | None, "rate pumped; of a step test it stands in the readings"] = None,
    radius_ft: Annotated[
        float | None, "distance from the pumped well, for theis and cooper_jacob"
    ] = None,
    pumped_minutes: Annotated[
        float | None, "how long it was pumped, for recovery: readings count from the stop"
    ] = None,
) -> PumpingTest:
    """Fit the readings by one method, and say what it rests on."""
    if method == "step":
        _not_for(method, gpm=gpm, radius_ft=radius_ft, pumped_minutes=pumped_minutes)
        return _of_steps(readings)
    if any(row.gpm is not None for row in readings.rows):
        raise ValueError(f"readings: a rate at a reading is of a step test, not of {method}")
    rate = _needed(gpm, "gpm", method)
    if method == "recovery":
        _not_for(method, radius_ft=radius_ft)
        stop = _needed(pumped_minutes, "pumped_minutes", method)
        found = recovery([(r.minutes, r.drawdown_ft) for r in readings.rows], rate, stop)
        return _of_aquifer(found, "of an observation well only the late readings belong into it")
    _not_for(method, pumped_minutes=pumped_minutes)
    radius = _needed(radius_ft, "radius_ft", method)
    observed = [Observed(r.minutes, r.drawdown_ft, radius) for r in readings.rows]
    fitted = theis(observed, rate) if method == "theis" else cooper_jacob(observed, rate)
    said = []
    if method == "cooper_jacob":
        said.append(
            f"{fitted.readings_used} of {len(observed)} readings are late enough (u below {SMALL_U})"
        )
    if radius <= _OWN_RADIUS_FT:
        said.append("in the pumped well itself the storativity says nothing")
    return _of_aquifer(fitted, *said)


def _of_aquifer(found: AquiferFit, *notes: str) -> PumpingTest:
    return PumpingTest(
        found.transmissivity_ft2_per_day,
        found.storativity,
        found.rmse_ft,
        found.readings_used,
        notes=(f"{found.method}: transmissivity in ft2/day, fit as root-mean-square ft", *notes),
    )


def _of_steps(readings: Readings) -> PumpingTest:
    """By all readings where every step has several, else by the last one of each."""
    rows = [StepReading(r.minutes, r.drawdown_ft, _rate(r)) for r in readings.rows]
    steps = [list(step) for _, step in groupby(rows, key=lambda r: r.gpm)]
    if all(len(step) >= _ENOUGH_IN_A_STEP for step in steps):
        found, how = eden_hazel(rows), "all readings; what earlier steps still add is allowed for"
    else:
        found = jacob_line([(step[-1].gpm, step[-1].drawdown_ft) for step in steps])
        how = "the last reading of each step; with short steps the well loss comes out high"
    return PumpingTest(
        found.transmissivity_ft2_per_day,
        None,
        found.rmse_ft,
        found.readings_used,
        found.formation_loss_ft_per_gpm,
        found.well_loss_ft_per_gpm2,
        found.well_loss_sec2_per_ft5,
        found.condition,
        (f"{found.method}, {how}; transmissivity in ft2/day, fit in ft", *_of_loss(found)),
    )


def _of_loss(found: StepFit) -> tuple[str, ...]:
    if found.formation_loss_ft_per_gpm <= 0:
        return (
            "formation loss not above zero, which cannot be: nothing can be read from this test",
        )
    if found.condition is None:
        return ("well loss below zero: none can be read from this test",)
    return (f"well loss {found.condition} (Walton 1962: 5, 10 and 40 sec2/ft5)",)


def _rate(reading: Reading) -> float:
    if reading.gpm is None:
        raise ValueError(f"readings: '{reading}' has no rate; {_LIKE}")
    return reading.gpm


def _needed(value: float | None, option: str, method: str) -> float:
    if value is None:
        raise ValueError(f"{option}: missing; {method} needs it")
    return value


def _not_for(method: str, **options: float | None) -> None:
    for name, value in options.items():
        if value is not None:
            raise ValueError(f"{name}: not used by {method}; leave it out")


PUMPING_TEST = Calculator(
    name="pumping-test",
    title="transmissivity and storativity from a pumping test, well loss from a step test",
    reckon=pumping_test,
    source=(
        "Theis (1935), Cooper and Jacob (1946), Jacob (1947), Eden and Hazel (1973);"
        " a confined aquifer of wide extent"
    ),
    example="--method cooper_jacob --gpm 20 --radius-ft 100"
    " --readings 10:1.21,20:1.64,40:2.12,80:2.54,160:3.01,320:3.46",
)
