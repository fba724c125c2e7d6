"""Water in the bore, and how readily the well gives it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from wellbook.calculators.calculator import Calculator
from wellbook.engineering._checks import MAX_DEPTH_FT, non_negative
from wellbook.engineering.bore import (
    gal_per_ft,
    recovery_gpm,
    specific_capacity_gpm_per_ft,
    stored_gal,
)


@dataclass(frozen=True, slots=True)
class Bore:
    """Water in a foot of bore, and between two depths."""

    gal_per_ft: float
    gallons: float | None
    notes: tuple[str, ...] = ()


def bore(
    *,
    diameter_in: Annotated[float, "inside diameter of the bore or casing"],
    from_ft: Annotated[float, "upper depth: the static level"] = 0.0,
    to_ft: Annotated[
        float | None, "lower depth: the intake, or where the pump can lift from"
    ] = None,
) -> Bore:
    """What stands in a foot, and in all of it where the lower depth is given."""
    upper = non_negative(from_ft, "from_ft", at_most=MAX_DEPTH_FT)
    foot = gal_per_ft(diameter_in)
    if to_ft is None:
        return Bore(foot, None, ("gallons take the lower depth, to_ft",))
    return Bore(foot, stored_gal(diameter_in, upper, to_ft))


BORE = Calculator(
    name="bore",
    title="water that stands in a bore between two depths",
    reckon=bore,
    source="geometry; Colorado DRMS file (2013) table 2-1: 1.47 gal a foot in 6 in",
    example="--diameter-in 6 --from-ft 60 --to-ft 340",
)


@dataclass(frozen=True, slots=True)
class SpecificCapacity:
    """Yield for each foot of drawdown."""

    gpm_per_ft: float
    notes: tuple[str, ...] = ("compare only tests of like rate and like length",)


def specific_capacity(
    *,
    gpm: Annotated[float, "rate pumped"],
    drawdown_ft: Annotated[float, "pumping level less static level"],
) -> SpecificCapacity:
    """The rate over the drawdown."""
    return SpecificCapacity(specific_capacity_gpm_per_ft(gpm, drawdown_ft))


SPECIFIC_CAPACITY = Calculator(
    name="specific-capacity",
    title="yield of a well for each foot that it is drawn down",
    reckon=specific_capacity,
    source="the definition, Q/s; published: 20 gpm at 40 ft is 0.5 gpm/ft",
    example="--gpm 20 --drawdown-ft 40",
)


@dataclass(frozen=True, slots=True)
class Recovery:
    """What a well gave while its level rose."""

    gpm: float
    notes: tuple[str, ...] = ("the mean over that rise; drawn down farther, the well gives more",)


def recovery(
    *,
    rise_ft: Annotated[float, "how far the level came up, the pump being off"],
    minutes: Annotated[float, "in how long"],
    diameter_in: Annotated[float, "inside diameter of the bore or casing"],
) -> Recovery:
    """The water of the rise over the time."""
    return Recovery(recovery_gpm(rise_ft, minutes, diameter_in))


RECOVERY = Calculator(
    name="recovery",
    title="what a well gives, from the rise of its level with the pump off",
    reckon=recovery,
    source="geometry: gallons in the rise over the minutes",
    example="--rise-ft 12 --minutes 30 --diameter-in 6",
)
