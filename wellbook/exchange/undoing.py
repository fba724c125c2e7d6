"""Taking back a run of an import, whole, while nothing has been built on it.

What the run made goes, what it changed gets its former values, what it took away comes back. Whatever
came later and points to that stands in the way, and is named.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from typing import Any

from sqlalchemy import Connection, Date, Table, delete, insert, select, update

from wellbook.errors import NotFoundError, WellbookError
from wellbook.exchange.in_the_way import in_the_way
from wellbook.exchange.run_done import RunDone
from wellbook.store import tables as t
from wellbook.store.identity import now
from wellbook.store.judging import renew
from wellbook.store.replaying import rebuild
from wellbook.store.rows import Record, batches, log, records
from wellbook.store.word_index import index_wells, unindex
from wellbook.terms import Role


def run_of(connection: Connection, number: int) -> Record:
    """A run by its number.

    Raises
    ------
    NotFoundError
        If there is none.
    """
    found = records(connection, select(t.import_run).where(t.import_run.c.id == number))
    if not found:
        raise NotFoundError(f"no import has the number {number}; wellbook import runs lists them")
    return found[0]


def undo(connection: Connection, who: str, number: int) -> Record:
    """Take a run back in the caller's transaction.

    Returns
    -------
    The run as it was.

    Raises
    ------
    NotFoundError
        If there is no such run.
    WellbookError
        If it was taken back already, or something was built on it: then with what stands in the way.
    """
    run = run_of(connection, number)
    if run["undone_at"]:
        raise WellbookError(f"run {number} was taken back already, {run['undone_at'][:10]}")
    line = t.change
    told = select(line.c.id).where(
        line.c.id == run["last_change"], line.c.row_uid == run["uid"], line.c.action == "import"
    )
    if not connection.execute(told).first():
        raise WellbookError(
            f"run {number} cannot be taken back: this book does not hold what it did step by step"
        )
    done = RunDone(connection, run)
    if ways := in_the_way(done):
        more = f", and {len(ways) - 1:,} more" if len(ways) > 1 else ""
        raise WellbookError(f"run {number} cannot be taken back: {ways[0]}{more}")
    _Taking(done).take_back()
    log(connection, who, "undo", "import_run", run["uid"], old={"file": run["file_name"]})
    mine = update(t.import_run).where(t.import_run.c.id == number)
    connection.execute(mine.values(undone_at=now()))
    return run


class _Taking:
    """One run that is taken back."""

    def __init__(self, done: RunDone) -> None:
        self.done, self.connection = done, done.connection

    def take_back(self) -> None:
        """Bring back what was, and take away what came."""
        wells = set(self.done.ids.get("well", ()))
        touched = self._touched() - wells
        self._clear(sorted(wells))
        self._delete_rows()
        for line in self.done.lines:
            self._bring_back(line)
        self._delete_made()
        self._settle(sorted(touched))
        number = self.done.run["id"]
        for table in (t.import_change, t.import_answer):
            self.connection.execute(delete(table).where(table.c.run_id == number))

    def _touched(self) -> set[int]:
        """Wells that stay, and of which something was changed."""
        wells = set(self.done.changed.get("well", ()))
        for name in ("sheet", "observation", "bore_interval"):
            table = self.done.kept[name].table
            for some in batches([*self.done.ids.get(name, ()), *self.done.changed.get(name, ())]):
                query = select(table.c.well_id).where(table.c.id.in_(some))
                wells.update(self.connection.execute(query).scalars())
        at = [*self.done.ids.get("site", ()), *self.done.changed.get("site", ())]
        who = [*self.done.ids.get("customer", ()), *self.done.changed.get("customer", ())]
        ways = self._of("contact_point", "customer_id")
        stays = self._of("occupancy", "site_id")
        for some in batches([*at, *stays]):
            query = select(t.well.c.id).where(t.well.c.site_id.in_(some))
            wells.update(self.connection.execute(query).scalars())
        there = t.occupancy
        for some in batches([*who, *ways]):
            homes = select(there.c.site_id).where(there.c.customer_id.in_(some))
            query = select(t.well.c.id).where(t.well.c.site_id.in_(homes))
            wells.update(self.connection.execute(query).scalars())
        return wells

    def _of(self, name: str, column: str) -> list[int]:
        table = self.done.kept[name].table
        found: list[int] = []
        for some in batches(self.done.ids.get(name, [])):
            found += self.connection.execute(
                select(table.c[column]).where(table.c.id.in_(some))
            ).scalars()
        return found

    def _clear(self, wells: Sequence[int]) -> None:
        """Take away all that hangs on wells that go: what is derived, and what was read in them."""
        component = t.component
        for some in batches(wells):
            mine = select(component.c.id).where(component.c.well_id.in_(some))
            for table in (t.component_claim, *t.PART_TABLES.values()):
                self.connection.execute(delete(table).where(table.c.component_id.in_(mine)))
            samples = select(t.water_sample.c.id).where(t.water_sample.c.well_id.in_(some))
            results = t.water_result
            self.connection.execute(delete(results).where(results.c.sample_id.in_(samples)))
            for table in (
                *(t.water_sample, component, t.cable_inspection, t.found, t.due),
                *(t.observation, t.bore_interval),
            ):
                self.connection.execute(delete(table).where(table.c.well_id.in_(some)))
        unindex(self.connection, wells)

    def _delete_rows(self) -> None:
        row = t.imported_row
        self.connection.execute(delete(row).where(row.c.run_id == self.done.run["id"]))
        sheets = [*self.done.ids.get("sheet", ())]
        sheets += self.done.numbers(
            t.sheet,
            [x["row_uid"] for x in self.done.lines if x["what"] == "sheet" and not x["old"]],
        )
        for some in batches(sheets):
            for table in (t.crew, t.call):
                self.connection.execute(delete(table).where(table.c.sheet_id.in_(some)))
            self.connection.execute(delete(t.sheet).where(t.sheet.c.id.in_(some)))

    def _bring_back(self, line: Record) -> None:
        table = t.METADATA.tables[line["what"]]
        if line["old"] is None:
            self._take_away(table, line["row_uid"])
            return
        old = {n: _value(table, n, v) for n, v in json.loads(line["old"]).items()}
        if "uid" in table.c:
            values = {n: v for n, v in old.items() if n != "id"}
            mine = table.c.uid == line["row_uid"]
            if self.connection.execute(select(table.c.uid).where(mine)).first():
                self.connection.execute(update(table).where(mine).values(**values))
            else:
                self.connection.execute(insert(table).values(**values))
        else:
            self.connection.execute(insert(table).values(**old))

    def _take_away(self, table: Table, uid: str) -> None:
        mine = table.c.uid == uid
        if table.name == "technician":
            there = select(t.crew.c.technician_id)
            mine &= table.c.id.not_in(there)
        self.connection.execute(delete(table).where(mine))

    def _delete_made(self) -> None:
        sites, systems = self.done.ids.get("site", []), self.done.ids.get("water_system", [])
        draws = t.system_site
        for column, numbers in ((draws.c.site_id, sites), (draws.c.system_id, systems)):
            for some in batches(numbers):
                self.connection.execute(delete(draws).where(column.in_(some)))
        for kept in reversed(list(self.done.kept.values())):
            for some in batches(self.done.ids.get(kept.name, [])):
                self.connection.execute(delete(kept.table).where(kept.table.c.id.in_(some)))

    def _settle(self, wells: Sequence[int]) -> None:
        """Work out anew what follows for wells that stay."""
        for some in batches(wells):
            query = select(t.well).where(t.well.c.id.in_(some))
            before = {row["id"]: row for row in records(self.connection, query)}
            systems = sorted({row["system_id"] for row in before.values()})
            if systems:
                rebuild(self.connection, *systems)
            # A replay may seal a well by what is on record; else its status is what it was.
            numbers = list(before)
            ours = [n for n, row in before.items() if row["role"] == Role.OURS.value]
            renew(self.connection, ours)
            others = [n for n in numbers if n not in set(ours)]
            self.connection.execute(delete(t.due).where(t.due.c.well_id.in_(others)))
            index_wells(self.connection, numbers)


def _value(table: Table, name: str, value: Any) -> Any:
    if isinstance(value, str) and isinstance(table.c[name].type, Date):
        return date.fromisoformat(value)
    return value


def runs(connection: Connection) -> list[Record]:
    """All runs, newest first."""
    table = t.import_run
    return records(connection, select(table).order_by(table.c.id.desc()))
