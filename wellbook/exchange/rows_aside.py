"""The rows of a file set aside in a temporary file, so that memory does not grow with the rows.

The rows of one well may stand anywhere in its file, and a well is written whole: so all rows go
here first, and come back well by well. What is refused or doubtful is set aside here too.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from types import TracebackType

from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.deciding import Question
from wellbook.exchange.well_record import Remark

_TABLES = """
CREATE TABLE row (number INTEGER PRIMARY KEY, key TEXT, cells TEXT, fault TEXT);
CREATE TABLE refusal (number INTEGER, col TEXT, value TEXT, reason TEXT);
CREATE TABLE doubt (number INTEGER, col TEXT, value TEXT, reason TEXT);
CREATE TABLE change (number INTEGER, what TEXT, field TEXT, old TEXT, new TEXT);
CREATE TABLE question (
    number TEXT PRIMARY KEY, row INTEGER, rows TEXT, what TEXT, question TEXT, proposal TEXT,
    decision TEXT
);
"""
_BY_WELL = """
SELECT first, number, cells, fault
FROM (SELECT number, cells, fault, min(number) OVER (PARTITION BY key) AS first FROM row)
ORDER BY first, number
"""


@dataclass(frozen=True, slots=True)
class Change:
    """A field that a record says otherwise than the book did."""

    row: int
    what: str
    field: str
    old: str
    new: str


class RowsAside:
    """Rows, and remarks on them, in a temporary file that is gone when it is closed."""

    def __init__(self) -> None:
        # An empty name is the engine's own temporary file; little is kept in memory.
        self._db = sqlite3.connect("", isolation_level=None)
        self._db.executescript(_TABLES)

    def __enter__(self) -> RowsAside:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._db.close()

    def put(self, rows: Iterable[tuple[str, FileRow]]) -> None:
        """Set rows aside, each with the key of its well."""
        values = ((r.number, key, json.dumps(r.cells), r.fault) for key, r in rows)
        self._db.execute("BEGIN")
        self._db.executemany("INSERT INTO row VALUES (?, ?, ?, ?)", values)
        self._db.execute("COMMIT")

    def wells(self) -> Iterator[list[FileRow]]:
        """The rows of one well after another, in the order in which the file names the wells."""
        for _, rows in groupby(self._db.execute(_BY_WELL), key=itemgetter(0)):
            yield [FileRow(number, json.loads(cells), fault) for _, number, cells, fault in rows]

    def refuse(self, remarks: Iterable[Remark]) -> None:
        """Note why rows are not taken."""
        self._note("refusal", remarks)

    def doubt(self, remarks: Iterable[Remark]) -> None:
        """Note what is doubtful in rows that are taken."""
        self._note("doubt", remarks)

    def _note(self, table: str, remarks: Iterable[Remark]) -> None:
        values = ((r.row, r.column, r.value, r.reason) for r in remarks)
        self._db.executemany(f"INSERT INTO {table} VALUES (?, ?, ?, ?)", values)

    def ask(self, row: int, question: Question) -> None:
        """Note what is to be decided; asked twice, it is one question."""
        q = question
        self._db.execute(
            "INSERT OR IGNORE INTO question VALUES (?, ?, ?, ?, ?, ?, ?)",
            (q.number, row, q.rows, q.what, q.question, q.proposal, q.decision),
        )

    @property
    def questions(self) -> Iterator[Question]:
        """What is to be decided, in the order of the file; what was, too."""
        query = (
            "SELECT number, rows, what, question, proposal, decision FROM question"
            " ORDER BY row, rowid"
        )
        return (Question(*row) for row in self._db.execute(query))

    def change(self, changes: Iterable[Change]) -> None:
        """Note what a record says otherwise than the book did."""
        values = ((c.row, c.what, c.field, c.old, c.new) for c in changes)
        self._db.executemany("INSERT INTO change VALUES (?, ?, ?, ?, ?)", values)

    @property
    def changes(self) -> Iterator[Change]:
        """What records say otherwise than the book did, in the order of the file."""
        query = "SELECT number, what, field, old, new FROM change ORDER BY number, rowid"
        return (Change(*row) for row in self._db.execute(query))

    def count(self, table: str) -> int:
        """How many there are of "row", "refusal", "doubt", "question" or "change"."""
        return int(self._db.execute(f"SELECT count(*) FROM {table}").fetchone()[0])

    @property
    def refusals(self) -> Iterator[Remark]:
        """Why rows are refused, in the order of the file."""
        return self._remarks("refusal")

    @property
    def doubts(self) -> Iterator[Remark]:
        """What is doubtful in rows that are taken, in the order of the file; a row that was
        refused after all has no doubts."""
        return self._remarks("doubt", "WHERE number NOT IN (SELECT number FROM refusal)")

    def _remarks(self, table: str, which: str = "") -> Iterator[Remark]:
        query = f"SELECT number, col, value, reason FROM {table} {which} ORDER BY number, rowid"
        return (Remark(*row) for row in self._db.execute(query))

    def refused(self) -> Iterator[tuple[list[str], list[Remark]]]:
        """The refused rows as they stood, each with what is wrong in it."""
        for number, remarks in groupby(self.refusals, key=lambda r: r.row):
            query = "SELECT cells FROM row WHERE number = ?"
            (cells,) = self._db.execute(query, (number,)).fetchone()
            yield json.loads(cells), list(remarks)
