"""`wellbook print paper` and `wellbook print statement`: what leaves the shop after a job."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from wellbook.cli.papers import paper_kind, visit_number
from wellbook.cli.printing import ONE_WELL, TO, print_wells
from wellbook.cli.session import note, past_day, session

if TYPE_CHECKING:
    from wellbook.hole.hole import Hole
    from wellbook.rules.paper_facts import JobPaper

KIND = typer.Argument(
    ..., metavar="KIND", help="report, pump_report, sealing_record or warranty_return."
)


def paper(
    ctx: typer.Context,
    well: str = ONE_WELL,
    kind: str = KIND,
    visit: str = typer.Option(
        "", "--visit", metavar="NUMBER", help="Of which visit (default: the newest that has one)."
    ),
    to: str = TO,
) -> None:
    """A paper of a job: the customer's report, pump report, sealing record, return under warranty.

    It states what is on record, each with its basis, its day and who recorded it. To print one does
    not mark it as sent: wellbook papers sent WELL KIND
    """
    from wellbook.paper.job_paper import contractor, job_paper
    from wellbook.present.job_papers.of_visit import content_of
    from wellbook.store.holes import load_hole
    from wellbook.store.judged_wells import judged_wells
    from wellbook.store.papers import the_paper
    from wellbook.store.shop import shop_says
    from wellbook.store.the_well import the_well

    here, asked, number = session(ctx), paper_kind(kind), visit_number(visit)
    with here.open().reading() as connection:
        well_id = the_well(connection, well)
        hole = load_hole(connection, well_id)
        found = the_paper(connection, hole, asked, number)
        (judged,) = judged_wells(connection, [well_id], here.today)
        shop = shop_says(connection)
    content = content_of(found, hole, judged.to_tell, contractor(shop))
    what = f"{asked.value}-{found.visit.start}"
    print_wells([job_paper(content, shop, here.today)], what, [hole.tag], to)
    _say_whether_sent(hole, found)


def _say_whether_sent(hole: Hole, paper: JobPaper) -> None:
    from wellbook.rules.paper_facts import job_papers, sent

    before = sent(hole, paper)
    if before is not None:
        whom = f" to {before.sent_to}" if before.sent_to else ""
        note(f"sent before: {before.sent_on}{whom}")
    elif paper in job_papers(hole):
        kind, number = paper.kind.value, paper.visit.number
        note(f"to mark it as sent: wellbook papers sent {hole.tag} {kind} --visit {number}")


def statement(
    ctx: typer.Context,
    well: str = ONE_WELL,
    on: str = typer.Option("", "--on", metavar="DATE", help="As of a past day, as now known."),
    to: str = TO,
) -> None:
    """A statement of recorded facts, for a sale or an insurer: no opinion on the well or its water."""
    from wellbook.paper.job_paper import job_paper
    from wellbook.present.job_papers.statement import statement_of_facts
    from wellbook.store.holes import load_hole
    from wellbook.store.shop import shop_says
    from wellbook.store.the_well import the_well

    here = session(ctx)
    day = past_day(on, here.today)
    with here.open().reading() as connection:
        hole = load_hole(connection, the_well(connection, well)).on(day)
        shop = shop_says(connection)
    pages = job_paper(statement_of_facts(hole, day), shop, day)
    print_wells([pages], "statement", [hole.tag], to)
