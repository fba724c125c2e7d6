"""Two copies of one book to be worked on and united, and what is compared of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from unittest.mock import patch

from sqlalchemy import Connection

from wellbook.dates import When
from wellbook.exchange.merging.merge import merge as merge_open
from wellbook.exchange.merging.merged import Merged
from wellbook.exchange.merging.other_book import other_book
from wellbook.exchange.merging.reading import Truth
from wellbook.exchange.merging.writing import VALUES, merged_tables
from wellbook.rules import catalogue
from wellbook.store import ledger, renewal
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book, open_book
from wellbook.store.holes import load_hole
from wellbook.store.settings import settings
from wellbook.store.sheets import record
from wellbook.store.wells import add_customer, add_site, add_well, move_in

TODAY = date(2026, 11, 25)


@contextmanager
def clock() -> Iterator[None]:
    """A clock that moves on by a second whenever it is read, so that every line has its moment."""
    moment = [datetime(2026, 11, 20, 8, tzinfo=UTC)]

    def now() -> str:
        moment[0] += timedelta(seconds=1)
        return moment[0].isoformat(timespec="seconds")

    def another_moment(_before: str) -> str:
        moment[0] += timedelta(seconds=1)
        return moment[0].isoformat(timespec="microseconds")

    places = ("sheets", "contacts", "outbox", "calendar_entries")
    with (
        _patched([f"wellbook.store.{p}.now" for p in places], now),
        _patched(["wellbook.store.rows.another_moment"], another_moment),
    ):
        yield


@contextmanager
def _patched(names: list[str], new: Callable[..., str]) -> Iterator[None]:
    patches = [patch(name, new) for name in names]
    for one in patches:
        one.start()
    try:
        yield
    finally:
        for one in patches:
            one.stop()


def first_book(place: Path) -> Book:
    """A small shop: three wells at three properties, each with a customer; the third shares no tank."""
    book = make_book(place, shop_name="test shop")
    with book.writing() as connection:
        renewal.renew_all(connection)
        for n in (1, 2, 3):
            site = add_site(connection, "me", {"road": f"{n} Mill Lane", "town": "Ambelow"})
            person = add_customer(
                connection, "me", f"Person {n}", phones=(f"555-010-000{n}",), notes="pays"
            )
            move_in(connection, "me", site, person, When.parse("2001", said_on=TODAY), today=TODAY)
            values = {"site_id": site, "entered_on": date(2015, 1, 1)}
            add_well(connection, "me", f"A-{n}", values, today=TODAY)
        for well in (1, 2):
            data = {
                "date": "2010-05-03",
                "reason": "new well",
                "set": {
                    "pump": {"hp": 1, "rated_gpm": 10, "set_depth_ft": 200},
                    "pipe": {"to_ft": 198, "rating_psi": 160},
                },
            }
            record(connection, "me", well, data, today=TODAY)
    return book


def copy_of(book: Book, place: Path) -> Book:
    """A copy of a file's book, as a backup is made."""
    with closing(sqlite3.connect(book.path)) as source, closing(sqlite3.connect(place)) as copy:
        source.backup(copy)
    return open_book(place)


def merged(here: Book, there: Book, **more: Any) -> Merged:
    """Bring another book into one, as the command does."""
    place = there.url.render_as_string(hide_password=False)
    if there.is_file:
        place = str(there.path)
    with other_book(place, here) as its, here.writing() as mine:
        return merge_open(mine, its, who="Ida", **more)


def truth(book: Book) -> dict[str, set[tuple[Any, ...]]]:
    """All that a book holds as its truth, by what the rows are called in every book."""
    with book.reading() as connection:
        whole = Truth(connection)
        found = {
            kept.name: {
                tuple(sorted(row.items(), key=lambda x: x[0])) for row in whole.rows(kept).values()
            }
            for kept in merged_tables()
        }
        return found | {n: set(whole.values(v).items()) for n, v in VALUES.items()}


def derived(book: Book) -> set[tuple[Any, ...]]:
    """Which parts hang where, and what was read, as the replay has it."""
    with book.reading() as connection:
        c, o = t.component.c, t.observation.c
        parts = connection.execute(
            t.component.select().with_only_columns(
                c.uid, c.kind, c.set_text, c.pulled_text, c.why_pulled, c.set_by, c.pulled_by
            )
        )
        read = connection.execute(t.observation.select().with_only_columns(o.uid, o.value))
        return {tuple(row) for row in parts} | {tuple(row) for row in read}


def ledger_is_true(connection: Connection) -> bool:
    """Whether the ledger says of every well what evaluating each rule from nothing gives."""
    shop = settings(connection)
    numbers = connection.execute(t.well.select().with_only_columns(t.well.c.id)).scalars().all()
    return all(
        ledger.ledger_of(connection, n) == catalogue.judge(load_hole(connection, n), shop)
        for n in numbers
    )
