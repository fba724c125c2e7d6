"""Which of several parts a statement speaks of: by its stretch, its depth, its size or its type.

Sections of pipe and cable are named by their stretch, check valves by their depth. A tank or a
treatment has no depth: it is named by what it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from wellbook.hole.parts import Part, Tank
from wellbook.hole.records import Component
from wellbook.terms import SECTIONED, Kind, TankType

APART = frozenset({Kind.TANK, Kind.TREATMENT})
"""Several of these are things by themselves: what is said of one is not said of the other."""

MANY = SECTIONED | APART | {Kind.CHECK_VALVE}
"""A well may have several of these at once."""

_STRETCH = ("from_ft", "to_ft", "depth_ft")
_NAMED_BY = {
    Kind.CHECK_VALVE: ("depth_ft",),
    Kind.TANK: ("volume_gal", "type"),
    Kind.TREATMENT: ("type",),
}
_SAME_PLACE_FT = 1.0
_SHORTEST_REST_FT = 21.0
"""A joint: what would be left of a section and is shorter was not left; the new one ends higher."""


def place_of(values: Mapping[str, object]) -> dict[str, Any]:
    """The place that a statement names: a depth or a stretch."""
    return {name: values[name] for name in _STRETCH if name in values}


def describes(kind: Kind, values: Mapping[str, object]) -> bool:
    """Whether a statement says more of a part than which one it is."""
    return bool(values.keys() - set(_NAMED_BY.get(kind, _STRETCH)))


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
    known = {n: getattr(part, n) for n in _NAMED_BY.get(part.kind, _STRETCH)}
    said = [
        f"{name} = {value:g}" if isinstance(value, float) else f'{name} = "{value}"'
        for name, value in known.items()
        if value is not None
    ]
    return " and ".join(said) or f"no {' or '.join(known)} on record"


def naming_fields(kind: Kind) -> str:
    """The fields by which one of a kind is named, in words."""
    return " or ".join(_NAMED_BY.get(kind, _STRETCH))


# -- places in the hole ------------------------------------------------------------------------


def at_the_place(part: Part, want: Mapping[str, Any]) -> bool:
    """Whether a part is at a place that is named; any part, where none is."""
    if part.kind in SECTIONED:
        return not want or _overlap(part, want) > 0
    if part.kind is Kind.CHECK_VALVE and "depth_ft" in want:
        depth = getattr(part, "depth_ft", None)
        return depth is not None and abs(depth - want["depth_ft"]) <= _SAME_PLACE_FT
    return True


def _overlap(part: Part, want: Mapping[str, Any]) -> float:
    top, bottom = _stretch(part)
    want_top = want.get("from_ft") or 0.0
    want_bottom = want.get("to_ft")
    return min(bottom, want_bottom if want_bottom is not None else 1e9) - max(top, want_top)


def _stretch(part: Part) -> tuple[float, float]:
    top, bottom = getattr(part, "from_ft", None), getattr(part, "to_ft", None)
    return (top or 0.0, bottom if bottom is not None else 1e9)


def section_at(cables: list[Component], depth_ft: float | None) -> Component | None:
    """The section that holds a depth; the first, where no depth is named or none holds it."""
    for cable in cables:
        top, bottom = _stretch(cable.part)
        if depth_ft is not None and top <= depth_ft < bottom:
            return cable
    return cables[0] if cables else None


def what_stays(old: Part, new: Mapping[str, object]) -> Iterator[Part]:
    """The stretches of an old section that a new one does not take the place of."""
    if old.kind not in SECTIONED or not place_of(new):
        return
    place = place_of(new)
    top, bottom = _stretch(old)
    new_top = place.get("from_ft") or 0.0
    new_bottom = place.get("to_ft")
    if new_top - top >= _SHORTEST_REST_FT:
        yield _trimmed(old, to_ft=new_top)
    if new_bottom is not None and bottom < 1e9 and bottom - new_bottom >= _SHORTEST_REST_FT:
        yield _trimmed(old, from_ft=new_bottom)


def _trimmed(part: Part, **changes: float) -> Part:
    known = {f.name for f in fields(part)}
    return replace(part, **{n: v for n, v in changes.items() if n in known})
