"""`wellbook hole` and `wellbook history`."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, WELL, one_day, session, show, show_json
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.hole.records import Hole
    from wellbook.rules.finding import Finding

app = typer.Typer(rich_markup_mode=None)


@app.command("hole")
def hole(
    ctx: typer.Context,
    well: list[str] = WELL,
    on: str = typer.Option("", "--on", metavar="DATE", help="As of a past day, as now known."),
    as_json: bool = JSON,
) -> None:
    """What's down that hole: the string, what is wrong or due, what to ask, what to load."""
    from wellbook.present.page import build_page
    from wellbook.present.picture import draw_hole

    here = session(ctx)
    day = one_day(on, "--on", here.today) if on else here.today
    if day > here.today:
        raise WellbookError(f"{day} lies ahead; the book knows the past", where="--on")
    record, findings, silenced = _judged(ctx, " ".join(well), day)
    if as_json:
        from wellbook.present.json_page import page_json

        show_json(page_json(record, findings, day, silenced=silenced))
        return
    from wellbook.present.terminal import render_page, terminal_width

    page = build_page(record, findings, day, silenced=silenced)
    ascii_only = (sys.stdout.encoding or "utf-8").lower().replace("-", "") not in ("utf8",)
    width = terminal_width(sys.stdout)
    show(render_page(page, lambda height: draw_hole(record, height, ascii=ascii_only), width))


def _judged(
    ctx: typer.Context, words: str, day: date
) -> tuple[Hole, list[Finding], dict[str, str]]:
    """The hole as of a day, what holds on that day, and which rules are silent, with the reason."""
    from wellbook.rules import catalogue
    from wellbook.store.holes import load_hole
    from wellbook.store.ledger import settings, silences
    from wellbook.store.search import the_well

    with session(ctx).open().reading() as connection:
        number = the_well(connection, words)
        record = load_hole(connection, number).on(day)
        shop = settings(connection)
        silent = {rule: why for (_, rule), why in silences(connection, [number], day).items()}
    findings = [f for f in catalogue.judge(record, shop) if f.holds(day)]
    return record, [f for f in findings if f.rule not in silent], silent


@app.command("history")
def history(ctx: typer.Context, well: list[str] = WELL, as_json: bool = JSON) -> None:
    """Every visit, call and part ever set or pulled, newest first, with spans and causes."""
    from wellbook.present.history import build_history, history_json, render_history
    from wellbook.present.terminal import terminal_width
    from wellbook.store.holes import load_hole
    from wellbook.store.search import the_well

    with session(ctx).open().reading() as connection:
        record = load_hole(connection, the_well(connection, " ".join(well)))
    entries = build_history(record)
    if as_json:
        show_json(history_json(record, entries))
    else:
        width = terminal_width(sys.stdout)
        show(render_history(record, entries, width))
