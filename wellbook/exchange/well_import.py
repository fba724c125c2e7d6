"""Bringing well records in: in one transaction, some hundred wells at a time, no record twice.

A number of a source is one well, whichever of the source's tables speaks of it. `imported_row`
keeps the sum of what each table said of each well. All rows of a file that are joined in one well
share its outcome, so that written + unchanged + changed + refused are all the rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from itertools import islice
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from wellbook.errors import ReplayError
from wellbook.exchange.import_sheets import SheetsOfTable, Versions
from wellbook.exchange.rows_aside import RowsAside
from wellbook.exchange.well_clerk import Clerk
from wellbook.exchange.well_record import Remark, WellRecord
from wellbook.exchange.well_writing import Facts, WellInBook, add_wells, change_well
from wellbook.store import tables as t
from wellbook.store.identity import new_uid, now
from wellbook.store.judging import renew
from wellbook.store.replaying import rebuild
from wellbook.store.rows import log, records
from wellbook.store.search import index_wells
from wellbook.terms import Role

_AT_ONCE = 500


@dataclass(slots=True)
class Counts:
    """The rows by what became of them, and what became of the wells' roles."""

    rows: int = 0
    wells: int = 0
    written: int = 0
    unchanged: int = 0
    changed: int = 0
    refused: int = 0
    made_ours: int = 0
    stay_ours: int = 0

    @property
    def by_row(self) -> dict[str, int]:
        """What is kept of a run."""
        names = ("rows", "written", "unchanged", "changed", "refused")
        return {name: getattr(self, name) for name in names}


def import_wells(
    connection: Connection,
    aside: RowsAside,
    clerk: Clerk,
    *,
    who: str,
    file_name: str,
    role: Role,
    today: date,
) -> Counts:
    """Write the rows that were set aside in the caller's transaction; what is wrong is noted there.

    Parameters
    ----------
    role
        Whose the new wells are. A well that is in the book already can become the shop's own so,
        and is never taken from its care.
    """
    counts = Counts()
    name = clerk.mapping.name
    run = {"uid": new_uid(), "at": now(), "who": who, "file_name": file_name, "source": name}
    runs = t.import_run
    made = connection.execute(insert(runs).values(**run, **counts.by_row))
    run_id = made.inserted_primary_key[0]  # type: ignore[index]
    desk = _Desk(connection, aside, clerk, counts, who=who, role=role, today=today, run_id=run_id)
    wells = _records(aside, clerk, counts)
    while some := list(islice(wells, _AT_ONCE)):
        desk.bring_in(some)
    connection.execute(update(runs).where(runs.c.id == run_id).values(**counts.by_row))
    said = {"file": file_name, "source": name, "role": role.value, **asdict(counts)}
    log(connection, who, "import", "import_run", run["uid"], new=said)
    return counts


def _records(aside: RowsAside, clerk: Clerk, counts: Counts) -> Iterator[WellRecord]:
    """The wells of the good rows, the rows of one well joined."""
    for rows in aside.wells():
        record: WellRecord | None = None
        for line in rows:
            row = clerk.row(line)
            counts.rows += 1
            if row.record is None:
                counts.refused += 1
                aside.refuse(row.refusals)
                continue
            aside.doubt(row.doubts)
            if record is None:
                record = row.record
            else:
                aside.doubt(record.join(row.record))
        if record is not None:
            counts.wells += 1
            yield record


Pairs = list[tuple[WellInBook, WellRecord]]


