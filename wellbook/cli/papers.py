"""`wellbook papers`: which papers of jobs are owed, and which were sent."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import (
    JSON,
    past_day,
    read_option,
    screen_width,
    session,
    show,
    show_json,
)
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.store.papers import OwedPaper
    from wellbook.terms import PaperKind

app = typer.Typer(
    rich_markup_mode=None, help="The papers that jobs owe, by their deadlines; mark one as sent."
)
WELL = typer.Argument(..., metavar="WELL", help="A tag, or words in quotes that single it out.")
KIND = typer.Argument(
    ...,
    metavar="KIND",
    help="report, laboratory_sheet, pump_report, sealing_record or warranty_return.",
)
VISIT = typer.Option("", "--visit", metavar="NUMBER", help="Of which visit, where several owe one.")


@app.callback(invoke_without_command=True)
def papers(
    ctx: typer.Context,
    town: str = typer.Option("", "--town", help="Only one town."),
    as_json: bool = JSON,
) -> None:
    """List what is owed: past its deadline first, then by deadline."""
    if ctx.invoked_subcommand:
        if town or as_json:
            raise WellbookError("--town and --json are for the list, without a word after papers")
        return
    from wellbook.store.listing import known_town
    from wellbook.store.papers import owed_papers

    here = session(ctx)
    with here.open().reading() as connection:
        owed = owed_papers(connection, today=here.today, town=town or None)
        if town and not owed:
            known_town(connection, town)
    if as_json:
        from wellbook.present.envelope import envelope

        shapes = [_shape(one, here.today) for one in owed]
        show_json(envelope("wellbook.papers", 1, as_of=here.today.isoformat(), papers=shapes))
    elif owed:
        from wellbook.present.tables import table

        columns = ["by", "", "well", "customer", "phone", "paper", "of visit"]
        show(table(columns, [_row(one, here.today) for one in owed], screen_width()))
        show(["", "When one is sent: wellbook papers sent WELL KIND"])
    else:
        show(["No paper is owed."])


def _row(one: OwedPaper, today: date) -> list[str]:
    item = one.item
    visit = f"{one.visit}, {item.finding.reason.partition(' of the ')[2].partition(',')[0]}"
    late = (today - one.deadline).days
    left = "last day" if late == 0 else f"{late} days late" if late > 0 else f"{-late} days left"
    if abs(late) == 1:
        left = left.replace("days", "day")
    return [
        one.deadline.isoformat(),
        left,
        item.tag,
        item.customer,
        item.phone,
        one.kind.label,
        visit,
    ]


def _shape(one: OwedPaper, today: date) -> dict[str, Any]:
    item = one.item
    return {
        "well": item.tag,
        "customer": item.customer,
        "phone": item.phone,
        "road": item.road,
        "town": item.town,
        "kind": one.kind.value,
        "visit": one.visit,
        "deadline": one.deadline.isoformat(),
        "days_left": (one.deadline - today).days,
        "severity": item.finding.severity.value,
        "reason": item.finding.reason,
        "source": item.finding.source,
    }


@app.command("sent")
def sent(
    ctx: typer.Context,
    well: str = WELL,
    kind: str = KIND,
    visit: str = VISIT,
    on: str = typer.Option("", "--on", metavar="DATE", help="When (default today)."),
    to: str = typer.Option("", "--to", metavar="WHOM", help="To whom."),
) -> None:
    """Mark a paper as sent: it is owed no more."""
    from wellbook.store.papers import mark_sent
    from wellbook.store.the_well import the_well

    here, asked, number = session(ctx), paper_kind(kind), visit_number(visit)
    day = past_day(on, here.today)
    with here.open().writing() as connection:
        paper = mark_sent(
            connection,
            here.who,
            the_well(connection, well),
            asked,
            on=day,
            to=to,
            number=number,
            today=here.today,
        )
    whom = f" to {to.strip()}" if to.strip() else ""
    show([f"{asked.label} of visit {paper.visit.number}, {paper.visit.start}: sent {day}{whom}"])


@app.command("unsent")
def unsent(ctx: typer.Context, well: str = WELL, kind: str = KIND, visit: str = VISIT) -> None:
    """Take back that a paper was sent: it is owed again."""
    from wellbook.store.papers import take_back
    from wellbook.store.the_well import the_well

    here, asked, number = session(ctx), paper_kind(kind), visit_number(visit)
    with here.open().writing() as connection:
        well_id = the_well(connection, well)
        paper = take_back(connection, here.who, well_id, asked, number=number)
    show([f"{asked.label} of visit {paper.visit.number}, {paper.visit.start}: not sent"])


def paper_kind(text: str) -> PaperKind:
    """The kind of paper that an argument names."""
    from wellbook.hole.fields import word
    from wellbook.terms import PaperKind

    found: PaperKind = read_option(lambda: word(PaperKind, text), "KIND")
    return found


def visit_number(text: str) -> int | None:
    """The number that `--visit` says; None where it is not given."""
    if not text:
        return None
    if not text.strip().isdigit():
        raise WellbookError(f"'{text}' is no number of a visit", where="--visit")
    return int(text)
