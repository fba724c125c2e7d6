"""What to mind while a string hangs on the hook."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules.pcb import may_hold_pcb
from wellbook.terms import Construction, PumpType, WellStatus

POWER = "power off, locked out; capacitors hold a charge"
OVERHEAD = "overhead lines: 10 ft off up to 50 kV (29 CFR 1926.1408 table A)"
PIT = "nobody in a pit"
LIFT = "never lift by the cable"
CODE = "local code"
PCB = "oil or capacitors may hold PCB: do not open or spill (Wisconsin DNR PUBL-DG-025)"


def cautions(hole: Hole, day: date) -> Iterator[str]:
    """What may kill somebody at this well, shortest first; nothing is pulled that is not there."""
    if hole.not_yet_drilled or hole.status is WellStatus.SEALED:
        return
    pump = hole.the(Pump)
    if not (pump and pump[1].type is PumpType.HAND):
        yield POWER
    yield OVERHEAD
    yield f"{PIT} or in the dug well" if hole.construction is Construction.DUG else PIT
    yield LIFT
    pcb = may_hold_pcb(hole, day)
    if pcb is not False:
        yield ("pump from before 1979: " if pcb else "if the pump is from before 1979: ") + PCB
    yield CODE
