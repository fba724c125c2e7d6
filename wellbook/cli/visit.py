"""`wellbook visit`, `correct` and `withdraw`: one sheet, one check, whichever way it comes in."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.recording import WrongSheet, rehearsed, take, tell
from wellbook.cli.session import JSON, WELL, note, session
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.cli.recording import Write
    from wellbook.store.book import Book
    from wellbook.store.sheets import Recording

app = typer.Typer(rich_markup_mode=None)

FROM = typer.Option(
    "", "--from", metavar="FILE|-", help="A finished sheet (TOML); - reads it here."
)
DRY = typer.Option(False, "--dry-run", help="Show what would change, and write nothing.")
YES = typer.Option(False, "--yes", help="Do not ask before writing.")
NUMBER = typer.Argument(..., metavar="VISIT", help="Its number, as history shows it.")
WHY = typer.Option("", "--because", help="Why; it stands beside the old sheet.")


@app.command("visit")
def visit(
    ctx: typer.Context,
    well: list[str] = WELL,
    source: str = FROM,
    ask: bool = typer.Option(False, "--ask", help="By short questions; Enter skips."),
    dry_run: bool = DRY,
    yes: bool = YES,
    as_json: bool = JSON,
) -> None:
    """Record a visit: what was found, measured, pulled, set and left. All of it, or nothing.

    Without --from or --ask your editor opens on a sheet filled in with what is down the hole.
    """
    from wellbook.cli.meanwhile import Watch
    from wellbook.store.sheets import record
    from wellbook.store.the_well import the_well

    if source and ask:
        raise WellbookError("give one of --from and --ask")
    here = session(ctx)
    book = here.open()
    with book.reading() as connection:
        number = the_well(connection, " ".join(well))
        watch = Watch(connection, number)
    hole = watch.hole

    def write(connection: Connection, data: dict[str, Any]) -> Recording:
        _same_well(connection, number, data)
        return record(connection, here.who, number, data, today=here.today)

    if source:
        _from_file(book, source, write, as_json=as_json, dry_run=dry_run)
        return
    from wellbook.cli.sheet_entry import Desk, by_questions, enter
    from wellbook.hole.sheet_text import prefilled_text, sheet_text

    blank = sheet_text({"well": hole.tag}) if ask else prefilled_text(hole, here.today)
    desk = Desk(book, write, f"visit-{hole.tag}", f"visit to {hole.tag}", blank, watch)
    questions = by_questions(hole, here.today) if ask else None
    enter(desk, questions, yes=yes, dry_run=dry_run, as_json=as_json)


@app.command("correct")
def correct(
    ctx: typer.Context,
    visit: str = NUMBER,
    source: str = FROM,
    because: str = WHY,
    dry_run: bool = DRY,
    yes: bool = YES,
    as_json: bool = JSON,
) -> None:
    """Put a corrected sheet in place of one on record; the old one stays readable.

    The string is worked out anew. If later sheets then make no sense, nothing changes and the sheet
    in the way is named. Without --from your editor opens on the sheet as it was written.
    """
    from wellbook.cli.meanwhile import CorrectedWatch
    from wellbook.store.sheets import correct as put_right

    number = _number(visit)
    here = session(ctx)
    book = here.open()
    with book.reading() as connection:
        watch = CorrectedWatch(connection, number)

    def write(connection: Connection, data: dict[str, Any]) -> Recording:
        return put_right(connection, here.who, watch.number, data, today=here.today, why=because)

    if source:
        _from_file(book, source, write, as_json=as_json, dry_run=dry_run)
        return
    from wellbook.cli.sheet_entry import Desk, enter
    from wellbook.hole.sheet_text import recorded_text

    if not watch.document:
        note(
            f"visit {number} cannot be read any more; write it anew, from an older backup or the paper"
        )
    blank = recorded_text(number, watch.document)
    desk = Desk(book, write, f"correct-{number}", f"visit {number} corrected", blank, watch)
    enter(desk, yes=yes, dry_run=dry_run, as_json=as_json)


@app.command("withdraw")
def withdraw(
    ctx: typer.Context,
    visit: str = NUMBER,
    because: str = WHY,
    dry_run: bool = DRY,
    as_json: bool = JSON,
) -> None:
    """Take a sheet out of the count. It stays readable, and the string is worked out without it."""
    from wellbook.store.sheets import withdraw as take_out

    number = _number(visit)
    here = session(ctx)
    book = here.open()
    with rehearsed(book, dry_run) as connection:
        recording = take_out(connection, here.who, number, today=here.today, why=because)
    tell(recording, as_json, dry_run=dry_run, done=f"visit {number} is withdrawn")


def _number(text: str) -> int:
    if re.fullmatch(r"\d{1,9}", text.strip()):
        return int(text)
    raise WellbookError(f"'{text}' is no visit's number; wellbook history WELL shows them")


def _read(source: str) -> str:
    try:
        raw = sys.stdin.buffer.read() if source == "-" else Path(source).read_bytes()
        return raw.decode("utf-8-sig")
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=source) from None
    except UnicodeDecodeError:
        raise WellbookError("is not text in UTF-8", where=source) from None


def _from_file(book: Book, source: str, write: Write, *, as_json: bool, dry_run: bool) -> None:
    """Check and write a finished sheet; every mistake is named with its line of the file."""
    text = _read(source)
    try:
        recording = take(book, text, write, rehearse=dry_run)
    except WrongSheet as error:
        raise _refused(error, source) from None
    tell(recording, as_json, dry_run=dry_run)


def _refused(error: WrongSheet, source: str) -> WellbookError:
    said = error.refusal
    if said is not None:
        return said if said.where else type(said)(said.message, where=source)
    places = [f"{source}:{one.line}" if one.line else source for one in error.wrong]
    lines = [f"{place}: {one.message}" for place, one in zip(places, error.wrong, strict=True)]
    return WellbookError(*lines)


def _same_well(connection: Connection, number: int, data: dict[str, Any]) -> None:
    from wellbook.store.the_well import the_well

    named = data.get("well")
    if named and the_well(connection, str(named)) != number:
        raise WellbookError(f"the sheet is for {named}, not for the well that was named")
