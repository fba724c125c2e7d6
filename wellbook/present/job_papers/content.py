"""What a paper is made of, and the facts of a well as entries of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wellbook.dates import When
from wellbook.engineering.analytes import ANALYTES
from wellbook.engineering.water_figures import FIGURES
from wellbook.hole.component import Component
from wellbook.hole.describe import describe_interval, number_text, span_text
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.records import Observation, Sample, Visit
from wellbook.present.text import and_list
from wellbook.quantities import show
from wellbook.terms import Bacteria, Basis, Kind, LevelState, Quantity, SheetKind

UNKNOWN = "unknown"
IN_THEIR_WORDS = "in the crew's words"
"""The basis of what is copied as the crew wrote it."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One fact: what it is, its value, what it rests on, of which day, and who recorded it.

    `compared_with` is a published figure with its source, where there is one to set beside it.
    """

    label: str
    value: str = UNKNOWN
    basis: str = ""
    as_of: str = ""
    recorded_by: str = ""
    compared_with: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a paper under its own heading."""

    heading: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class PaperContent:
    """A paper: its title, the well, sections of entries, what asks for it, and what to mind."""

    title: str
    well: str
    sections: tuple[Section, ...]
    source: str
    cautions: tuple[str, ...] = ()

    def entry(self, label: str) -> Entry:
        """The first entry of a label.

        Raises
        ------
        KeyError
            If there is none.
        """
        for section in self.sections:
            for entry in section.entries:
                if entry.label == label:
                    return entry
        raise KeyError(label)


def section(heading: str, entries: Iterator[Entry]) -> Section:
    """A part of a paper; where nothing stands in it, it says so."""
    return Section(heading, tuple(entries) or (Entry(heading.lower(), "nothing on record"),))


def noted_by(hole: Hole, sheet_uid: str | None, basis: Basis | None = None) -> str:
    """Who recorded a fact: the crew of its sheet, the caller, the driller's log, the shop."""
    if basis is Basis.DRILLERS_LOG:
        return f"{hole.driller}, log" if hole.driller else "driller's log"
    for visit in hole.visits:
        if visit.uid == sheet_uid and visit.kind is SheetKind.VISIT:
            return crew_of(visit)
        if visit.uid == sheet_uid and visit.kind is SheetKind.CALL:
            return visit.caller or "a caller"
    return "the shop's record"


def crew_of(visit: Visit) -> str:
    """Who was on a visit."""
    return and_list(list(visit.crew)) or UNKNOWN


def text_entry(label: str, value: str | None) -> Entry:
    """A fact that has no basis of its own; unknown where there is none."""
    return Entry(label, value or UNKNOWN)


def when_text(when: When | None) -> str:
    """A date in its own words; unknown where there is none."""
    return str(when) if when is not None and when.known else UNKNOWN


def place_entries(hole: Hole) -> Iterator[Entry]:
    """Which well it is, whose, and where: as authorities ask for it."""
    site = hole.site
    yield Entry("well", hole.tag)
    yield text_entry("permit number", hole.permit_no)
    yield text_entry("owner", and_list([o.name for o in hole.occupants if o.until is None]))
    places = (site.road, site.town, site.region, site.postcode) if site else ()
    yield text_entry("location", ", ".join(p for p in places if p))
    known = site is not None and site.latitude is not None and site.longitude is not None
    yield text_entry("position", f"{site.latitude:g}, {site.longitude:g}" if site and known else "")
    yield text_entry("use", hole.use)


def bore_entries(hole: Hole) -> Iterator[Entry]:
    """The hole itself: when and how it was made, how deep, and what stands in it."""
    yield text_entry("construction", hole.construction.label)
    yield Entry("drilled", when_text(hole.drilled_on))
    yield text_entry("drilled by", hole.driller)
    yield fact_entry(hole, "total depth", hole.fact(Quantity.DEPTH_FT))
    top = hole.stick_up_ft
    yield text_entry("casing above ground", None if top is None else show(top, "ft"))
    for interval in hole.intervals:
        yield Entry(
            "bore",
            describe_interval(interval),
            interval.basis.label,
            str(interval.when),
            noted_by(hole, interval.sheet_uid, interval.basis),
        )
    if not hole.intervals:
        yield Entry("bore")