class _Desk:
    """Where some hundred records at a time are held against the book, and written."""

    def __init__(
        self,
        connection: Connection,
        aside: RowsAside,
        clerk: Clerk,
        counts: Counts,
        *,
        who: str,
        role: Role,
        today: date,
        run_id: int,
    ) -> None:
        self.connection, self.aside, self.clerk = connection, aside, clerk
        self.role, self.today, self.run_id, self.counts = role, today, run_id, counts
        self.name = clerk.mapping.name
        self.touched: set[int] = set()
        self.facts = Facts(connection, self.name)
        self.sheets = SheetsOfTable(connection, who, self.name, today)
        runs = select(t.import_run.c.source).where(t.import_run.c.id != run_id).distinct()
        of_source = clerk.mapping.source
        self.tables = [
            name
            for name in connection.execute(runs).scalars()
            if name.rpartition(" / ")[0] == of_source
        ]

    def bring_in(self, some: list[WellRecord]) -> None:
        """Write what is new in these records."""
        self.touched.clear()
        known, sums = self._known([r.key for r in some])
        new = [r for r in some if r.key not in known]
        changed: Pairs = []
        for record in some:
            well = known.get(record.key)
            if well is None:
                continue
            if sums.get(record.key) == record.digest() and not self._made_ours(well):
                self.counts.unchanged += len(record.rows)
            else:
                changed.append((well, record))
            if self.role is Role.REFERENCE and well.role is Role.OURS:
                self.counts.stay_ours += 1
        pairs = [*self._add(new), *self._change(changed)]
        self.facts.write(pairs)
        self._remember(pairs, sums)
        self._refresh({*self.touched, *(well.id for well, _ in pairs)})

    def _made_ours(self, well: WellInBook) -> bool:
        return self.role is Role.OURS and well.role is Role.REFERENCE

    def _known(self, keys: list[str]) -> tuple[dict[str, WellInBook], dict[str, str]]:
        """The wells that this source has brought in, and what this table said of them."""
        if not self.tables:
            return {}, {}
        row, well = t.imported_row, t.well
        query = (
            select(row.c.row_key, row.c.source, row.c.digest, row.c.facts_uid, well)
            .join(well, well.c.id == row.c.well_id)
            .where(row.c.source.in_(self.tables), row.c.row_key.in_(keys))
        )
        wells: dict[str, WellInBook] = {}
        sums: dict[str, str] = {}
        for found in records(self.connection, query):
            own = found["source"] == self.name
            if own:
                sums[found["row_key"]] = found["digest"]
            if own or found["row_key"] not in wells:
                wells[found["row_key"]] = WellInBook.of(found)
        return wells, sums

    def _add(self, new: list[WellRecord]) -> Pairs:
        prefix = self.clerk.mapping.prefix
        if prefix is None:
            prefix = "R-" if self.role is Role.REFERENCE else ""
        wells = add_wells(self.connection, new, self.role, prefix, self.today)
        pairs = list(zip(wells, new, strict=True))
        self.counts.written += sum(len(r.rows) for r in new)
        with_parts = [(well, record) for well, record in pairs if record.parts]
        for well, record in with_parts:
            self.sheets.enter(well, record.parts)
        if with_parts:
            rebuild(self.connection, *(well.system_id for well, _ in with_parts))
        return pairs

    def _change(self, pairs: Pairs) -> Pairs:
        """Change what can be changed; a record that its well's sheets speak against is refused."""
        uids: dict[int, list[str]] = {}
        for well, _ in pairs:
            uids.setdefault(well.id, []).append(well.uid)
        known = self.sheets.known(uids)
        with_sheets = [p for p in pairs if p[1].parts or p[0].uid in known]
        refused = {well.id for well, _ in self._refused(with_sheets, known)}
        done = [(well, record) for well, record in pairs if well.id not in refused]
        for well, record in done:
            role = self.role if self._made_ours(well) else well.role
            change_well(self.connection, well, record, role)
            self.counts.made_ours += role is not well.role
            self.counts.changed += len(record.rows)
        self.facts.forget([well for well, _ in done])
        return done

    def _refused(self, pairs: Pairs, known: Mapping[str, list[Versions]]) -> Pairs:
        """Bring the sheets of wells to what their records say now; those that the replay refuses.

        All are replayed at once; where that is refused, each half by itself, down to the one.
        """
        stays: list[Remark] = []
        systems: set[int] = set()
        try:
            with self.connection.begin_nested():
                for well, record in pairs:
                    news = self.sheets.renew(well, record.parts, known.get(well.uid, []))
                    systems |= {well.system_id} if news.written else set()
                    stays += (x for why in news.stays for x in self._remarks(record, why))
                self.touched.update(rebuild(self.connection, *systems) if systems else ())
        except ReplayError as error:
            if len(pairs) == 1:
                ((_, record),) = pairs
                self.aside.refuse(self._remarks(record, error.message))
                self.counts.refused += len(record.rows)
                return pairs
            half = len(pairs) // 2
            return [*self._refused(pairs[:half], known), *self._refused(pairs[half:], known)]
        self.aside.doubt(stays)
        return []

    def _remarks(self, record: WellRecord, reason: str) -> Iterator[Remark]:
        """The same of all rows of a well."""
        column = self.clerk.mapping.columns.get("key")
        return (
            Remark(n, column.name if column else "", record.spelled, reason) for n in record.rows
        )

    def _remember(self, pairs: Pairs, sums: Mapping[str, str]) -> None:
        """Keep the sums by which the records are known again."""
        table = t.imported_row
        if again := [record.key for _, record in pairs if record.key in sums]:
            mine = (table.c.source == self.name) & table.c.row_key.in_(again)
            self.connection.execute(delete(table).where(mine))
        rows: list[dict[str, Any]] = [
            {
                "source": self.name,
                "row_key": record.key,
                "digest": record.digest(),
                "well_id": well.id,
                "run_id": self.run_id,
                # What a joined well's facts are known by; the same as the well's in most.
                "facts_uid": well.uid,
            }
            for well, record in pairs
        ]
        if rows:
            self.connection.execute(insert(table), rows)

    def _refresh(self, well_ids: Iterable[int]) -> None:
        """Renew the ledger of the shop's own wells among these, and the words of all."""
        numbers = list(well_ids)
        if numbers:
            of_shop = select(t.well.c.id).where(
                t.well.c.id.in_(numbers), t.well.c.role == Role.OURS.value
            )
            renew(self.connection, list(self.connection.execute(of_shop).scalars()))
            index_wells(self.connection, numbers)
