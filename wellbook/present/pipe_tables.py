"""Which pipe of the tables a section may be, as far as it is known: the heaviest and the lightest."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

from wellbook.engineering.pipe import (
    POLYETHYLENE,
    PVC,
    STEEL,
    inside_diameter_in,
    nominal_size,
    parse_wall,
    pipe_lb_per_ft,
)
from wellbook.engineering.weight import water_lb_per_ft
from wellbook.hole.parts import Pipe
from wellbook.rules.materials import is_metal, is_plastic, pipe_material

_PLASTICS = ("pvc", "pe3408")
_MATERIALS = ("galvanized_steel", *_PLASTICS)
_WALLS = ("sch 40", "sch 80", "sch 120", "SIDR 5.3", "SIDR 7", "SIDR 9", "SIDR 11.5")


class _Fit(NamedTuple):
    lb_per_ft: float
    inside_in: float
    material: str
    wall: str


def heaviest(pipe: Pipe) -> tuple[float, float, str] | None:
    """The heaviest pipe, full, that fits what is known: lb/ft, inside in inches, what was taken.

    None where its material or its size is not known: then nothing bounds it.
    """
    fitting = _fitting_what_is_known(pipe)
    if not fitting:
        return None
    fit = max(fitting, key=lambda f: f.lb_per_ft + water_lb_per_ft(f.inside_in))
    said = [
        text
        for text, among in (
            (fit.material.replace("_", " "), {f.material for f in fitting}),
            (fit.wall, {f.wall for f in fitting}),
        )
        if len(among) > 1
    ]
    return fit.lb_per_ft, fit.inside_in, " ".join(said)


def lightest(pipe: Pipe) -> float | None:
    """The lightest pipe, empty, that fits what is known, in lb/ft; None where nothing bounds it."""
    return min((fit.lb_per_ft for fit in _fitting_what_is_known(pipe)), default=None)


def _fitting_what_is_known(pipe: Pipe) -> list[_Fit]:
    """Every pipe of the tables that it may be; none where its material or size is not known."""
    materials = _materials(pipe.material)
    size = _size(pipe.nominal_in) if pipe.nominal_in else None
    if size is None or materials == _MATERIALS:
        return []
    walls = (pipe.wall,) if pipe.wall and parse_wall(pipe.wall) else _WALLS
    return list(_fitting(materials, walls, size)) or list(_fitting(materials, _WALLS, size))


def _fitting(materials: tuple[str, ...], walls: tuple[str, ...], size: str) -> Iterator[_Fit]:
    for material, wall in product(materials, walls):
        lb_per_ft = pipe_lb_per_ft(material, wall, size)
        inside_in = inside_diameter_in(material, wall, size)
        if lb_per_ft is not None and inside_in is not None:
            yield _Fit(lb_per_ft, inside_in, material, wall)


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
