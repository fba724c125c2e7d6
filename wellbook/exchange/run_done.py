"""What a run of an import did: the rows that it made, changed and took away."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

from sqlalchemy import Connection, Table, select

from wellbook.exchange.trace import made_uids
from wellbook.store import tables as t
from wellbook.store.kept import kept_tables
from wellbook.store.rows import Record, batches, records

OF_RUNS = frozenset({"import_run", "imported_row", "import_change", "import_answer", "change"})
"""Tables that tell of runs, and of changes."""


class RunDone:
    """What one run did.

    Attributes
    ----------
    made
        How many rows it made, by table.
    ids
        The numbers of these rows, as far as they are there.
    lines
        What it changed and took away, the last first.
    changed
        The numbers of the rows that it changed, by table.
    came
        The rows of those lines, by table and identity.
    """

    def __init__(self, connection: Connection, run: Record) -> None:
        self.connection, self.run = connection, run
        self.made: dict[str, int] = json.loads(run["made"] or "{}")
        self.kept = {k.name: k for k in kept_tables()}
        self.ids: dict[str, list[int]] = {}
        for name in self.made:
            self.ids[name] = self.numbers(self.kept[name].table, self.uids(name))
        lines = select(t.import_change).where(t.import_change.c.run_id == run["id"])
        self.lines = records(connection, lines.order_by(t.import_change.c.position.desc()))
        self.changed: dict[str, list[int]] = {}
        for name in {line["what"] for line in self.lines} - OF_RUNS:
            uids = [x["row_uid"] for x in self.lines if x["what"] == name]
            self.changed[name] = self.numbers(self.kept[name].table, uids)
        self.came = {(x["what"], x["row_uid"]) for x in self.lines}

    def uids(self, name: str) -> Iterator[str]:
        """The identities of the rows that it made in a table."""
        return made_uids(self.run["uid"], self.made, name)

    def numbers(self, table: Table, uids: Iterable[str]) -> list[int]:
        """The numbers of rows by their identities."""
        found: list[int] = []
        for some in batches(list(uids)):
            query = select(table.c.id).where(table.c.uid.in_(some))
            found += self.connection.execute(query).scalars()
        return found
