"""Which pipe of the tables a section may be, as far as it is known: at the heaviest, at the lightest."""

from __future__ import annotations

from wellbook.engineering.pipe import (
    POLYETHYLENE,
    PVC,
    STEEL,
    nominal_size,
    parse_wall,
    pipe_lb_per_ft,
    table_material,
)
from wellbook.engineering.weight import WALLS, PipeRun, heaviest_run
from wellbook.hole.parts import Pipe
from wellbook.rules.materials import is_metal, is_plastic

_PLASTICS = ("polyethylene", PVC)
# Denser than steel, and in no table here: nothing bounds what pipe of it weighs.
_DENSER = frozenset({"brass", "bronze", "copper"})


def heaviest(pipe: Pipe, length_ft: float) -> tuple[PipeRun, tuple[str, ...]] | None:
    """A section at the heaviest that it can be, and what was taken for what is not known.

    None where its material or its size is not known: then nothing bounds it.

    Raises
    ------
    ValueError
        Where its length or its size is none that pipe has.
    """
    materials, wall = _materials(pipe.material), _wall(pipe)
    runs = _runs(materials, wall, pipe, length_ft)
    if not runs and wall is not None:
        # A wall that this material does not come in: it was written down wrong.
        wall, runs = None, _runs(materials, None, pipe, length_ft)
    if not runs:
        return None
    run = PipeRun(
        length_ft,
        max(r.pipe_lb_per_ft for r in runs),
        max(r.inside_diameter_in for r in runs),
    )
    taken = ("the heaviest material",) if len(runs) > 1 else ()
    return run, (*taken, *(("the thickest wall and the widest bore",) if wall is None else ()))


def lightest_lb_per_ft(pipe: Pipe) -> float | None:
    """The lightest pipe, empty, that fits what is known, lb/ft; None where nothing bounds it."""
    walls, size = (_wall(pipe),), _size(pipe)
    weights = [
        weight
        for material in _materials(pipe.material)
        for wall in (walls if walls != (None,) else WALLS)
        if (weight := pipe_lb_per_ft(material, wall or "", size)) is not None
    ]
    return min(weights, default=None)


def _runs(
    materials: tuple[str, ...], wall: str | None, pipe: Pipe, length_ft: float
) -> list[PipeRun]:
    size = _size(pipe)
    if size is None:
        return []
    found = (heaviest_run(length_ft, material=m, wall=wall, nominal_in=size) for m in materials)
    return [run for run in found if run is not None]


def _wall(pipe: Pipe) -> str | None:
    return pipe.wall if pipe.wall and parse_wall(pipe.wall) else None


def _size(pipe: Pipe) -> str | None:
    try:
        return nominal_size(pipe.nominal_in)
    except ValueError:
        return None


def _materials(said: str | None) -> tuple[str, ...]:
    """The materials of the tables that a word may mean; none where nothing bounds what it is."""
    word = table_material(said or "")
    if word in (PVC, "polyethylene", *POLYETHYLENE, *STEEL):
        return (word,)
    if is_plastic(word):
        return _PLASTICS
    return tuple(sorted(STEEL)) if is_metal(word) and word not in _DENSER else ()
