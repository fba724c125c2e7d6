"""The sheets of what records say is down the hole, written and replayed: what does not work out by itself
is left out of a new well, and refused of one that is in the book."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select

from wellbook.errors import ReplayError
from wellbook.exchange.facts_changed import Was
from wellbook.exchange.import_desk import Desk
from wellbook.exchange.import_sheets import SheetsOfTable, Versions
from wellbook.exchange.well_record import Remark, WellRecord
from wellbook.exchange.well_writing import Slot, WellInBook
from wellbook.store import tables as t
from wellbook.store.replaying import rebuild
from wellbook.store.rows import records


class ReplayingRecords:
    """Brings the sheets of some hundred records at a time into the book."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.sheets = SheetsOfTable(desk.connection, desk.who, desk.name, desk.today, desk.trace)

    def entered(self, pairs: list[tuple[WellInBook, WellRecord]]) -> int:
        """Write and replay the sheets of new wells; one that does not work out by itself is left
        out, and its well stays."""
        mark = self.desk.trace.mark()
        try:
            with self.desk.connection.begin_nested():
                made = self.sheets.enter(pairs)
                rebuild(self.desk.connection, *(well.system_id for well, _ in pairs))
                return made
        except ReplayError as error:
            self.desk.trace.back_to(mark)
            if len(pairs) == 1:
                ((_, record),) = pairs
                why = f"its visits and parts do not work out, and are left out: {error.message}"
                self.desk.aside.doubt(self.desk.remarks(record, why))
                return 0
        half = len(pairs) // 2
        return self.entered(pairs[:half]) + self.entered(pairs[half:])

    def replayed(self, slots: list[Slot]) -> list[Slot]:
        """Bring the sheets of what is there to what records say now; those that may come in."""
        pairs = [s for s in slots if s.well is not None]
        uids: dict[int, list[str]] = {}
        for well in (s.well for s in pairs if s.well is not None):
            uids.setdefault(well.id, []).append(well.uid)
        known = self.sheets.known(uids)
        with_sheets = [
            s
            for s in pairs
            if s.record.parts or s.record.visits or (s.well and s.well.uid in known)
        ]
        refused = {id(s) for s in self._refused(with_sheets, known)}
        return [s for s in slots if id(s) not in refused]

    def _refused(self, slots: list[Slot], known: Mapping[str, list[Versions]]) -> list[Slot]:
        """Bring the sheets of wells to what their records say now; those that the replay refuses.

        All are replayed at once; where that is refused, each half by itself, down to the one.
        """
        stays: list[Remark] = []
        changes: list[tuple[WellRecord, list[Was]]] = []
        systems: set[int] = set()
        mark, sheets_made = self.desk.trace.mark(), self.desk.trace.made["sheet"]
        try:
            with self.desk.connection.begin_nested():
                wells = [s.well.id for s in slots if s.well]
                for row in records(
                    self.desk.connection, select(t.well).where(t.well.c.id.in_(wells))
                ):
                    # A sheet may seal its well.
                    self.desk.trace.before(t.well, row["uid"], row)
                for slot in slots:
                    well = slot.well
                    assert well is not None
                    news = self.sheets.renew(well, slot.record, known.get(well.uid, []))
                    systems |= {well.system_id} if news.written else set()
                    changes.append((slot.record, news.changes))
                    stays += (x for why in news.stays for x in self.desk.remarks(slot.record, why))
                self.desk.touched.update(rebuild(self.desk.connection, *systems) if systems else ())
        except ReplayError as error:
            self.desk.trace.back_to(mark)
            if len(slots) == 1:
                (slot,) = slots
                self.desk.aside.refuse(self.desk.remarks(slot.record, error.message))
                self.desk.counts.refused += len(slot.record.rows)
                return slots
            half = len(slots) // 2
            return [*self._refused(slots[:half], known), *self._refused(slots[half:], known)]
        self.desk.counts.new_sheets += self.desk.trace.made["sheet"] - sheets_made
        self.desk.aside.doubt(stays)
        for record, some in changes:
            self.desk.tell(record, some)
        return []
