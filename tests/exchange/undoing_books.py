"""What a book says, apart from what an undo leaves readable: to hold it against what it said before."""

from __future__ import annotations

import json

from sqlalchemy import Connection

from tests.store.book_picture import derived, picture
from wellbook.exchange.taking_back import TakenBack, take_back, the_latest
from wellbook.store.book import Book
from wellbook.store.reversing import UNDONE

OUTSIDE = ("technician", "message", "message_about", "calendar_entry", "import_run")
"""Who is of the crew stays known; the outbox and the calendar are logs of their own; a run that was
taken back is still listed."""


def said(connection: Connection) -> dict[str, list[str]]:
    """The book's truth without sheets that were undone, and all that follows from it."""
    found = {name: rows for name, rows in picture(connection).items() if name not in OUTSIDE}
    sheets = [json.loads(row) for row in found["sheet"]]
    gone = {row["uid"] for row in sheets if row["status_why"] == UNDONE}
    found["sheet"] = [row for row in found["sheet"] if json.loads(row)["uid"] not in gone]
    for name in ("crew", "call"):
        rows = found[name]
        found[name] = [row for row in rows if json.loads(row)["sheet_id"] not in gone]
    return {**found, "derived": derived(connection)}


def undo(book: Book, *, again: bool = False) -> TakenBack:
    """Take the latest entry back, or do again what was taken back."""
    with book.writing() as connection:
        return take_back(book, connection, "Una", the_latest(connection, again=again))
