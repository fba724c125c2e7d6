"""Which rows of a book are its truth, in an order in which they can be written anew.

What leaves a book whole, and what two books unite, is these rows and no others: what is derived is
made again from them. A row is named across books by its `uid`, or by the columns of its key where it
has none; where it points to another row, that one's `uid` stands in the place of the number.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from sqlalchemy import Column, ColumnElement, MetaData, Table

from wellbook.store import tables as t

_DERIVED = frozenset(
    {
        *(table.name for table in t.PART_TABLES.values()),
        *("component", "component_claim", "cable_inspection", "found", "due"),
        *("water_sample", "water_result"),
        *("search_word", "search_use", "search_variant", "search_digits"),
    }
)
_PARTLY_DERIVED = ("observation", "bore_interval")
"""Derived where they come from a sheet, else entered with the well."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A table of the book's truth.

    Parameters
    ----------
    table
        The table itself.
    points
        Its columns that hold the number of another row, each with the table of that row.
    which
        What its kept rows meet; None where all of them are kept.
    """

    table: Table
    points: dict[str, Table]
    which: ColumnElement[bool] | None

    @property
    def name(self) -> str:
        """The table's name."""
        return self.table.name

    @property
    def has_uid(self) -> bool:
        """Whether its rows have an identity of their own."""
        return "uid" in self.table.c

    @property
    def columns(self) -> list[Column[object]]:
        """The columns that mean the same in every book: all but the number of a row with a uid."""
        return [c for c in self.table.c if not (c.name == "id" and self.has_uid)]

    @property
    def key(self) -> tuple[str, ...]:
        """The columns by which a row is known across books."""
        return ("uid",) if self.has_uid else tuple(c.name for c in self.table.primary_key)


@cache
def kept_tables(tables: MetaData = t.METADATA) -> tuple[Kept, ...]:
    """The tables of the book's truth, each after those that it points to.

    Parameters
    ----------
    tables
        Those of the book: of today, or as they were at an older revision.
    """
    found = []
    for table in tables.sorted_tables:
        if table.name in _DERIVED:
            continue
        points = {key.parent.name: key.column.table for c in table.c for key in c.foreign_keys}
        which = table.c.sheet_root_uid.is_(None) if table.name in _PARTLY_DERIVED else None
        found.append(Kept(table, points, which))
    return tuple(found)
