"""Readings of a part that is there now: those of the one before it say nothing of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.records import Observation
from wellbook.rules.finding import since
from wellbook.rules.spans import Span, both, read_since, said_since
from wellbook.terms import TOLD, Basis, Quantity


def read_of(hole: Hole, quantity: Quantity, parts: Sequence[Component]) -> list[Observation]:
    """Readings with a number that may be of these very parts, oldest first.

    What was read at the visit that put one in the place of another is of either, and of neither
    for sure: a burnt motor is read before it is pulled.
    """
    return [
        seen
        for seen in hole.valid_observations(quantity)
        if seen.value is not None and not any(_of_one_before(hole, seen, p) for p in parts)
    ]


def _of_one_before(hole: Hole, seen: Observation, part: Component) -> bool:
    read = seen.when.latest
    if read is not None and part.set_on.is_after(read):
        return True
    if seen.sheet_uid != part.set_by:
        return False
    return any(c.kind is part.kind and c.pulled_by == part.set_by for c in hole.components)


def holds_since(hole: Hole, seen: Observation, parts: Sequence[Component]) -> Span:
    """From when a reading is one of these parts.

    It surely is only where it was made once they surely hung there, by somebody who read it.
    """
    there = [since(part.set_on, part.noted_on) for part in parts]
    may, surely = both(read_since(hole, seen.uid), *there)
    first = seen.when.earliest
    before = any(sure is None or first is None or first < sure for _, sure in there)
    return may, None if before or seen.basis in TOLD else surely


def as_read(
    hole: Hole, component: Component, field: str, quantity: Quantity
) -> tuple[float | None, Span]:
    """What a part is set to: as written of it, or as measured since; and from when.

    A switch is soon turned up, and a tank loses its air.
    """
    written = getattr(component.part, field)
    read = [o for o in read_of(hole, quantity, [component]) if o.basis is Basis.MEASURED]
    newest = read[-1] if read else None
    if newest is not None and (written is None or not _before(newest, _written_on(component))):
        return newest.value, holds_since(hole, newest, [component])
    return written, said_since(hole, component, field)


def _before(seen: Observation, day: date) -> bool:
    return seen.when.earliest is None or seen.when.earliest < day


def _written_on(component: Component) -> date:
    return max([component.noted_on, *(c.noted_on for c in component.claims if c.counts)])
