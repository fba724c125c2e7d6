"""The history of a well: every visit, every call, and every part that was ever set or pulled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from rich.text import Text

from wellbook.dates import When
from wellbook.hole.records import Component, Found, Hole, Visit
from wellbook.present.json_page import component_json, visit_json
from wellbook.present.json_shapes import Shape, day_json, envelope
from wellbook.present.part_texts import part_text
from wellbook.present.place_lines import title
from wellbook.present.recent import sheet_text
from wellbook.present.string_lines import left_words
from wellbook.present.terminal import WIDTH, hanging
from wellbook.present.text import clean, one_line, plural, when_words
from wellbook.quantities import show
from wellbook.terms import SheetKind

SHEET, SET, PULLED, BACK, LEFT = "sheet", "set", "pulled", "put back", "left"
_ORDER = (SHEET, PULLED, BACK, LEFT, SET)


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that happened: a sheet, a part that was set, or a part that was pulled.

    `day` is what it is sorted by, the last day that it can have been; `when` is what is known.
    """

    what: str
    day: date
    when: When
    label: str
    text: str
    found: tuple[str, ...] = ()
    visit: Visit | None = None
    component: Component | None = None


def build_history(hole: Hole) -> tuple[Entry, ...]:
    """All that ever happened at a well, the newest first; what has no date at all comes last."""
    entries = [*_sheets(hole), *_parts(hole)]
    entries.sort(key=_place)
    return tuple(entries)


def _place(entry: Entry) -> tuple[int, int, int]:
    number = entry.visit.number if entry.visit else 0
    return (-entry.day.toordinal(), _ORDER.index(entry.what), -number)


def _sheets(hole: Hole) -> Iterator[Entry]:
    for visit in hole.visits:
        found = tuple(found_text(f) for f in hole.found if f.sheet_uid == visit.uid)
        when = When.on(visit.start)
        if visit.end is not None and visit.end != visit.start:
            when = When.between(visit.start, visit.end, f"{visit.start} to {visit.end}")
        kind = "on record" if visit.kind is SheetKind.OPENING else visit.kind.label
        yield Entry(
            SHEET, visit.start, when, kind, sheet_text(hole, visit, number=True), found, visit=visit
        )


def found_text(found: Found) -> str:
    """One thing found at a visit, in words."""
    count = "" if found.count is None else f"{found.count} x "
    where = found.part.label if found.part else ""
    depth = "" if found.depth_ft is None else f"at {show(found.depth_ft, 'ft')}"
    head = " ".join(p for p in (f"{count}{found.what.label}", where and f"({where})", depth) if p)
    grade = f", {found.severity.label}" if found.severity else ""
    return head + grade + (f": {found.note}" if found.note else "")


def _parts(hole: Hole) -> Iterator[Entry]:
    for component in hole.components:
        set_on, out = component.set_on, component.pulled_on
        day = set_on.latest or set_on.earliest or date.min
        told = part_text(hole, component, None)
        label = component.kind.label
        yield Entry(SET, day, set_on, label, told, component=component)
        for away in component.absences:
            out_on, back_on = When.on(away.out_on), When.on(away.back_on)
            why = "; ".join(p for p in (away.why, away.cause.label if away.cause else "") if p)
            yield Entry(PULLED, away.out_on, out_on, label, why, component=component)
            yield Entry(BACK, away.back_on, back_on, label, _served(component), component=component)
        if out is not None:
            day = out.latest or out.earliest or date.min
            yield Entry(PULLED, day, out, label, _pulled(component), component=component)
        elif component in hole.sealed_in(component.kind):
            when = When.unknown() if hole.sealed_on is None else When.on(hole.sealed_on)
            day = hole.sealed_on or date.min
            left = left_words(component).removeprefix("left ")
            yield Entry(LEFT, day, when, label, left, component=component)


def _served(component: Component) -> str:
    """Since when a part that went back has served: it is no new one."""
    return f"set {when_words(component.set_on)}" if component.set_on.known else ""


def _pulled(component: Component) -> str:
    out = component.pulled_on
    served = ""
    if out is not None and out.latest is not None and component.set_on.known:
        served = f"set {when_words(component.set_on)}, in the well {_years(component, out.latest)}"
    cause = f"cause: {component.cause.label}" if component.cause else ""
    return "; ".join(p for p in (served, component.why_pulled, cause) if p)


def _years(component: Component, out: date) -> str:
    return component.set_on.age_text(out)


# -- rendering ---------------------------------------------------------------------------------


def render_history(hole: Hole, entries: Sequence[Entry], width: int = WIDTH) -> list[Text]:
    """The history as lines, none wider than `width`."""
    lines = [Text(one_line(title(hole), width), style="bold")]
    for entry in entries:
        lines += _entry(entry, width)
    sheets = sum(e.what == SHEET for e in entries)
    parts = sum(e.what == SET for e in entries)
    lines.append(Text(f"{plural(sheets, 'sheet')}, {plural(parts, 'part')}", style="dim"))
    return lines


def _entry(entry: Entry, width: int) -> Iterator[Text]:
    verb = "" if entry.what == SHEET else f"{entry.what} "
    words = entry.text if entry.what == SHEET else f"{entry.label}: {entry.text or 'no more noted'}"
    label = when_words(entry.when)
    long = len(label) > 10
    date_text = entry.day.isoformat() if long and entry.day != date.min else label
    said = f"{verb}{words}" + (f" ({label})" if long and entry.day != date.min else "")
    yield from hanging(date_text, Text(clean(said)), width, 12)
    for found in entry.found:
        yield from hanging("", Text(clean(f"found {found}")), width, 14)


def history_json(hole: Hole, entries: Sequence[Entry]) -> Shape:
    """The history for other programs."""
    return envelope(
        "wellbook.history", 1, well=hole.tag, entries=[_entry_json(hole, e) for e in entries]
    )


def _entry_json(hole: Hole, entry: Entry) -> Shape:
    return {
        "what": entry.what,
        "day": None if entry.day == date.min else day_json(entry.day),
        "label": entry.label,
        "text": entry.text,
        "found": list(entry.found),
        "visit": visit_json(entry.visit) if entry.visit else None,
        "component": component_json(hole, entry.component) if entry.component else None,
    }
