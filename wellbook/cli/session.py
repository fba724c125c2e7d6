"""What all commands share: the book, the day, who is at the keyboard, and how answers are shown."""

from __future__ import annotations

import inspect
import os
import re
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import closing, suppress
from datetime import date, datetime, tzinfo
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import typer

from wellbook.errors import NotFoundError, WellbookError
from wellbook.whole_files import part_of

if TYPE_CHECKING:
    from rich.text import Text

    from wellbook.store.book import Book

Command = TypeVar("Command", bound=Callable[..., Any])

LONGEST_NAME = 200
"""So much of a name of somebody at the keyboard is written down."""
JSON = typer.Option(False, "--json", help="Answer in JSON, for other programs.")
WELL = typer.Argument(..., metavar="WELL", help="A tag, or any words that single the well out.")


class Session:
    """One run of the program."""

    def __init__(self, book: str) -> None:
        self._book = book
        self._opened: Book | None = None
        self._zone: tzinfo | None = None

    @property
    def place(self) -> str | Path:
        """Which book: as asked for, else the user's own."""
        from wellbook.store.places import default_place

        return self._book or default_place()

    def open(self, *, upgrade: bool = False) -> Book:
        """Open the book, saying so where it is upgraded, with all that follows from it up to date."""
        from wellbook.store.book import open_book
        from wellbook.store.freshness import freshen, freshness
        from wellbook.store.time_zones import time_zone

        if self._opened is None:
            book = open_book(self.place, tell=note, upgrade=upgrade)
            self._back_up_first(book)
            with book.reading() as connection:
                # In one look: on a server each look more is two ways there and back.
                self._zone, found = time_zone(connection), freshness(connection)
            freshen(book, _count, note, found=found)
            self._opened = book
        return self._opened

    def _back_up_first(self, book: Book) -> None:
        """Let the day's backup be made before the first change; if nothing is changed, at the end."""
        from wellbook.store.daily_backups import daily_place

        day = said_today() or date.today()
        if book.is_file and not daily_place(book.path, day).exists():
            book.before_first_change = partial(_make_daily, book, day)

    def stopped(self) -> str:
        """What is said where somebody stopped the command at the keyboard."""
        if self._opened is None:
            return "stopped"
        if self._opened.kept:
            return "stopped; what was kept by then stays; what that is: wellbook log"
        return "stopped; nothing was written into the book"

    def end(self) -> None:
        """What waits until the answer was shown: the day's backup, where nothing was changed. Then the
        book is let go of."""
        if self._opened is not None:
            with closing(self._opened) as book:
                self._back_up_last(book)

    def _back_up_last(self, book: Book) -> None:
        if book.before_first_change is None or sys.exception() is not None:
            return
        with suppress(OSError, ValueError):
            sys.stdout.flush()
        try:
            book.before_first_change()
        except KeyboardInterrupt:
            note("today's backup was stopped; the next use makes it")

    @property
    def today(self) -> date:
        """Today in the shop's time zone, or the day that WELLBOOK_TODAY says: for trying the book out
        at another time."""
        if said := said_today():
            return said
        with suppress(WellbookError):  # where there is no book yet, it is the machine's own
            self.open()
        return datetime.now(self._zone).date()

    @property
    def who(self) -> str:
        """Who changes the book."""
        from wellbook.plain_text import on_one_line
        from wellbook.store.identity import whoever

        return on_one_line(os.environ.get("WELLBOOK_WHO", ""))[:LONGEST_NAME] or whoever()


def _make_daily(book: Book, day: date) -> None:
    """Make the day's backup; where it cannot be made, that is a line and stops nobody."""
    from wellbook.store.daily_backups import make_daily

    if sys.stderr.isatty() and book.path.stat().st_size > _LARGE_BYTES:
        note("making today's backup of the book")
    try:
        make_daily(book, day, note)
    except WellbookError as error:
        note(f"today's backup was not made: {error}")


