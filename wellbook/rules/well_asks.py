"""What a well asks of its pump: the level, the rise, the pressure at the top, and the pipe's friction."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wellbook.dates import When
from wellbook.engineering.friction import FITTING_K, FlowRun, roughness_c
from wellbook.engineering.operating import System
from wellbook.engineering.pipe import POLYETHYLENE, inside_diameter_in, table_material
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import CheckValve, Pipe
from wellbook.rules.capacity import specific_capacity
from wellbook.rules.pressures import rise_ft
from wellbook.rules.string_facts import bottom_ft

# Where nobody wrote down the wall: the one that drop pipe mostly has (common practice). Polyethylene
# with its inside held has the same bore at every ratio.
_USUAL_WALL = {
    **dict.fromkeys((*POLYETHYLENE, "polyethylene"), "SIDR 9"),
    "pvc": "sch 80",
    "galvanized_steel": "sch 40",
    "stainless_steel": "sch 40",
}


@dataclass(frozen=True, slots=True)
class Runs:
    """The drop pipe as the water goes through it.

    Parameters
    ----------
    known
        The sections of which the friction can be said, with their check valves.
    all_known
        Whether those are all: a pump hangs on some pipe, also where none is on record.
    """

    known: tuple[FlowRun, ...]
    all_known: bool

    @property
    def unsaid(self) -> str:
        """What a flow through it leaves out, in words; empty where all is known."""
        return "" if self.all_known else "without the friction of pipe of unknown size"


def runs_of(hole: Hole, on: date | None = None) -> Runs:
    """The sections of drop pipe.

    Parameters
    ----------
    on
        The day for the age of pipe that rusts; without one it counts as old.
    """
    found = [_run(hole, *section, on) for section in hole.parts(Pipe)]
    known = tuple(run for run in found if run is not None)
    return Runs(known, bool(found) and len(known) == len(found))


def _run(hole: Hole, component: Component, pipe: Pipe, on: date | None) -> FlowRun | None:
    end_ft, top_ft = bottom_ft(hole, pipe), pipe.from_ft or 0.0
    if end_ft is None or pipe.material is None or end_ft <= top_ft:
        return None
    material = table_material(pipe.material)
    wall = pipe.wall or _USUAL_WALL.get(material)
    valves = [v.depth_ft for _, v in hole.parts(CheckValve) if v.depth_ft is not None]
    k = FITTING_K["check_valve"] * sum(top_ft < depth <= end_ft for depth in valves)
    try:
        id_in = inside_diameter_in(material, wall, pipe.nominal_in) if wall else None
        if id_in is None:
            return None
        c = roughness_c(material, _years(component.set_on, on))
        return FlowRun(end_ft - top_ft, id_in, c, k)
    except ValueError:
        # No pipe is so long or so wide: a slip of the pen.
        return None


def _years(set_on: When, on: date | None) -> float | None:
    if set_on.earliest is None or on is None or on < set_on.earliest:
        return None
    return (on - set_on.earliest).days / 365.25


def system_of(hole: Hole, cut_out_psi: float, on: date | None = None) -> System | None:
    """What the pump of a well works against; None where the level at rest is not known.

    Parameters
    ----------
    cut_out_psi
        Pressure at the tank, psi.
    on
        The day for the age of pipe that rusts; without one it counts as old.
    """
    still = hole.at_rest_ft()
    if still is None:
        return None
    capacity = specific_capacity(hole)
    try:
        return System(
            max(still, 0.0),
            rise_ft(hole),
            cut_out_psi,
            runs_of(hole, on).known,
            capacity.gpm_per_ft if capacity is not None else None,
        )
    except ValueError:
        return None
