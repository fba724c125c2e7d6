"""A paper that a job owes: to the customer, to the authority, to the maker of the pump.

The truck is home, the next one rings, and the report is written in a week, or never. Each paper has
a deadline that counts from the end of the job; it is owed until it is marked as sent, or until long
enough after the deadline that nobody waits for it any more. Where nobody asks for a paper, as many a
state asks for no pump report, its days are 0. A well that is sealed for good owes its sealing
record, and nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from wellbook.hole.hole import Hole
from wellbook.rules import names
from wellbook.rules.customer_words import day_words, in_words
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Number,
    Numbers,
    Rule,
    Threshold,
    later,
    occurrence,
)
from wellbook.rules.paper_facts import (
    JobPaper,
    has_bacteria,
    job_papers,
    sent,
    warranty_end,
    warranty_of,
)
from wellbook.terms import Occasion, PaperKind, Severity

NAME = names.PAPERS_OWED
LABORATORY_SOURCE = (
    "Wisconsin Administrative Code NR 812.46(5): the laboratory's sheet to the owner within 10"
    " days, a positive result for bacteria within 48 hours"
)
PUMP_SOURCE = (
    "Michigan R 325.1676 and Hawaii part II: 60 days; West Virginia 64-19-5: 30 days, not for a swap"
    " that leaves depth and output as they were; others ask for none: the local code"
)
REPORT_SOURCE = f"{COMMON_PRACTICE}; as long as {LABORATORY_SOURCE}"

_SAID = {
    PaperKind.REPORT: ("customer's report", "send the customer the report", REPORT_SOURCE),
    PaperKind.LABORATORY_SHEET: (
        "laboratory's sheet",
        "send the customer the laboratory's sheet",
        LABORATORY_SOURCE,
    ),
    PaperKind.PUMP_REPORT: (
        "pump report",
        "send the pump report to whom the local code names",
        PUMP_SOURCE,
    ),
    PaperKind.SEALING_RECORD: (
        "sealing record",
        "send the sealing record to whom the local code names",
        COMMON_PRACTICE,
    ),
    PaperKind.WARRANTY_RETURN: (
        "warranty return",
        "send the pump back with its papers, as its maker asks",
        COMMON_PRACTICE,
    ),
}


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """What the jobs at a well that is in use owe."""
    for paper in job_papers(hole):
        yield from _owed(hole, paper, numbers)


def of_sealed(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """What a well that is sealed for good owes."""
    for paper in job_papers(hole):
        if paper.kind is PaperKind.SEALING_RECORD:
            yield from _owed(hole, paper, numbers)


def _owed(hole: Hole, paper: JobPaper, numbers: Numbers) -> Iterator[Finding]:
    days, deadline = _deadline(hole, paper, numbers)
    if not days or deadline is None or sent(hole, paper) is not None:
        return
    begun = paper.done_on
    if paper.pump is not None and paper.kind is PaperKind.WARRANTY_RETURN:
        # After its end nothing can be sent back: what is urgent is urgent before.
        last = warranty_end(paper.pump) or deadline
        late, ends = max(begun, later(deadline, days=-days)), later(last, days=1)
    else:
        late = later(deadline, days=1)
        ends = later(late, months=round(numbers["keep_months"]))
    # What had ended by the last day of the record is history, and the ledger is no place for it.
    if ends <= max(v.start for v in hole.visits):
        return
    title, action, source = _SAID[paper.kind]
    visit = paper.visit
    said: dict[str, Number] = {"kind": paper.kind.value, "deadline": deadline.isoformat()}
    plan = Finding(
        rule=NAME,
        subject=title,
        occurrence=occurrence(NAME, paper.kind.value, visit.uid),
        may_from=begun,
        surely_from=begun,
        until=late,
        severity=Severity.PLAN,
        occasion=Occasion.NOW,
        reason=f"{title} of the {visit.reason.label} job of {visit.start}, {_by(paper, days, deadline)}",
        action=f"{action}; then: wellbook papers sent {hole.tag} {paper.kind.value}",
        source=source,
        counts_from=visit.uid,
        numbers={**said, "days": days},
        to_customer=_told(paper),
    )
    if not _presses(hole, paper):
        yield replace(plan, until=ends)
        return
    if begun < late:
        yield plan
    if late < ends:
        yield replace(plan, may_from=late, surely_from=late, until=ends, severity=Severity.ACT)


def _presses(hole: Hole, paper: JobPaper) -> bool:
    """Whether a late paper is urgent: an authority or a maker waits, or who drinks bacteria.

    That a customer's report is late is a pity, and would bury what is worse than that.
    """
    if paper.kind is PaperKind.LABORATORY_SHEET:
        return has_bacteria(hole, paper.visit)
    return paper.kind is not PaperKind.REPORT


def _deadline(hole: Hole, paper: JobPaper, numbers: Numbers) -> tuple[int, date | None]:
    """How many days there are, 0 where nobody asks for the paper, and the last day for it."""
    if paper.kind is PaperKind.WARRANTY_RETURN:
        return round(numbers["warranty_days"]), _warranty_deadline(paper)
    name = f"{paper.kind.value}_days"
    if paper.kind is PaperKind.LABORATORY_SHEET and has_bacteria(hole, paper.visit):
        name = "bacteria_days"
    days = round(numbers[name])
    return days, later(paper.done_on, days=days)


def _warranty_deadline(paper: JobPaper) -> date | None:
    """The day by which it is surely in time; where that is over, the last on which it may be."""
    when = None if paper.pump is None else warranty_of(paper.pump)
    if when is None or when.earliest is None or when.earliest < paper.done_on:
        return None if when is None else when.latest
    return when.earliest


def _by(paper: JobPaper, days: int, deadline: date) -> str:
    if paper.pump is not None and paper.kind is PaperKind.WARRANTY_RETURN:
        return f"while its warranty lasts, to {warranty_of(paper.pump)}"
    return f"within {days} days of its end: by {deadline}"


def _told(paper: JobPaper) -> str:
    """Of a pump that failed in its warranty the customer has to know; the other papers tell him."""
    until = None if paper.pump is None else warranty_of(paper.pump)
    if paper.kind is not PaperKind.WARRANTY_RETURN or paper.pump is None or until is None:
        return ""
    return (
        f"The pump set {in_words(paper.pump.set_on)} failed and was pulled on"
        f" {day_words(paper.visit.start)}; its warranty ends {in_words(until)}, and it has to go back"
        " to its maker before then."
    )


def _days(name: str, default: int, meaning: str, source: str) -> Threshold:
    asked = f"{meaning}; 0: nobody asks for it"
    return Threshold(f"{name}_days", default, asked, source, 0, 365, whole=True)


RULE = Rule(
    name=NAME,
    title="paper of a job not sent",
    why=__doc__ or "",
    thresholds=(
        _days("report", 10, "days after a visit for the customer's report", REPORT_SOURCE),
        _days(
            "laboratory_sheet",
            10,
            "days after a sample for the laboratory's sheet, from the day it was taken",
            LABORATORY_SOURCE,
        ),
        _days(
            "bacteria",
            2,
            "days for a sheet that has bacteria, from the day it was taken",
            LABORATORY_SOURCE,
        ),
        _days("pump_report", 60, "days after a pump was set for the report of it", PUMP_SOURCE),
        _days("sealing_record", 30, "days after a well was sealed for its record", COMMON_PRACTICE),
        _days(
            "warranty",
            30,
            "days before a warranty's end from which a return is urgent",
            COMMON_PRACTICE,
        ),
        Threshold(
            "keep_months",
            12,
            "months after its deadline for which a paper is still asked for",
            COMMON_PRACTICE,
            1,
            240,
            whole=True,
        ),
    ),
    finds=judge,
    when_sealed=of_sealed,
)