_LARGE_BYTES = 100_000_000
"""Of a smaller book the day's backup is made before anybody would wonder."""


def said_today() -> date | None:
    """The day that WELLBOOK_TODAY says; None where it says none."""
    said = os.environ.get("WELLBOOK_TODAY")
    try:
        return date.fromisoformat(said) if said else None
    except ValueError:
        raise WellbookError(
            f"'{said}' is no day; write it as 2026-11-25", where="WELLBOOK_TODAY"
        ) from None


def _count(done: int, of: int) -> None:
    """A line that counts, on a terminal only."""
    if sys.stderr.isatty():
        end = "\n" if done >= of else "\r"
        print(f"the rules have changed; judging wells: {done} of {of}", end=end, file=sys.stderr)


def session(ctx: typer.Context) -> Session:
    """The session of a command's context."""
    found: Session = ctx.obj
    return found


def note(text: str) -> None:
    """A remark or an error, on standard error so that a pipe stays clean.

    On a terminal it wraps between words; into a file it is one line, also where what a user wrote has
    several: nothing that was not said by the program begins like it.
    """
    from wellbook.present.screen import terminal_width
    from wellbook.present.text import at_blanks, clean

    said = f"wellbook: {clean(text)}"
    if sys.stderr.isatty():
        said = "\n".join(at_blanks(said, terminal_width(sys.stderr), hang=2))
    print(said, file=sys.stderr)


def show(lines: Iterable[Text | str]) -> None:
    """Lines for people; on a terminal a long one goes on under its own beginning."""
    from rich.text import Text

    from wellbook.present.screen import print_lines
    from wellbook.present.text import clean

    width = screen_width()
    texts = [x if isinstance(x, Text) else Text(clean(x)) for x in lines]
    if width is not None:
        texts = [row for text in texts for row in _fitted(text, width)]
    print_lines(texts, sys.stdout)


def _fitted(line: Text, width: int) -> list[Text]:
    from rich.text import Text

    from wellbook.present.text import wrap

    if line.cell_len <= width:
        return [line]
    head, hang = _hung(line.plain)
    first, *more = wrap(line[head:], width - max(head, hang))
    return [line[:head] + first, *(Text(" " * hang) + row for row in more)]


# A label and its text are parted by two blanks or more; a label of several words is indented.
_LABEL = re.compile(r" +\S+(?: \S+)* {2,}|\S+ {2,}")
_WIDEST_LABEL = 24


def _hung(line: str) -> tuple[int, int]:
    """Of a line that is too long: where its text begins, and where that goes on below."""
    from rich.cells import cell_len

    label = _LABEL.match(line)
    if label and cell_len(label.group()) <= _WIDEST_LABEL:
        return label.end(), cell_len(label.group())
    blanks = len(line) - len(line.lstrip(" "))
    # What is indented hangs from something; a paragraph does not.
    return blanks, blanks + 2 if blanks else 0


def screen_width() -> int | None:
    """How wide the answer may be; None into a pipe, where nothing is wrapped."""
    from wellbook.present.screen import terminal_width

    return terminal_width(sys.stdout) if sys.stdout.isatty() else None


def show_json(shape: Mapping[str, Any]) -> None:
    """One object for programs."""
    from wellbook.present.envelope import json_text

    print(json_text(shape, indent=2 if sys.stdout.isatty() else None))


def show_whole(text: str) -> None:
    """The text of a file: as it is into a file or a pipe, harmless on a terminal."""
    from wellbook.plain_text import clean

    if sys.stdout.isatty():
        text = "\n".join(clean(line) for line in text.split("\n"))
    print(text, end="")


