"""Lines of the change log are taken back one by one, each row as the book has it.

What was added goes, what was changed gets its former values, what was taken out comes back under its
number. A row is found by its uid. Where it no longer is as its line left it, or something else points to
it, nothing is taken back: that is said, and the caller's transaction undone.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import Connection, Date, Table, delete, insert, select, update

from wellbook.errors import WellbookError
from wellbook.store import tables as t
from wellbook.store.kept import Kept, kept_tables
from wellbook.store.replaying import clear_derived
from wellbook.store.row_names import named
from wellbook.store.rows import UNDO, Record, log, log_about, plain, records
from wellbook.store.steps import pointing
from wellbook.store.word_index import unindex
from wellbook.terms import SheetStatus

Row = dict[str, Any]
WITH = "with"
"""Under which name a line of what was taken back keeps the rows that were a part of its row."""
PARTS: Mapping[str, tuple[str, str]] = {
    "contact_about": ("contact", "contact_id"),
    "pump_point": ("pump_model", "pump_model_id"),
    "crew": ("sheet", "sheet_id"),
    "call": ("sheet", "sheet_id"),
}
"""Tables whose rows are a part of another row, of which the log has no line: they go where it goes."""
UNDONE = "undone"
"""Why a sheet that was undone does not count."""


class Reversing:
    """Takes lines back; `rows` are those that were touched, as they were and as they are.

    Parameters
    ----------
    own
        The identities of the rows that the same entry added: they go with each other.
    """

    def __init__(self, connection: Connection, who: str, own: frozenset[str]) -> None:
        self.connection, self.who, self.own = connection, who, own
        self.rows: list[tuple[Table, Record]] = []
        self.kept: dict[str, Kept] = {kept.name: kept for kept in kept_tables()}

    def take_back(self, line: Record) -> None:
        """Take back that a row was added, changed or taken out.

        Raises
        ------
        WellbookError
            Saying what stands in the way.
        """
        table = self.kept[line["what"]].table
        old, new = (json.loads(line[name]) if line[name] else None for name in ("old", "new"))
        if line["action"] == "remove" or new is None:
            self._put_back(table, line["row_uid"], old or {})
        elif old is None:
            self._take_out(table, line["row_uid"])
        else:
            self._change_back(table, line["row_uid"], old, new)

    def _change_back(self, table: Table, uid: str, old: Row, new: Row) -> None:
        row = self._there(table, uid)
        for name, value in new.items():
            if plain(row[name]) != value:
                words = name.replace("_", " ")
                raise WellbookError(f"{self._name(table, row)}: {words} was changed since")
        self._write(table, row, _values(table, {name: old.get(name) for name in new}))

    def _write(self, table: Table, row: Record, values: Mapping[str, Any]) -> None:
        differs = {name: value for name, value in values.items() if row[name] != value}
        self.rows.append((table, row))
        if not differs:
            return
        self.connection.execute(update(table).where(table.c.id == row["id"]).values(**differs))
        self.rows.append((table, {**row, **differs}))
        was = {name: row[name] for name in differs}
        log(self.connection, self.who, UNDO, table.name, row["uid"], old=was, new=differs)

    def _take_out(self, table: Table, uid: str, *, whole: bool = False) -> None:
        row = self._there(table, uid)
        if table is t.well:
            self._undone_sheets(row["id"])
        if table is t.sheet and not whole and not self._of_new_well(row):
            # What was recorded stays readable; it only does not count.
            status = {"status": SheetStatus.WITHDRAWN.value, "status_why": UNDONE}
            self._write(table, row, status)
            return
        parts = self._parts(table, row["id"])
        for kept, _, other in pointing(self.connection, table, row["id"]):
            if kept.name not in PARTS or PARTS[kept.name][0] != table.name:
                raise WellbookError(
                    f"{named(self.connection, kept.table, other)} hangs on {self._name(table, row)}"
                )
        for name, some in parts.items():
            if some:
                part = self.kept[name].table
                self.connection.execute(delete(part).where(part.c[PARTS[name][1]] == row["id"]))
        if table is t.well:
            self._forget_derived(row["id"])
        self.connection.execute(delete(table).where(table.c.id == row["id"]))
        self.rows.append((table, row))
        shown = {**row, WITH: parts} if any(parts.values()) else dict(row)
        log(self.connection, self.who, UNDO, table.name, uid, old=shown)
        self._about_its_well(row)

    def _undone_sheets(self, number: int) -> None:
        """What was recorded of a well, and undone before the well is, goes with it."""
        sheet = t.sheet
        gone = (sheet.c.status == SheetStatus.WITHDRAWN.value) & (sheet.c.status_why == UNDONE)
        query = select(sheet.c.uid).where(sheet.c.well_id == number, gone)
        for uid in list(self.connection.execute(query.order_by(sheet.c.id.desc())).scalars()):
            self._take_out(sheet, uid, whole=True)

    def _of_new_well(self, row: Record) -> bool:
        """Whether a sheet came with its well, and so goes with it."""
        query = select(t.well.c.uid).where(t.well.c.id == row["well_id"])
        return self.connection.execute(query).scalar() in self.own

    def _forget_derived(self, number: int) -> None:
        clear_derived(self.connection, [number])
        self.connection.execute(delete(t.due).where(t.due.c.well_id == number))
        unindex(self.connection, [number])

    def _about_its_well(self, row: Record) -> None:
        if row.get("well_id") is None:
            return
        query = select(t.well.c.uid).where(t.well.c.id == row["well_id"])
        uid = self.connection.execute(query).scalar()
        if uid is not None and uid not in self.own:
            log_about(self.connection, self.who, uid)

    def _parts(self, table: Table, number: int) -> dict[str, list[Row]]:
        found: dict[str, list[Row]] = {}
        for name, (owner, column) in PARTS.items():
            if owner == table.name:
                part = self.kept[name].table
                query = select(part).where(part.c[column] == number)
                some = records(self.connection, query.order_by(*part.primary_key))
                found[name] = [{n: plain(v) for n, v in row.items()} for row in some]
        return found

    def _put_back(self, table: Table, uid: str, old: Row) -> None:
        parts = old.get(WITH) or {}
        values = _values(table, {name: v for name, v in old.items() if name in table.c})
        number = values.get("id")
        free = (
            number is not None
            and not self.connection.execute(select(table.c.id).where(table.c.id == number)).first()
        )
        if not free:
            values.pop("id", None)
        self._can_point(table, values)
        self._is_free(table, values)
        made = self.connection.execute(insert(table).values(**values)).inserted_primary_key
        assert made is not None
        for name, some in parts.items():
            part, column = self.kept[name].table, PARTS[name][1]
            for row in some:
                again = {**_values(part, row), column: made[0]}
                self._can_point(part, again)
                self.connection.execute(insert(part).values(**again))
        row = self._there(table, uid)
        self.rows.append((table, row))
        shown = {**row, WITH: parts} if parts else dict(row)
        log(self.connection, self.who, UNDO, table.name, uid, new=shown)

    def _can_point(self, table: Table, values: Mapping[str, Any]) -> None:
        for name, target in self.kept[table.name].points.items():
            there = select(target.c.id).where(target.c.id == values.get(name))
            if values.get(name) is not None and not self.connection.execute(there).first():
                what = target.name.replace("_", " ")
                raise WellbookError(f"the {what} that it belongs to is no longer in the book")

    def _is_free(self, table: Table, values: Mapping[str, Any]) -> None:
        for name in (c.name for c in table.c if c.unique or c.name == "tag"):
            if (
                name in values
                and self.connection.execute(
                    select(table.c.id).where(table.c[name] == values[name])
                ).first()
            ):
                what = table.name.replace("_", " ")
                raise WellbookError(f"there is another {what} {values[name]} by now")

    def _there(self, table: Table, uid: str) -> Record:
        found = records(self.connection, select(table).where(table.c.uid == uid))
        if not found:
            raise WellbookError(f"a {table.name.replace('_', ' ')} is no longer in the book")
        return found[0]

    def _name(self, table: Table, row: Record) -> str:
        return named(self.connection, table, row)


def _values(table: Table, said: Mapping[str, Any]) -> Row:
    """Columns as the book holds them, from what the log has as JSON."""
    return {
        name: date.fromisoformat(value)
        if isinstance(value, str) and isinstance(table.c[name].type, Date)
        else value
        for name, value in said.items()
    }


def added_by(lines: Sequence[Record]) -> frozenset[str]:
    """The identities of the rows that some lines added."""
    return frozenset(line["row_uid"] for line in lines if line["old"] is None and line["new"])
