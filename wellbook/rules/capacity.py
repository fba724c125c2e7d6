"""What a well gives for each foot that it is drawn down: one reckoning for the page and the lift."""

from __future__ import annotations

from dataclasses import dataclass

from wellbook.dates import When
from wellbook.engineering.bore import specific_capacity_gpm_per_ft
from wellbook.hole.hole import Hole
from wellbook.terms import Basis, LevelState, Quantity


@dataclass(frozen=True, slots=True)
class SpecificCapacity:
    """Gallons a minute for each foot of drawdown, the levels it rests on, and of which day it is."""

    gpm_per_ft: float
    rests_on: tuple[Basis, ...]
    as_of: When


def specific_capacity(hole: Hole) -> SpecificCapacity | None:
    """From the newest pumping level of which the flow is on record; None where it cannot be said.

    At what flow a level was drawn down nobody can know from the yield: that may be of another day.
    """
    still, still_ft, pumping = hole.at_rest(), hole.at_rest_ft(), hole.level(LevelState.PUMPING)
    if still is None or still_ft is None or pumping is None or pumping.value is None:
        return None
    # A level that was only told since the last one that was measured tells nothing of a drawdown.
    measured = hole.last_measured(Quantity.WATER_LEVEL_FT, still)
    if measured is not None:
        still, still_ft = measured, hole.below_ground(measured)
    gpm = next((o.at_gpm for o in hole.observations if o.uid == pumping.record), None)
    if gpm is None:
        return None
    try:
        drawdown = hole.below_ground(pumping) - still_ft
        per_ft = specific_capacity_gpm_per_ft(gpm, drawdown)
    except ValueError:
        # Drawn up, or by nothing: a slip of the pen.
        return None
    return SpecificCapacity(per_ft, (still.basis, pumping.basis), pumping.as_of)
