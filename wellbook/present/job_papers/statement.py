"""A statement of recorded facts, for a sale or an insurer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Motor, Pump
from wellbook.present.job_papers.content import (
    Entry,
    PaperContent,
    bore_entries,
    crew_of,
    fact_entry,
    level_entry,
    noted_by,
    part_entries,
    pipe_entry,
    place_entries,
    sample_entries,
    section,
    text_entry,
)
from wellbook.present.job_papers.records import PUMP_FIELDS
from wellbook.quantities import show
from wellbook.terms import Kind, LevelState, Quantity, Reason

SOURCE = (
    "recorded facts only. Wisconsin Administrative Code NR 812.44: for pay at a property's sale only a"
    " licensed well driller or pump installer may offer an opinion on a well; other states have rules"
    " of their own"
)
NO_OPINION = (
    "This is a statement of what is on record. It is no opinion on the condition or the performance of"
    " the well, nor on its water.",
    "What is not on record is printed as unknown; it was not looked for on the day of this statement.",
    "Published figures are printed for comparison. Those for water bind public systems.",
)
YIELD = (
    "3 gpm a dwelling for 4 hours, for an existing shared well (HUD Handbook 4000.1); 5 gpm peak (New"
    " York State Department of Health)"
)
CASING = "8 in above grade (77 Illinois Administrative Code 925.40)"


def statement_of_facts(hole: Hole, day: date) -> PaperContent:
    """What the book has of a well on a day.

    Parameters
    ----------
    hole
        The well, as of that day (`Hole.on`).
    day
        The day of the statement.
    """
    motor = hole.the(Motor)
    return PaperContent(
        title=f"Statement of recorded facts, {day}",
        well=hole.tag,
        sections=(
            section("The well", place_entries(hole)),
            section("The bore", _bore(hole)),
            section("The water's level and yield", _water(hole)),
            section("The pump", _pump(hole)),
            section("Its setting", _setting(hole)),
            section(
                "The motor",
                part_entries(hole, motor[0] if motor else None, {"horsepower of the motor": "hp"}),
            ),
            section("Water samples", _samples(hole)),
            section("Visits", _visits(hole)),
        ),
        source=SOURCE,
        cautions=NO_OPINION,
    )


def _bore(hole: Hole) -> Iterator[Entry]:
    for entry in bore_entries(hole):
        casing = entry.label == "casing above ground" and hole.stick_up_ft is not None
        yield replace(entry, compared_with=CASING) if casing else entry
    frost = hole.frost_depth_ft
    yield text_entry("frost depth", None if frost is None else show(frost, "ft"))
    on = hole.reworked_on
    reworked = [v for v in hole.visits if on is not None and on in (v.start, v.end)]
    yield text_entry("worked on since", ", ".join(f"{v.reason.label} {v.start}" for v in reworked))


def _water(hole: Hole) -> Iterator[Entry]:
    yield level_entry(hole, "static level", LevelState.STATIC, LevelState.FLOWING)
    yield level_entry(hole, "pumping level", LevelState.PUMPING)
    yield fact_entry(hole, "yield", hole.fact(Quantity.YIELD_GPM), compared_with=YIELD)
    yield fact_entry(hole, "flow at the last reading", hole.fact(Quantity.FLOW_GPM))


def _pump(hole: Hole) -> Iterator[Entry]:
    """The pump; of a well whose pump came out, that none went in since is on record too."""
    pump = hole.the(Pump)
    out = [(c.pulled_on, c) for c in hole.components if c.kind is Kind.PUMP and c.pulled_on]
    if pump is None and out:
        day, last = max(out, key=lambda one: one[0].latest or date.min)
        by = noted_by(hole, last.pulled_by)
        yield Entry("pump", "pulled; none set since is on record", "", str(day), by)
        return
    yield from part_entries(hole, pump[0] if pump else None, PUMP_FIELDS)


def _setting(hole: Hole) -> Iterator[Entry]:
    pump = hole.the(Pump)
    set_on = None if pump is None or not pump[0].set_on.known else pump[0].setting
    yield fact_entry(hole, "pump set", set_on)
    yield pipe_entry(hole)


def _samples(hole: Hole) -> Iterator[Entry]:
    """The newest sample first; all of them, since what is left out would be a choice."""
    newest = sorted(
        hole.samples, key=lambda s: (s.taken_on.latest or date.min, s.uid), reverse=True
    )
    for sample in newest:
        yield from sample_entries(hole, sample)


def _visits(hole: Hole) -> Iterator[Entry]:
    for visit in reversed(hole.visited()):
        kind = "check-up" if visit.reason is Reason.CHECK_UP else "visit"
        yield Entry(kind, visit.reason.label, "visit sheet", str(visit.start), crew_of(visit))
