"""The paper of a visit, by its kind."""

from __future__ import annotations

from collections.abc import Sequence

from wellbook.errors import NotFoundError
from wellbook.hole.hole import Hole
from wellbook.present.job_papers.content import PaperContent
from wellbook.present.job_papers.customer_report import customer_report
from wellbook.present.job_papers.records import pump_report, sealing_record, warranty_return
from wellbook.rules.finding import Finding
from wellbook.rules.paper_facts import JobPaper
from wellbook.terms import PaperKind


def content_of(
    paper: JobPaper, hole: Hole, due: Sequence[Finding], contractor: str
) -> PaperContent:
    """What stands on a paper.

    Parameters
    ----------
    paper
        Of which visit, and which kind.
    hole
        The well, as it is on record now.
    due
        What the customer is to hear of, for his report.
    contractor
        The shop with its licence, as it signs.

    Raises
    ------
    NotFoundError
        Of the laboratory's sheet: it is the laboratory's own.
    """
    visit = paper.visit
    # What was set or pulled since is no part of this job.
    then = hole.on(paper.done_on)
    if paper.kind is PaperKind.REPORT:
        return customer_report(then, visit, due)
    if paper.kind is PaperKind.PUMP_REPORT:
        return pump_report(then, visit, contractor=contractor)
    if paper.kind is PaperKind.SEALING_RECORD:
        return sealing_record(then, visit, contractor=contractor)
    if paper.kind is PaperKind.WARRANTY_RETURN and paper.pump is not None:
        return warranty_return(then, visit, paper.pump)
    raise NotFoundError(
        "the laboratory's sheet is the laboratory's own and is not kept here; its results:"
        f" wellbook sample list {hole.tag}"
    )
