"""`wellbook plan` and `wellbook check`: a string judged before it goes down, and while it hangs."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import JSON, WELL, past_day, prompt, session, show, show_json, taking
from wellbook.errors import NotFoundError, WellbookError
from wellbook.exchange.plan_options import OPTIONS, option_at

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.hole.hole import Hole
    from wellbook.present.string_report import StringReport
    from wellbook.rules.duty import Duty
    from wellbook.rules.finding import Settings
    from wellbook.store.book import Book

app = typer.Typer(rich_markup_mode=None)


@app.command("check")
def check(
    ctx: typer.Context,
    well: list[str] = WELL,
    on: str = typer.Option("", "--on", metavar="DATE", help="As of a past day, as now known."),
    as_json: bool = JSON,
) -> None:
    """Judge what hangs there now: each number, its limit, the margin and the source.

    The exit status is 1 where a check fails, 0 where none does. What cannot be said is named with
    the fact that is missing.
    """
    from wellbook.present.string_report import Judged, report_now
    from wellbook.rules import catalogue
    from wellbook.store.holes import load_hole
    from wellbook.store.settings import settings
    from wellbook.store.silences import silences

    here = session(ctx)
    day = past_day(on, here.today)
    with here.open().reading() as connection:
        number = _well(connection, " ".join(well))
        hole, shop = load_hole(connection, number).on(day), settings(connection)
        silent = {rule: why for (_, rule), why in silences(connection, [number], day).items()}
    now = Judged(hole, catalogue.checks(hole, shop), _duties(hole, shop, day))
    _tell(report_now(now, day, silenced=silent), as_json)


_OPTIONS: dict[str, tuple[Any, Any]] = {
    o.name: (str, typer.Option("", o.flag, metavar=o.metavar or None, help=o.help)) for o in OPTIONS
}


@app.command("plan")
@taking(_OPTIONS)
def plan(
    ctx: typer.Context,
    well: list[str] = typer.Argument(
        ..., metavar="WELL [PLAN.toml]", help="A tag or words, and the file of a plan."
    ),
    ask: bool = typer.Option(
        False, "--ask", help="By short questions; Enter leaves it as it hangs."
    ),
    compare: bool = typer.Option(False, "--compare", help="Set it beside what hangs there now."),
    as_json: bool = JSON,
    **given: str,
) -> None:
    """Judge a string before it goes down: the checks, what it gives, what to load, its weight.

    Nothing is written. A plan is a visit sheet with [set.pump], [[set.pipe]], [[set.cable]]: after
    the job the same file, with what was found, goes in by  wellbook visit WELL --from PLAN.toml
    What neither file nor options say stays as it hangs.
    The exit status is 1 where a check fails, 0 where none does.
    """
    from wellbook.exchange.plan_options import asked
    from wellbook.exchange.plan_tables import planned
    from wellbook.present.string_report import Judged, report_planned
    from wellbook.rules import catalogue
    from wellbook.store.holes import load_hole
    from wellbook.store.plans import comes_out, hang
    from wellbook.store.settings import settings

    here = session(ctx)
    words, source = _well_and_file(well)
    book = here.open()
    with book.reading() as connection:
        # Nobody answers a dozen questions of a well that is not there.
        number = _well(connection, words)
    said = asked(given, prompt) if ask else given
    if ask and not source and not any(said.values()):
        raise WellbookError("no question was answered, so there is nothing to judge")
    file = _read(source) if source else {}
    with _undone(book, source) as connection:
        _same_well(connection, number, file)
        document = planned(connection, load_hole(connection, number), file, said)
        made = hang(connection, here.who, number, document, today=here.today)
        shop = settings(connection)
    before, after = made.before.on(here.today), made.after.on(here.today)
    report = report_planned(
        Judged(before, catalogue.checks_of_a_plan(before, shop)),
        Judged(after, catalogue.checks_of_a_plan(after, shop), _duties(after, shop, here.today)),
        here.today,
        shop,
        compare=compare,
        comes_out=comes_out(before, document),
    )
    _tell(report, as_json)


def _well(connection: Connection, words: str) -> int:
    from wellbook.store.the_well import the_well

    try:
        return the_well(connection, words)
    except NotFoundError as error:
        # Status 1 says of these two commands that a check fails.
        error.exit_status = 2
        raise


def _duties(hole: Hole, shop: Settings, day: date) -> list[Duty]:
    from wellbook.rules.duty import duties
    from wellbook.rules.pressures import usual_cut_out

    return list(duties(hole.opened_up(), usual_cut_out(shop), day))


def _tell(report: StringReport, as_json: bool) -> None:
    from wellbook.terms import Verdict

    if as_json:
        from wellbook.present.string_json import report_json

        show_json(report_json(report))
    else:
        from wellbook.present.screen import terminal_width
        from wellbook.present.string_screen import render_report

        show(render_report(report, terminal_width(sys.stdout)))
    if report.verdict is Verdict.FAIL:
        raise typer.Exit(1)


def _well_and_file(words: list[str]) -> tuple[str, str]:
    """The words of the well, and the plan's file where the last one names it."""
    if len(words) > 1 and words[-1].lower().endswith(".toml"):
        return " ".join(words[:-1]), words[-1]
    return " ".join(words), ""


def _read(source: str) -> dict[str, Any]:
    from wellbook.cli.recording import not_toml
    from wellbook.hole.sheet_text import plain_tables

    try:
        text = Path(source).read_bytes().decode("utf-8-sig")
        return plain_tables(text)
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=source) from None
    except UnicodeDecodeError:
        raise WellbookError("is not text in UTF-8", where=source) from None
    except (ValueError, RecursionError) as error:
        wrong = not_toml(error, text)
        place = f"{source}:{wrong.line}" if wrong.line else source
        raise WellbookError(wrong.message, where=place) from None


@contextmanager
def _undone(book: Book, source: str) -> Iterator[Connection]:
    """A transaction that is taken back, and what is wrong with the plan by its line."""
    from wellbook.cli.recording import rehearsed
    from wellbook.hole.sheet import SheetError
    from wellbook.hole.toml_lines import line_of

    try:
        with rehearsed(book, rehearse=True) as connection:
            yield connection
    except SheetError as error:
        text = Path(source).read_text("utf-8-sig") if source else ""
        wrong = []
        for mistake in error.mistakes:
            line = line_of(text, mistake.path) if source else None
            place = f"{source}:{line}: {mistake.where}" if line else option_at(mistake.path)
            wrong.append((place or mistake.where, mistake.message))
        if len(wrong) == 1:
            raise WellbookError(wrong[0][1], where=wrong[0][0]) from None
        raise WellbookError(*(f"{at}: {message}" for at, message in wrong)) from None


def _same_well(connection: Connection, number: int, data: dict[str, Any]) -> None:
    from wellbook.store.the_well import the_well

    named = data.get("well")
    if named and the_well(connection, str(named)) != number:
        raise WellbookError(f"the plan is for {named}, not for the well that was named")
