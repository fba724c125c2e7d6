"""`wellbook undo`: what was done last is taken back."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, session, show, show_json
from wellbook.errors import NothingWritten, WellbookError

if TYPE_CHECKING:
    from wellbook.store.book import Book
    from wellbook.store.entries import Entry
    from wellbook.store.log_words import ToldEntry

app = typer.Typer(rich_markup_mode=None)
_LINES = 20


@app.command("undo")
def undo(
    ctx: typer.Context,
    again: bool = typer.Option(False, "--again", help="Do again what was taken back last."),
    yes: bool = typer.Option(False, "--yes", help="Do not ask before it is done."),
    as_json: bool = JSON,
) -> None:
    """Take back what was done last in the book, by whomever.

    Said again it takes back what was done before that, one entry each time, up to the first or to one
    that cannot be taken back: whatever day that was. What it would take back is shown and asked first;
    with --yes it is shown when it is done. A visit is withdrawn and stays readable; all else is as it
    was before. It is refused where something depends on it, and for what cannot be taken back:
    a merge, a person forgotten, a letter that went out. It is a change itself: --again takes it back,
    as long as nothing else was done since.

    JSON is wellbook.undo, version 1: written, and the entry as wellbook.log has it.
    """
    from wellbook.cli.session import can_ask, choose
    from wellbook.present.log_lines import log_lines
    from wellbook.store.time_zones import time_zone

    here = session(ctx)
    book = here.open()
    entry, told = _tried(book, here.who, again)
    with book.reading() as connection:
        zone = time_zone(connection)
    lines = list(log_lines([told], zone, whole=False))
    does = "do again" if again else "take back"
    if not yes:
        if not can_ask():
            raise WellbookError(
                f"would {does} entry {entry.number}, {lines[0].split('  ', 1)[1].strip()};"
                f" say so: --yes (wellbook log {entry.number} shows it in full)",
                where="--yes",
            )
        show([f"this would {does}:", *lines])
        if choose(f"{does} entry {entry.number}?") == "no":
            raise NothingWritten("nothing is changed")
    _written(book, here.who, again, entry)
    if again:
        told = replace(told, undone=False)
        lines = list(log_lines([told], zone, whole=False))
    if as_json:
        from wellbook.present.envelope import envelope
        from wellbook.present.log_lines import entry_json

        show_json(envelope("wellbook.undo", 1, written=True, entry=entry_json(told)))
        return
    done = "done again" if again else "taken back"
    way_back = "wellbook undo" if again else "wellbook undo --again"
    show([f"{done}:", *lines, f"to turn that round: {way_back}"])


def _tried(book: Book, who: str, again: bool) -> tuple[Entry, ToldEntry]:
    """The entry, and what it is in words; refused here already where it cannot be taken back."""
    from wellbook.cli.recording import rehearsed
    from wellbook.exchange.taking_back import take_back, the_latest
    from wellbook.store.entries import entry_by_uid
    from wellbook.store.log_words import told_entries

    with book.reading() as connection:
        entry = the_latest(connection, again=again)
        shown = entry
        if again and (undone := entry_by_uid(connection, entry.undoes)):
            shown = undone
        told = told_entries(connection, [shown], most=_LINES)[0]
    with rehearsed(book, True) as connection:
        take_back(book, connection, who, the_latest(connection, again=again))
    return shown, told


def _written(book: Book, who: str, again: bool, shown: Entry) -> None:
    from wellbook.exchange.taking_back import take_back, the_latest

    with book.writing() as connection:
        entry = the_latest(connection, again=again)
        if shown.uid not in (entry.uid, entry.undoes):
            raise WellbookError("somebody has changed the book since; look again: wellbook log")
        take_back(book, connection, who, entry)
