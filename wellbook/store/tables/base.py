"""What all tables are made of: columns in few words, names of constraints, an identity."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from sqlalchemy import CheckConstraint, Column, Date, ForeignKey, Integer, MetaData, Table, Text
from sqlalchemy.schema import SchemaItem
from sqlalchemy.types import TypeEngine

METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)
"""All tables of a book, and how their constraints are named."""

Type = type[TypeEngine[Any]] | TypeEngine[Any]


def table(name: str, *items: SchemaItem) -> Table:
    """A table of the book."""
    return Table(name, METADATA, *items)


def ordered(name: str, *items: SchemaItem) -> Table:
    """A table of narrow rows that stand in the order of their key, and nowhere else."""
    return Table(name, METADATA, *items, sqlite_with_rowid=False)


def numbered(name: str, *items: SchemaItem) -> Table:
    """A table whose rows have an own number, and an identity that is unique across books."""
    number, identity = column("id", Integer, primary_key=True), column("uid", Text, unique=True)
    return table(name, number, identity, *items)


def column(name: str, kind: Type, **more: Any) -> Column[Any]:
    """A column that always holds something; `more` is what SQLAlchemy's own column takes."""
    return Column(name, kind, nullable=False, **more)


def maybe(name: str, kind: Type, **more: Any) -> Column[Any]:
    """A column that may be empty; `more` is what SQLAlchemy's own column takes."""
    return Column(name, kind, **more)


def reference(name: str, to: str, **more: Any) -> Column[Any]:
    """A column with the number of a row of another table."""
    return Column(name, Integer, ForeignKey(f"{to}.id"), **{"nullable": False, **more})


def when(name: str) -> tuple[Column[Any], ...]:
    """The three columns of an uncertain date, which may be unknown but is always put in words."""
    return (*_days(name), column(f"{name}_text", Text))


def maybe_when(name: str) -> tuple[Column[Any], ...]:
    """The three columns of an uncertain date that there may be none of."""
    return (*_days(name), maybe(f"{name}_text", Text))


def _days(name: str) -> tuple[Column[Any], Column[Any]]:
    return maybe(f"{name}_earliest", Date), maybe(f"{name}_latest", Date)


def one_of(name: str, words: type[StrEnum]) -> CheckConstraint:
    """A CHECK that a column holds one of the book's words (or nothing, where it may be empty)."""
    listed = ", ".join(f"'{w.value}'" for w in words)
    said = {WORDS: (name, tuple(w.value for w in words))}
    return CheckConstraint(f"{name} IN ({listed})", name=name, info=said)


WORDS = "words"
"""Under which name such a CHECK says what it allows: the column, and the words."""


def words_of(of: Table) -> dict[str, tuple[str, ...]]:
    """The columns of a table that hold only words of the book, each with those words."""
    said = [c.info[WORDS] for c in of.constraints if WORDS in c.info]
    return dict(said)
