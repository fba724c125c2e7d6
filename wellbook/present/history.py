"""The history of a well: every visit, every call, and every part that was ever set or pulled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from rich.text import Text

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.hole.sheet_text import sheet_text as as_toml
from wellbook.present.file_lines import file_text
from wellbook.present.lines import LONGEST_DATE
from wellbook.present.part_story import (
    as_set,
    away_words,
    back_words,
    came_out,
    out_words,
    rest_words,
    set_words,
)
from wellbook.present.place_lines import title
from wellbook.present.recent import sheet_text
from wellbook.present.screen import WIDTH, hanging
from wellbook.present.sheet_details import reading_of, sample_of, sheet_details
from wellbook.present.string_lines import left_words
from wellbook.present.text import clean, one_line, plural, wrap
from wellbook.terms import SheetKind, SheetStatus

if TYPE_CHECKING:
    from wellbook.store.past_sheets import SheetVersion

SHEET, SET, PULLED, BACK, LEFT = "sheet", "set", "pulled", "put back", "left"
WITHDRAWN, NOTED, FILE = "withdrawn", "noted", "file"
_INDENT = LONGEST_DATE + 2
_ORDER = (SHEET, WITHDRAWN, FILE, PULLED, BACK, LEFT, SET, NOTED)


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that happened: a sheet, a part that was set, or a part that was pulled.

    `day` is what it is sorted by, the last day that it can have been; `when` is what is known.
    `details` are what the sheet says was found, measured and sampled, each with its word.
    """

    what: str
    day: date
    when: When
    label: str
    text: str
    details: tuple[tuple[str, str], ...] = ()
    visit: Visit | None = None
    component: Component | None = None
    number: int | None = None


def build_history(hole: Hole, versions: Sequence[SheetVersion] = ()) -> tuple[Entry, ...]:
    """All that ever happened at a well, the newest first; what has no date at all comes last.

    Parameters
    ----------
    hole
        The well, ever.
    versions
        All its sheets, those that no longer count too, as they were entered.
    """
    entries = [*_sheets(hole, versions), *_withdrawn(versions), *_parts(hole), *_sheetless(hole)]
    entries += _files(hole)
    entries.sort(key=_place)
    return tuple(entries)


def _place(entry: Entry) -> tuple[int, int, int]:
    return (-entry.day.toordinal(), _ORDER.index(entry.what), -(entry.number or 0))


def _sheets(hole: Hole, versions: Sequence[SheetVersion]) -> Iterator[Entry]:
    for visit in hole.visits:
        when = When.on(visit.start)
        if visit.end is not None and visit.end != visit.start:
            when = When.between(visit.start, visit.end, f"{visit.start} to {visit.end}")
        old = [v for v in versions if v.root_uid == visit.uid and v.number != visit.number]
        yield Entry(
            SHEET,
            visit.start,
            when,
            "on record" if visit.kind is SheetKind.OPENING else visit.kind.label,
            sheet_text(hole, visit, number=True),
            (
                *sheet_details(hole, visit),
                *(("file", file_text(f)) for f in hole.files if f.sheet_uid == visit.uid),
                *(("corrects", _ended_text(v)) for v in old),
            ),
            visit=visit,
            number=visit.number,
        )


def _withdrawn(versions: Sequence[SheetVersion]) -> Iterator[Entry]:
    for version in versions:
        if version.status is SheetStatus.WITHDRAWN:
            reason = "call" if version.kind is SheetKind.CALL else version.reason.label
            old = [v for v in versions if v.root_uid == version.root_uid and v is not version]
            yield Entry(
                WITHDRAWN,
                version.start,
                When.on(version.start),
                version.kind.label,
                f"{reason}, WITHDRAWN {_by(version)}",
                tuple(("corrects", _ended_text(v)) for v in old),
                number=version.number,
            )


def _ended_text(version: SheetVersion) -> str:
    return f"no. {version.number} of {version.recorded_on}, {_by(version)}"


def _by(version: SheetVersion) -> str:
    """When, by whom and why a sheet stopped counting."""
    who = f" by {version.ended_by}" if version.ended_by else ""
    return f"{version.ended_on or ''}{who}".strip() + (f": {version.why}" if version.why else "")


def _sheetless(hole: Hole) -> Iterator[Entry]:
    """Readings and samples that came without a sheet, as from a public record."""
    for seen in hole.observations:
        if seen.sheet_uid is None:
            yield _noted(seen.when, reading_of(seen, None))
    for sample in hole.samples:
        if sample.sheet_uid is None:
            yield _noted(sample.taken_on, f"sample: {sample_of(sample, None)}")


