"""Which papers the jobs at a well give rise to, sent or not, and which of them were sent.

Only a job on or after the day on which the well came into the book gives rise to one: of what comes
in from twenty years of paper the report went out long ago, or never will.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.hole.records import Paper, Sample, Visit
from wellbook.terms import Bacteria, Kind, PaperKind, Reason, WellStatus


@dataclass(frozen=True, slots=True)
class JobPaper:
    """A paper of one job: of which visit; for a pump's papers, of which pump."""

    kind: PaperKind
    visit: Visit
    pump: Component | None = None

    @property
    def done_on(self) -> date:
        """The end of the job, from which its deadline counts."""
        return self.visit.end or self.visit.start


def job_papers(hole: Hole) -> Iterator[JobPaper]:
    """All papers of the jobs at a well, oldest job first; a job still open gives rise to none yet."""
    for visit in hole.visited():
        if visit.start >= hole.entered_on and visit.end is not None:
            yield from papers_of(hole, visit)


def papers_of(hole: Hole, visit: Visit) -> Iterator[JobPaper]:
    """What can be written out of a visit, whether or not anybody is owed it."""
    if visit.reason is Reason.DECOMMISSIONING:
        if hole.status is WellStatus.SEALED and not visit.reopened:
            yield JobPaper(PaperKind.SEALING_RECORD, visit)
        return
    # Of a trip for a sample the laboratory's sheet is all there is to report.
    if visit.reason is not Reason.WATER_SAMPLE:
        yield JobPaper(PaperKind.REPORT, visit)
    if results_of(hole, visit):
        yield JobPaper(PaperKind.LABORATORY_SHEET, visit)
    pump = pump_set_by(hole, visit)
    if pump is not None:
        yield JobPaper(PaperKind.PUMP_REPORT, visit, pump)
    failed = failed_in_warranty(hole, visit)
    if failed is not None:
        yield JobPaper(PaperKind.WARRANTY_RETURN, visit, failed)


def sent(hole: Hole, paper: JobPaper) -> Paper | None:
    """The paper as it was sent; None where it was not."""
    found = (p for p in hole.papers if (p.sheet_uid, p.kind) == (paper.visit.uid, paper.kind))
    return next(found, None)


def results_of(hole: Hole, visit: Visit) -> list[Sample]:
    """The samples of a visit of which the laboratory has said anything."""
    of = [s for s in hole.samples if s.sheet_uid == visit.uid]
    return [s for s in of if s.bacteria is not None or s.results]


def has_bacteria(hole: Hole, visit: Visit) -> bool:
    """Whether bacteria were present in a sample of a visit."""
    found = {s.bacteria for s in results_of(hole, visit)}
    return bool(found & {Bacteria.COLIFORM_PRESENT, Bacteria.ECOLI_PRESENT})


def pump_set_by(hole: Hole, visit: Visit) -> Component | None:
    """The pump that went in at a visit; one that was only put back is the old one."""
    own = (c for c in hole.components if c.kind is Kind.PUMP and c.set_by == visit.uid)
    return next(own, None)


def failed_in_warranty(hole: Hole, visit: Visit) -> Component | None:
    """The pump that came out at a visit because it, or its motor, failed within its warranty.

    The warranty stands on the pump's record: a motor that failed goes back with its pump.
    """
    out = [c for c in hole.components if c.pulled_by == visit.uid]
    failed = any(c.cause is not None for c in out if c.kind in (Kind.PUMP, Kind.MOTOR))
    for pump in out if failed else ():
        until = warranty_end(pump)
        if pump.kind is Kind.PUMP and until is not None and visit.start <= until:
            return pump
    return None


def warranty_of(pump: Component) -> When | None:
    """Until when the warranty of a pump lasts, as it is known; None where none is on record."""
    return pump.part.warranty_until if isinstance(pump.part, Pump) else None


def warranty_end(pump: Component) -> date | None:
    """The last day on which a pump may still be in its warranty; None where that is not known."""
    when = warranty_of(pump)
    return None if when is None else when.latest
