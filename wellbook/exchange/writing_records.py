"""Some hundred records at a time are held against the book, and written."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import delete, select

from wellbook.exchange.changing_records import ChangingRecords
from wellbook.exchange.facts_changed import facts_changed
from wellbook.exchange.fields_said import fields, sums
from wellbook.exchange.import_desk import Desk
from wellbook.exchange.people_writing import PeopleOfRun, where
from wellbook.exchange.replaying_records import ReplayingRecords
from wellbook.exchange.sorting_out import SortingOut
from wellbook.exchange.well_record import WellRecord
from wellbook.exchange.well_writing import Facts, Slot, add_wells
from wellbook.store import tables as t
from wellbook.store.in_bulk import put_rows
from wellbook.store.judging import renew
from wellbook.store.word_index import index_wells
from wellbook.terms import Role


class WritingRecords:
    """Writes what is new in records, and what a source says otherwise now."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.sorting, self.changing = SortingOut(desk), ChangingRecords(desk)
        self.replaying = ReplayingRecords(desk)
        self.facts = Facts(desk.connection, desk.name, desk.trace)
        self.people = PeopleOfRun(desk.connection, desk.trace, desk.there)

    def bring_in(self, some: list[WellRecord]) -> None:
        """Write what is new in these records; what is like an earlier one of them is held against it
        once that one is written."""
        now, later = self.desk.asking.put_off(some)
        self._write(now)
        if later:
            self.bring_in(later)

    def _write(self, some: list[WellRecord]) -> None:
        self.desk.touched.clear()
        slots = self.sorting.sorted_out(some)
        new = [s for s in slots if not s.known and not s.joined]
        old = [s for s in slots if s.known or s.joined]
        old = self.replaying.replayed(old)
        were = {id(s): (s.well, s.site_id, s.customer_id) for s in old}
        both = [*new, *old]
        counts = self.desk.counts
        counts.new_customers += self.people.add_customers(both)
        counts.new_properties += self.people.add_sites(both)
        self.changing.place(old)
        self._stay_out(self.people.move_in(both))
        self._add_wells(new, [s for s in old if s.well is None and s.record.has_well])
        ways = self.people.add_ways(both)
        for slot in old:
            # Of a customer who was there before.
            if slot.customer_id in ways and were[id(slot)][2] == slot.customer_id:
                new_ways = ways.pop(slot.customer_id)
                self.desk.tell(slot.record, (("ways to reach him", "", way) for way in new_ways))
        counts.written += sum(len(s.record.rows) for s in new)
        counts.changed += sum(len(s.record.rows) for s in old)
        self.changing.change(both, were)
        pairs = [(s.well, s.record) for s in both if s.well is not None]
        before = [s for s in old if were[id(s)][0] is not None]
        gone = self.facts.forget([s.well for s in before if s.well is not None])
        for slot in before:
            if slot.well is not None and slot.row is not None:
                said = (slot.record.readings, slot.record.stretches)
                self.desk.tell(slot.record, facts_changed(gone.get(slot.well.uid, ()), *said))
        self.facts.write(pairs)
        self.facts.came((s.well, s.record) for s in before if s.well is not None)
        counts.new_readings += sum(len(record.readings) for _, record in pairs)
        self._remember(both)
        self.desk.trace.write()
        self._refresh({*self.desk.touched, *(well.id for well, _ in pairs)})
        if self.desk.clerk.people:
            for slot in new:
                if slot.well is not None:
                    who = slot.record.person.name if slot.record.person else ""
                    self.desk.there.add_well(slot.well.id, *where(slot), slot.record.key, who)

    def _add_wells(self, new: list[Slot], more: list[Slot]) -> None:
        slots = [s for s in new if s.record.has_well] + more
        if not slots:
            return
        prefix = self.desk.clerk.mapping.prefix
        if prefix is None:
            prefix = "R-" if self.desk.role is Role.REFERENCE else ""
        add_wells(
            self.desk.connection,
            self.desk.trace,
            slots,
            role=self.desk.role,
            prefix=prefix,
            today=self.desk.today,
        )
        self.desk.counts.new_wells += len(slots)
        pairs = [(s.well, s.record) for s in slots if s.well is not None]
        with_sheets = [(w, r) for w, r in pairs if r.parts or r.visits]
        if not with_sheets:
            return
        made = self.replaying.entered(with_sheets)
        self.desk.counts.new_sheets += made

    def _stay_out(self, slots: list[Slot]) -> None:
        """Of customers at a property where the book has somebody else: told, and left as it is."""
        why = (
            "the book has somebody else at this property; if he moved in, say so:"
            " wellbook site moved-in"
        )
        for slot in slots:
            self.desk.aside.doubt(self.desk.remarks(slot.record, why, "customer.name"))

    def _remember(self, slots: list[Slot]) -> None:
        """Keep the sums by which the records are known again."""
        table = t.imported_row
        again = [s for s in slots if s.row is not None]
        for slot in again:
            self.desk.trace.gone(table, slot.record.key, slot.row or {})
        if again:
            mine = (table.c.source == self.desk.name) & table.c.row_key.in_(
                [s.record.key for s in again]
            )
            self.desk.connection.execute(delete(table).where(mine))
        rows: list[dict[str, Any]] = [
            {
                "source": self.desk.name,
                "row_key": s.record.key,
                "digest": s.record.digest(),
                "said": sums(fields(s.record)),
                "well_id": s.well.id if s.well else None,
                "customer_id": s.customer_id,
                "site_id": s.site_id,
                "run_id": self.desk.counts.run,
                # What a joined well's facts are known by; the same as the well's in most.
                "facts_uid": s.well.uid if s.well else None,
            }
            for s in slots
        ]
        put_rows(self.desk.connection, table, rows)

    def _refresh(self, well_ids: Iterable[int]) -> None:
        """Renew the ledger of the shop's own wells among these, and the words of all."""
        numbers = sorted(well_ids)
        if numbers:
            of_shop = select(t.well.c.id).where(
                t.well.c.id.in_(numbers), t.well.c.role == Role.OURS.value
            )
            renew(self.desk.connection, list(self.desk.connection.execute(of_shop).scalars()))
            index_wells(self.desk.connection, numbers)
