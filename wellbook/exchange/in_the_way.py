"""What stands in the way of taking a run back: what came later and rests on what it did."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import Column, Select, select

from wellbook.exchange.run_done import OF_RUNS, RunDone
from wellbook.store import tables as t
from wellbook.store.entries import cancelled_lines
from wellbook.store.forgetting_imports import HIS
from wellbook.store.kept import Kept
from wellbook.store.rows import Record, batches, records
from wellbook.terms import SheetKind

_WRITTEN_WITH = frozenset({"observation", "bore_interval"})
"""What an import writes with a well, by identities of its own; by hand nobody writes there."""


def in_the_way(done: RunDone) -> list[str]:
    """What came later and rests on what a run did, each in words."""
    return _Later(done).all()


class _Later:
    def __init__(self, done: RunDone) -> None:
        self.done, self.connection = done, done.connection

    def all(self) -> list[str]:
        later = [*self._forgotten(), *self._later_runs(), *self._later_changes()]
        return list(dict.fromkeys([*later, *self._later_rows()]))

    def _forgotten(self) -> Iterator[str]:
        """What it did to a person who was forgotten since cannot be told any more."""
        gone = t.forgotten
        for some in batches(sorted({uid for what, uid in self.done.came if what in HIS})):
            query = select(gone.c.at).where(gone.c.row_uid.in_(some), gone.c.what.in_(HIS))
            for at in self.connection.execute(query.order_by(gone.c.at)).scalars():
                yield f"somebody of whom it tells was forgotten on a wish, {at[:10]}"

    def _later_runs(self) -> Iterator[str]:
        row, run = t.imported_row, t.import_run
        for column, name in ((row.c.well_id, "well"), (row.c.customer_id, "customer")):
            mine = [*self.done.ids.get(name, ()), *self.done.changed.get(name, ())]
            for some in batches(mine):
                query = (
                    select(run.c.id, run.c.file_name)
                    .join(row, row.c.run_id == run.c.id)
                    .where(column.in_(some), run.c.id > self.done.run["id"])
                    .distinct()
                )
                for number, file_name in self.connection.execute(query.order_by(run.c.id)):
                    yield f"run {number} ({file_name}) brought in the same records since"

    def _later_changes(self) -> Iterator[str]:
        line = t.change
        void = cancelled_lines(self.connection, self.done.run["last_change"])
        for name in sorted({*self.done.made, *(w for w, _ in self.done.came)} - OF_RUNS):
            uids = [*self.done.uids(name), *(uid for what, uid in self.done.came if what == name)]
            for some in batches(uids):
                query = select(line.c.id, line.c.row_uid, line.c.at, line.c.who).where(
                    line.c.id > self.done.run["last_change"],
                    line.c.row_uid.in_(some),
                    line.c.what == name,
                    ~_taken_back().exists(),
                )
                for number, uid, at, who in self.connection.execute(query.order_by(line.c.id)):
                    if any(first <= number <= last for first, last in void):
                        continue
                    yield f"{self._named(name, uid)} was changed since, {at[:10]} by {who}"

    def _later_rows(self) -> Iterator[str]:
        """Rows that point to what the run made or changed and are not its own."""
        for kept in self.done.kept.values():
            if kept.name in OF_RUNS or kept.name in _WRITTEN_WITH:
                continue
            for name, to in kept.points.items():
                made = self.done.ids.get(to.name, [])
                yield from self._pointing(kept, kept.table.c[name], made, later=False)
                changed = [n for n in self.done.changed.get(to.name, ()) if n not in set(made)]
                if kept.has_uid:
                    yield from self._pointing(kept, kept.table.c[name], changed, later=True)

    def _pointing(
        self, kept: Kept, column: Column[Any], numbers: Sequence[int], *, later: bool
    ) -> Iterator[str]:
        own = set(self.done.ids.get(kept.name, ()))
        for some in batches(numbers):
            query = select(kept.table).where(column.in_(some))
            if later:
                line = t.change
                query = query.join(line, line.c.row_uid == kept.table.c.uid).where(
                    line.c.id > self.done.run["last_change"], line.c.action == "add"
                )
            for row in records(self.connection, query):
                if kept.has_uid:
                    mine = row["id"] in own if "id" in row else False
                    if not mine and (kept.name, row["uid"]) not in self.done.came:
                        yield f"{_said(kept.name, row)} came since"
                elif not self._goes_along(kept, row):
                    yield f"{_said(kept.name, row)} came since"

    def _goes_along(self, kept: Kept, row: Record) -> bool:
        """Whether a row without an identity goes with what it points to: who was on a visit that the
        run wrote, which property draws on a water system that it made."""
        if kept.name == "system_site":
            fresh = set(self.done.ids.get("water_system", ()))
            return row["system_id"] in fresh or row["site_id"] in set(self.done.ids.get("site", ()))
        return kept.name in ("crew", "call")

    def _named(self, name: str, uid: str) -> str:
        table = self.done.kept[name].table
        found = records(self.connection, select(table).where(table.c.uid == uid))
        return _said(name, found[0]) if found else name.replace("_", " ")


def _taken_back() -> Select[Any]:
    """The run that wrote a line of the change log, where it was taken back."""
    run, line = t.import_run, t.change
    return select(run.c.id).where(
        run.c.undone_at.is_not(None),
        line.c.id > run.c.first_change,
        line.c.id <= run.c.last_change,
    )


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
