"""Whether an old pump may hold PCB in its oil or its capacitors.

Submersible pumps from before about 1979 may (Wisconsin DNR PUBL-DG-025).
"""

from __future__ import annotations

from datetime import date
from typing import Final

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.terms import PumpType

FREE_FROM: Final = date(1979, 1, 1)


def may_hold_pcb(hole: Hole, day: date) -> bool | None:
    """Whether the pump is from before 1979: True, False, or None where it cannot be said."""
    pump = hole.the(Pump)
    if pump is None or pump[1].type not in (None, PumpType.SUBMERSIBLE):
        return False
    component, part = pump
    model = part.model_year
    born = model if model is not None and model.known else component.set_on
    ends = [w.latest for w in (born, component.set_on) if w.latest is not None]
    if min(ends, default=day) < FREE_FROM:
        return True
    starts = [d for d in (born.earliest, hole.drilled_on.earliest) if d is not None]
    return False if starts and max(starts) >= FREE_FROM else None
