"""A sheet from the keyboard: in the user's own editor, or by short questions.

Whichever way it comes in, it is checked by what checks a sheet from a file, what it would change is
shown, and nothing that was typed is lost: a sheet that is not written is kept in a file.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import can_ask, note, show
from wellbook.errors import BookError, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.hole.records import Hole
    from wellbook.hole.sheet import Mistake
    from wellbook.store.book import Book
    from wellbook.store.sheets import Recording

    Write = Callable[[Connection, dict[str, Any]], Recording]
    Ask = Callable[[str], str]

_MARK = "# !! "


class NothingWritten(WellbookError):  # noqa: N818 - it is an answer more than a mistake
    """The user stopped before anything was written."""

    code = "nothing_written"
    exit_status = 1


# -- the ways in --------------------------------------------------------------------------------


def prefilled(book: Book, number: int, today: date) -> str:
    """A sheet to fill in for a visit to a well."""
    from wellbook.hole.sheet_text import prefilled_text

    return prefilled_text(_hole(book, number), today)


def asked(book: Book, number: int, today: date, ask: Ask | None = None) -> str:
    """A sheet's text from short questions.

    Parameters
    ----------
    ask
        Gives the answer to a question, "" where it is not known; None asks at the terminal.
    """
    from wellbook.cli.sheet_questions import answers
    from wellbook.hole.sheet_text import sheet_text

    if ask is None:
        _want_terminal("the questions")
        ask = _at_the_terminal
    hole = _hole(book, number)
    return sheet_text({"well": hole.tag, **answers(hole, today, ask, note)})


def _hole(book: Book, number: int) -> Hole:
    from wellbook.store.holes import load_hole

    with book.reading() as connection:
        return load_hole(connection, number)


def _at_the_terminal(question: str) -> str:
    return str(typer.prompt(question, default="", show_default=False, err=True))


def _want_terminal(what: str) -> None:
    if not can_ask():
        raise WellbookError(
            f"{what} need a terminal, and there is none here; give a finished sheet: --from FILE"
        )


def enter(
    start_text: str,
    write: Write,
    book: Book,
    *,
    edit: bool,
    yes: bool,
    dry_run: bool,
    as_json: bool,
    name: str = "sheet",
) -> None:
    """Take a sheet through the editor (where `edit`), the check and the question, and write it.

    Raises
    ------
    WellbookError
        Where it is wrong or was given up; the text is then kept, and the message says where.
    """
    if not (yes or dry_run):
        _want_terminal("a question before writing would")
    # Answers to questions were typed, every one; a sheet for the editor not yet.
    desk = _Desk(book, write, name, start_text, start_text if edit else "")
    try:
        recording = _edited(desk) if edit else _checked(desk)
        if not (dry_run or yes):
            _agree(desk, recording, quiet=as_json)
        if not dry_run:
            recording = desk.write_it()
    except NothingWritten:
        raise
    except BaseException:
        # Ctrl-C, a full disk, another's change in between: what was typed is still the user's.
        if kept := desk.keep():
            note(f"your sheet is kept in {kept}; go on with it by: --from {shlex.quote(str(kept))}")
        raise
    _tell(desk, recording, asked=not yes, dry_run=dry_run, as_json=as_json)


def _edited(desk: _Desk) -> Recording:
    """Round by round in the editor, until the sheet is right or the user gives up."""
    command = editor_command()
    _want_terminal("the editor would")
    with tempfile.TemporaryDirectory(prefix="wellbook-") as folder:
        path = Path(folder) / f"visit-{desk.name}.toml"
        wrong: list[Wrong] = []
        while True:
            text = _one_round(command, path, desk.text, wrong)
            if not text.strip():
                desk.give_up("the sheet was emptied")
            if text == desk.text:
                desk.give_up("the sheet was not changed")
            desk.text = text
            result = desk.check()
            if not isinstance(result, list):
                return result
            wrong = result


def _checked(desk: _Desk) -> Recording:
    """A sheet that no editor opens: right, or refused."""
    result = desk.check()
    if isinstance(result, list):
        raise WellbookError("\n".join(one.shown(0) for one in result))
    return result


def _agree(desk: _Desk, recording: Recording, *, quiet: bool) -> None:
    """Show what would change, and ask. Enter alone is no answer: nothing is written by a slip."""
    from wellbook.store.sheets import changes

    sheet = recording.sheet
    crew = f"; {', '.join(sheet.crew)}" if sheet.crew else ""
    lines = [
        f"{recording.after.tag}, visit of {sheet.start}: {sheet.reason.label}{crew}",
        *(f"  {line}" for line in _or_nothing(changes(recording.before, recording.after))),
    ]
    if quiet:
        for line in lines:
            note(line)
    else:
        show(lines)
    if not typer.confirm("Write it?", default=None, err=True):
        desk.give_up("you said no")


def _or_nothing(listed: list[str]) -> list[str]:
    return listed or ["nothing changes down the hole"]


def _tell(desk: _Desk, made: Recording, *, asked: bool, dry_run: bool, as_json: bool) -> None:
    from wellbook.cli.visit import tell

    if dry_run or as_json or not asked:
        tell(made, as_json, dry_run=dry_run)
    else:
        # The changes were on the screen a moment ago.
        show([f"{made.after.tag}: visit {made.number} of {made.sheet.start} is recorded"])
    if dry_run and (kept := desk.keep()):
        note(f"your sheet is kept in {kept}")


# -- one sheet on the desk ----------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Wrong:
    """One thing wrong, with the line of the text on which it stands, where there is one."""

    message: str
    line: int | None = None

    def shown(self, above: int) -> str:
        """In one line; `above` are the lines that will stand above the text."""
        place = f"line {self.line + above}: " if self.line else ""
        return place + " ".join(self.message.split())


class _Desk:
    """A sheet that is being written: its text, the book it goes to, and where it is kept."""

    def __init__(self, book: Book, write: Write, name: str, text: str, untouched: str) -> None:
        self.book = book
        self.write = write
        self.name = re.sub(r"[^A-Za-z0-9._-]+", "-", name) or "sheet"
        self.text = text
        self.untouched = untouched

    def check(self) -> Recording | list[Wrong]:
        """Rehearse the write: what would come of it, or what is wrong."""
        from wellbook.cli.visit import rehearsed
        from wellbook.hole.sheet import SheetError
        from wellbook.hole.sheet_text import plain_tables

        try:
            data = plain_tables(self.text)
        except (ValueError, RecursionError) as error:
            return [_not_toml(str(error), self.text)]
        try:
            with rehearsed(self.book, True) as connection:
                return self.write(connection, data)
        except SheetError as error:
            return [_wrong(mistake, self.text) for mistake in error.mistakes]
        except BookError:
            raise
        except WellbookError as error:
            return [Wrong(str(error))]

    def write_it(self) -> Recording:
        """Write it. What others wrote since the rehearsal may stand in its way."""
        from wellbook.cli.visit import rehearsed
        from wellbook.hole.sheet_text import plain_tables

        with rehearsed(self.book, False) as connection:
            return self.write(connection, plain_tables(self.text))

    def give_up(self, why: str) -> None:
        """Stop; what was typed is kept."""
        kept = self.keep()
        place = f"; your sheet is kept: go on by --from {shlex.quote(str(kept))}" if kept else ""
        raise NothingWritten(f"{why}; nothing was written{place}")

    def keep(self) -> Path | None:
        """Put the text into a file of its own; None where nothing was typed."""
        if self.text == self.untouched:
            return None
        for folder in self._folders():
            try:
                return _new_file(folder, f"visit-{self.name}", self.text)
            except OSError:
                continue
        # Nowhere to put it: the screen is the last place where it can be saved from.
        note("the sheet could not be kept in a file; here it is:")
        for line in self.text.splitlines():
            note(line)
        return None

    def _folders(self) -> list[Path]:
        beside = [self.book.path.parent] if self.book.is_file else []
        return [*beside, Path(tempfile.gettempdir())]


def _new_file(folder: Path, stem: str, text: str) -> Path:
    """A new file that takes no other's place."""
    for n in range(1, 1000):
        path = folder / (f"{stem}.toml" if n == 1 else f"{stem}-{n}.toml")
        try:
            with path.open("x", encoding="utf-8") as file:
                file.write(text)
        except FileExistsError:
            continue
        return path
    raise FileExistsError(stem)


