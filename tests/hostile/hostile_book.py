"""A book in which all has happened, and then every text that anybody may write is hostile.

Which columns that are follows from the tables: every column of text of the book's truth but those of the
table below, so that a new one is hostile too, or is listed.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Text, select, update

from tests.exchange.lived_in import live
from tests.hostile.texts import ALL
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book
from wellbook.store.freshness import derive_anew
from wellbook.store.kept import Kept, kept_tables
from wellbook.store.keys import fill_keys
from wellbook.store.rows import records
from wellbook.store.tables.base import words_of
from wellbook.store.word_index import index_wells

MADE_BY_THE_PROGRAM: dict[str, tuple[str, ...]] = {
    "attachment": ("sha256", "sheet_root_uid"),
    "book": ("created_at", "ledger_fingerprint"),
    "calendar_entry": ("uid", "occurrence", "digest", "changed_at", "done_at"),
    "change": ("at", "action", "what", "row_uid", "old", "new"),
    "contact": ("at", "booking_uid", "for_time"),
    "contact_about": ("occurrence",),
    "contact_point": ("digits", "e164"),
    "customer": ("name_key",),
    "decided_pair": ("one_uid", "other_uid", "steps", "at", "taken_back_at"),
    "forgotten": ("what", "row_uid", "at"),
    "forgotten_mark": ("mark",),
    "import_answer": ("key", "answer", "what"),
    "import_change": ("what", "row_uid", "old"),
    "import_run": ("at", "undone_at", "columns", "made"),
    "imported_row": ("row_key", "digest", "said", "facts_uid", "tables"),
    "message": ("run_uid", "started_at", "ended_at"),
    "message_about": ("occurrence",),
    "paper": ("sheet_root_uid",),
    "pump_model": ("maker_key", "model_key"),
    "setting": ("name", "value"),
    "sheet": ("root_uid", "document", "recorded_at"),
    "shop_fact": ("name", "value"),
    "silence": ("rule",),
    "site": ("road_key",),
    "template": ("name", "text"),
    "well": ("tag",),
}
"""Columns of text that no user's text gets into as it is. Tags are checked as they come in, what a shop
says of itself and its letters by readers of their own, documents by the reader of sheets."""


def hostile_columns(kept: Kept) -> list[str]:
    """The columns of a table that hold whatever somebody writes."""
    words = words_of(kept.table)
    made = {"uid", *MADE_BY_THE_PROGRAM.get(kept.name, ()), *words}
    return [c.name for c in kept.columns if isinstance(c.type, Text) and c.name not in made]


def hostile_book(place: Path, room: Path, texts: list[str]) -> Book:
    """Make such a book; the texts are taken in turn, row by row and column by column."""
    book = make_book(place, shop_name="Fen Pumps")
    live(book, room)
    turn = cycle(texts)
    with book.writing() as connection:
        for kept in kept_tables():
            for column in hostile_columns(kept):
                _spoil(connection, kept, column, turn)
        _documents(connection, turn)
        connection.execute(update(t.customer).values(name_key=None))
        connection.execute(update(t.site).values(road_key=None))
        fill_keys(connection)
        list(derive_anew(connection))
        index_wells(connection, list(connection.execute(select(t.well.c.id)).scalars()))
    return book


def _spoil(connection: Connection, kept: Kept, column: str, turn: Iterator[str]) -> None:
    table = kept.table
    alone = table.c[column].unique
    for n, row in enumerate(records(connection, select(table).order_by(*table.primary_key))):
        which = [c == row[c.name] for c in table.primary_key]
        text = f"{next(turn)}{n}" if alone else next(turn)
        connection.execute(update(table).where(*which).values({column: text}))


_FREE = frozenset(
    {"notes", "note", "why", "left_for_next_time", "laboratory", "maker", "model", "serial"}
    | {"date_code", "material", "wall", "jacket", "type_said", "crew", "where", "what"}
)


def _documents(connection: Connection, turn: Iterator[str]) -> None:
    table = t.sheet
    for row in records(connection, select(table)):
        said = json.loads(row["document"])
        said |= {"notes": next(turn), "left_for_next_time": next(turn), "crew": [next(turn)]}
        document = json.dumps(_walked(said, turn), ensure_ascii=False)
        connection.execute(update(table).where(table.c.id == row["id"]).values(document=document))


def _walked(value: Any, turn: Iterator[str], name: str = "") -> Any:
    if isinstance(value, dict):
        if name == "pump":
            value = {**value, "maker": "", "model": "", "serial": "", "date_code": ""}
        return {key: _walked(one, turn, key) for key, one in value.items()}
    if isinstance(value, list):
        return [_walked(one, turn, name) for one in value]
    return next(turn) if isinstance(value, str) and name in _FREE else value


ONE = [ALL]
