"""What is known of each of two books, and what is to be done with their rows: plain values, no SQL."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from wellbook.exchange.merging.lines import Id, Log

Key = tuple[Any, ...]
"""By which a row is known in every book: its uid, or the columns of its key."""
Row = Mapping[str, Any]
"""A row by its columns; where it points to another row, that one's uid stands."""


@dataclass(slots=True)
class Side:
    """One of two books: its log, and what its imports touched, which the log does not name by row.

    Parameters
    ----------
    log
        Its change log, held against the other's.
    runs
        The imports that it ever saw, by uid.
    by_file
        Rows that came in with imports, each with the uids of those imports.
    from_file
        Those of them that an import touched that the other book does not know.
    undone
        The imports that it has taken back.
    moved
        Properties whose wells its own lines moved to another water system.
    """

    log: Log
    runs: set[str] = field(default_factory=set)
    by_file: dict[Id, set[str]] = field(default_factory=dict)
    from_file: set[Id] = field(default_factory=set)
    undone: set[str] = field(default_factory=set)
    moved: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Conflict:
    """What both books changed to different ends, to be decided.

    Parameters
    ----------
    kind
        `field`, `gone` (taken out on one side), `tag`, `sheet` or `replay`.
    table, key
        The row that it is about.
    name
        The field, in the book's word.
    here, there
        The values of its columns on both sides; of a row that is gone, nothing.
    here_by, there_by
        Who, and when.
    choices
        What may be decided.
    """

    kind: str
    table: str
    key: Key
    name: str
    here: Mapping[str, Any] = field(default_factory=dict)
    there: Mapping[str, Any] = field(default_factory=dict)
    here_by: str = ""
    there_by: str = ""
    choices: tuple[str, ...] = ("here", "there")
    shown: tuple[str, str] | None = None
    """How both sides are put in words, where that is not their values."""


@dataclass(slots=True)
class TablePlan:
    """What is to be done in one table of this book.

    Parameters
    ----------
    kept
        How many rows this side keeps otherwise than the other has them.
    """

    insert: dict[Key, Row] = field(default_factory=dict)
    update: dict[Key, dict[str, Any]] = field(default_factory=dict)
    delete: dict[Key, Row] = field(default_factory=dict)
    gone: dict[Key, Row] = field(default_factory=dict)
    """Rows of the other book that this one has taken out."""
    kept: int = 0


@dataclass(slots=True)
class Plan:
    """What is to be done in this book, by table, and what has to be decided first."""

    sides: tuple[Side, Side]
    tables: dict[str, TablePlan] = field(default_factory=dict)
    conflicts: list[Conflict] = field(default_factory=list)
    dropped: list[tuple[str, Key, str]] = field(default_factory=list)
    """Columns of rows that do not follow the other book, by a decision on what they point to."""

    def of(self, table: str) -> TablePlan:
        """The part of one table."""
        return self.tables.setdefault(table, TablePlan())