def _wrong(mistake: Mistake, text: str) -> Wrong:
    from wellbook.hole.toml_lines import line_of

    field = f"{mistake.where}: " if mistake.where else ""
    return Wrong(field + mistake.message, line_of(text, mistake.path))


_AT = re.compile(r" \(at (?:line (\d+), column \d+|end of document)\)$")


def _not_toml(message: str, text: str) -> Wrong:
    """What the TOML reader says, with its line taken out of the words."""
    at = _AT.search(message)
    words = message[:1].lower() + message[1:]
    if at is None:
        return Wrong(f"this is not a sheet in TOML: {words}")
    line = int(at[1]) if at[1] else max(1, len(text.splitlines()))
    return Wrong(f"this cannot be read: {words[: at.start()]}", line)


# -- the editor ---------------------------------------------------------------------------------


def editor_command() -> list[str]:
    """The user's editor as a command.

    Raises
    ------
    WellbookError
        If there is none.
    """
    for name in ("VISUAL", "EDITOR"):
        if os.environ.get(name, "").strip():
            return _named_editor(name, os.environ[name])
    for known in ("notepad",) if os.name == "nt" else ("nano", "vi"):
        if shutil.which(known):
            return [known]
    raise WellbookError(
        "there is no editor here; set EDITOR, or give a finished sheet: --from FILE"
    )


def _named_editor(name: str, value: str) -> list[str]:
    try:
        # On Windows a backslash is part of a path, and quotes stay round the words.
        words = [w.strip('"') for w in shlex.split(value, posix=os.name != "nt")]
    except ValueError as error:
        raise WellbookError(f"cannot be read as a command: {error}", where=name) from None
    if not words or shutil.which(words[0]) is None:
        raise WellbookError(
            f"the editor '{value}' is not found; set another, or use --from FILE", where=name
        )
    return words


def _one_round(command: list[str], path: Path, text: str, wrong: list[Wrong]) -> str:
    """Open the editor on the text, the mistakes above it, and give back the text without them."""
    marks = _marks(wrong)
    path.write_text("".join(f"{line}\n" for line in marks) + text, encoding="utf-8")
    status = subprocess.run([*command, str(path)], check=False).returncode
    if status:
        note(f"the editor ended with status {status}")
    return _without(marks, _read(path))


def _marks(wrong: list[Wrong]) -> list[str]:
    if not wrong:
        return []
    above = len(wrong) + 1
    return [
        f"{_MARK}Not written yet. Mend this, save and close; or close it as it is to stop.",
        *(_MARK + one.shown(above) for one in wrong),
    ]


def _without(marks: list[str], text: str) -> str:
    """The text without the lines that were put above it, wherever the user moved them."""
    left = list(marks)
    kept = []
    for line in text.splitlines(keepends=True):
        if line.rstrip("\n") in left:
            left.remove(line.rstrip("\n"))
        else:
            kept.append(line)
    return "".join(kept)


def _read(path: Path) -> str:
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        return ""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        # An old editor saves in its machine's own code page; better a letter wrong than all lost.
        text = raw.decode("cp1252", errors="replace")
    return text.replace("\r\n", "\n")
