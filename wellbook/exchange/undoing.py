"""Taking back a run of an import, whole, while nothing has been built on it.

What the run made goes, what it changed gets its former values, what it took away comes back. Whatever
came later and points to that stands in the way, and is named.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any

from sqlalchemy import Column, Connection, Date, Select, Table, delete, insert, select, update

from wellbook.errors import NotFoundError, WellbookError
from wellbook.exchange.trace import made_uids
from wellbook.store import tables as t
from wellbook.store.forgetting_imports import HIS
from wellbook.store.identity import now
from wellbook.store.judging import renew
from wellbook.store.kept import Kept, kept_tables
from wellbook.store.replaying import rebuild
from wellbook.store.rows import Record, batches, log, records
from wellbook.store.search import index_wells
from wellbook.terms import Role, SheetKind

_OF_RUNS = frozenset({"import_run", "imported_row", "import_change", "import_answer", "change"})
_WRITTEN_WITH = frozenset({"observation", "bore_interval"})
"""What an import writes with a well, by identities of its own; by hand nobody writes there."""


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
    taking = _Taking(connection, run)
    if ways := taking.in_the_way():
        more = f", and {len(ways) - 1:,} more" if len(ways) > 1 else ""
        raise WellbookError(f"run {number} cannot be taken back: {ways[0]}{more}")
    taking.take_back()
    log(connection, who, "undo", "import_run", run["uid"], old={"file": run["file_name"]})
    mine = update(t.import_run).where(t.import_run.c.id == number)
    connection.execute(mine.values(undone_at=now()))
    return run


class _Taking:
    """One run that is taken back."""

    def __init__(self, connection: Connection, run: Record) -> None:
        self.connection, self.run = connection, run
        self.made: dict[str, int] = json.loads(run["made"] or "{}")
        self.kept = {k.name: k for k in kept_tables()}
        self.ids: dict[str, list[int]] = {}
        for name in self.made:
            self.ids[name] = self._numbers(self.kept[name].table, self._uids(name))
        lines = select(t.import_change).where(t.import_change.c.run_id == run["id"])
        self.lines = records(connection, lines.order_by(t.import_change.c.position.desc()))
        self.changed: dict[str, list[int]] = {}
        for name in {line["what"] for line in self.lines} - _OF_RUNS:
            uids = [x["row_uid"] for x in self.lines if x["what"] == name]
            self.changed[name] = self._numbers(self.kept[name].table, uids)
        self.came = {(x["what"], x["row_uid"]) for x in self.lines}

    def _uids(self, name: str) -> Iterator[str]:
        return made_uids(self.run["uid"], self.made, name)

    def _numbers(self, table: Table, uids: Iterable[str]) -> list[int]:
        found: list[int] = []
        for some in batches(list(uids)):
            query = select(table.c.id).where(table.c.uid.in_(some))
            found += self.connection.execute(query).scalars()
        return found

    # -- what stands in the way ----------------------------------------------------------------

    def in_the_way(self) -> list[str]:
        """What came later and rests on what the run did, each in words."""
        later = [*self._forgotten(), *self._later_runs(), *self._later_changes()]
        return list(dict.fromkeys([*later, *self._later_rows()]))

    def _forgotten(self) -> Iterator[str]:
        """What it did to a person who was forgotten since cannot be told any more."""
        gone = t.forgotten
        for some in batches(sorted({uid for what, uid in self.came if what in HIS})):
            query = select(gone.c.at).where(gone.c.row_uid.in_(some), gone.c.what.in_(HIS))
            for at in self.connection.execute(query.order_by(gone.c.at)).scalars():
                yield f"somebody of whom it tells was forgotten on a wish, {at[:10]}"

    def _later_runs(self) -> Iterator[str]:
        row, run = t.imported_row, t.import_run
        for column, name in ((row.c.well_id, "well"), (row.c.customer_id, "customer")):
            mine = [*self.ids.get(name, ()), *self.changed.get(name, ())]
            for some in batches(mine):
                query = (
                    select(run.c.id, run.c.file_name)
                    .join(row, row.c.run_id == run.c.id)
                    .where(column.in_(some), run.c.id > self.run["id"])
                    .distinct()
                )
                for number, file_name in self.connection.execute(query.order_by(run.c.id)):
                    yield f"run {number} ({file_name}) brought in the same records since"

    def _later_changes(self) -> Iterator[str]:
        line = t.change
        for name in sorted({*self.made, *(w for w, _ in self.came)} - _OF_RUNS):
            uids = [*self._uids(name), *(uid for what, uid in self.came if what == name)]
            for some in batches(uids):
                query = select(line.c.row_uid, line.c.at, line.c.who).where(
                    line.c.id > self.run["last_change"],
                    line.c.row_uid.in_(some),
                    line.c.what == name,
                    ~_taken_back().exists(),
                )
                for uid, at, who in self.connection.execute(query.order_by(line.c.id)):
                    yield f"{self._named(name, uid)} was changed since, {at[:10]} by {who}"

    def _later_rows(self) -> Iterator[str]:
        """Rows that point to what the run made or changed and are not its own."""
        for kept in self.kept.values():
            if kept.name in _OF_RUNS or kept.name in _WRITTEN_WITH:
                continue
            for name, to in kept.points.items():
                made = self.ids.get(to.name, [])
                yield from self._pointing(kept, kept.table.c[name], made, later=False)
                changed = [n for n in self.changed.get(to.name, ()) if n not in set(made)]
                if kept.has_uid:
                    yield from self._pointing(kept, kept.table.c[name], changed, later=True)

    def _pointing(
        self, kept: Kept, column: Column[Any], numbers: Sequence[int], *, later: bool
    ) -> Iterator[str]:
        own = set(self.ids.get(kept.name, ()))
        for some in batches(numbers):
            query = select(kept.table).where(column.in_(some))
            if later:
                line = t.change
                query = query.join(line, line.c.row_uid == kept.table.c.uid).where(
                    line.c.id > self.run["last_change"], line.c.action == "add"
                )
            for row in records(self.connection, query):
                if kept.has_uid:
                    mine = row["id"] in own if "id" in row else False
                    if not mine and (kept.name, row["uid"]) not in self.came:
                        yield f"{_said(kept.name, row)} came since"
                elif not self._goes_along(kept, row):
                    yield f"{_said(kept.name, row)} came since"

    def _goes_along(self, kept: Kept, row: Record) -> bool:
        """Whether a row without an identity goes with what it points to: who was on a visit that the
        run wrote, which property draws on a water system that it made."""
        if kept.name == "system_site":
            fresh = set(self.ids.get("water_system", ()))
            return row["system_id"] in fresh or row["site_id"] in set(self.ids.get("site", ()))
        return kept.name in ("crew", "call")

    def _named(self, name: str, uid: str) -> str:
        table = self.kept[name].table
        found = records(self.connection, select(table).where(table.c.uid == uid))
        return _said(name, found[0]) if found else name.replace("_", " ")

    # -- taking back ---------------------------------------------------------------------------

    def take_back(self) -> None:
        """Bring back what was, and take away what came."""
        wells = set(self.ids.get("well", ()))
        touched = self._touched() - wells
        self._clear(sorted(wells))
        self._delete_rows()
        for line in self.lines:
            self._bring_back(line)
        self._delete_made()
        self._settle(sorted(touched))
        number = self.run["id"]
        for table in (t.import_change, t.import_answer):
            self.connection.execute(delete(table).where(table.c.run_id == number))

    def _touched(self) -> set[int]:
        """Wells that stay, and of which something was changed."""
        wells = set(self.changed.get("well", ()))
        for name in ("sheet", "observation", "bore_interval"):
            table = self.kept[name].table
            for some in batches([*self.ids.get(name, ()), *self.changed.get(name, ())]):
                query = select(table.c.well_id).where(table.c.id.in_(some))
                wells.update(self.connection.execute(query).scalars())
        at = [*self.ids.get("site", ()), *self.changed.get("site", ())]
        who = [*self.ids.get("customer", ()), *self.changed.get("customer", ())]
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
        table = self.kept[name].table
        found: list[int] = []
        for some in batches(self.ids.get(name, [])):
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
                *(t.search_use, t.search_digits, t.observation, t.bore_interval),
            ):
                self.connection.execute(delete(table).where(table.c.well_id.in_(some)))

    def _delete_rows(self) -> None:
        row = t.imported_row
        self.connection.execute(delete(row).where(row.c.run_id == self.run["id"]))
        sheets = [*self.ids.get("sheet", ())]
        sheets += self._numbers(
            t.sheet, [x["row_uid"] for x in self.lines if x["what"] == "sheet" and not x["old"]]
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
        sites, systems = self.ids.get("site", []), self.ids.get("water_system", [])
        draws = t.system_site
        for column, numbers in ((draws.c.site_id, sites), (draws.c.system_id, systems)):
            for some in batches(numbers):
                self.connection.execute(delete(draws).where(column.in_(some)))
        for kept in reversed(list(self.kept.values())):
            for some in batches(self.ids.get(kept.name, [])):
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


def _taken_back() -> Select[Any]:
    """The run that wrote a line of the change log, where it was taken back."""
    run, line = t.import_run, t.change
    return select(run.c.id).where(
        run.c.undone_at.is_not(None),
        line.c.id > run.c.first_change,
        line.c.id <= run.c.last_change,
    )


def _value(table: Table, name: str, value: Any) -> Any:
    if isinstance(value, str) and isinstance(table.c[name].type, Date):
        return date.fromisoformat(value)
    return value


def _said(name: str, row: Record) -> str:
    """A row in few words."""
    if name == "well":
        return f"well {row['tag']}"
    if name == "customer":
        return f"customer {row['id']} {row['name']}"
    if name == "site":
        return f"property {row['id']} {row['road']}"
    if name == "sheet":
        what = "call" if row["kind"] == SheetKind.CALL else "visit"
        return f"{what} {row['id']} of {row['start_on']}"
    plain = {"contact_point": "a way to reach a customer", "occupancy": "a move"}
    plain |= {"attachment": "a file of a well", "system_site": "a property on a water system"}
    return plain.get(name, f"a {name.replace('_', ' ')}")


def runs(connection: Connection) -> list[Record]:
    """All runs, newest first."""
    table = t.import_run
    return records(connection, select(table).order_by(table.c.id.desc()))
