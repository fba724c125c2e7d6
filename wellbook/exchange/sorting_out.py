"""Which records of a file are to be written, and what each is in the book: what the source has brought
in before is known by its key, and of the rest it is asked."""

from __future__ import annotations

import json

from sqlalchemy import select

from wellbook.exchange.forgotten_people import ForgottenPeople
from wellbook.exchange.import_desk import Desk
from wellbook.exchange.well_record import WellRecord
from wellbook.exchange.well_writing import Slot, WellInBook
from wellbook.store import tables as t
from wellbook.store.rows import records
from wellbook.terms import Role


class SortingOut:
    """Sorts some hundred records at a time."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.joined: dict[int, int] = {}
        self.forgotten = ForgottenPeople(desk.connection)
        runs = select(t.import_run.c.source).where(t.import_run.c.id != desk.counts.run).distinct()
        self.tables = [
            name
            for name in desk.connection.execute(runs).scalars()
            if name.rpartition(" / ")[0] == desk.source
        ]

    def sorted_out(self, some: list[WellRecord]) -> list[Slot]:
        """The records that are to be written, each with what it is in the book."""
        known = self._known([r.key for r in some])
        slots: list[Slot] = []
        fresh: list[Slot] = []
        for record in some:
            slot, digest = known.get(record.key, (None, ""))
            if self._is_forgotten(record, slot) and not record.has_well:
                self.desk.counts.skipped += len(record.rows)
                continue
            if slot is None:
                fresh.append(Slot(record))
                continue
            slot.record = record
            if digest == record.digest() and not self.desk.made_ours(slot.well):
                self.desk.counts.unchanged += len(record.rows)
            else:
                slots.append(slot)
            if self.desk.role is Role.REFERENCE and slot.well and slot.well.role is Role.OURS:
                self.desk.counts.stay_ours += 1
        of_wells = [s for s in fresh if s.record.has_well]
        left = {
            id(s)
            for s in self.desk.asking.about_wells(
                self.desk.connection, self.desk.there, of_wells, self.desk.source
            )
        }
        for slot in fresh:
            if slot.joined and slot.well is not None and id(slot) not in left:
                self._join(slot, slot.well, left)
        asked = [s for s in (*fresh, *slots) if id(s) not in left and s.record.person]
        left |= {id(s) for s in self.desk.asking.about_people(self.desk.there, asked)}
        for slot in (*fresh, *slots):
            if id(slot) in left:
                self.desk.counts.skipped += len(slot.record.rows)
        return [s for s in (*fresh, *slots) if id(s) not in left]

    def _is_forgotten(self, record: WellRecord, slot: Slot | None) -> bool:
        """Whether a record names somebody who is to be forgotten; it does so no more. Who was entered
        again by hand has come back of his own will."""
        person = record.person
        known = slot.customer_id if slot else None
        if person is None or not self.forgotten.has(person, known):
            return False
        address = record.site.get("road", ""), record.site.get("town", "")
        if known is None and self.desk.there.same_person(person, *address) is not None:
            return False
        self.desk.counts.forgotten += len(record.rows)
        record.person = None
        return True

    def _join(self, slot: Slot, well: WellInBook, left: set[int]) -> None:
        """A record joins a well of the book; one that is numbered does so alone."""
        first = self.joined.setdefault(well.id, slot.record.rows[0])
        if slot.record.own_key and first != slot.record.rows[0]:
            why = f"row {first} was joined with that well; rows of one well bear one number"
            self.desk.aside.doubt(self.desk.remarks(slot.record, why))
            left.add(id(slot))
        slot.site_id = well.site_id

    def _known(self, keys: list[str]) -> dict[str, tuple[Slot, str]]:
        """What this source has brought in under these keys, and the sum of what this table said."""
        if not self.tables:
            return {}
        row, well = t.imported_row, t.well
        mine = [c.label(f"row_{c.name}") for c in row.c]
        query = (
            select(*mine, well)
            .outerjoin(well, well.c.id == row.c.well_id)
            .where(row.c.source.in_(self.tables), row.c.row_key.in_(keys))
            .order_by(row.c.source)
        )
        found: dict[str, tuple[Slot, str]] = {}
        for r in records(self.desk.connection, query):
            own, key = r["row_source"] == self.desk.name, r["row_row_key"]
            slot, digest = found.get(key, (Slot(None, known=True), ""))  # type: ignore[arg-type]
            if slot.well is None and r["id"] is not None:
                slot.well = WellInBook.of({**r, "facts_uid": r["row_facts_uid"]})
            slot.site_id = slot.site_id or r["row_site_id"] or r["site_id"]
            slot.customer_id = slot.customer_id or r["row_customer_id"]
            if own:
                digest, slot.said = r["row_digest"], json.loads(r["row_said"] or "{}")
                slot.row = {n: r[f"row_{n}"] for n in (c.name for c in row.c)}
            found[key] = (slot, digest)
        return found
