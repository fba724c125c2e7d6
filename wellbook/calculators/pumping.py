"""What a pumping test tells of the aquifer and the well."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby
from typing import Annotated

from wellbook.calculators.calculator import Calculator
from wellbook.calculators.readings import LIKE, Reading, Readings
from wellbook.engineering.pumping_tests import (
    SMALL_U,
    AquiferFit,
    Observed,
    cooper_jacob,
    recovery,
    theis,
)
from wellbook.engineering.step_tests import StepFit, StepReading, eden_hazel, jacob_line

METHODS = ("theis", "cooper_jacob", "recovery", "step")
# So many readings in every step show how the drawdown grows in it.
_ENOUGH_IN_A_STEP = 3
# A distance such as this is the pumped well's own radius.
_OWN_RADIUS_FT = 2.0


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
        _of_one_well(method, readings)
        return _of_steps(readings)
    if any(row.gpm is not None for row in readings.rows):
        raise ValueError(f"readings: a rate at a reading is of a step test, not of {method}")
    rate = _needed(gpm, "gpm", method)
    if method == "recovery":
        _not_for(method, radius_ft=radius_ft)
        _of_one_well(method, readings)
        stop = _needed(pumped_minutes, "pumped_minutes", method)
        found = recovery([(r.minutes, r.drawdown_ft) for r in readings.rows], rate, stop)
        return _of_aquifer(found, "of an observation well only the late readings belong into it")
    _not_for(method, pumped_minutes=pumped_minutes)
    observed = [
        Observed(r.minutes, r.drawdown_ft, _distance(r, radius_ft, method)) for r in readings.rows
    ]
    fitted = theis(observed, rate) if method == "theis" else cooper_jacob(observed, rate)
    said = []
    if method == "cooper_jacob":
        said.append(
            f"{fitted.readings_used} of {len(observed)} readings are late enough (u below {SMALL_U})"
        )
    radii = {o.radius_ft for o in observed}
    if len(radii) > 1:
        said.append(f"fitted together: wells at {len(radii)} distances")
    if min(radii, default=math.inf) <= _OWN_RADIUS_FT:
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
        raise ValueError(f"readings: '{reading}' has no rate; {LIKE}")
    return reading.gpm


def _distance(reading: Reading, radius_ft: float | None, method: str) -> float:
    """How far from the pumped well it was read: by itself, or as all of them."""
    if reading.radius_ft is None:
        return _needed(radius_ft, "radius_ft", method)
    if radius_ft is not None:
        raise ValueError("radius_ft: the readings have their own; give one of the two")
    return reading.radius_ft


def _of_one_well(method: str, readings: Readings) -> None:
    if any(row.radius_ft is not None for row in readings.rows):
        raise ValueError(
            f"readings: of several distances; {method} takes one well, theis and cooper_jacob several"
        )


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
