"""From when a finding holds that rests on more than one record.

Each record gives a first day on which it may hold and one on which it surely does (see `Finding`).
"""

from __future__ import annotations

from datetime import date

from wellbook.hole.component import PLACES, Component
from wellbook.hole.hole import Hole
from wellbook.hole.records import Interval, Observation
from wellbook.rules.finding import since
from wellbook.terms import Kind, Quantity

Span = tuple[date | None, date | None]


def both(*spans: Span) -> Span:
    """From when several things may, and surely do, hold together.

    An open beginning holds back nothing; what can never be sure keeps the whole from being sure.

    >>> both((None, date(2010, 1, 1)), (date(2012, 1, 1), date(2012, 12, 31)))
    (datetime.date(2012, 1, 1), datetime.date(2012, 12, 31))
    >>> both((date(2010, 1, 1), None), (None, date(2012, 12, 31)))
    (datetime.date(2010, 1, 1), None)
    """
    may, surely = spans[0] if spans else (None, None)
    for first, sure in spans[1:]:
        if first is not None and (may is None or first > may):
            may = first
        if surely is not None and (sure is None or sure > surely):
            surely = sure
    return may, surely


def read_since(hole: Hole, uid: str) -> Span:
    """From when a reading, or a stretch of the bore, is what the record says.

    It cannot be of a later day than the sheet that tells of it. Without a sheet it came with the
    well.
    """
    rows: list[Observation | Interval] = [*hole.observations, *hole.intervals]
    row = next(row for row in rows if row.uid == uid)
    when = row.when
    told = [v.start for v in hole.visits if v.uid == row.sheet_uid]
    if told:
        return since(when, told[0])
    return when.earliest, when.latest or max(hole.entered_on, when.earliest or hole.entered_on)


def said_since(hole: Hole, component: Component, field: str) -> Span:
    """From when a part is what the record says of it in one field.

    A later statement may be a better reading of what was so all along: it may have been so since
    the part was set, and surely is since the statement. But a place that was said anew at a visit
    that opened the well is a move: the part hung elsewhere before. What is left of a longer section
    ends where it does since the rest was cut off.
    """
    span: Span = since(component.set_on, component.noted_on)
    for c in component.claims:
        if c.counts and c.field == field and c.value != c.was:
            moved = field in PLACES and c.was is not None and _opened(hole, c.sheet_uid)
            span = both(span, (c.noted_on if moved else None, c.noted_on))
    return span if component.cut_on is None else both(span, (component.cut_on, component.cut_on))


def _opened(hole: Hole, sheet_uid: str) -> bool:
    return any(v.opened and v.uid == sheet_uid for v in hole.visits)


def hangs_since(hole: Hole, component: Component, field: str, held_against: Quantity) -> Span:
    """From when a part hangs where the record says, in the hole as it is now.

    Work on the hole itself ends what was true of the part and a quantity together before it: a
    fracturing ends what was known of the water, but the bottom stays where it was.
    """
    span, worked = said_since(hole, component, field), hole.worked_on(held_against)
    return span if worked is None else both(span, (worked, worked))


def none_since(hole: Hole, kind: Kind) -> Span:
    """From when a part that is missed is missing: since the last of its kind came out.

    Where none is on record there never was one, and nothing is held back.
    """
    out = [c.pulled_on for c in hole.components if c.pulled_on is not None and c.kind is kind]
    return both((None, date.min), *((when.earliest, when.latest) for when in out))
