"""All that stands in a book, so that two books can be held against each other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Table, select

from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.kept import kept_tables

Rows = list[tuple[tuple[str, str], ...]]


def all_rows(book: Book) -> dict[str, Rows]:
    """Every row of every table.

    Rows of the book's truth stand with their numbers. Those that are derived are numbered anew, so
    that they stand without their own, and with what they point to by its identity.
    """
    kept = {table.name: table for table in kept_tables()}
    with book.reading() as connection:
        found: dict[str, Rows] = {}
        for table in t.METADATA.sorted_tables:
            wholly = table.name in kept and kept[table.name].which is None
            found[table.name] = _rows(connection, table, numbered=wholly)
        used = set(connection.execute(_USED_WORDS).scalars())
    # A word stays in the index when no well has it any more; nothing is found by it.
    words = (("search_word", "word"), ("search_variant", "word_id"))
    for name, column in words:
        found[name] = [r for r in found[name] if dict(r)[column] in {repr(w) for w in used}]
    return found


_USED_WORDS = select(t.search_word.c.word).join(
    t.search_use, t.search_use.c.word_id == t.search_word.c.id
)
_NAMES = {"search_word": "word"}
"""By what a row is known that has no uid."""


def _rows(connection: Connection, table: Table, *, numbered: bool) -> Rows:
    stand_for: dict[str, Mapping[int, str]] = {}
    if not numbered:
        for key in table.foreign_keys:
            other = key.column.table
            name = other.c[_NAMES.get(other.name, "uid")]
            if key.column.name == "id":
                pairs = connection.execute(select(other.c.id, name))
                stand_for[key.parent.name] = {row[0]: row[1] for row in pairs}
            elif key.parent.name == "component_id":
                pairs = connection.execute(select(t.component.c.id, t.component.c.uid))
                stand_for["component_id"] = {row[0]: row[1] for row in pairs}
    found = []
    for row in connection.execute(select(table)).mappings():
        cells: dict[str, Any] = dict(row)
        if not numbered:
            cells.pop("id", None)
            if table is t.due:
                del cells["position"]  # it only tells the rows of a well apart
            for column, names in stand_for.items():
                cells[column] = names.get(cells[column])
        found.append(tuple((name, repr(value)) for name, value in cells.items()))
    return sorted(found)