def _files(hole: Hole) -> Iterator[Entry]:
    """Files that belong to no sheet that counts; the others are named with their sheet."""
    sheets = {visit.uid for visit in hole.visits}
    for file in hole.files:
        if file.sheet_uid not in sheets:
            yield Entry(FILE, file.added_on, When.on(file.added_on), "file", file_text(file))


def _noted(when: When, text: str) -> Entry:
    return Entry(NOTED, when.latest or when.earliest or date.min, when, "noted", text)


# -- parts -------------------------------------------------------------------------------------


def _parts(hole: Hole) -> Iterator[Entry]:
    for component in hole.components:
        yield _begun(hole, component)
        for away in component.absences:
            out, back = When.on(away.out_on), When.on(away.back_on)
            out_text, back_text = (
                words(hole, component, away) for words in (away_words, back_words)
            )
            label = component.kind.label
            yield Entry(PULLED, away.out_on, out, label, out_text, component=component)
            yield Entry(BACK, away.back_on, back, label, back_text, component=component)
        yield from _ended(hole, component)


def _begun(hole: Hole, component: Component) -> Entry:
    """How a part came to be there: it was set, or is what stayed of a section that was cut."""
    label, then, cut_on = component.kind.label, as_set(component), component.cut_on
    if cut_on is not None:
        said = rest_words(hole, component)
        return Entry(LEFT, cut_on, When.on(cut_on), label, said, component=then)
    when = component.set_on
    day = when.latest or when.earliest or date.min
    return Entry(SET, day, when, label, set_words(hole, component), component=then)


def _ended(hole: Hole, component: Component) -> Iterator[Entry]:
    label, out = component.kind.label, component.pulled_on
    if out is not None:
        day = out.latest or out.earliest or date.min
        then = came_out(hole, component)
        yield Entry(PULLED, day, out, label, out_words(hole, component), component=then)
    elif component in hole.sealed_in(component.kind):
        when = When.unknown() if hole.sealed_on is None else When.on(hole.sealed_on)
        left = left_words(component).removeprefix("left ")
        yield Entry(LEFT, hole.sealed_on or date.min, when, label, left, component=component)


# -- rendering ---------------------------------------------------------------------------------


def render_history(hole: Hole, entries: Sequence[Entry], width: int = WIDTH) -> list[Text]:
    """The history as lines, none wider than `width`."""
    lines = [Text(one_line(title(hole), width), style="bold")]
    for entry in entries:
        lines += _entry(entry, width)
    sheets = sum(e.what == SHEET for e in entries)
    parts = sum(e.what == SET for e in entries)
    count = f"{plural(sheets, 'sheet')}, {plural(parts, 'part')}"
    more = f"; a sheet as it was written: wellbook history {hole.tag} --visit NO" if sheets else ""
    lines.append(Text(one_line(count + more, width), style="dim"))
    return lines


def _entry(entry: Entry, width: int) -> Iterator[Text]:
    label = str(entry.when)
    long = len(label) > LONGEST_DATE and entry.day != date.min
    date_text = entry.day.isoformat() if long else label
    said = _words(entry) + (f"; {label}" if long else "")
    yield from hanging(date_text, Text(clean(said)), width, _INDENT)
    for word, text in entry.details:
        yield from hanging("", Text(clean(f"{word} {text}")), width, _INDENT + 2)


def _words(entry: Entry) -> str:
    if entry.number is not None:
        # By this number a sheet is corrected, withdrawn and read.
        return f"no. {entry.number}, {entry.text}"
    if entry.component is None:
        return f"{entry.what}: {entry.text}"
    return f"{entry.what} {entry.label}: {entry.text or 'no more noted'}"


def render_versions(hole: Hole, versions: Sequence[SheetVersion], width: int = WIDTH) -> list[Text]:
    """One sheet as it was written, and what stood in its place before; the newest first."""
    lines = [Text(one_line(title(hole), width), style="bold")]
    for version in sorted(versions, key=lambda v: v.number, reverse=True):
        head = _version_head(version)
        lines += [Text(""), *wrap(Text(clean(head), style="bold"), width)]
        lines += [Text(clean(line)) for line in as_toml(version.document).splitlines()]
    return lines


def _version_head(version: SheetVersion) -> str:
    state = {
        SheetStatus.VALID: "counts",
        SheetStatus.SUPERSEDED: f"corrected {_by(version)}",
        SheetStatus.WITHDRAWN: f"withdrawn {_by(version)}",
    }[version.status]
    return (
        f"no. {version.number}, {version.kind.label}, entered {version.recorded_on}"
        f" by {version.recorded_by}; {state}"
    )
