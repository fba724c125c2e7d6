"""What all commands share: the book, the day, who is at the keyboard, and how answers are shown."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from rich.text import Text

    from wellbook.store.book import Book

JSON = typer.Option(False, "--json", help="Answer in JSON, for other programs.")
WELL = typer.Argument(..., metavar="WELL", help="A tag, or any words that single the well out.")


class Session:
    """One run of the program."""

    def __init__(self, book: str) -> None:
        self._book = book

    @property
    def place(self) -> str | Path:
        """Which book: as asked for, else the user's own."""
        from wellbook.store.book import default_place

        return self._book or default_place()

    def open(self, *, upgrade: bool = False) -> Book:
        """Open the book, saying so where it is upgraded."""
        from wellbook.store.book import open_book

        return open_book(self.place, tell=note, upgrade=upgrade)

    @property
    def today(self) -> date:
        """Today, or the day that WELLBOOK_TODAY says: for trying the book out at another time."""
        said = os.environ.get("WELLBOOK_TODAY")
        if not said:
            return date.today()
        try:
            return date.fromisoformat(said)
        except ValueError:
            raise WellbookError(
                f"'{said}' is no day; write it as 2026-11-25", where="WELLBOOK_TODAY"
            ) from None

    @property
    def who(self) -> str:
        """Who changes the book."""
        from wellbook.store.identity import whoever

        return os.environ.get("WELLBOOK_WHO") or whoever()


def session(ctx: typer.Context) -> Session:
    """The session of a command's context."""
    found: Session = ctx.obj
    return found


def note(line: str) -> None:
    """A remark beside the answer, on standard error so that a pipe stays clean."""
    print(f"wellbook: {line}", file=sys.stderr)


def show(lines: Iterable[Text | str]) -> None:
    """Lines for people."""
    from rich.text import Text

    from wellbook.present.terminal import print_lines

    print_lines([x if isinstance(x, Text) else Text(x) for x in lines], sys.stdout)


def show_json(shape: Mapping[str, Any]) -> None:
    """One object for programs."""
    print(json.dumps(shape, ensure_ascii=False, indent=2 if sys.stdout.isatty() else None))


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


def can_ask() -> bool:
    """Whether somebody is there to answer."""
    return sys.stdin.isatty() and sys.stdout.isatty()
