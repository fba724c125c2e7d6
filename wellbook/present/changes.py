"""What a sheet changes in a well's record, in plain words, for whoever is asked whether to write it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from wellbook.hole.component import Component
from wellbook.hole.describe import (
    describe,
    describe_found,
    describe_interval,
    describe_reading,
    describe_sample,
)
from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.present.part_story import came_out
from wellbook.present.string_lines import left_words
from wellbook.present.text import one_line, plural
from wellbook.terms import Kind

_NOTES = 80
"""How much of a sheet's notes is enough to know them again."""


def changes(before: Hole, after: Hole) -> list[str]:
    """What a sheet changed: what hangs there, what is only history, and what was noted."""
    more = [*_past(before, after), *_noted(before, after)]
    if before.status is not after.status:
        more.append(f"status: {after.status.label} (was {before.status.label})")
    return [*_hanging(before, after), *more]


# -- what hangs there ----------------------------------------------------------------------------


def _hanging(before: Hole, after: Hole) -> Iterator[str]:
    old, new = _down(before), _down(after)
    known = {c.uid: c for c in after.components}
    left = {c.uid for kind in Kind for c in after.sealed_in(kind)}
    for uid, text in old.items():
        if uid in left:
            yield f"left: {text} (sealed in)"
        elif uid not in new:
            out = came_out(after, known[uid]).part if uid in known else None
            yield f"out:  {describe(out) if out else text}"
    for uid, text in new.items():
        if uid not in old:
            yield f"rest: {text}" if known[uid].cut_on else f"in:   {text}"
    for uid, text in new.items():
        if uid in old and old[uid] != text:
            yield f"now:  {text}   (was: {old[uid]})"


def _down(hole: Hole) -> dict[str, str]:
    """The parts that are down, each in one line."""
    return {c.uid: describe(c.part) for kind in Kind for c in hole.down(kind)}


# -- what is only history ------------------------------------------------------------------------


def _past(before: Hole, after: Hole) -> Iterator[str]:
    """What does not hang there any more, and was not on record before, or otherwise.

    A slip of older days puts a pump on record that was replaced since.
    """
    old, new, hung = _gone(before), _gone(after), _down(before)
    written = {v.uid for v in after.visits} - {v.uid for v in before.visits}
    for uid, c in new.items():
        said = _span(c)
        if uid in hung:
            continue
        if uid in old:
            was = _span(old[uid])
            if was != said:
                yield f"then: {said}   (was: {was})"
        elif c.pulled_by in written:
            # It was never on record, and comes out by this very sheet.
            yield f"out:  {describe(c.part)}"
        else:
            yield f"then: {said}"
    known = {c.uid for c in after.components}
    yield from (f"gone: {_span(c)}" for uid, c in old.items() if uid not in known)


def _gone(hole: Hole) -> dict[str, Component]:
    down = _down(hole)
    return {c.uid: c for c in hole.components if c.uid not in down}


def _span(component: Component) -> str:
    """A part that was there: since when, until when, and why it came out."""
    set_on = f"set {component.set_on}" if component.set_on.known else "set date unknown"
    why = f" ({component.why_pulled})" if component.why_pulled else ""
    out = component.pulled_on
    ended = left_words(component) if out is None else f"pulled {out}{why}"
    return f"{describe(component.part)}; {set_on}, {ended}"


# -- what was noted ------------------------------------------------------------------------------


def _noted(before: Hole, after: Hole) -> list[str]:
    """What was read, found, done or sampled, that was not on record before; and what no longer is."""
    old, new = Counter(_notes(before)), Counter(_notes(after))
    added = [f"note: {text}" for text in (new - old).elements()]
    taken = [f"gone: {text}" for text in (old - new).elements()]
    return [*taken, *added]


def _notes(hole: Hole) -> Iterator[str]:
    yield from (describe_reading(o) for o in hole.observations)
    yield from (describe_found(f) for f in hole.found)
    for one in hole.inspections:
        if one.splices_added:
            yield f"{plural(one.splices_added, 'splice')} added to the cable"
    yield from (describe_sample(s) for s in hole.samples)
    yield from (describe_interval(i) for i in hole.intervals)
    for visit in hole.visits:
        yield from _of_the_sheet(visit)


def _of_the_sheet(visit: Visit) -> Iterator[str]:
    """What a sheet says of the job itself."""
    if visit.disinfected:
        yield "the well was disinfected"
    if visit.left_without_pump:
        yield "the well was left without a pump"
    if visit.left_for_next_time:
        yield f"left for next time: {one_line(visit.left_for_next_time, _NOTES)}"
    if visit.notes:
        yield one_line(visit.notes, _NOTES)
