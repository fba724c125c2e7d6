"""Visits and calls in one line each."""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.records import Hole, Visit
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


def sheet_text(hole: Hole, visit: Visit) -> str:
    """A visit or a call in one line."""
    pieces = _call(visit) if visit.kind is SheetKind.CALL else _visit(hole, visit)
    return "; ".join(p for p in pieces if p)


def _call(visit: Visit) -> Iterator[str]:
    who = " ".join(p for p in (visit.caller, phone_text(visit.caller_phone)) if p)
    yield f"call{' from ' + who if who else ''}: {visit.symptom or 'symptom not noted'}"
    yield f"promised: {visit.promised}" if visit.promised else ""
    yield f"came of it: {visit.outcome}" if visit.outcome else ""
    yield visit.notes


def _visit(hole: Hole, visit: Visit) -> Iterator[str]:
    crew = and_list(list(visit.crew))
    reason = "visit" if visit.reason is Reason.OTHER else visit.reason.label
    head = reason if visit.kind is SheetKind.VISIT else visit.kind.label
    yield head + (f" by {crew}" if crew else "") + ("" if visit.end else ", STILL OPEN")
    yield "LEFT WITHOUT A PUMP" if visit.left_without_pump else ""
    yield from moved(hole, visit)
    yield f"left for next time: {visit.left_for_next_time}" if visit.left_for_next_time else ""
    yield visit.notes


def moved(hole: Hole, visit: Visit) -> Iterator[str]:
    """What a sheet put down and took out, by kind."""
    out = [c for c in hole.components if c.pulled_by == visit.uid]
    new = [c for c in hole.components if c.set_by == visit.uid and visit.kind is SheetKind.VISIT]
    for word, parts in (("pulled", out), ("set", new)):
        kinds = list(dict.fromkeys(c.kind.label for c in parts))
        if kinds:
            yield f"{word} {and_list(kinds)}"
