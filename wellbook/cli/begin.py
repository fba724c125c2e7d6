"""Making a book, the demo book, upgrading."""

from __future__ import annotations

import os
import shlex
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import Session, note, said_today, session, show
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.store.book import Book

app = typer.Typer(rich_markup_mode=None)


@app.command("init")
def init(
    ctx: typer.Context,
    shop: str = typer.Option("", "--shop", help="The shop's name, for letters later on."),
) -> None:
    """Make a new, empty book (where --book says, else in your data folder)."""
    from wellbook.store.book import make_book
    from wellbook.store.freshness import freshen

    book = make_book(session(ctx).place, shop_name=shop)
    freshen(book)
    warn_of_place(book)
    show([f"A new book is at {book.name}", "Next: wellbook well add, or wellbook import FILE"])


def warn_of_place(book: Book) -> None:
    """Say so where a book's file is at a place that may harm it: as it gets its place, not daily."""
    from wellbook.store.harmful_places import warning

    if book.is_file and (words := warning(book.path)):
        note(words)


@app.command("demo")
def demo(
    ctx: typer.Context,
    again: bool = typer.Option(False, "--again", help="Make it anew, without your changes to it."),
    path: bool = typer.Option(False, "--path", help="Only say where the demo book is."),
) -> None:
    """Open an invented shop's book in its own place, and show what to try.

    Your own book is not touched. A second run uses the demo book that is there.
    """
    from wellbook.exchange.shop_files import DEMO_SHOP, load_shop, sample_folder
    from wellbook.store.book import make_book, open_book

    here = session(ctx)
    place = demo_place(here)
    if again:
        _remove(place)
    if not place.exists():
        making = place.with_suffix(".making")
        _remove(making)  # what a run left that was broken off
        book = make_book(making, shop_name=DEMO_SHOP)
        try:
            # Not the shop's day: for that the user's own book would be opened.
            today = said_today() or date.today()
            count = load_shop(book, sample_folder(), who="demo", today=today)
        finally:
            book.close()
        _keep(making, place)
        note(f"{count} wells of an invented shop are now in {place}")
    open_book(place, tell=note).close()
    if path:
        print(place)
        return
    show(_what_to_try(place))


def demo_place(here: Session) -> Path:
    """The demo's own file: `demo.book` beside the user's book, or the book itself where it is one.

    Raises
    ------
    WellbookError
        If there is a file of that name that is no demo: it is left alone.
    """
    from wellbook.store.places import default_place

    named = Path(str(here.place) if "://" not in str(here.place) else default_place())
    if _is_demo(named):
        return named
    place = named.with_name("demo.book")
    if place.exists() and not _is_demo(place):
        raise WellbookError("this file is not the demo; it is left alone", where=str(place))
    return place


def _is_demo(place: Path) -> bool:
    from wellbook.exchange.shop_files import INVENTED
    from wellbook.store.places import shop_name

    return (shop_name(place) or "").endswith(INVENTED)


def _keep(made: Path, place: Path) -> None:
    """Put the finished book in its place in one step; a broken-off run leaves none behind."""
    import sqlite3

    connection = sqlite3.connect(made)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    # Of a demo that was killed: the engine would play it back into the new one.
    _remove(place, "-wal", "-shm")
    made.replace(place)
    _remove(made)


def _remove(book: Path, *endings: str) -> None:
    for ending in endings or ("", "-wal", "-shm"):
        book.with_name(book.name + ending).unlink(missing_ok=True)


def _what_to_try(place: Path) -> list[str]:
    name = shlex.quote(str(place)) if os.name != "nt" else f'"{place}"'
    hand = "set" if os.name == "nt" else "export"
    return [
        f"The demo book is {place}",
        "To look round in it, say once:",
        f"    {hand} WELLBOOK_BOOK={name}",
        "A caller has no water and half remembers two numbers. Find the well, see the hole:",
        "    wellbook find orla 0131",
        "    wellbook hole TF-0031",
        "What is due this month, and what will be by spring:",
        "    wellbook due",
        "    wellbook due --by 2027-04-01",
        "Whom to visit, in which order to drive; whom to tell, and how:",
        "    wellbook checkups --days 2 --per-day 5",
        "    wellbook remind",
    ]


@app.command("upgrade")
def upgrade(ctx: typer.Context) -> None:
    """Bring a book up to this program. A file's book does so by itself; a server's is told to."""
    from wellbook.store.book import SCHEMA_REVISION

    book = session(ctx).open(upgrade=True)
    warn_of_place(book)
    show([f"{book.name} is at {SCHEMA_REVISION}, the newest"])