def water_entries(hole: Hole) -> Iterator[Entry]:
    """Static and pumping level with rate, length and method, and the yield."""
    yield level_entry(hole, "static level", LevelState.STATIC, LevelState.FLOWING)
    yield level_entry(hole, "pumping level", LevelState.PUMPING)
    yield fact_entry(hole, "yield", hole.fact(Quantity.YIELD_GPM))


def level_entry(hole: Hole, label: str, *states: LevelState) -> Entry:
    """The newest level in these states, with its measuring point, rate, length and method."""
    fact = hole.level(*states)
    seen = next((o for o in hole.observations if fact and o.uid == fact.record), None)
    return Entry(label) if seen is None else reading_entry(hole, seen, label)


def reading_entry(hole: Hole, seen: Observation, label: str = "") -> Entry:
    """One reading with all that was noted of it."""
    fact = seen.fact()
    state = seen.state.label if seen.state else ""
    words = [
        state if fact.value is None else number_text(fact),
        f"from {seen.point.label}" if seen.point else "",
        "" if seen.at_gpm is None else f"at {show(seen.at_gpm, 'gpm')}",
        "" if seen.minutes is None else f"after {seen.minutes:g} minutes",
        fact.own_method,
    ]
    return Entry(
        label or f"{state} {seen.quantity.label}".strip(),
        ", ".join(w for w in words if w) or UNKNOWN,
        seen.basis.label,
        str(seen.when),
        noted_by(hole, seen.sheet_uid, seen.basis),
    )


def fact_entry(hole: Hole, label: str, fact: Fact | None, *, compared_with: str = "") -> Entry:
    """A known value with its basis and date; unknown where there is none."""
    if fact is None or fact.value is None:
        return Entry(label)
    seen = next((o for o in hole.observations if o.uid == fact.record), None)
    part = next((c for c in hole.components if c.uid == fact.record), None)
    sheet = seen.sheet_uid if seen else part.set_by if part else None
    point = f", from {fact.point.label}" if fact.point else ""
    return Entry(
        label,
        _value_text(fact) + point,
        fact.basis.label,
        str(fact.as_of),
        noted_by(hole, sheet, fact.basis),
        compared_with,
    )


def _value_text(fact: Fact) -> str:
    if isinstance(fact.value, bool):
        return "yes" if fact.value else "no"
    if isinstance(fact.value, int | float):
        return number_text(fact)
    label = getattr(fact.value, "label", None)
    return str(label if label is not None else fact.value)


def part_entries(hole: Hole, part: Component | None, fields: dict[str, str]) -> Iterator[Entry]:
    """Fields of a part, each by its own basis; unknown where there is no part or no value.

    Parameters
    ----------
    fields
        What each is called -> the field's name, with the unit at its end.
    """
    for label, name in fields.items():
        unit = next((u for u in ("ft", "gpm", "hp", "psi") if name.endswith(f"_{u}")), "")
        unit = "hp" if name == "hp" else "V" if name == "supply_v" else unit
        fact = None if part is None else part.fact(name, unit if unit != "V" else "v")
        yield fact_entry(hole, label, fact)


def pipe_entry(hole: Hole) -> Entry:
    """The drop pipe: from where to where, as far as it is known."""
    pipes = hole.down(Kind.PIPE)
    ends = [getattr(p.part, "to_ft", None) for p in pipes]
    known = [end for end in ends if end is not None]
    if not known:
        return Entry("drop pipe")
    last = pipes[-1]
    return Entry(
        "drop pipe",
        span_text(0.0, max(known)),
        last.basis.label,
        str(last.as_of),
        noted_by(hole, last.set_by, last.basis),
    )


ECOLI = "absent (40 CFR 141.63, for public systems)"
COLIFORM = "absent; where present, a retest (40 CFR 142.63(b), for public systems)"


def sample_entries(hole: Hole, sample: Sample) -> Iterator[Entry]:
    """What the laboratory said of one sample, each result beside the published figure."""
    basis = f"laboratory: {sample.laboratory}" if sample.laboratory else sample.basis.label
    rest = (basis, str(sample.taken_on), noted_by(hole, sample.sheet_uid))
    if sample.bacteria is not None:
        against = ECOLI if sample.bacteria is Bacteria.ECOLI_PRESENT else COLIFORM
        yield Entry("bacteria", sample.bacteria.label, *rest, against)
    for word, result in sample.compared.items():
        analyte = ANALYTES[word]
        figures = "; ".join(f.named for f in FIGURES.get(word, ()))
        yield Entry(analyte.label, analyte.said(result), *rest, figures)
