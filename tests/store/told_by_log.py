"""Whether the change log tells of all that a transaction did to the book's truth, with old and new."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import pytest
from sqlalchemy import Connection, func, select

from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.kept import Kept, kept_tables
from wellbook.store.rows import plain, records

OWN_RULES = frozenset(
    {
        # Logs of their own: what was sent, and what was given to a calendar.
        *("message", "message_about", "calendar_entry"),
        # Of the run of an import, which one line names; and of who was forgotten, by one line.
        *("import_run", "import_change", "import_answer", "imported_row"),
        *("forgotten", "forgotten_mark", "book", "change"),
    }
)
"""Tables of whose rows the log has no line each."""
PART_OF = {
    "contact_about": ("contact_id", "contact"),
    "pump_point": ("pump_model_id", "pump_model"),
    "crew": ("sheet_id", "sheet"),
    "call": ("sheet_id", "sheet"),
}
"""Rows that are a part of another row: the log tells of that one."""
FOLLOWS = {
    ("customer", "name_key"),
    ("site", "road_key"),
    ("contact_point", "e164"),
    ("contact_point", "digits"),
    # What a decommissioning makes of a well is told by its sheet.
    ("well", "status"),
}
"""Columns that follow from others."""
WHOLE = frozenset({"import", "merge", "join", "take back", "forget"})
"""Actions of a line that tells of all that its transaction did."""
NAMES = {"shop_fact": "shop", "template": "template"}

Truth = dict[str, dict[tuple[Any, ...], dict[str, Any]]]


def truth(connection: Connection) -> Truth:
    """The rows of the book's truth, each by its key."""
    found: Truth = {}
    for kept in kept_tables():
        query = select(kept.table) if kept.which is None else select(kept.table).where(kept.which)
        rows = records(connection, query)
        found[kept.name] = {
            tuple(row[name] for name in kept.key): {n: plain(v) for n, v in row.items()}
            for row in rows
        }
    return found


def untold(connection: Connection, before: Truth, last: int) -> list[str]:
    """What differs from before and is told by no line since one."""
    line = t.change
    lines = records(connection, select(line).where(line.c.id > last).order_by(line.c.id))
    if any(
        x["action"] in WHOLE or (x["action"], x["what"]) == ("undo", "import_run") for x in lines
    ):
        return []
    after = truth(connection)
    told = _Told(lines, before, after)
    return [
        problem
        for kept in kept_tables()
        if kept.name not in OWN_RULES
        for problem in told.problems(kept)
    ]


class _Told:
    def __init__(self, lines: list[Any], before: Truth, after: Truth) -> None:
        self.before, self.after = before, after
        self.lines: dict[tuple[str, str], list[Mapping[str, Any]]] = {}
        for line in lines:
            self.lines.setdefault((line["what"], line["row_uid"]), []).append(line)

    def problems(self, kept: Kept) -> Iterator[str]:
        before, after = self.before[kept.name], self.after[kept.name]
        for key in before.keys() | after.keys():
            old, new = before.get(key), after.get(key)
            if old != new:
                yield from self._row(kept, key, old, new)

    def _row(
        self,
        kept: Kept,
        key: tuple[Any, ...],
        old: dict[str, Any] | None,
        new: dict[str, Any] | None,
    ) -> Iterator[str]:
        name = kept.name
        row = new or old or {}
        if name in PART_OF:
            yield from self._part(name, row)
            return
        if name == "setting":
            if not self._values(("setting", "rules"), row["name"]):
                yield f"setting {key}"
            return
        if name in NAMES:
            if not self.lines.get((NAMES[name], str(key[0]))):
                yield f"{name} {key}"
            return
        if name == "system_site":
            system = self._uid("water_system", row["system_id"])
            uid = f"{system} {self._uid('site', row['site_id'])}"
        else:
            uid = str(row["uid"])
        some = self.lines.get((name, uid), [])
        if not some:
            differs = {c for c in row if (old or {}).get(c) != (new or {}).get(c)}
            if old is None or new is None or differs - {c for n, c in FOLLOWS if n == name}:
                yield f"{name} {uid}: no line; {old} -> {new}"
        elif old is not None and new is not None:
            yield from self._columns(name, some, old, new)
        elif new is not None and not any(x["new"] for x in some):
            yield f"{name} {uid}: no line has what it is"
        elif new is None and not any(x["old"] for x in some):
            yield f"{name} {uid}: no line has what it was"

    def _columns(
        self, name: str, some: list[Mapping[str, Any]], old: dict[str, Any], new: dict[str, Any]
    ) -> Iterator[str]:
        first: dict[str, Any] = {}
        last: dict[str, Any] = {}
        for line in some:
            was, is_now = (json.loads(line[n] or "{}") for n in ("old", "new"))
            for column in {*was, *is_now}:
                first.setdefault(column, was.get(column))
                last[column] = is_now.get(column)
        if name == "decided_pair":
            return
        for column, was in old.items():
            if was == new[column] or (name, column) in FOLLOWS:
                continue
            if column not in last or (first[column], last[column]) != (was, new[column]):
                yield f"{name}.{column}: {was!r} -> {new[column]!r} is not told"

    def _part(self, name: str, row: dict[str, Any]) -> Iterator[str]:
        column, owner = PART_OF[name]
        uid = self._uid(owner, row[column])
        if not any(self.lines.get((what, uid)) for what in (owner, name)):
            yield f"{name} of {owner} {uid}: no line"

    def _values(self, key: tuple[str, str], name: str) -> bool:
        for line in self.lines.get(key, []):
            was, is_now = (json.loads(line[n] or "{}") for n in ("old", "new"))
            if was.get(name) != is_now.get(name):
                return True
        return False

    def _uid(self, table: str, number: int) -> str:
        for some in (self.before, self.after):
            for row in some[table].values():
                if row["id"] == number:
                    return str(row["uid"])
        return ""


@pytest.fixture
def all_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on every transaction of a test fails that writes what the log does not tell."""
    writing = Book.writing

    @contextmanager
    def watched(self: Book) -> Iterator[Connection]:
        with writing(self) as connection:
            before = truth(connection)
            last = connection.execute(select(func.max(t.change.c.id))).scalar() or 0
            yield connection
            assert untold(connection, before, last) == []

    monkeypatch.setattr(Book, "writing", watched)
