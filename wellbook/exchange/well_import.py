"""Bringing records in: in one transaction, some hundred at a time, no record twice.

A number of a source is one record, whichever of the source's tables speaks of it. `imported_row` keeps
the sum of what each table said of each. All rows of a file that are joined in one record share its
outcome, so that written + unchanged + changed + skipped + refused are all the rows.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from itertools import islice
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, update

from wellbook.errors import ReplayError
from wellbook.exchange.asking import Asking
from wellbook.exchange.deciding import Decisions
from wellbook.exchange.fields_said import Difference, differences, fields, sums
from wellbook.exchange.forgotten_people import ForgottenPeople
from wellbook.exchange.house_rows import by_well, one_customer
from wellbook.exchange.import_sheets import SheetsOfTable, Versions
from wellbook.exchange.in_the_book import MOST, InTheBook
from wellbook.exchange.people_writing import PeopleOfRun, where
from wellbook.exchange.rows_aside import Change, RowsAside
from wellbook.exchange.trace import Trace
from wellbook.exchange.well_clerk import Clerk
from wellbook.exchange.well_record import Remark, Row, WellRecord
from wellbook.exchange.well_writing import Facts, Slot, WellInBook, add_wells, more_notes
from wellbook.likeness.names import name_key
from wellbook.likeness.roads import road_key
from wellbook.store import tables as t
from wellbook.store.identity import new_uid, now
from wellbook.store.in_bulk import put_rows
from wellbook.store.judging import renew
from wellbook.store.replaying import rebuild
from wellbook.store.rows import log, records
from wellbook.store.search import index_wells
from wellbook.store.wells import wells_of_customer
from wellbook.terms import Role

_AT_ONCE = 500
_TABLES = {"well": t.well, "site": t.site, "customer": t.customer}


@dataclass(slots=True)
class Counts:
    """The rows by what became of them, what was made, and what became of the wells' roles."""

    rows: int = 0
    wells: int = 0
    written: int = 0
    unchanged: int = 0
    changed: int = 0
    skipped: int = 0
    refused: int = 0
    new_customers: int = 0
    new_properties: int = 0
    new_wells: int = 0
    new_sheets: int = 0
    new_readings: int = 0
    made_ours: int = 0
    stay_ours: int = 0
    forgotten: int = 0
    run: int = 0

    @property
    def by_row(self) -> dict[str, int]:
        """What is kept of a run."""
        names = ("rows", "written", "unchanged", "changed", "skipped", "refused")
        return {name: getattr(self, name) for name in names}


def import_wells(
    connection: Connection,
    aside: RowsAside,
    clerk: Clerk,
    *,
    who: str,
    file_name: str,
    today: date,
    decisions: Decisions | None = None,
    columns: str = "",
    progress: Callable[[int], None] = lambda _: None,
) -> Counts:
    """Write the rows that were set aside in the caller's transaction; what is wrong is noted there.

    The clerk's role says whose the new wells are. A well that is in the book already can become the
    shop's own so, and is never taken from its care.

    Parameters
    ----------
    decisions
        What was decided on questions; what is to be decided is noted with the rows.
    columns
        A sum over the headers of the file, by which a later one of the same columns is known.
    progress
        Told the number of rows that are done, as it grows.
    """
    counts = Counts()
    name, role = clerk.mapping.name, clerk.role
    decided = decisions or Decisions()
    decided.load(connection, clerk.mapping.source)
    run = {"uid": new_uid(), "at": now(), "who": who, "file_name": file_name, "source": name}
    runs = t.import_run
    line, person = t.change, t.technician
    first = connection.execute(select(func.coalesce(func.max(line.c.id), 0))).scalar_one()
    crew = connection.execute(select(func.coalesce(func.max(person.c.id), 0))).scalar_one()
    start = {**counts.by_row, "columns": columns, "first_change": first}
    made = connection.execute(insert(runs).values(**run, **start))
    counts.run = run_id = int(made.inserted_primary_key[0])  # type: ignore[index]
    trace = Trace(connection, run["uid"], run_id)
    asking = Asking(aside, decided)
    there = InTheBook(connection, people=clerk.people, source=clerk.mapping.source)
    try:
        desk = _Desk(
            connection,
            aside,
            clerk,
            counts=counts,
            trace=trace,
            asking=asking,
            there=there,
            who=who,
            today=today,
        )
        wells = _records(aside, clerk, counts, asking)
        while some := list(islice(wells, _AT_ONCE)):
            desk.bring_in(some)
            progress(counts.rows)
    finally:
        there.close()
    decided.keep(connection, clerk.mapping.source, run_id)
    new = select(person.c.uid).where(person.c.id > crew)
    trace.came(person, connection.execute(new).scalars())
    trace.write()
    said = {"file": file_name, "source": name, "role": role.value, **asdict(counts)}
    log(connection, who, "import", "import_run", run["uid"], new=said)
    last = connection.execute(select(func.max(line.c.id))).scalar_one()
    end = {**counts.by_row, "last_change": last, "made": trace.made_text}
    connection.execute(update(runs).where(runs.c.id == run_id).values(**end))
    return counts


