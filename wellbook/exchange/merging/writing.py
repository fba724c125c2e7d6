"""A decided plan written into this book, in the caller's transaction."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Table, delete, insert, select, update

from wellbook.errors import ReplayError
from wellbook.exchange.merging.lines import Line, in_one_order
from wellbook.exchange.merging.reading import LINE, lines_of
from wellbook.exchange.merging.sides import Key, Plan, Row
from wellbook.store import tables as t
from wellbook.store.kept import Kept, kept_tables
from wellbook.store.replaying import rebuild
from wellbook.store.rows import batches, records
from wellbook.terms import Answer

VALUES = {"setting": t.setting, "shop_fact": t.shop_fact, "template": t.template}
"""Tables of names and values."""
APART = frozenset({"book", "change", "pump_point", *VALUES})
"""Tables that are united otherwise than row by row."""


def merged_tables() -> tuple[Kept, ...]:
    """The tables that are united row by row, parents first."""
    return tuple(kept for kept in kept_tables() if kept.name not in APART)


def _unbound(kept: Kept, values: Mapping[str, Any]) -> dict[str, Any]:
    """Columns that follow from changed ones, emptied: they are worked out anew (`store.keys`)."""
    follows = {("customer", "name_key"): ("name",), ("site", "road_key"): ("road", "town")}
    follows[("contact_point", "e164")] = ("value",)
    return {
        column: None
        for (table, column), of in follows.items()
        if table == kept.name and any(name in values for name in of)
    }


class Writer:
    """Writes rows by what they are called, and knows which wells and systems they touch."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self._numbers: dict[str, dict[str, int]] = {}

    def numbers(self, table: Table) -> dict[str, int]:
        """The numbers of a table's rows in this book, by their identities."""
        if table.name not in self._numbers:
            query = select(table.c.uid, table.c.id)
            self._numbers[table.name] = {row.uid: row.id for row in self.connection.execute(query)}
        return self._numbers[table.name]

    def rename(self, table: Table, renamed: Mapping[str, str]) -> None:
        """Let rows go by another identity."""
        for old, new in renamed.items():
            self.connection.execute(update(table).where(table.c.uid == old).values(uid=new))
            if table.name in self._numbers:
                self._numbers[table.name][new] = self._numbers[table.name].pop(old)

    def write(self, plan: Plan) -> None:
        """Write what a plan says: in with parents first, out with children first."""
        tables = merged_tables()
        self._free_tags(plan)
        for kept in tables:
            self._insert(kept, plan.of(kept.name).insert.values())
        for kept in tables:
            for key, values in plan.of(kept.name).update.items():
                self._update(kept, key, values)
        for kept in reversed(tables):
            for row in plan.of(kept.name).delete.values():
                self._delete(kept, row)
        for name, table in VALUES.items():
            self._values(table, plan.of(name).update)

    def _free_tags(self, plan: Plan) -> None:
        """Tags are unique at each moment: those that are to change are let go of first."""
        for (uid,), values in plan.of("well").update.items():
            if "tag" in values:
                which = t.well.c.uid == uid
                self.connection.execute(update(t.well).where(which).values(tag=uid))

    def _local(self, kept: Kept, row: Row) -> dict[str, Any]:
        """A row with this book's numbers."""
        values = {name: value for name, value in row.items() if name in kept.table.c}
        for column, table in kept.points.items():
            if values.get(column) is not None and "uid" in table.c:
                values[column] = self.numbers(table)[values[column]]
        return values

    def _insert(self, kept: Kept, rows: Iterable[Row]) -> None:
        listed = list(rows)
        if not listed:
            return
        table = kept.table
        for some in batches(listed):
            local = [self._local(kept, row) for row in some]
            if kept.has_uid and "id" in table.c:
                statement = insert(table).returning(table.c.id, sort_by_parameter_order=True)
                made = self.connection.execute(statement, local).scalars()
                known = self.numbers(table)
                known.update((row["uid"], n) for row, n in zip(local, made, strict=True))
            else:
                self.connection.execute(insert(table), local)
        if table is t.consent:
            self._no_counts(listed)
        for row in listed:
            if row.get("points"):
                self._points(row["uid"], row["points"])

    def _no_counts(self, came: Iterable[Row]) -> None:
        """Of a yes and a no of one day the one that came in last counts: of two books, the no."""
        table = t.consent
        for row in came:
            if row["answer"] != Answer.YES.value:
                continue
            same = (
                table.c.customer_id == self.numbers(t.customer)[row["customer_id"]],
                table.c.way == row["way"],
                table.c.on_day == row["on_day"],
                table.c.answer == Answer.NO.value,
            )
            for no in records(self.connection, select(table).where(*same).order_by(table.c.id)):
                self.connection.execute(delete(table).where(table.c.id == no["id"]))
                again = {name: value for name, value in no.items() if name != "id"}
                self.connection.execute(insert(table).values(**again))

    def _update(self, kept: Kept, key: Key, values: Mapping[str, Any]) -> None:
        local = self._local(kept, values) | _unbound(kept, values)
        if local:
            which = self._which(kept, dict(zip(kept.key, key, strict=True)))
            self.connection.execute(update(kept.table).where(*which).values(**local))
        if "points" in values:
            self._points(key[0], values["points"])

    def _which(self, kept: Kept, row: Row) -> list[Any]:
        local = self._local(kept, {c: row[c] for c in kept.key})
        return [kept.table.c[c] == v for c, v in local.items()]

    def _points(self, model_uid: str, points: Sequence[tuple[float, float]]) -> None:
        number = self.numbers(t.pump_model)[model_uid]
        table = t.pump_point
        self.connection.execute(delete(table).where(table.c.pump_model_id == number))
        rows = [{"pump_model_id": number, "gpm": q, "head_ft": h} for q, h in points]
        if rows:
            self.connection.execute(insert(table), rows)

    def _delete(self, kept: Kept, row: Row) -> None:
        which = self._which(kept, row)
        if "id" in kept.table.c:
            found = self.connection.execute(select(kept.table.c.id).where(*which)).scalars()
            take_out(self.connection, kept.table, list(found))
        self.connection.execute(delete(kept.table).where(*which))

    def _values(self, table: Table, changes: Mapping[Key, Mapping[str, Any]]) -> None:
        name, value = table.columns
        for (key,), values in changes.items():
            self.connection.execute(delete(table).where(name == key))
            if values["value"] is not None:
                row = {name.name: key, value.name: values["value"]}
                self.connection.execute(insert(table).values(**row))


