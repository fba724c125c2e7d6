"""`wellbook visit`, `correct` and `withdraw`: one sheet, one check, whichever way it comes in."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import JSON, WELL, session, show, show_json
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.store.book import Book
    from wellbook.store.sheets import Recording

app = typer.Typer(rich_markup_mode=None)

FROM = typer.Option(
    "", "--from", metavar="FILE|-", help="A finished sheet (TOML); - reads it here."
)
DRY = typer.Option(False, "--dry-run", help="Show what would change, and write nothing.")
WHY = typer.Option("", "--because", help="Why; it stands beside the old sheet.")


@app.command("visit")
def visit(
    ctx: typer.Context,
    well: list[str] = WELL,
    source: str = FROM,
    ask: bool = typer.Option(False, "--ask", help="By short questions; Enter skips."),
    dry_run: bool = DRY,
    yes: bool = typer.Option(False, "--yes", help="Do not ask before writing."),
    as_json: bool = JSON,
) -> None:
    """Record a visit: what was found, measured, pulled, set and left. All of it, or nothing.

    Without --from or --ask your editor opens on a sheet filled in with what is down the hole.
    """
    from wellbook.store.search import the_well
    from wellbook.store.sheets import record

    here = session(ctx)
    book = here.open()
    with book.reading() as connection:
        number = the_well(connection, " ".join(well))

    def write(connection: Connection, data: dict[str, Any]) -> Recording:
        _same_well(connection, number, data)
        return record(connection, here.who, number, data, today=here.today)

    if source:
        text = _read(source)
        recording = commit(book, text, source, write, dry_run=dry_run)
        tell(recording, as_json, dry_run=dry_run)
        return
    from wellbook.cli import sheet_entry

    start = sheet_entry.asked(book, number, here.today) if ask else None
    if start is None:
        start = sheet_entry.prefilled(book, number, here.today)
    sheet_entry.enter(
        start,
        write,
        book,
        edit=not ask,
        yes=yes,
        dry_run=dry_run,
        as_json=as_json,
        name=_tag(book, number),
    )


@app.command("correct")
def correct(
    ctx: typer.Context,
    number: int = typer.Argument(..., metavar="VISIT", help="Its number, as history shows it."),
    source: str = FROM,
    because: str = WHY,
    dry_run: bool = DRY,
    yes: bool = typer.Option(False, "--yes", help="Do not ask before writing."),
    as_json: bool = JSON,
) -> None:
    """Put a corrected sheet in place of one on record; the old one stays readable.

    The string is worked out anew. If later sheets then make no sense, nothing changes and the sheet
    in the way is named. Without --from your editor opens on the sheet as it was written.
    """
    from wellbook.store.sheets import correct as put_right
    from wellbook.store.sheets import the_sheet

    here = session(ctx)
    book = here.open()
    with book.reading() as connection:
        old = the_sheet(connection, number)

    def write(connection: Connection, data: dict[str, Any]) -> Recording:
        return put_right(connection, here.who, number, data, today=here.today, why=because)

    if source:
        recording = commit(book, _read(source), source, write, dry_run=dry_run)
        tell(recording, as_json, dry_run=dry_run)
        return
    from wellbook.cli import sheet_entry
    from wellbook.hole.sheet_text import sheet_text

    start = sheet_text(json.loads(old["document"]))
    sheet_entry.enter(
        start,
        write,
        book,
        edit=True,
        yes=yes,
        dry_run=dry_run,
        as_json=as_json,
        name=_tag(book, old["well_id"]),
    )


@app.command("withdraw")
def withdraw(
    ctx: typer.Context,
    number: int = typer.Argument(..., metavar="VISIT", help="Its number, as history shows it."),
    because: str = WHY,
    dry_run: bool = DRY,
    as_json: bool = JSON,
) -> None:
    """Take a sheet out of the count. It stays readable, and the string is worked out without it."""
    from wellbook.store.sheets import withdraw as take_out

    here = session(ctx)
    book = here.open()
    with rehearsed(book, dry_run) as connection:
        recording = take_out(connection, here.who, number, today=here.today, why=because)
    tell(recording, as_json, dry_run=dry_run, done=f"visit {number} is withdrawn")


class _Rehearsal(Exception):  # noqa: N818 - it is no error
    """Ends a transaction that was only to be shown."""


@contextmanager
def rehearsed(book: Book, dry_run: bool) -> Iterator[Connection]:
    """A transaction that is undone at its end where it is only to be shown."""
    try:
        with book.writing() as connection:
            yield connection
            if dry_run:
                raise _Rehearsal
    except _Rehearsal:
        pass


def _tag(book: Book, number: int) -> str:
    from wellbook.store import tables as t
    from wellbook.store.rows import by_id

    with book.reading() as connection:
        return str(by_id(connection, t.Well, number)["tag"])


def _read(source: str) -> str:
    try:
        raw = sys.stdin.buffer.read() if source == "-" else Path(source).read_bytes()
        return raw.decode("utf-8-sig")
    except OSError as error:
        raise WellbookError(error.strerror or "cannot be read", where=source) from None
    except UnicodeDecodeError:
        raise WellbookError("is not text in UTF-8", where=source) from None


def commit(book: Book, text: str, source: str, write: Any, *, dry_run: bool) -> Recording:
    """Check and write a sheet's text; every mistake is named with its line."""
    from wellbook.hole.sheet import SheetError

    try:
        with rehearsed(book, dry_run) as connection:
            recording: Recording = write(connection, parse(text, source))
    except SheetError as error:
        raise mistakes(error, text, source) from None
    except WellbookError as error:
        raise error if error.where else type(error)(error.message, where=source) from None
    return recording


def parse(text: str, source: str) -> dict[str, Any]:
    """A sheet's text as plain tables."""
    from wellbook.hole.sheet_text import plain_tables

    try:
        return plain_tables(text)
    except ValueError as error:
        raise WellbookError(_plain_toml(str(error)), where=source) from None


def _plain_toml(message: str) -> str:
    return f"is not a sheet in TOML: {message[:1].lower()}{message[1:]}"


def mistakes(error: Any, text: str, source: str) -> WellbookError:
    """All mistakes of a sheet, a line each, with the line of the file on which each stands."""
    from wellbook.hole.toml_lines import line_of

    lines = []
    for mistake in error.mistakes:
        line = line_of(text, mistake.path)
        place = f"{source}:{line}" if line else source
        field = f"{mistake.where}: " if mistake.where else ""
        lines.append(f"{place}: {field}{mistake.message}")
    return WellbookError("\n".join(lines))


def _same_well(connection: Connection, number: int, data: dict[str, Any]) -> None:
    from wellbook.store.search import the_well

    named = data.get("well")
    if named and the_well(connection, str(named)) != number:
        raise WellbookError(f"the sheet is for {named}, not for the well that was named")


def tell(recording: Recording, as_json: bool, *, dry_run: bool, done: str = "") -> None:
    from wellbook.store.sheets import changes

    listed = changes(recording.before, recording.after)
    if as_json:
        from wellbook.present.json_shapes import envelope

        show_json(
            envelope(
                "wellbook.visit",
                1,
                well=recording.after.tag,
                visit=None if dry_run else recording.number,
                written=not dry_run,
                changes=listed,
            )
        )
        return
    if not done:
        done = f"visit {recording.number} of {recording.sheet.start} is recorded"
    show(
        [
            f"{recording.after.tag}: "
            + ("nothing was written; this would change:" if dry_run else done),
            *(f"  {line}" for line in listed or ["nothing changes down the hole"]),
        ]
    )