def _records(
    aside: RowsAside, clerk: Clerk, counts: Counts, asking: Asking
) -> Iterator[WellRecord]:
    """The records of the good rows, the rows of one joined."""
    for rows in aside.wells():
        good: list[Row] = []
        for line in rows:
            row = clerk.row(line)
            counts.rows += 1
            if row.record is None:
                counts.refused += 1
                aside.refuse(row.refusals)
                continue
            aside.doubt(row.doubts)
            if asking.keeps(row):
                good.append(row)
            else:
                counts.skipped += 1
        for record in _joined(good, aside):
            asking.take_equipment(record)
            counts.wells += record.has_well
            yield record


def _joined(rows: list[Row], aside: RowsAside) -> Iterator[WellRecord]:
    """The records of rows of one key: one, or of a house one for each of its wells."""
    if not rows:
        return
    of_a_house = len(rows) > 1 and rows[0].record is not None and rows[0].record.of_a_house
    before: list[WellRecord] = []
    for n, of_one in enumerate(by_well(rows) if of_a_house else [rows], start=1):
        first, *more = (row.record for row in of_one if row.record is not None)
        for other in more:
            aside.doubt(first.join(other))
        if n > 1:
            first.key = first.spelled = f"{first.key}-{n}"
            first.second = any(one_customer(first, other) for other in before[:MOST])
        before.append(first)
        yield first


