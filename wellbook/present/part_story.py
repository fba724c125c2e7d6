"""What the history says of one part: as it was set, as it came out, went back, or stayed.

Each line tells of the part as it was then: a pump that was let down from 400 ft to 500 ft was set at
400 ft, and of a section of pipe only the stretch is out that came out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import cast

from wellbook.hole.component import Absence, Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe
from wellbook.present.lines import field_text, set_text
from wellbook.present.part_texts import part_text
from wellbook.terms import Kind

Section = Pipe | Cable


def as_set(component: Component) -> Component:
    """A part as it was set; what is left of a longer section, as it was left."""
    day = component.cut_on or component.set_on.latest or component.set_on.earliest or date.min
    return replace(component, part=component.on(day).part)


def set_words(hole: Hole, component: Component) -> str:
    """All that is known of a part, where it hung when it was set."""
    return part_text(hole, as_set(component), None)


def rest_words(hole: Hole, component: Component) -> str:
    """What was left of a longer section, and since when that hung there."""
    return _join(brief_text(hole, as_set(component)), set_text(component))


def away_words(hole: Hole, component: Component, away: Absence) -> str:
    """What came out for a time, and why."""
    cause = away.cause.label if away.cause else ""
    return _join(brief_text(hole, component.on(away.out_on)), away.why, cause)


def back_words(hole: Hole, component: Component, away: Absence) -> str:
    """What went back, where, and since when it has served: it is no new one."""
    return _join(brief_text(hole, component.on(away.back_on)), set_text(component))


def out_words(hole: Hole, component: Component) -> str:
    """What came out, how long it had been there, and why."""
    out, served = component.pulled_on, ""
    if out is not None and out.latest is not None and component.set_on.known:
        served = f"{set_text(component)}, in the well {component.set_on.age_text(out.latest)}"
    cause = f"cause: {component.cause.label}" if component.cause else ""
    return _join(brief_text(hole, came_out(hole, component)), served, component.why_pulled, cause)


def came_out(hole: Hole, component: Component) -> Component:
    """A part as it came out: of a section that was cut, the stretch that did not stay."""
    part, by = component.part, [v.start for v in hole.visits if v.uid == component.pulled_by]
    if not isinstance(part, Section) or not by:
        return component
    top, bottom = part.from_ft, part.to_ft
    for rest in _left_of(hole, component, by[0]):
        if (rest.from_ft or 0.0) == (part.from_ft or 0.0):
            top = rest.to_ft
        elif bottom is not None and rest.to_ft == part.to_ft:
            bottom = rest.from_ft
    return replace(component, part=replace(part, from_ft=top, to_ft=bottom))


def _left_of(hole: Hole, component: Component, cut_on: date) -> Iterator[Section]:
    """What stayed of sections that were set and cut together with one."""
    for rest in hole.components:
        same = (rest.kind, rest.set_by) == (component.kind, component.set_by)
        if same and rest.cut_on == cut_on and isinstance(rest.part, Section):
            yield cast(Section, rest.on(cut_on).part)


_BRIEF = {
    Kind.PUMP: ("hp", "set_depth_ft"),
    Kind.MOTOR: ("hp",),
    Kind.CONTROL: ("type", "hp"),
}
"""What tells these from others of their kind; of the others all that is known is short."""


def brief_text(hole: Hole, component: Component) -> str:
    """Which part it is: what it is made of or how strong it is, and where it hangs."""
    names = _BRIEF.get(component.kind)
    if names is None:
        return part_text(hole, component, None)
    said = {name: field_text(component, name) for name in names}
    return ", ".join(f"at {x}" if name == "set_depth_ft" else x for name, x in said.items() if x)


def _join(*words: str) -> str:
    return "; ".join(w for w in words if w)
