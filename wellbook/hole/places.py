"""Which of several parts a statement speaks of: by its stretch, its depth, its size or its type.

Sections of pipe and cable are named by their stretch, check valves by their depth. A tank or a
treatment has no depth: it is named by what it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from wellbook.hole.component import Component
from wellbook.hole.parts import Part, Tank
from wellbook.hole.sections import STRETCH, overlap_ft, place_of
from wellbook.terms import SECTIONED, Kind, TankType

APART = frozenset({Kind.TANK, Kind.TREATMENT})
"""Several of these are things by themselves: what is said of one is not said of the other."""

MANY = SECTIONED | APART | {Kind.CHECK_VALVE}
"""A well may have several of these at once."""

_NAMED_BY = {
    Kind.CHECK_VALVE: ("depth_ft",),
    Kind.TANK: ("volume_gal", "type"),
    Kind.TREATMENT: ("type",),
}
_SAME_PLACE_FT = 1.0


def describes(kind: Kind, values: Mapping[str, object]) -> bool:
    """Whether a statement says more of a part than which one it is."""
    return bool(values.keys() - set(_NAMED_BY.get(kind, STRETCH)))


def named(there: Sequence[Component], kind: Kind, values: Mapping[str, Any]) -> list[Component]:
    """Those that a statement may speak of: the ones that it names, else all that it may mean."""
    if kind not in APART:
        return [c for c in there if at_the_place(c.part, place_of(values))]
    may = [c for c in there if not another(c.part, values)]
    said = {name: values[name] for name in _NAMED_BY[kind] if name in values}
    exact = [c for c in may if said and all(_like(getattr(c.part, n), v) for n, v in said.items())]
    return exact or may


def another(part: Part, values: Mapping[str, Any]) -> bool:
    """Whether a statement is surely of another thing: a cistern is no pressure tank."""
    mine, said = getattr(part, "type", None), values.get("type")
    if mine is None or said is None:
        return False
    if isinstance(part, Tank):
        return bool((mine is TankType.CISTERN) != (said is TankType.CISTERN))
    return not _like(mine, said)


def _like(one: object, two: object) -> bool:
    if isinstance(one, str) and isinstance(two, str):
        return one.casefold() == two.casefold()
    return one == two


def alike(components: Sequence[Component]) -> bool:
    """Whether nothing by which they are named tells parts from each other."""
    return len({name_of(c.part) for c in components}) <= 1


def name_of(part: Part) -> str:
    """How a sheet names a part among others of its kind.

    >>> name_of(Tank(volume_gal=44.0))
    'volume_gal = 44'
    """
    names = _NAMED_BY.get(part.kind, STRETCH)
    known = {n: getattr(part, n) for n in names if hasattr(part, n)}
    said = [
        f"{name} = {value:g}" if isinstance(value, float) else f'{name} = "{value}"'
        for name, value in known.items()
        if value is not None
    ]
    return " and ".join(said) or f"no {' or '.join(known)} on record"


def naming_fields(kind: Kind) -> str:
    """The fields by which one of a kind is named, in words."""
    return " or ".join(_NAMED_BY.get(kind, STRETCH))


def at_the_place(part: Part, want: Mapping[str, Any]) -> bool:
    """Whether a part is at a place that is named; any part, where none is."""
    if part.kind in SECTIONED:
        return not want or overlap_ft(part, want) > 0
    if part.kind is Kind.CHECK_VALVE and "depth_ft" in want:
        depth = getattr(part, "depth_ft", None)
        return depth is not None and abs(depth - want["depth_ft"]) <= _SAME_PLACE_FT
    return True