class _Desk:
    """Where some hundred records at a time are held against the book, and written."""

    def __init__(
        self,
        connection: Connection,
        aside: RowsAside,
        clerk: Clerk,
        *,
        counts: Counts,
        trace: Trace,
        asking: Asking,
        there: InTheBook,
        who: str,
        today: date,
    ) -> None:
        self.connection, self.aside, self.clerk = connection, aside, clerk
        self.role, self.today, self.counts, self.trace = clerk.role, today, counts, trace
        self.asking, self.there = asking, there
        self.name, self.source = clerk.mapping.name, clerk.mapping.source
        self.touched: set[int] = set()
        self.joined: dict[int, int] = {}
        self.facts = Facts(connection, self.name, trace)
        self.sheets = SheetsOfTable(connection, who, self.name, today, trace)
        self.people = PeopleOfRun(connection, trace, there)
        self.forgotten = ForgottenPeople(connection)
        runs = select(t.import_run.c.source).where(t.import_run.c.id != counts.run).distinct()
        self.tables = [
            name
            for name in connection.execute(runs).scalars()
            if name.rpartition(" / ")[0] == self.source
        ]

    def bring_in(self, some: list[WellRecord]) -> None:
        """Write what is new in these records; what is like an earlier one of them is held against it
        once that one is written."""
        now, later = self.asking.put_off(some)
        self._write(now)
        if later:
            self.bring_in(later)

    def _write(self, some: list[WellRecord]) -> None:
        self.touched.clear()
        slots = self._sorted_out(some)
        new = [s for s in slots if not s.known and not s.joined]
        old = [s for s in slots if s.known or s.joined]
        old = self._replayed(old)
        were = {id(s): (s.well, s.site_id, s.customer_id) for s in old}
        both = [*new, *old]
        counts = self.counts
        counts.new_customers += self.people.add_customers(both)
        counts.new_properties += self.people.add_sites(both)
        self._place(old)
        self._stay_out(self.people.move_in(both))
        self._add_wells(new, [s for s in old if s.well is None and s.record.has_well])
        self.people.add_ways(both)
        counts.written += sum(len(s.record.rows) for s in new)
        counts.changed += sum(len(s.record.rows) for s in old)
        self._change(both, were)
        pairs = [(s.well, s.record) for s in both if s.well is not None]
        before = [s for s in old if were[id(s)][0] is not None]
        self.facts.forget([s.well for s in before if s.well is not None])
        self.facts.write(pairs)
        self.facts.came((s.well, s.record) for s in before if s.well is not None)
        counts.new_readings += sum(len(record.readings) for _, record in pairs)
        self._remember(both)
        self.trace.write()
        self._refresh({*self.touched, *(well.id for well, _ in pairs)})
        if self.clerk.people:
            for slot in new:
                if slot.well is not None:
                    who = slot.record.person.name if slot.record.person else ""
                    self.there.add_well(slot.well.id, *where(slot), slot.record.key, who)

    # -- what is known, and what is decided ----------------------------------------------------

    def _sorted_out(self, some: list[WellRecord]) -> list[Slot]:
        """The records that are to be written, each with what it is in the book."""
        known = self._known([r.key for r in some])
        slots: list[Slot] = []
        fresh: list[Slot] = []
        for record in some:
            slot, digest = known.get(record.key, (None, ""))
            if self._is_forgotten(record, slot) and not record.has_well:
                self.counts.skipped += len(record.rows)
                continue
            if slot is None:
                fresh.append(Slot(record))
                continue
            slot.record = record
            if digest == record.digest() and not self._made_ours(slot.well):
                self.counts.unchanged += len(record.rows)
            else:
                slots.append(slot)
            if self.role is Role.REFERENCE and slot.well and slot.well.role is Role.OURS:
                self.counts.stay_ours += 1
        of_wells = [s for s in fresh if s.record.has_well]
        left = {
            id(s)
            for s in self.asking.about_wells(self.connection, self.there, of_wells, self.source)
        }
        for slot in fresh:
            if slot.joined and slot.well is not None and id(slot) not in left:
                self._join(slot, slot.well, left)
        asked = [s for s in (*fresh, *slots) if id(s) not in left and s.record.person]
        left |= {id(s) for s in self.asking.about_people(self.there, asked)}
        for slot in (*fresh, *slots):
            if id(slot) in left:
                self.counts.skipped += len(slot.record.rows)
        return [s for s in (*fresh, *slots) if id(s) not in left]

    def _is_forgotten(self, record: WellRecord, slot: Slot | None) -> bool:
        """Whether a record names somebody who is to be forgotten; it does so no more. Who was entered
        again by hand has come back of his own will."""
        person = record.person
        known = slot.customer_id if slot else None
        if person is None or not self.forgotten.has(person, known):
            return False
        address = record.site.get("road", ""), record.site.get("town", "")
        if known is None and self.there.same_person(person, *address) is not None:
            return False
        self.counts.forgotten += len(record.rows)
        record.person = None
        return True

    def _join(self, slot: Slot, well: WellInBook, left: set[int]) -> None:
        """A record joins a well of the book; one that is numbered does so alone."""
        first = self.joined.setdefault(well.id, slot.record.rows[0])
        if slot.record.own_key and first != slot.record.rows[0]:
            why = f"row {first} was joined with that well; rows of one well bear one number"
            self.aside.doubt(self._remarks(slot.record, why))
            left.add(id(slot))
        slot.site_id = well.site_id

    def _made_ours(self, well: WellInBook | None) -> bool:
        return well is not None and self.role is Role.OURS and well.role is Role.REFERENCE

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
        for r in records(self.connection, query):
            own, key = r["row_source"] == self.name, r["row_row_key"]
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

    # -- what is new ---------------------------------------------------------------------------

    def _add_wells(self, new: list[Slot], more: list[Slot]) -> None:
        slots = [s for s in new if s.record.has_well] + more
        if not slots:
            return
        prefix = self.clerk.mapping.prefix
        if prefix is None:
            prefix = "R-" if self.role is Role.REFERENCE else ""
        add_wells(
            self.connection, self.trace, slots, role=self.role, prefix=prefix, today=self.today
        )
        self.counts.new_wells += len(slots)
        pairs = [(s.well, s.record) for s in slots if s.well is not None]
        with_sheets = [(w, r) for w, r in pairs if r.parts or r.visits]
        if not with_sheets:
            return
        made = self._entered(with_sheets)
        self.counts.new_sheets += made

    def _entered(self, pairs: list[tuple[WellInBook, WellRecord]]) -> int:
        """Write and replay the sheets of new wells; one that does not work out by itself is left
        out, and its well stays."""
        mark = self.trace.mark()
        try:
            with self.connection.begin_nested():
                made = self.sheets.enter(pairs)
                rebuild(self.connection, *(well.system_id for well, _ in pairs))
                return made
        except ReplayError as error:
            self.trace.back_to(mark)
            if len(pairs) == 1:
                ((_, record),) = pairs
                why = f"its visits and parts do not work out, and are left out: {error.message}"
                self.aside.doubt(self._remarks(record, why))
                return 0
        half = len(pairs) // 2
        return self._entered(pairs[:half]) + self._entered(pairs[half:])

    def _place(self, slots: list[Slot]) -> None:
        """Wells that had no place get the one that was made for them."""
        for slot in slots:
            well = slot.well
            if well is None or well.site_id is not None or slot.site_id is None:
                continue
            self._update("well", well.id, {"site_id": slot.site_id})
            pair = {"system_id": well.system_id, "site_id": slot.site_id}
            put_rows(self.connection, t.system_site, [pair])

    def _stay_out(self, slots: list[Slot]) -> None:
        """Of customers at a property where the book has somebody else: told, and left as it is."""
        why = (
            "the book has somebody else at this property; if he moved in, say so:"
            " wellbook site moved-in"
        )
        for slot in slots:
            self.aside.doubt(self._remarks(slot.record, why, "customer.name"))

    # -- what was there ------------------------------------------------------------------------

    def _change(self, slots: list[Slot], were: Mapping[int, tuple[Any, Any, Any]]) -> None:
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
            if "well" in mine and self._made_ours(well):
                writes["well"]["role"] = self.role.value
                self.counts.made_ours += 1
            self._notes(slot, mine, writes)
            for name, values in writes.items():
                if values:
                    self._update(name, mine[name]["id"], values, mine[name])
                    rows[name][mine[name]["id"]] = {**mine[name], **values}

    def _was_there(self, slot: Slot, were: Mapping[int, tuple[Any, Any, Any]]) -> bool:
        return any(n is not None for n in self._numbers(slot, were).values())

    def _numbers(
        self, slot: Slot, were: Mapping[int, tuple[Any, Any, Any]]
    ) -> dict[str, int | None]:
        """The numbers of what a record is of and what was in the book before it came."""
        well, site, customer = were.get(id(slot), (None, None, None))
        return {
            "well": well.id if well is not None else None,
            "site": site,
            "customer": customer,
        }

    def _rows(
        self, slots: list[Slot], were: Mapping[int, tuple[Any, Any, Any]]
    ) -> dict[str, dict[int, Mapping[str, Any]]]:
        numbers: dict[str, set[int]] = {name: set() for name in _TABLES}
        for slot in slots:
            for name, number in self._numbers(slot, were).items():
                if number is not None:
                    numbers[name].add(number)
        return {
            name: {
                r["id"]: r
                for r in records(self.connection, select(table).where(table.c.id.in_(some)))
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

    def _tell(self, slot: Slot, found: Difference) -> None:
        row, record = slot.record.rows[0], slot.record
        what = record.tag or (record.spelled if record.own_key else "")
        what = what or (record.person.name if record.person else record.spelled)
        if found.writes:
            self.aside.change([Change(row, what, found.field, found.old, found.new)])
            return
        target = found.field.removeprefix("well.").removeprefix("site.")
        target = {"drilled": "drilled_on", "status": "sealed_on"}.get(target, target)
        column = self.clerk.mapping.columns.get(target)
        why = f"the book says '{found.old}', which this source did not; it stays"
        self.aside.doubt([Remark(row, column.name if column else "", found.new, why)])

    def _update(
        self,
        name: str,
        number: int,
        values: Mapping[str, Any],
        row: Mapping[str, Any] | None = None,
    ) -> None:
        table = _TABLES[name]
        if row is None:
            (row,) = records(self.connection, select(table).where(table.c.id == number))
        self.trace.before(table, row["uid"], row)
        if name == "site" and values.keys() & {"road", "town"}:
            place = {**row, **values}
            values = {**values, "road_key": road_key(place["road"], place["town"])}
        if name == "customer" and "name" in values:
            values = {**values, "name_key": name_key(values["name"])}
        self.connection.execute(update(table).where(table.c.id == number).values(**values))
        if name == "customer" and "name" in values:
            self.touched.update(wells_of_customer(self.connection, number))

    def _replayed(self, slots: list[Slot]) -> list[Slot]:
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
        systems: set[int] = set()
        mark, sheets_made = self.trace.mark(), self.trace.made["sheet"]
        try:
            with self.connection.begin_nested():
                wells = [s.well.id for s in slots if s.well]
                for row in records(self.connection, select(t.well).where(t.well.c.id.in_(wells))):
                    # A sheet may seal its well.
                    self.trace.before(t.well, row["uid"], row)
                for slot in slots:
                    well = slot.well
                    assert well is not None
                    news = self.sheets.renew(well, slot.record, known.get(well.uid, []))
                    systems |= {well.system_id} if news.written else set()
                    stays += (x for why in news.stays for x in self._remarks(slot.record, why))
                self.touched.update(rebuild(self.connection, *systems) if systems else ())
        except ReplayError as error:
            self.trace.back_to(mark)
            if len(slots) == 1:
                (slot,) = slots
                self.aside.refuse(self._remarks(slot.record, error.message))
                self.counts.refused += len(slot.record.rows)
                return slots
            half = len(slots) // 2
            return [*self._refused(slots[:half], known), *self._refused(slots[half:], known)]
        self.counts.new_sheets += self.trace.made["sheet"] - sheets_made
        self.aside.doubt(stays)
        return []

    def _remarks(self, record: WellRecord, reason: str, target: str = "key") -> Iterator[Remark]:
        """The same of all rows of a record."""
        column = self.clerk.mapping.columns.get(target)
        value = record.spelled
        if target == "customer.name" and record.person:
            value = record.person.name
        return (Remark(n, column.name if column else "", value, reason) for n in record.rows)

    # -- afterwards ----------------------------------------------------------------------------

    def _remember(self, slots: list[Slot]) -> None:
        """Keep the sums by which the records are known again."""
        table = t.imported_row
        again = [s for s in slots if s.row is not None]
        for slot in again:
            self.trace.gone(table, slot.record.key, slot.row or {})
        if again:
            mine = (table.c.source == self.name) & table.c.row_key.in_(
                [s.record.key for s in again]
            )
            self.connection.execute(delete(table).where(mine))
        rows: list[dict[str, Any]] = [
            {
                "source": self.name,
                "row_key": s.record.key,
                "digest": s.record.digest(),
                "said": sums(fields(s.record)),
                "well_id": s.well.id if s.well else None,
                "customer_id": s.customer_id,
                "site_id": s.site_id,
                "run_id": self.counts.run,
                # What a joined well's facts are known by; the same as the well's in most.
                "facts_uid": s.well.uid if s.well else None,
            }
            for s in slots
        ]
        put_rows(self.connection, table, rows)

    def _refresh(self, well_ids: Iterable[int]) -> None:
        """Renew the ledger of the shop's own wells among these, and the words of all."""
        numbers = sorted(well_ids)
        if numbers:
            of_shop = select(t.well.c.id).where(
                t.well.c.id.in_(numbers), t.well.c.role == Role.OURS.value
            )
            renew(self.connection, list(self.connection.execute(of_shop).scalars()))
            index_wells(self.connection, numbers)
