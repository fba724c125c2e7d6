"""`wellbook print`: everything on paper, as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli import print_mail, print_papers
from wellbook.cli.printing import TO, WELLS, print_pieces, print_wells
from wellbook.cli.session import Session, session, taking
from wellbook.cli.visiting import OPTIONS, Wanted

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.paper.hole_on_paper import HoleOnPaper

app = typer.Typer(rich_markup_mode=None, no_args_is_help=True)


@app.callback()
def papers() -> None:
    """Everything on paper, as PDF: for the truck, the clipboard, the customer and the well cap."""


@app.command("hole")
def hole(ctx: typer.Context, wells: list[str] = WELLS, to: str = TO) -> None:
    """The well's page: the hole to scale, what is due, what to load."""
    from wellbook.paper.hole_leaves import hole_leaves

    here = session(ctx)
    found, shop = _wells(here, wells)
    print_wells([hole_leaves(well, shop) for well in found], "hole", _tags(found), to)


@app.command("sheet")
def sheet(
    ctx: typer.Context,
    wells: list[str] = WELLS,
    opens: bool = typer.Option(
        False, "--opens", help="The job opens the well: what waited for the pull comes first."
    ),
    to: str = TO,
) -> None:
    """The blank visit sheet, with the last readings beside its boxes."""
    from wellbook.paper.visit_sheet import visit_sheet

    here = session(ctx)
    found, shop = _wells(here, wells)
    sheets = [visit_sheet(well, shop, opens=opens) for well in found]
    print_wells(sheets, "sheet", _tags(found), to)


@app.command("list")
@taking(OPTIONS)
def list_(ctx: typer.Context, to: str = TO, **given: Any) -> None:
    """The check-up list: who and in what order as in wellbook checkups, a page or two for each."""
    from wellbook.paper.visit_list import visit_list
    from wellbook.present.text import plural
    from wellbook.store.shop import shop_says
    from wellbook.store.wells import well_by_tag

    here = session(ctx)
    wanted = Wanted(here, given)
    with here.open().reading() as connection:
        found = wanted.read(connection)
        tags = dict.fromkeys(tag for stop in found.stops for tag in stop.wells)
        numbers = [n for tag in tags if (n := well_by_tag(connection, tag)) is not None]
        wells = _on_paper(connection, here, numbers)
        shop = shop_says(connection)["name"]
    by_tag = {well.page.tag: well for well in wells}
    whose = plural(len(found.stops), "stop")
    booklet = visit_list(found, by_tag, shop, here.today)
    print_pieces([booklet], "check-ups", whose, to or f"checkups-{found.by:%Y-%m}.pdf")


@app.command("label")
def label(
    ctx: typer.Context,
    wells: list[str] = WELLS,
    roll: bool = typer.Option(
        False, "--roll", help="For a label printer, 2 x 1 in; else on letter pages, to be cut."
    ),
    to: str = TO,
) -> None:
    """Tags with a QR code for the well cap: the shop's name and phone, and nothing personal."""
    from wellbook.paper.tags import Tag, TagPage, TagRoll
    from wellbook.store.shop import shop_says
    from wellbook.store.the_well import the_well

    here = session(ctx)
    with here.open().reading() as connection:
        shop = shop_says(connection)
        found = dict.fromkeys(the_well(connection, words) for words in wells)
        tags = [_tag_of(connection, number) for number in found]
    made = [Tag(tag, shop["name"], shop["phone"]) for tag in tags]
    print_wells([TagRoll(made) if roll else TagPage(made)], "label", tags, to)


app.command("paper")(print_papers.paper)
app.command("statement")(print_papers.statement)
app.command("letter")(print_mail.letter)


# -- what they share ------------------------------------------------------------------------------


def _wells(here: Session, wells: Sequence[str]) -> tuple[list[HoleOnPaper], str]:
    """The wells that are named, each once, and the shop's name."""
    from wellbook.store.shop import shop_says
    from wellbook.store.the_well import the_well

    with here.open().reading() as connection:
        numbers = dict.fromkeys(the_well(connection, words) for words in wells)
        return _on_paper(connection, here, list(numbers)), shop_says(connection)["name"]


def _on_paper(connection: Connection, here: Session, numbers: list[int]) -> list[HoleOnPaper]:
    from wellbook.paper.hole_on_paper import hole_on_paper
    from wellbook.store.judged_wells import judged_wells

    return [hole_on_paper(well) for well in judged_wells(connection, numbers, here.today)]


def _tag_of(connection: Connection, number: int) -> str:
    from wellbook.store import tables as t
    from wellbook.store.rows import by_id

    return str(by_id(connection, t.well, number)["tag"])


def _tags(found: Sequence[HoleOnPaper]) -> list[str]:
    return [well.page.tag for well in found]