def show_list(
    what: str, rows: Sequence[Mapping[str, Any]], columns: Mapping[str, str], *, as_json: bool
) -> None:
    """A list of records, for programs or for people; none is a no, like a search without a find.

    Parameters
    ----------
    what
        What they are, in the plural: `customers`.
    columns
        The heading of each column -> the name of its value.
    """
    from wellbook.present.envelope import envelope
    from wellbook.present.tables import table

    if as_json:
        show_json(envelope(f"wellbook.{what}", 1, **{what: rows}))
    elif rows:
        cells = [[_cell(row[name]) for name in columns.values()] for row in rows]
        show(table(list(columns), cells, screen_width()))
    else:
        raise NotFoundError(f"no {what} fit, or none are in the book yet")


def _cell(value: Any) -> str:
    return ", ".join(value) if isinstance(value, list) else str(value)


def taking(options: Mapping[str, tuple[Any, Any]]) -> Callable[[Command], Command]:
    """Give a command options that it shares with another: it takes them as `**given`.

    Parameters
    ----------
    options
        The name of each -> its type and its declaration.
    """

    def add(command: Command) -> Command:
        own = inspect.signature(command).parameters.values()
        more = [
            inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=option, annotation=kind)
            for name, (kind, option) in options.items()
        ]
        named = [parameter for parameter in own if parameter.kind is not parameter.VAR_KEYWORD]
        command.__signature__ = inspect.Signature([*named, *more])  # type: ignore[attr-defined]
        return command

    return add


def one_day(text: str, option: str, today: date) -> date:
    """A day that was given to an option."""
    from wellbook.dates import When

    try:
        when = When.parse(text, said_on=today)
    except ValueError as error:
        raise WellbookError(str(error), where=option) from None
    if not when.exact or when.earliest is None:
        raise WellbookError(f"'{text}' is not one day; write it as 2026-11-25", where=option)
    return when.earliest


def past_day(text: str, today: date) -> date:
    """The day that `--on` says, which is not ahead; today where it says none."""
    if not text:
        return today
    day = one_day(text, "--on", today)
    if day > today:
        raise WellbookError(f"{day} lies ahead; the book knows the past", where="--on")
    return day


def write_file(path: Path, text: str) -> None:
    """A text file that is there whole or not at all."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, data: bytes) -> None:
    """A file that is there whole or not at all: a full disk leaves the old one as it was."""
    part = part_of(path)
    try:
        part.write_bytes(data)
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise OSError(error.errno, error.strerror, str(path)) from None


def uncertain(text: str, option: str, today: date) -> Any:
    """A date as uncertain as it is said, not in the future."""
    from wellbook.hole.fields import read_when

    try:
        return read_when(text, today)
    except ValueError as error:
        message = str(error).replace("the day of this sheet", "today")
        raise WellbookError(message, where=option) from None


def read_option(read: Callable[[], Any], option: str) -> Any:
    """What an option says, with the option named where it cannot be read."""
    try:
        return read()
    except ValueError as error:
        raise WellbookError(str(error), where=option) from None


def prompt(question: str) -> str:
    """The answer to a question; "" where Enter alone was given.

    Raises
    ------
    typer.Abort
        At Ctrl-C, or where the input ends.
    """
    from wellbook.plain_text import clean

    end = " " if question.endswith("?") else ": "
    while True:
        try:
            said = str(
                typer.prompt(
                    clean(question), default="", show_default=False, err=True, prompt_suffix=end
                )
            )
            # Where no language is set, bytes that are no text come in as halves of pairs.
            said.encode("utf-8")
            return said
        except UnicodeError:
            note("what was typed is no text in UTF-8; type it again")


def choose(question: str, *answers: str) -> str:
    """One of the answers (by default yes or no), by its first letter.

    Enter alone is no answer: nothing happens by a slip.
    """
    words = answers or ("yes", "no")
    shown = " / ".join(f"[{word[0]}]{word[1:]}" for word in words)
    while True:
        said = prompt(f"{question} {shown}").strip().lower()
        for word in words:
            if said and word.startswith(said):
                return word
        note(f"answer by one of the letters: {', '.join(word[0] for word in words)}")


def can_ask() -> bool:
    """Whether somebody is there to answer."""
    return sys.stdin.isatty() and sys.stdout.isatty()
