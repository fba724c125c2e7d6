"""The customer's report after a visit: found, measured, done, left for next time, due next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wellbook.hole.describe import describe, describe_found
from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.present.job_papers.content import (
    IN_THEIR_WORDS,
    Entry,
    PaperContent,
    crew_of,
    place_entries,
    reading_entry,
    sample_entries,
    section,
)
from wellbook.present.text import plural
from wellbook.rules.finding import Finding
from wellbook.terms import Reason

SOURCE = (
    "National Ground Water Association, consumer text on the yearly check-up: a clear written report"
    " with the laboratory's results"
)
CAUTIONS = (
    "The figures for water bind public systems; for a private well they are what a result is compared"
    " with. Your health department can advise you on the water.",
    "Nobody but qualified hands opens the well, the control box or the tank: the power is off and"
    " locked out before any of them is opened.",
)


def customer_report(hole: Hole, visit: Visit, due: Sequence[Finding]) -> PaperContent:
    """The report of one visit.

    Parameters
    ----------
    hole
        The well, as it is on record now.
    visit
        The visit that it tells of.
    due
        What is due at the well; the customer's own sentences of it are printed.
    """
    return PaperContent(
        title=f"Report of the visit of {visit.start}",
        well=hole.tag,
        sections=(
            section("The well", place_entries(hole)),
            section("The visit", _visit(visit)),
            section("Found", _found(hole, visit)),
            section("Measured", _measured(hole, visit)),
            section("Water", _water(hole, visit)),
            section("Done", _done(hole, visit)),
            section("Left for next time", _left(visit)),
            section("Due next", _due(due)),
        ),
        source=SOURCE,
        cautions=CAUTIONS,
    )


def _visit(visit: Visit) -> Iterator[Entry]:
    end = f" to {visit.end}" if visit.end and visit.end != visit.start else ""
    yield Entry("date", f"{visit.start}{end}")
    yield Entry("reason", visit.reason.label)
    yield Entry("crew", crew_of(visit))


def _found(hole: Hole, visit: Visit) -> Iterator[Entry]:
    rest = (str(visit.start), crew_of(visit))
    for found in hole.found:
        if found.sheet_uid == visit.uid:
            basis = IN_THEIR_WORDS if found.note else "seen"
            yield Entry("found", describe_found(found), basis, *rest)
    for one in hole.inspections:
        counted = [(one.splices, "splice"), (one.rubs, "rub")]
        said = ", ".join(plural(count, word) for count, word in counted if count is not None)
        if one.sheet_uid == visit.uid and said:
            yield Entry("cable", said, "counted", *rest)


def _measured(hole: Hole, visit: Visit) -> Iterator[Entry]:
    for seen in hole.observations:
        if seen.sheet_uid == visit.uid:
            yield reading_entry(hole, seen)


def _water(hole: Hole, visit: Visit) -> Iterator[Entry]:
    for sample in hole.samples:
        if sample.sheet_uid == visit.uid:
            yield from sample_entries(hole, sample)


def _done(hole: Hole, visit: Visit) -> Iterator[Entry]:
    rest = ("", str(visit.start), crew_of(visit))
    for part in hole.components:
        if part.pulled_by == visit.uid:
            yield Entry("pulled", describe(part.part), *rest)
        if part.pulled_by == visit.uid and part.why_pulled:
            yield Entry("why", part.why_pulled, IN_THEIR_WORDS, *rest[1:])
        if part.set_by == visit.uid:
            yield Entry("set", describe(part.part), *rest)
        if any(away.back_by == visit.uid for away in part.absences):
            yield Entry("put back", describe(part.part), *rest)
    if visit.disinfected or visit.reason is Reason.DISINFECTION:
        yield Entry("disinfected", "the well", *rest)


def _left(visit: Visit) -> Iterator[Entry]:
    if visit.left_without_pump:
        yield Entry("pump", "the well was left without a pump", "", str(visit.start))
    if visit.left_for_next_time:
        yield Entry("next time", visit.left_for_next_time, IN_THEIR_WORDS, str(visit.start))


def _due(due: Sequence[Finding]) -> Iterator[Entry]:
    for told in dict.fromkeys(f.to_customer for f in due if f.to_customer):
        yield Entry("due", told)
