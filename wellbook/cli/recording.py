"""A sheet's text becomes a record: checked whole, rehearsed or written whole, and told of.

Every way in (a file, the editor, the questions) comes through here, so there is one check.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from wellbook.cli.session import show, show_json
from wellbook.errors import BookError, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.hole.said import Sheet
    from wellbook.hole.sheet import Mistake
    from wellbook.store.book import Book
    from wellbook.store.sheets import Recording

    Write = Callable[[Connection, dict[str, Any]], Recording]


@dataclass(frozen=True, slots=True)
class Wrong:
    """One thing wrong, with the line of the text on which it stands, where there is one."""

    message: str
    line: int | None = None


class WrongSheet(Exception):  # noqa: N818 - what is wrong is data; each way in says it its own way
    """A sheet that cannot be taken as it is.

    Parameters
    ----------
    wrong
        All that is wrong, in the order of the sheet.
    refusal
        What the book said, where the sheet itself is right and does not fit what is on record.
    """

    def __init__(self, wrong: list[Wrong], refusal: WellbookError | None = None) -> None:
        super().__init__(wrong)
        self.wrong = wrong
        self.refusal = refusal


def take(book: Book, text: str, write: Write, *, rehearse: bool) -> Recording:
    """Check a sheet's text and write it; or undo it again, where it is only to be shown.

    Raises
    ------
    WrongSheet
        If it cannot be taken. Nothing of it is then written.
    """
    from wellbook.hole.sheet import SheetError
    from wellbook.hole.sheet_text import plain_tables

    try:
        data = plain_tables(text)
    except (ValueError, RecursionError) as error:
        raise WrongSheet([not_toml(error, text)]) from None
    try:
        with rehearsed(book, rehearse) as connection:
            return write(connection, data)
    except SheetError as error:
        raise WrongSheet([_wrong(mistake, text) for mistake in error.mistakes]) from None
    except BookError:
        raise
    except WellbookError as error:
        raise WrongSheet([Wrong(str(error))], error) from None


def _wrong(mistake: Mistake, text: str) -> Wrong:
    from wellbook.hole.toml_lines import line_of

    field = f"{mistake.where}: " if mistake.where else ""
    return Wrong(field + mistake.message, line_of(text, mistake.path))


_AT = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")
# The reader's words, which speak of a program's values, in words about a sheet.
_PLAIN = {
    "Invalid value": "this is no value: text stands in quotes, and each [ is closed by a ]",
    "Expected '=' after a key": "a line is NAME = VALUE, and an explanation begins with #",
    "Unclosed array": "a [ before this is not closed by a ]",
    "Illegal character": "a quote is not closed on its line",
}


def not_toml(error: Exception, text: str) -> Wrong:
    """What the TOML reader says, in plain words, with its line taken out of them."""
    from wellbook.hole.toml_lines import lines_of

    message = str(error)
    if isinstance(error, RecursionError):
        return Wrong("this cannot be read: brackets within brackets without end")
    at = _AT.search(message)
    said = message[: at.start()] if at else message
    words = next((plain for start, plain in _PLAIN.items() if said.startswith(start)), "")
    line = None
    if at:
        line = int(at[1]) if at[1] else max(1, len(lines_of(text.rstrip("\n"))))
    return Wrong(f"this cannot be read: {words or said[:1].lower() + said[1:]}", line)


class _Rehearsal(Exception):  # noqa: N818 - it is no error
    """Ends a transaction that was only to be shown."""


@contextmanager
def rehearsed(book: Book, rehearse: bool) -> Iterator[Connection]:
    """A transaction that is undone at its end where it is only to be shown."""
    try:
        with book.writing() as connection:
            yield connection
            if rehearse:
                raise _Rehearsal
    except _Rehearsal:
        pass


def tell(recording: Recording, as_json: bool, *, dry_run: bool, done: str = "") -> None:
    """Say what was written, or would be."""
    if as_json:
        from wellbook.present.changes import changes
        from wellbook.present.envelope import envelope

        show_json(
            envelope(
                "wellbook.visit",
                1,
                well=recording.after.tag,
                visit=None if dry_run else recording.number,
                written=not dry_run,
                changes=changes(recording.before, recording.after),
            )
        )
        return
    if dry_run:
        sheet = recording.sheet
        done = f"nothing was written; this would change ({headline(sheet)}, {sheet.start}):"
    show([f"{recording.after.tag}: {done or recorded(recording)}", *change_lines(recording)])


def recorded(recording: Recording) -> str:
    """In words, that a sheet is on record."""
    sheet = recording.sheet
    return f"visit {recording.number} of {sheet.start} is recorded: {headline(sheet)}"


def headline(sheet: Sheet) -> str:
    """What a sheet is for, and whose it is."""
    return sheet.reason.label + (f" by {', '.join(sheet.crew)}" if sheet.crew else "")


def change_lines(recording: Recording) -> list[str]:
    """What a sheet changes, a line each."""
    from wellbook.present.changes import changes

    listed = changes(recording.before, recording.after)
    return [f"  {line}" for line in listed or ["nothing changes in the record of the well"]]
