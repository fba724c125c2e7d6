"""What to put on the truck to pull the string, and what to mind while it hangs on the hook.

The weight is an estimate to choose a hoist by, so whatever is unknown is taken as the heavier of
what is usual, and the page says what was taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import product

from wellbook.engineering.pipe import (
    POLYETHYLENE,
    PVC,
    STEEL,
    inside_diameter_in,
    nominal_size,
    parse_wall,
    pipe_lb_per_ft,
)
from wellbook.engineering.weight import (
    PipeRun,
    cable_lb_per_ft,
    pump_and_motor_lb,
    string_weight,
)
from wellbook.hole.parts import Cable, Pipe, Pump
from wellbook.hole.records import Hole
from wellbook.rules.materials import is_metal, is_plastic, pipe_material
from wellbook.rules.pipe_rating import bottom_ft
from wellbook.terms import Kind, PumpType

_PLASTICS = ("pvc", "pe3408")
_MATERIALS = ("galvanized_steel", *_PLASTICS)
_WALLS = ("sch 40", "sch 80", "sch 120", "SIDR 7", "SIDR 9", "SIDR 11.5")
_SIZES = ("1", "1-1/4")
_HEAVY_AWG, _HEAVY_WIRES = 8, 4
_HEAVY_HP = 2.0
_HEAVIEST_LB = 115.0
# What hangs at the end of a jet's or a hand pump's pipe: an ejector, a cylinder with its rod.
_DRY_END_LB = 50.0


@dataclass(frozen=True, slots=True)
class Load:
    """The string as a weight: its length, what it comes to, and what was taken for unknowns."""

    feet: float | None
    weight_lb: int | None
    taken: tuple[str, ...]


def load(hole: Hole) -> Load:
    """Length and weight of what hangs in the well; None where not even a depth is known."""
    taken: list[str] = []
    feet = string_ft(hole, taken)
    if feet is None or not _hangs(hole):
        return Load(None, None, ())
    try:
        weight = _weight(hole, feet, taken)
    except ValueError:
        # Numbers that cannot be are flagged by the rules; a weight from them would only mislead.
        return Load(feet, None, ())
    return Load(feet, math.ceil(weight / 10) * 10, tuple(dict.fromkeys(taken)))


def _hangs(hole: Hole) -> bool:
    return any(hole.down(kind) for kind in (Kind.PUMP, Kind.PIPE))


def string_ft(hole: Hole, taken: list[str] | None = None) -> float | None:
    """How much hangs: to the pump, else to the pipe's end, else (heavier) to the bottom."""
    pump = hole.the(Pump)
    if pump and pump[1].set_depth_ft:
        return pump[1].set_depth_ft
    ends = [p.to_ft for _, p in hole.parts(Pipe) if p.to_ft]
    if ends:
        return max(ends)
    depth = hole.depth_ft()
    if depth and taken is not None:
        taken.append("hanging to the bottom")
    return depth


def _weight(hole: Hole, feet: float, taken: list[str]) -> float:
    wet = _wet_type(hole)
    cable_ft, per_ft = _cable(hole, feet, taken) if wet else (0.0, 0.0)
    return string_weight(
        _runs(hole, feet, taken),
        pump_motor_lb=_pump_lb(hole, taken),
        cable_ft=cable_ft,
        cable_lb_per_ft=per_ft,
    ).hook_lb


def _wet_type(hole: Hole) -> bool:
    """Whether a motor hangs in the water, so that a cable goes down to it."""
    pump = hole.the(Pump)
    return pump is None or pump[1].type in (None, PumpType.SUBMERSIBLE)


def _runs(hole: Hole, feet: float, taken: list[str]) -> list[PipeRun]:
    runs = [
        run
        for _, pipe in hole.parts(Pipe)
        if (run := _run(pipe, pipe.from_ft or 0.0, bottom_ft(hole, pipe) or feet, taken))
    ]
    if runs:
        return runs
    whole = _run(Pipe(), 0.0, feet, taken)
    return [whole] if whole else []


def _run(pipe: Pipe, top: float, bottom: float, taken: list[str]) -> PipeRun | None:
    if bottom <= top:
        return None
    lb_per_ft, inside_in, said = heaviest(pipe)
    taken += [said] if said else []
    return PipeRun(bottom - top, lb_per_ft, inside_in)