def take_out(connection: Connection, table: Table, numbers: Sequence[int]) -> None:
    """Delete rows with all that hangs on them, derived rows too; what may point to nothing does."""
    if not numbers:
        return
    for other in reversed(t.METADATA.sorted_tables):
        for column in other.columns:
            for key in column.foreign_keys:
                if key.column is not table.c.get("id") or other is table:
                    continue
                which = column.in_(numbers)
                if column.nullable:
                    connection.execute(update(other).where(which).values({column: None}))
                    continue
                if "id" in other.c:
                    some = connection.execute(select(other.c.id).where(which)).scalars()
                    take_out(connection, other, list(some))
                connection.execute(delete(other).where(which))
    connection.execute(delete(table).where(table.c.id.in_(numbers)))


# -- the change log ----------------------------------------------------------------------------


def unite_logs(mine: Connection, its: Connection, new: Iterable[Line]) -> None:
    """Put the other book's lines among this one's, in the order that both books come to."""
    incoming = list(new)
    if not incoming:
        return
    order = in_one_order(_plain(mine), _plain(its))
    here = _plain(mine)
    start = next((n for n, line in enumerate(here) if line.uid != order[n].uid), len(here))
    tail = [line.uid for line in order[start:]]
    whole = {line.uid: line for line in lines_of(mine, [line.uid for line in here[start:]])}
    whole |= {line.uid: line for line in incoming}
    for some in batches([line.uid for line in here[start:]]):
        mine.execute(delete(t.change).where(t.change.c.uid.in_(some)))
    for some in batches(tail):
        rows = [{name: getattr(whole[uid], name) for name in LINE} for uid in some]
        mine.execute(insert(t.change), rows)


def let_go_of_runs(connection: Connection) -> None:
    """Imports whose lines of the change log have other numbers now can be taken back no more."""
    run, line = t.import_run, t.change
    own = select(line.c.id).where(
        line.c.id == run.c.last_change, line.c.row_uid == run.c.uid, line.c.action == "import"
    )
    lost = (run.c.last_change != 0) & ~own.exists()
    connection.execute(update(run).where(lost).values(first_change=0, last_change=0))


def _plain(connection: Connection) -> list[Line]:
    query = select(t.change.c.uid, t.change.c.at).order_by(t.change.c.id)
    return [Line(uid, at, "", "", "", "", None, None) for uid, at in connection.execute(query)]


# -- the strings -------------------------------------------------------------------------------


def replayed(connection: Connection, system_ids: Iterable[int]) -> dict[int, str]:
    """Replay some systems, each by itself; what the replay says of those that it refuses."""
    refused: dict[int, str] = {}
    for system_id in sorted(system_ids):
        try:
            with connection.begin_nested():
                rebuild(connection, system_id)
        except ReplayError as error:
            refused[system_id] = error.message
    return refused
