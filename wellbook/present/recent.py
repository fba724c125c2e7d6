"""Visits and calls in one line each."""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.present.lines import Line
from wellbook.present.place_lines import phone_text
from wellbook.present.text import and_list
from wellbook.terms import Reason, SheetKind


def newest_first(hole: Hole, *kinds: SheetKind) -> list[Visit]:
    """Sheets of these kinds, the newest first; of one day, the last entered first."""
    return sorted(hole.visited(*kinds), key=lambda v: (v.start, v.number), reverse=True)


def last_lines(hole: Hole, count: int = 4) -> Iterator[Line]:
    """The last visits and calls, the newest first."""
    for visit in newest_first(hole, SheetKind.VISIT, SheetKind.CALL)[:count]:
        yield Line(visit.start.isoformat(), sheet_text(hole, visit))


def sheet_text(hole: Hole, visit: Visit, *, number: bool = False) -> str:
    """A visit or a call in one line; with the number that a caller rang from, if asked for."""
    called = visit.kind is SheetKind.CALL
    pieces = _call(visit, number) if called else _visit(hole, visit)
    return "; ".join(p for p in pieces if p)


def _call(visit: Visit, number: bool) -> Iterator[str]:
    phone = phone_text(visit.caller_phone) if number or not visit.caller else ""
    who = " ".join(p for p in (visit.caller, phone) if p)
    yield f"call{' from ' + who if who else ''}: {visit.symptom or 'symptom not noted'}"
    yield f"promised: {visit.promised}" if visit.promised else ""
    yield f"came of it: {visit.outcome}" if visit.outcome else ""
    yield visit.notes


def _visit(hole: Hole, visit: Visit) -> Iterator[str]:
    crew = and_list(list(visit.crew))
    reason = "visit" if visit.reason is Reason.OTHER else visit.reason.label
    opening = visit.kind is SheetKind.OPENING
    head = "on record when the well was entered" if opening else reason
    yield head + (f" by {crew}" if crew else "") + ("" if visit.end or opening else ", STILL OPEN")
    yield "LEFT WITHOUT A PUMP" if visit.left_without_pump else ""
    yield from moved(hole, visit)
    yield f"left for next time: {visit.left_for_next_time}" if visit.left_for_next_time else ""
    yield visit.notes


def moved(hole: Hole, visit: Visit) -> Iterator[str]:
    """What a sheet put down and took out, by kind."""
    out = [c for c in hole.components if visit.uid in _pulled_by(c)]
    back = [c for c in hole.components if visit.uid in [a.back_by for a in c.absences]]
    new = [c for c in hole.components if c.set_by == visit.uid and _begun(c, visit)]
    for word, parts in (("pulled", out), ("put back", back), ("set", new)):
        kinds = list(dict.fromkeys(c.kind.label for c in parts))
        if kinds:
            yield f"{word} {and_list(kinds)}"


def _pulled_by(component: Component) -> list[str | None]:
    """The sheets that took a part out, though it may have gone back since."""
    return [component.pulled_by, *(a.pulled_by for a in component.absences)]


def _begun(component: Component, visit: Visit) -> bool:
    """Whether the sheet set the part, and did not only speak of one that was there."""
    first = component.set_on.earliest
    return first is not None and first >= visit.start
