"""What names and addresses are compared by, and words in the index that a slip does not find."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import ColumnElement, Connection, delete, exists, select, update

from wellbook.likeness.names import name_key
from wellbook.likeness.roads import road_key
from wellbook.store import tables as t
from wellbook.store.in_bulk import put_rows
from wellbook.store.keys import fill_keys
from wellbook.store.looked_at import Looked, Wrong
from wellbook.store.rows import batches
from wellbook.store.words import left_out


def look_at_keys(connection: Connection) -> Iterator[Looked]:
    """Keys of customers and properties; variants of words."""
    many, wrong = 0, []
    for _, row, made in _keys(connection):
        many += 1
        if row["key"] != made:
            wrong.append(Wrong(row["said"] or "?", "its key of comparison is not that of its name"))
    yield Looked("names", many, "key", "as they are written", wrong)
    many, wrong = 0, []
    for row, missing in _words(connection):
        many += 1
        if missing:
            wrong.append(Wrong(row["word"], "a slip of one letter does not find it"))
    yield Looked("slips", many, "word", "each found with a letter wrong", wrong)


def _keys(connection: Connection) -> Iterator[tuple[ColumnElement[Any], Any, str]]:
    person, site = t.customer, t.site
    names = select(person.c.id, person.c.name.label("said"), person.c.name_key.label("key"))
    for row in _streamed(connection, names):
        yield person.c.name_key, row, name_key(row["said"])
    roads = select(site.c.id, site.c.road.label("said"), site.c.town, site.c.road_key.label("key"))
    for row in _streamed(connection, roads):
        yield site.c.road_key, row, road_key(row["said"], row["town"])


def _words(connection: Connection) -> Iterator[tuple[Any, set[str]]]:
    """Each word that is used, with the variants that it lacks."""
    word, variant, use = t.search_word, t.search_variant, t.search_use
    used = exists().where(use.c.word_id == word.c.id)
    query = select(word.c.id, word.c.word).where(used).order_by(word.c.id)
    pairs = select(variant.c.word_id, variant.c.variant)
    rows = connection.execute(query, execution_options={"yield_per": 400}).mappings()
    for some in rows.partitions():
        there: dict[int, set[str]] = {}
        ids = [row["id"] for row in some]
        for pair in connection.execute(pairs.where(variant.c.word_id.in_(ids))):
            there.setdefault(pair.word_id, set()).add(pair.variant)
        for row in some:
            wanted = set() if row["word"].isdigit() else left_out(row["word"])
            yield row, wanted - there.get(row["id"], set())


def _streamed(connection: Connection, query: Any) -> Iterator[Any]:
    yield from connection.execute(query, execution_options={"yield_per": 500}).mappings()


def mend_keys(connection: Connection) -> None:
    """Work out anew what is not as it should be."""
    wrong = [(column, row["id"]) for column, row, made in _keys(connection) if row["key"] != made]
    for column, number in wrong:
        table: Any = column.table
        connection.execute(update(table).where(table.c.id == number).values({column: None}))
    fill_keys(connection)
    lacking = [(row["id"], row["word"]) for row, missing in _words(connection) if missing]
    for some in batches(lacking):
        ids = [number for number, _ in some]
        connection.execute(delete(t.search_variant).where(t.search_variant.c.word_id.in_(ids)))
        new = [{"variant": v, "word_id": n} for n, w in some for v in sorted(left_out(w))]
        put_rows(connection, t.search_variant, new)
