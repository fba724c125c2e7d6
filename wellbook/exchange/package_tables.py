"""The tables of a package: which fields they have, what each holds, what it points to.

They follow from the book's own tables (`store.kept`). A row is named by its `uid`, and so is what it
points to. Its number is kept beside it: it is what people call a sheet by, it says in which order rows came
in, and the lines of the change log speak of rows by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Date,
    Double,
    FromClause,
    Integer,
    MetaData,
    Select,
    select,
)
from sqlalchemy.types import TypeEngine

from wellbook.exchange.package_cells import CellKind
from wellbook.exchange.package_words import TABLES, field_words
from wellbook.store import tables as t
from wellbook.store.kept import Kept, kept_tables
from wellbook.store.tables.base import words_of

DESCRIPTION = "datapackage.json"
"""The file that describes a package, by whose name one is known."""

PACKAGE_VERSION = 1
"""Raise it whenever a package is written in another way though the book's tables are the same."""

NUMBER = "number"
"""The field with the number of a row in its book."""

_DERIVED = {
    ("book", "ledger_fingerprint"),
    ("book", "words_version"),
    ("customer", "name_key"),
    ("site", "road_key"),
}
"""Columns of kept tables that are worked out anew. The number of a telephone is none of them: it was read
with the area code that the shop had then."""


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a table.

    Parameters
    ----------
    name
        As it heads the file.
    column
        The book's column.
    kind
        What its cells hold.
    words
        The words that it may hold; none where it may hold any.
    points_to
        The table of the row whose uid it holds; "" where it points nowhere.
    """

    name: str
    column: Column[Any]
    kind: CellKind
    words: tuple[str, ...]
    points_to: str

    @property
    def nullable(self) -> bool:
        """Whether it may hold nothing."""
        return bool(self.column.nullable)


@dataclass(frozen=True, slots=True)
class PackageTable:
    """A table of the book as it stands in a package."""

    kept: Kept
    fields: tuple[Field, ...]

    @property
    def name(self) -> str:
        """The table's name."""
        return self.kept.name

    @property
    def path(self) -> str:
        """Its file, from the package's folder."""
        return f"tables/{self.name}.csv"

    @property
    def key(self) -> tuple[str, ...]:
        """The fields by which a row is known."""
        return tuple(f.name for f in self.fields if f.column.name in self.kept.key)

    def in_order(self, names: Sequence[str]) -> PackageTable:
        """The same table, its fields in the order of those names; the others come behind.

        A database keeps columns in the order in which they were added, a file in that of its day.
        """
        place = {name: number for number, name in enumerate(names)}
        fields = sorted(self.fields, key=lambda field: place.get(field.name, len(place)))
        return PackageTable(self.kept, tuple(fields))

    def query(self) -> Select[Any]:
        """Its rows in the order in which they came, with the uids of what they point to."""
        table = self.kept.table
        source: FromClause = table
        columns = []
        for field in self.fields:
            if not field.points_to:
                columns.append(field.column.label(field.name))
                continue
            other = self.kept.points[field.column.name].alias()
            source = source.outerjoin(other, other.c.id == field.column)
            columns.append(other.c.uid.label(field.name))
        query = select(*columns).select_from(source).order_by(*table.primary_key)
        return query if self.kept.which is None else query.where(self.kept.which)

    def schema(self) -> dict[str, Any]:
        """The table as Table Schema describes it."""
        return {
            "fields": [_described(self.name, field) for field in self.fields],
            "primaryKey": list(self.key),
            "foreignKeys": [
                {"fields": f.name, "reference": {"resource": f.points_to, "fields": "uid"}}
                for f in self.fields
                if f.points_to
            ],
            "missingValues": [""],
        }


@cache
def package_tables(tables: MetaData = t.METADATA) -> tuple[PackageTable, ...]:
    """The tables of a package, each after those that it points to.

    Parameters
    ----------
    tables
        Those of the book: of today, or as they were at an older revision.
    """
    return tuple(PackageTable(kept, tuple(_fields(kept))) for kept in kept_tables(tables))


def _fields(kept: Kept) -> Iterator[Field]:
    words = words_of(kept.table)
    columns = list(kept.columns)
    if kept.has_uid and "id" in kept.table.c:
        columns.insert(1, kept.table.c.id)
    for column in columns:
        if (kept.name, column.name) in _DERIVED:
            continue
        to = kept.points.get(column.name)
        kind = CellKind.STRING if to is not None else _kind(column.type)
        yield Field(
            _name(column.name, to is not None),
            column,
            kind,
            words.get(column.name, ()),
            "" if to is None else to.name,
        )


def _name(column: str, points: bool) -> str:
    if column == "id":
        return NUMBER
    return f"{column.removesuffix('_id')}_uid" if points else column


def _kind(of: TypeEngine[Any]) -> CellKind:
    kinds: dict[type[TypeEngine[Any]], CellKind] = {
        Boolean: CellKind.BOOLEAN,
        Date: CellKind.DATE,
        Double: CellKind.NUMBER,
        Integer: CellKind.INTEGER,
    }
    return next((kind for known, kind in kinds.items() if isinstance(of, known)), CellKind.STRING)


def most(field: Field) -> int:
    """The largest whole number that a column holds on either engine."""
    return 2**63 - 1 if isinstance(field.column.type, BigInteger) else 2**31 - 1


def _described(table: str, field: Field) -> dict[str, Any]:
    said: dict[str, Any] = {
        "name": field.name,
        "type": field.kind.value,
        "description": field_words(table, field.name, field.points_to),
    }
    if field.kind is not CellKind.STRING:
        said["format"] = "default"
    elif not field.nullable and not field.words and not field.points_to:
        # An empty cell is the empty text here.
        said["missingValues"] = []
    constraints: dict[str, Any] = {}
    if not field.nullable:
        constraints["required"] = True
    if field.words:
        constraints["enum"] = list(field.words)
    if field.column.unique or field.column.name == "id":
        constraints["unique"] = True
    return {**said, "constraints": constraints} if constraints else said


def table_words(name: str) -> str:
    """What a table holds, in one line."""
    return TABLES[name]