def heaviest(pipe: Pipe) -> tuple[float, float, str]:
    """The heaviest usual pipe that fits what is known: lb/ft, inside in inches, what was taken."""
    materials = _materials(pipe.material)
    walls = (pipe.wall,) if pipe.wall and parse_wall(pipe.wall) else _WALLS
    sizes = (pipe.nominal_in,) if pipe.nominal_in and _size(pipe.nominal_in) else _SIZES
    found = list(_fitting(materials, walls, sizes)) or list(_fitting(materials, _WALLS, sizes))
    lb_per_ft, inside_in, material, wall, size = max(found)
    said = [
        text
        for text, known in (
            (f"{size} in", sizes != _SIZES),
            (material.replace("_", " "), len(materials) == 1),
            (wall, walls == (wall,)),
        )
        if not known
    ]
    return lb_per_ft, inside_in, f"pipe {' '.join(said)}" if said else ""


def _fitting(
    materials: tuple[str, ...], walls: tuple[str, ...], sizes: tuple[str, ...]
) -> Iterator[tuple[float, float, str, str, str]]:
    for material, wall, size in product(materials, walls, sizes):
        lb_per_ft = pipe_lb_per_ft(material, wall, size)
        inside_in = inside_diameter_in(material, wall, size)
        if lb_per_ft is not None and inside_in is not None:
            yield lb_per_ft, inside_in, material, wall, size


def _size(nominal_in: str) -> str | None:
    try:
        return nominal_size(nominal_in)
    except ValueError:
        return None


def _materials(said: str | None) -> tuple[str, ...]:
    """The materials of the tables that a word may mean; all of them where it says nothing."""
    word = pipe_material(said or "")
    if word in (PVC, *POLYETHYLENE, *STEEL):
        return (word,)
    if is_metal(word):
        return ("galvanized_steel",)
    # All grades of polyethylene weigh the same.
    if word == "polyethylene":
        return ("pe3408",)
    return _PLASTICS if is_plastic(word) else _MATERIALS


def _cable(hole: Hole, feet: float, taken: list[str]) -> tuple[float, float]:
    length, pounds = 0.0, 0.0
    for _, cable in hole.parts(Cable):
        bottom = cable.to_ft or feet
        run = max(bottom - (cable.from_ft or 0.0), 0.0)
        length += run
        pounds += run * _cable_lb(cable, taken)
    if not length:
        return feet, _cable_lb(Cable(), taken)
    return length, pounds / length


def _cable_lb(cable: Cable, taken: list[str]) -> float:
    wires = (cable.conductors or 3) + (0 if cable.ground_wire is False else 1)
    known = cable_lb_per_ft(cable.awg, wires) if cable.awg else None
    if known is not None:
        return known
    taken.append(f"cable #{_HEAVY_AWG}")
    return cable_lb_per_ft(_HEAVY_AWG, _HEAVY_WIRES) or 0.0


def _pump_lb(hole: Hole, taken: list[str]) -> float:
    pump = hole.the(Pump)
    if not _wet_type(hole):
        return _DRY_END_LB
    hp = pump[1].hp if pump else None
    known = pump_and_motor_lb(hp) if hp else pump_and_motor_lb(_HEAVY_HP)
    if known is None:
        taken.append("pump at the weight of 5 hp: weigh it, it is more")
        return _HEAVIEST_LB
    if not hp:
        taken.append(f"pump {_HEAVY_HP:g} hp")
    return known


def may_hold_pcb(hole: Hole, day: date) -> bool | None:
    """Whether the pump is from before 1979: True, False, or None where it cannot be said."""
    pump = hole.the(Pump)
    if pump is None or pump[1].type not in (None, PumpType.SUBMERSIBLE):
        return False
    component, part = pump
    model = part.model_year
    born = model if model is not None and model.known else component.set_on
    first = date(1979, 1, 1)
    ends = [w.latest for w in (born, component.set_on) if w.latest is not None]
    if min(ends, default=day) < first:
        return True
    starts = [d for d in (born.earliest, hole.drilled_on.earliest) if d is not None]
    return False if starts and max(starts) >= first else None
