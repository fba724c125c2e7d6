"""The papers that jobs owe: the list of them, one marked as sent, one taken back.

What is owed stands in the ledger, by the rule `papers-owed`; what was sent, in the table `paper`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import Connection, delete, select

from wellbook.errors import NotFoundError, WellbookError
from wellbook.hole.hole import Hole
from wellbook.rules import names
from wellbook.rules.finding import Finding
from wellbook.rules.paper_facts import JobPaper, job_papers, papers_of
from wellbook.store import tables as t
from wellbook.store.due_list import Asked, DueItem, due
from wellbook.store.holes import load_hole
from wellbook.store.judging import renew
from wellbook.store.ledger import ledger_of
from wellbook.store.rows import add, batches, change, log, log_about, records
from wellbook.store.sheets import the_sheet
from wellbook.store.stays import who_was
from wellbook.terms import PaperKind, SheetStatus


@dataclass(frozen=True, slots=True)
class OwedPaper:
    """A paper that is owed: whose, of which visit by its number, by when.

    Whose it is goes by the day of the job: who has moved in since gets nobody else's report.
    """

    item: DueItem
    kind: PaperKind
    visit: int
    deadline: date

    @property
    def finding(self) -> Finding:
        """What the ledger says of it."""
        return self.item.finding


def owed_papers(connection: Connection, *, today: date, town: str | None = None) -> list[OwedPaper]:
    """All papers that are owed today, worst first: those past their deadline, oldest first."""
    asked = Asked(by=today, rule=names.PAPERS_OWED, town=town)
    items = due(connection, asked, today=today)
    jobs = _jobs(connection, [i.finding.counts_from for i in items])
    days = {(i.site_id, jobs[i.finding.counts_from][1]) for i in items if i.site_id}
    people = who_was(connection, days)
    papers = []
    for item in items:
        number, day = jobs[item.finding.counts_from]
        name, phone = people.get((item.site_id or 0, day), ("", ""))
        papers.append(
            OwedPaper(
                replace(item, customer=name, phone=phone),
                PaperKind(str(item.finding.numbers["kind"])),
                number,
                date.fromisoformat(str(item.finding.numbers["deadline"])),
            )
        )
    return sorted(papers, key=lambda p: (p.finding.rank[:1], p.deadline, p.item.tag, p.kind.value))


def _jobs(connection: Connection, roots: Sequence[str]) -> dict[str, tuple[int, date]]:
    """The numbers of the valid sheets of some roots, and the days on which they end."""
    table = t.sheet
    found: dict[str, tuple[int, date]] = {}
    for batch in batches(roots):
        query = select(table.c.root_uid, table.c.id, table.c.start_on, table.c.end_on).where(
            table.c.root_uid.in_(batch),
            table.c.status == SheetStatus.VALID.value,
        )
        for row in connection.execute(query):
            found[row.root_uid] = row.id, row.end_on or row.start_on
    return found


def mark_sent(
    connection: Connection,
    who: str,
    well_id: int,
    kind: PaperKind,
    *,
    on: date,
    to: str = "",
    number: int | None = None,
    today: date,
) -> JobPaper:
    """Mark a paper as sent and renew the ledger; of one sent before, the day and whom are put right.

    Parameters
    ----------
    on
        The day on which it was sent.
    to
        To whom; may be empty.
    number
        The number of its visit; None where one paper of that kind is owed there.

    Raises
    ------
    NotFoundError
        If none is owed, or the visit gives rise to none of that kind.
    WellbookError
        If several are owed, or it would have been sent before its visit.
    """
    hole = load_hole(connection, well_id)
    if number is None:
        paper = _the_owed(connection, well_id, hole, kind, today)
    else:
        paper = _of_visit(connection, hole, kind, number, job_papers(hole))
    if on < paper.visit.start:
        raise WellbookError(f"{on} is before the visit of {paper.visit.start}", where="--on")
    write_sent(connection, who, well_id, paper, on=on, to=to)
    renew(connection, [well_id])
    return paper


def write_sent(
    connection: Connection, who: str, well_id: int, paper: JobPaper, *, on: date, to: str
) -> None:
    """Write that a paper was sent, without renewing the ledger."""
    place = {
        "well_id": well_id,
        "sheet_root_uid": paper.visit.uid,
        "kind": paper.kind.value,
    }
    values = {"sent_on": on, "sent_to": to.strip(), "who": who}
    known = connection.execute(select(t.paper.c.id).filter_by(**place)).scalar()
    if known is None:
        add(connection, who, t.paper, {**place, **values})
    else:
        change(connection, who, t.paper, known, values)


def take_back(
    connection: Connection, who: str, well_id: int, kind: PaperKind, *, number: int | None = None
) -> JobPaper:
    """Take back that a paper was sent, and renew the ledger: it is owed again.

    Raises
    ------
    NotFoundError
        If none of that kind was marked as sent.
    WellbookError
        If several were, and no visit is named.
    """
    hole = load_hole(connection, well_id)
    marked = {p.sheet_uid for p in hole.papers if p.kind is kind}
    if number is None:
        some = [p for p in job_papers(hole) if p.kind is kind and p.visit.uid in marked]
        paper = _only(some, hole, kind, "marked as sent")
    else:
        paper = _of_visit(connection, hole, kind, number, job_papers(hole))
    if paper.visit.uid not in marked:
        raise NotFoundError(f"the {kind.label} of visit {number} is not marked as sent")
    place = {"well_id": well_id, "sheet_root_uid": paper.visit.uid, "kind": kind.value}
    row = records(connection, select(t.paper).filter_by(**place))[0]
    connection.execute(delete(t.paper).where(t.paper.c.id == row["id"]))
    log(connection, who, "remove", "paper", row["uid"], old=row)
    log_about(connection, who, hole.uid)
    renew(connection, [well_id])
    return paper


def _the_owed(
    connection: Connection, well_id: int, hole: Hole, kind: PaperKind, today: date
) -> JobPaper:
    owed = {
        f.counts_from
        for f in ledger_of(connection, well_id)
        if f.rule == names.PAPERS_OWED and f.holds(today) and f.numbers["kind"] == kind.value
    }
    some = [p for p in job_papers(hole) if p.kind is kind and p.visit.uid in owed]
    return _only(some, hole, kind, "owed")


def _only(some: Sequence[JobPaper], hole: Hole, kind: PaperKind, how: str) -> JobPaper:
    if not some:
        raise NotFoundError(
            f"no {kind.label} is {how} at {hole.tag}; of another visit: --visit NUMBER"
            f" (wellbook history {hole.tag} shows the numbers)"
        )
    if len(some) > 1:
        listed = ", ".join(f"{p.visit.number} of {p.visit.start}" for p in some)
        raise WellbookError(
            f"{len(some)} of them are {how} at {hole.tag}: of visit {listed}; name one by --visit"
        )
    return some[0]


def the_paper(
    connection: Connection, hole: Hole, kind: PaperKind, number: int | None = None
) -> JobPaper:
    """A paper to be written out, whether or not it is owed: of a visit, else the newest.

    Parameters
    ----------
    number
        The number of its visit; None for the newest that has one of that kind.

    Raises
    ------
    NotFoundError
        If the visit, or the well, has none of that kind.
    """
    papers = [p for visit in hole.visited() for p in papers_of(hole, visit)]
    if number is not None:
        return _of_visit(connection, hole, kind, number, papers)
    found = [p for p in papers if p.kind is kind]
    if not found:
        has = ", ".join(sorted({p.kind.label for p in papers})) or "none"
        raise NotFoundError(f"no visit at {hole.tag} gives rise to a {kind.label}; it has: {has}")
    return found[-1]


def _of_visit(
    connection: Connection,
    hole: Hole,
    kind: PaperKind,
    number: int,
    of_well: Iterable[JobPaper],
) -> JobPaper:
    root = the_sheet(connection, number)["root_uid"]
    papers = [p for p in of_well if p.visit.uid == root]
    found = next((p for p in papers if p.kind is kind), None)
    if found is None:
        has = ", ".join(p.kind.label for p in papers) or "none"
        raise NotFoundError(
            f"visit {number} gives rise to no {kind.label} at {hole.tag}; its papers: {has}"
        )
    return found
