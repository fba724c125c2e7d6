"""`wellbook print`: everything on paper, as PDF."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import Session, note, session, write_bytes
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.paper.hole_on_paper import HoleOnPaper
    from wellbook.paper.printing import Printable

app = typer.Typer(rich_markup_mode=None, no_args_is_help=True)

WELLS = typer.Argument(..., metavar="WELL...", help="Tags, or words in quotes; one PDF for all.")


def _pdf_name(to: str) -> str:
    """A name for a PDF, refused before anything is read where it is none."""
    if to and Path(to).suffix.lower() != ".pdf":
        raise WellbookError(f"'{to}' is no name of a PDF; end it in .pdf", where="--to")
    return to


TO = typer.Option(
    "",
    "--to",
    metavar="FILE.pdf",
    callback=_pdf_name,
    help="Which file; by default one here, named by the well.",
)


@app.callback()
def papers() -> None:
    """Everything on paper, as PDF: for the truck, the clipboard and the well cap."""


@app.command("hole")
def hole(ctx: typer.Context, wells: list[str] = WELLS, to: str = TO) -> None:
    """The well's page: the hole to scale, what is due, what to load."""
    from wellbook.paper.hole_leaves import hole_leaves

    here = session(ctx)
    found, shop = _wells(here, wells)
    _print([hole_leaves(well, shop) for well in found], "hole", _tags(found), to)


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
    _print(sheets, "sheet", _tags(found), to)


@app.command("label")
def label(
    ctx: typer.Context,
    wells: list[str] = WELLS,
    phone: str = typer.Option("", "--phone", metavar="NUMBER", help="Whom to ring, on the tag."),
    roll: bool = typer.Option(
        False, "--roll", help="For a label printer, 2 x 1 in; else on letter pages, to be cut."
    ),
    to: str = TO,
) -> None:
    """Tags with a QR code for the well cap, with nothing personal."""
    from wellbook.paper.tags import Tag, TagPage, TagRoll
    from wellbook.store.search import the_well

    here = session(ctx)
    with here.open().reading() as connection:
        shop = _shop(connection)
        found = dict.fromkeys(the_well(connection, words) for words in wells)
        tags = [_tag_of(connection, number) for number in found]
    made = [Tag(tag, shop, phone) for tag in tags]
    _print([TagRoll(made) if roll else TagPage(made)], "label", tags, to)


# -- what they share ------------------------------------------------------------------------------


def _wells(here: Session, wells: Sequence[str]) -> tuple[list[HoleOnPaper], str]:
    """The wells that are named, each once, and the shop's name."""
    from wellbook.paper.hole_on_paper import hole_on_paper
    from wellbook.rules import catalogue
    from wellbook.rules.pressures import usual_cut_out
    from wellbook.rules.reach import reach_of
    from wellbook.store.holes import load_hole
    from wellbook.store.search import the_well
    from wellbook.store.settings import settings
    from wellbook.store.silences import silences

    day = here.today
    found: list[HoleOnPaper] = []
    with here.open().reading() as connection:
        shop = settings(connection)
        for number in dict.fromkeys(the_well(connection, words) for words in wells):
            record = load_hole(connection, number).on(day)
            quiet = {rule: why for (_, rule), why in silences(connection, [number], day).items()}
            due = [f for f in catalogue.judge(record, shop) if f.holds(day)]
            reach = reach_of(record, usual_cut_out(shop))
            found.append(hole_on_paper(record, due, day, reach, silenced=quiet))
        return found, _shop(connection)


def _shop(connection: Connection) -> str:
    """The shop's name."""
    from wellbook.store.shop import shop_says

    return shop_says(connection)["name"]


def _tag_of(connection: Connection, number: int) -> str:
    from sqlalchemy import select

    from wellbook.store import tables as t

    return str(connection.execute(select(t.well.c.tag).where(t.well.c.id == number)).scalar_one())


def _tags(found: Sequence[HoleOnPaper]) -> list[str]:
    return [well.page.tag for well in found]


def _print(pieces: Iterable[Printable], what: str, tags: Sequence[str], to: str) -> None:
    """Write the PDF, and say where it is and what could not be shown."""
    from io import BytesIO

    from wellbook.paper.printing import print_into

    path = Path(to) if to else Path(f"{_file_name(tags)}-{what}.pdf")
    made = BytesIO()
    printed = print_into(made, pieces, title=f"{what} {', '.join(tags)}")
    write_bytes(path, made.getvalue())
    pages = f"{printed.pages} page{'' if printed.pages == 1 else 's'}"
    note(f"{pages} for {_said(tags)} in {path}")
    if printed.lacking:
        note(f"shown as a box, as the print has no such letter: {' '.join(printed.lacking[:20])}")


def _said(tags: Sequence[str]) -> str:
    return tags[0] if len(tags) == 1 else f"{len(tags)} wells"


def _file_name(tags: Sequence[str]) -> str:
    """A name for a file: of the first well, and how many more there are."""
    name = re.sub(r"[^\w.-]+", "_", tags[0]).strip("._") or "well"
    return name if len(tags) == 1 else f"{name}-and-{len(tags) - 1}-more"
