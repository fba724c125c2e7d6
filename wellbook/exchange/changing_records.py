"""Fields that a source says otherwise now are brought over; what the shop wrote since stays."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import select, update

from wellbook.exchange.fields_said import Difference, differences, fields
from wellbook.exchange.import_desk import Desk
from wellbook.exchange.well_record import Remark
from wellbook.exchange.well_writing import Slot, more_notes
from wellbook.likeness.names import name_key
from wellbook.likeness.roads import road_key
from wellbook.store import tables as t
from wellbook.store.in_bulk import put_rows
from wellbook.store.rows import records
from wellbook.store.wells import wells_of_customer

_TABLES = {"well": t.well, "site": t.site, "customer": t.customer}
Were = Mapping[int, tuple[Any, Any, Any]]
"""What the records were in the book before they came: well, property and customer of each slot."""


class ChangingRecords:
    """Changes the rows of wells, properties and customers that are in the book."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def change(self, slots: list[Slot], were: Were) -> None:
        """Bring fields over that the source says otherwise now; what the shop wrote since stays."""
        here = [s for s in slots if self._was_there(s, were)]
        rows = self._rows(here, were)
        for slot in here:
            mine = {
                name: rows[name][number]
                for name, number in self._numbers(slot, were).items()
                if number is not None
            }
            writes: dict[str, dict[str, Any]] = {name: {} for name in mine}
            for found in differences(fields(slot.record), slot.said, mine):
                if found.writes:
                    writes[found.table] |= found.columns()
                self._tell(slot, found)
            well = slot.well
            if "well" in mine and self.desk.made_ours(well):
                writes["well"]["role"] = self.desk.role.value
                self.desk.counts.made_ours += 1
            self._notes(slot, mine, writes)
            for name, values in writes.items():
                if values:
                    self._update(name, mine[name]["id"], values, mine[name])
                    rows[name][mine[name]["id"]] = {**mine[name], **values}

    def _was_there(self, slot: Slot, were: Were) -> bool:
        return any(n is not None for n in self._numbers(slot, were).values())

    def _numbers(self, slot: Slot, were: Were) -> dict[str, int | None]:
        """The numbers of what a record is of and what was in the book before it came."""
        well, site, customer = were.get(id(slot), (None, None, None))
        return {
            "well": well.id if well is not None else None,
            "site": site,
            "customer": customer,
        }

    def _rows(self, slots: list[Slot], were: Were) -> dict[str, dict[int, Mapping[str, Any]]]:
        numbers: dict[str, set[int]] = {name: set() for name in _TABLES}
        for slot in slots:
            for name, number in self._numbers(slot, were).items():
                if number is not None:
                    numbers[name].add(number)
        return {
            name: {
                r["id"]: r
                for r in records(self.desk.connection, select(table).where(table.c.id.in_(some)))
            }
            if (some := sorted(numbers[name]))
            else {}
            for name, table in _TABLES.items()
        }

    def _notes(
        self,
        slot: Slot,
        mine: Mapping[str, Mapping[str, Any]],
        writes: dict[str, dict[str, Any]],
    ) -> None:
        if "well" in mine:
            there = mine["well"]["notes"]
            if (whole := more_notes(there, slot.record.notes)) != there:
                writes["well"]["notes"] = whole
                added = whole.removeprefix(there).strip().replace("\n", "; ")
                self.desk.tell(slot.record, [("notes", "", added)])

    def _tell(self, slot: Slot, found: Difference) -> None:
        row = slot.record.rows[0]
        if found.writes:
            self.desk.tell(slot.record, [(found.field, found.old, found.new)])
            return
        target = found.field.removeprefix("well.").removeprefix("site.")
        target = {"drilled": "drilled_on", "status": "sealed_on"}.get(target, target)
        column = self.desk.clerk.mapping.columns.get(target)
        why = f"the book says '{found.old}', which this source did not; it stays"
        self.desk.aside.doubt([Remark(row, column.label if column else "", found.new, why)])

    def place(self, slots: list[Slot]) -> None:
        """Wells that had no place get the one that was made for them."""
        for slot in slots:
            well = slot.well
            if well is None or well.site_id is not None or slot.site_id is None:
                continue
            self._update("well", well.id, {"site_id": slot.site_id})
            pair = {"system_id": well.system_id, "site_id": slot.site_id}
            put_rows(self.desk.connection, t.system_site, [pair])

    def _update(
        self,
        name: str,
        number: int,
        values: Mapping[str, Any],
        row: Mapping[str, Any] | None = None,
    ) -> None:
        table = _TABLES[name]
        if row is None:
            (row,) = records(self.desk.connection, select(table).where(table.c.id == number))
        self.desk.trace.before(table, row["uid"], row)
        if name == "site" and values.keys() & {"road", "town"}:
            place = {**row, **values}
            values = {**values, "road_key": road_key(place["road"], place["town"])}
        if name == "customer" and "name" in values:
            values = {**values, "name_key": name_key(values["name"])}
        self.desk.connection.execute(update(table).where(table.c.id == number).values(**values))
        if name == "customer" and "name" in values:
            self.desk.touched.update(wells_of_customer(self.desk.connection, number))
