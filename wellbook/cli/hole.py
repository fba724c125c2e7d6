"""`wellbook hole` and `wellbook history`."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, WELL, past_day, session, show, show_json
from wellbook.errors import NotFoundError

if TYPE_CHECKING:
    from wellbook.store.past_sheets import SheetVersion

app = typer.Typer(rich_markup_mode=None)


@app.command("hole")
def hole(
    ctx: typer.Context,
    well: list[str] = WELL,
    on: str = typer.Option("", "--on", metavar="DATE", help="As of a past day, as now known."),
    as_json: bool = JSON,
) -> None:
    """What's down that hole: the string, what is wrong or due, what to ask, what to load."""
    from wellbook.store.judged_wells import judged_wells
    from wellbook.store.the_well import the_well

    here = session(ctx)
    day = past_day(on, here.today)
    with here.open().reading() as connection:
        (found,) = judged_wells(connection, [the_well(connection, " ".join(well))], day)
    if as_json:
        from wellbook.present.json_page import page_json

        quiet, said = found.silenced, found.said
        show_json(page_json(found.hole, found.findings, day, silenced=quiet, lives=said))
        return
    from wellbook.present.page import page_of
    from wellbook.present.page_screen import render_page
    from wellbook.present.screen import terminal_width

    show(render_page(page_of(found), width=terminal_width(sys.stdout)))


@app.command("history")
def history(
    ctx: typer.Context,
    well: list[str] = WELL,
    visit: int = typer.Option(
        0,
        "--visit",
        metavar="NO",
        show_default=False,
        help="One sheet as it was written, with its older versions.",
    ),
    as_json: bool = JSON,
) -> None:
    """Every visit, call and part ever set or pulled, newest first, with spans and causes.

    Sheets that were corrected or withdrawn are named with the reason; --visit shows their text.
    """
    from wellbook.present.history import build_history, render_history, render_versions
    from wellbook.present.screen import terminal_width
    from wellbook.store.holes import load_hole
    from wellbook.store.past_sheets import all_versions
    from wellbook.store.the_well import the_well

    with session(ctx).open().reading() as connection:
        number = the_well(connection, " ".join(well))
        record = load_hole(connection, number)
        versions = all_versions(connection, number)
    if visit:
        versions = _of_one_sheet(versions, visit, record.tag)
    entries = () if visit else build_history(record, versions)
    width = terminal_width(sys.stdout)
    if as_json:
        from wellbook.present.json_history import history_json

        show_json(history_json(record, entries, versions))
    elif visit:
        show(render_versions(record, versions, width))
    else:
        show(render_history(record, entries, width))


def _of_one_sheet(versions: list[SheetVersion], visit: int, tag: str) -> list[SheetVersion]:
    """All versions of the sheet that bears a number, whichever of them it is."""
    root = next((v.root_uid for v in versions if v.number == visit), None)
    if root is None:
        raise NotFoundError(
            f"{tag} has no sheet of the number {visit}; wellbook history {tag} shows the numbers",
            where="--visit",
        )
    return [v for v in versions if v.root_uid == root]
