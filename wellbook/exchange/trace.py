"""What a run of an import did, kept so that it can be taken back: little where it only added.

The identities of the rows that a run makes follow from its own and a number, so that how many there are
says which they are. What it changes is kept row by row as it was.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from sqlalchemy import Connection, Table

from wellbook.hole.story import derived_uid
from wellbook.store import tables as t
from wellbook.store.in_bulk import put_rows
from wellbook.store.rows import plain


class Trace:
    """The trace of one run, written in its transaction."""

    def __init__(self, connection: Connection, run_uid: str, run_id: int) -> None:
        self.connection, self.run_uid, self.run_id = connection, run_uid, run_id
        self.made: Counter[str] = Counter()
        self._position = 0
        self._lines: list[dict[str, Any]] = []
        self._kept: set[tuple[str, str]] = set()

    def uid(self, table: Table) -> str:
        """The identity of the next row that is made in a table."""
        number = self.made[table.name]
        self.made[table.name] += 1
        return made_uid(self.run_uid, table.name, number)

    def before(self, table: Table, key: str, row: Mapping[str, Any]) -> None:
        """Keep a row as it was before the run: only the first time counts."""
        if (table.name, key) not in self._kept:
            self._kept.add((table.name, key))
            old = json.dumps({k: plain(v) for k, v in row.items()}, ensure_ascii=False)
            self._line(table, key, old)

    def gone(self, table: Table, key: str, row: Mapping[str, Any]) -> None:
        """Keep a row that is deleted."""
        self._line(
            table, key, json.dumps({k: plain(v) for k, v in row.items()}, ensure_ascii=False)
        )

    def came(self, table: Table, keys: Iterable[str]) -> None:
        """Keep which rows were made whose identity does not follow from the run's."""
        for key in keys:
            self._line(table, key, None)

    def _line(self, table: Table, key: str, old: str | None) -> None:
        self._position += 1
        self._lines.append(
            {
                "run_id": self.run_id,
                "position": self._position,
                "what": table.name,
                "row_uid": key,
                "old": old,
            }
        )

    def mark(self) -> tuple[int, int, Counter[str], set[tuple[str, str]]]:
        """Where the trace stands, to come back to."""
        return len(self._lines), self._position, self.made.copy(), set(self._kept)

    def back_to(self, mark: tuple[int, int, Counter[str], set[tuple[str, str]]]) -> None:
        """Forget what was kept after a mark: it was undone."""
        lines, self._position, self.made, self._kept = mark
        del self._lines[lines:]

    def write(self) -> None:
        """Write what is kept so far. A well is brought in at once, so that no later batch of the run
        changes it again."""
        put_rows(self.connection, t.import_change, self._lines)
        self._lines.clear()
        self._kept.clear()

    @property
    def made_text(self) -> str:
        """How many rows were made, by table, as JSON."""
        return json.dumps(dict(sorted(self.made.items())))


def made_uid(run_uid: str, table: str, number: int) -> str:
    """The identity of a row that a run made."""
    return derived_uid(run_uid, table, number)


def made_uids(run_uid: str, made: Mapping[str, int], table: str) -> Iterator[str]:
    """The identities of all rows of a table that a run made."""
    return (made_uid(run_uid, table, n) for n in range(made.get(table, 0)))
