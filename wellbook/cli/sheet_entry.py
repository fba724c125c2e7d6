"""A sheet from the keyboard: in the user's own editor, or by short questions.

Whichever way it comes in, it is checked by what checks a sheet from a file, what it would change is
shown, and the user is asked. Until it is recorded it stands in a file of its own: nothing that was
typed is lost.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.draft import Draft
from wellbook.cli.editor import edit, editor_command
from wellbook.cli.meanwhile import ChangedSince
from wellbook.cli.recording import WrongSheet, change_lines, recorded, take, tell
from wellbook.cli.session import can_ask, choose, note, prompt, show
from wellbook.errors import NothingWritten, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.cli.meanwhile import Watch
    from wellbook.cli.recording import Write
    from wellbook.hole.hole import Hole
    from wellbook.store.book import Book
    from wellbook.store.sheets import Recording

_STOPPED = 130
"""The exit status of a program that was ended by Ctrl-C."""


class Desk:
    """A sheet that is being written.

    Parameters
    ----------
    book, write
        Where it goes, and what puts it there.
    name
        What the sheet is, such as `visit-TF-0031`; its file is called so.
    title
        The same in words.
    blank
        Its text before anything was typed.
    watch
        What was on record when it was begun.
    """

    def __init__(
        self, book: Book, write: Write, name: str, title: str, blank: str, watch: Watch
    ) -> None:
        self.book = book
        self.write = write
        self.watch = watch
        self.title = title
        self.blank = blank
        self.text = blank
        self.draft = Draft(book, name)

    def put(self, text: str) -> None:
        """What stands on the sheet now."""
        self.text = text
        self.draft.put(text)

    def take(self, *, rehearse: bool) -> Recording:
        """Check and write it; or only show what would come of it.

        Raises
        ------
        ChangedSince
            If another wrote of the well since this was last looked at; nothing is then written.
        """

        def write(connection: Connection, data: dict[str, Any]) -> Recording:
            self.watch.look(connection, data)
            return self.write(connection, data)

        return take(self.book, self.text, write, rehearse=rehearse)

    def edited(self, command: list[str], error: WrongSheet | None) -> None:
        """One round in the editor."""
        status = edit(command, self.draft, self.text, error.wrong if error else [])
        before, after = self.text, self.draft.text()
        if not after.strip():
            # What was saved in an earlier round is more than a slip may take away.
            raise self.given_up("the sheet was emptied")
        self.put(after)
        if status:
            raise self.given_up(f"the editor ended with status {status}")
        if after == before and (error or after == self.blank):
            raise self.given_up("the sheet was not changed")

    def given_up(self, why: str) -> NothingWritten:
        """That the user stopped, and where what was typed is."""
        return NothingWritten("; ".join([why, "nothing was written", *self.kept()]))

    def kept(self) -> list[str]:
        """Where the sheet is kept; nothing where nothing was typed."""
        if self.text == self.blank:
            self.draft.drop()
            return []
        self.draft.put(self.text)
        return [f"your sheet is kept in {self.draft.path}", "the same command goes on with it"]


def enter(
    desk: Desk,
    ask: Callable[[Desk], None] | None = None,
    *,
    yes: bool,
    dry_run: bool,
    as_json: bool,
) -> None:
    """Take a sheet through the editor or the questions, the check and the answer, and write it.

    Parameters
    ----------
    ask
        Puts the answers to questions on the desk; None where the editor is wanted from the start.

    Raises
    ------
    NothingWritten
        Where the user stopped; the message says where the sheet is kept.
    """
    if not can_ask():
        raise WellbookError(
            "the editor and the questions need a terminal, and there is none here;"
            " give a finished sheet: --from FILE"
        )
    command = None if ask else editor_command()
    agree = None if yes else (lambda made: _agreed(desk, made, quiet=as_json))
    try:
        if _goes_on(desk) or ask is None:
            command = command or editor_command()
        else:
            ask(desk)
        made = _settled(desk, command, agree, dry_run=dry_run)
    except (typer.Abort, KeyboardInterrupt):
        print(flush=True)  # the ^C of the terminal has no end of line
        stopped = desk.given_up("stopped")
        stopped.exit_status = _STOPPED
        raise stopped from None
    except NothingWritten:
        raise
    except Exception:
        # Another's change in between, a book that cannot be written: the sheet is still the user's.
        for line in desk.kept():
            note(line)
        raise
    if dry_run:
        tell(made, as_json, dry_run=True)
        for line in desk.kept():
            note(line)
        return
    desk.draft.drop()
    if as_json or yes:
        tell(made, as_json, dry_run=False)
    else:
        # The changes were on the screen a moment ago.
        show([f"{made.after.tag}: {recorded(made)}"])


def _goes_on(desk: Desk) -> bool:
    """Whether the user goes on with a sheet that an earlier run left."""
    left = desk.draft.text()
    if not left.strip() or left == desk.blank:
        return False
    note(f"a sheet is here that was not written: {desk.title}, last saved {desk.draft.saved}")
    _tell(desk.watch.written_after(desk.draft.saved_at))
    if choose("Go on with it?") == "yes":
        desk.text = left
        return True
    note(f"it is put aside as {desk.draft.put_aside()}")
    return False


def _settled(
    desk: Desk,
    command: list[str] | None,
    agree: Callable[[Recording], str] | None,
    *,
    dry_run: bool,
) -> Recording:
    """Round by round, until the sheet is right and the user agrees, or gives up."""
    wrong: WrongSheet | None = None
    told = False
    while True:
        if command and not told:
            desk.edited(command, wrong)
        wrong, told = None, False
        try:
            made = desk.take(rehearse=True)
            if dry_run:
                return made
            answer = agree(made) if agree else "yes"
            if answer == "yes":
                return desk.take(rehearse=False)
            if answer == "no":
                raise desk.given_up("you said no")
        except ChangedSince as error:
            # Both are seen by whoever is asked next: the news, and what this sheet would change now.
            _tell(error.news)
            if not (agree or dry_run):
                raise desk.given_up("another wrote of it while you did") from None
            told = True
            continue
        except WrongSheet as error:
            wrong = error
            if not command:
                _offer_editor(desk, error)
        command = command or editor_command()


def _tell(news: list[str]) -> None:
    if news:
        note("while this sheet was being written:")
        for line in news:
            note(line)


def _offer_editor(desk: Desk, error: WrongSheet) -> None:
    """Who came by questions has no editor open, and may not want one."""
    for one in error.wrong:
        note(one.message)
    if choose("Mend it in the editor?") == "no":
        raise desk.given_up("the sheet is not right yet")


def _agreed(desk: Desk, made: Recording, *, quiet: bool) -> str:
    """Show what would change, and ask."""
    sheet = made.sheet
    crew = f"; {', '.join(sheet.crew)}" if sheet.crew else ""
    lines = [f"{desk.title}, {sheet.start}: {sheet.reason.label}{crew}", *change_lines(made)]
    if quiet:
        for line in lines:
            note(line)
    else:
        show(lines)
    return choose("Write it?", "yes", "no", "edit")


# -- the questions ------------------------------------------------------------------------------


def by_questions(hole: Hole, today: date) -> Callable[[Desk], None]:
    """What puts the answers on a desk; each as soon as it is given."""
    from wellbook.cli.sheet_questions import Questions
    from wellbook.hole.sheet_text import sheet_text

    def ask(desk: Desk) -> None:
        def question(text: str) -> str:
            desk.put(sheet_text(questions.document))
            return prompt(text)

        questions = Questions(hole, today, question, note)
        try:
            questions.all()
        finally:
            desk.put(sheet_text(questions.document))

    return ask
