"""A string of several sections: which of them a statement speaks of, and what its new end does.

A table that says where a section begins, or what it is made of, speaks of that section. One that
says only where the pipe ends speaks of the whole run: then only its lowest sections change.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from wellbook.hole.component import Component
from wellbook.hole.parts import Part
from wellbook.terms import SECTIONED

STRETCH = ("from_ft", "to_ft", "depth_ft")
_ENDLESS_FT = 1e9
_SHORTEST_REST_FT = 21.0
"""A joint: what would be left of a section and is shorter was not left; the new one ends higher."""
_TOUCHING_FT = 1.0
_MADE_OF = ("material", "nominal_in", "wall", "rating_psi", "awg", "conductors", "jacket")


def place_of(values: Mapping[str, object]) -> dict[str, Any]:
    """The place that a statement names: a depth or a stretch."""
    return {name: values[name] for name in STRETCH if name in values}


def stretch(part: Part) -> tuple[float, float]:
    """From where to where a section hangs, ft; from the top, and without end, where not known."""
    top, bottom = getattr(part, "from_ft", None), getattr(part, "to_ft", None)
    return (top or 0.0, bottom if bottom is not None else _ENDLESS_FT)


def overlap_ft(part: Part, want: Mapping[str, Any]) -> float:
    """How much of a section lies in a stretch, ft; below nothing where it lies apart."""
    top, bottom = stretch(part)
    want_top, want_bottom = _wanted(want)
    return min(bottom, want_bottom) - max(top, want_top)


def _wanted(want: Mapping[str, Any]) -> tuple[float, float]:
    bottom = want.get("to_ft")
    return (want.get("from_ft") or 0.0, _ENDLESS_FT if bottom is None else bottom)


def top_down(sections: Sequence[Component]) -> list[Component]:
    """Sections by where they begin."""
    return sorted(sections, key=lambda c: stretch(c.part))


def of_one_make(there: Sequence[Component], values: Mapping[str, Any]) -> list[Component]:
    """The sections of the material that is named, where others are of another; else all of them."""
    want = values.get("material")
    alike = [c for c in there if want and getattr(c.part, "material", None) == want]
    return alike or list(there)


def spoken_of(
    there: Sequence[Component], values: Mapping[str, Any], *, alone: bool
) -> list[Component]:
    """The sections that are spoken of: one that is named, several that are covered, or the run.

    Parameters
    ----------
    alone
        Whether the sheet has no other table of the kind: then a table that says only where it ends
        speaks of the whole run.
    """
    place = place_of(values)
    if not place or (alone and "from_ft" not in place):
        return of_one_make(there, values)
    at = [c for c in there if overlap_ft(c.part, place) > 0]
    top, bottom = _wanted(place)
    if "to_ft" not in place:
        # Where it begins names it: the one that hangs there.
        return [c for c in at if stretch(c.part)[0] <= top] or at[:1]
    covered = [c for c in at if stretch(c.part)[0] >= top and stretch(c.part)[1] <= bottom]
    if alone and len(covered) > 1:
        return at
    return sorted(at, key=lambda c: -_likeness(c.part, place))[:1]


def begins_one(there: Sequence[Component], values: Mapping[str, Any]) -> bool:
    """Whether a statement names a section by where it begins, and by nothing else of its place."""
    top = values.get("from_ft")
    if top is None or "to_ft" in values:
        return False
    return any(abs(stretch(c.part)[0] - top) <= _TOUCHING_FT for c in there)


def _likeness(part: Part, place: Mapping[str, Any]) -> float:
    """How much two stretches have in common, of all that both cover: 1 where they are the same."""
    top, bottom = stretch(part)
    want_top, want_bottom = _wanted(place)
    return overlap_ft(part, place) / (max(bottom, want_bottom) - min(top, want_top))


def made_alike(sections: Sequence[Component]) -> bool:
    """Whether sections differ in nothing but their place."""
    made = {tuple(getattr(c.part, n, None) for n in _MADE_OF) for c in sections}
    return len(made) <= 1


def overlapping(sections: Sequence[Component]) -> Iterator[tuple[Component, Component]]:
    """Pairs of sections that would hang in one stretch; of an unknown end nothing can be said."""
    known = [c for c in top_down(sections) if stretch(c.part)[1] < _ENDLESS_FT]
    for n, upper in enumerate(known):
        for lower in known[n + 1 :]:
            if overlap_ft(upper.part, place_of_part(lower.part)) > _TOUCHING_FT:
                yield upper, lower


def place_of_part(part: Part) -> dict[str, Any]:
    """A section's stretch as a statement would name it."""
    return {n: getattr(part, n) for n in ("from_ft", "to_ft")}


def section_at(cables: Sequence[Component], depth_ft: float | None) -> Component | None:
    """The section that holds a depth; the first, where no depth is named or none holds it."""
    for cable in cables:
        top, bottom = stretch(cable.part)
        if depth_ft is not None and top <= depth_ft < bottom:
            return cable
    return cables[0] if cables else None


def what_stays(old: Part, new: Mapping[str, object]) -> Iterator[Part]:
    """The stretches of an old section that a new one does not take the place of."""
    if old.kind not in SECTIONED or not place_of(new):
        return
    place = place_of(new)
    top, bottom = stretch(old)
    new_top = place.get("from_ft") or 0.0
    new_bottom = place.get("to_ft")
    if new_top - top >= _SHORTEST_REST_FT:
        yield _trimmed(old, to_ft=new_top)
    if new_bottom is not None and bottom < _ENDLESS_FT and bottom - new_bottom >= _SHORTEST_REST_FT:
        yield _trimmed(old, from_ft=new_bottom)


def _trimmed(part: Part, **changes: float) -> Part:
    known = {f.name for f in fields(part)}
    return replace(part, **{n: v for n, v in changes.items() if n in known})
