"""What a record says is down the hole and of visits, as sheets: one for each day of which it speaks.

Each sheet's identity follows from the well, the table of the source and the day, so that the same
record read again finds its own sheet: what it says otherwise now is a correction of it, what it no
longer says is withdrawn. What the shop corrected or withdrew by hand is never written over.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from typing import Any

from sqlalchemy import Connection, select

from wellbook.exchange.facts_changed import Was, documents_changed
from wellbook.exchange.trace import Trace
from wellbook.exchange.well_record import WellRecord, sheet_tables
from wellbook.exchange.well_writing import WellInBook
from wellbook.hole.story import derived_uid
from wellbook.store import sheets
from wellbook.store import tables as t
from wellbook.store.rows import Record, by_id, records
from wellbook.store.sheets import Entry
from wellbook.terms import SheetKind, SheetStatus

_WHY = "the source says otherwise now"
UNDATED = "undated"


Versions = list[Record]
"""A sheet as it was written, corrected and withdrawn, oldest first."""


@dataclass(slots=True)
class News:
    """Whether a well's sheets became others, what changed in them, and what stays though the source says
    otherwise."""

    written: bool = False
    stays: list[str] = field(default_factory=list)
    changes: list[Was] = field(default_factory=list)


Wanted = dict[str, tuple[SheetKind, date | None, Any]]
"""What a record says, by the root of its sheet: parts on a day, or the document of a visit."""


class SheetsOfTable:
    """Writes the sheets of one table of a source, in the caller's transaction."""

    def __init__(
        self, connection: Connection, who: str, name: str, today: date, trace: Trace
    ) -> None:
        self.connection, self.who, self.name, self.today = connection, who, name, today
        self.trace = trace

    def enter(self, pairs: Iterable[tuple[WellInBook, WellRecord]]) -> int:
        """Write the sheets of new wells, not replayed yet; how many."""
        entries = [
            self._entry(well.id, root, kind, self._document(kind, day, said, self.today))
            for well, record in pairs
            for root, (kind, day, said) in self._wanted(well.uid, record).items()
        ]
        self._write(entries)
        return len(entries)

    def known(self, well_uids: Mapping[int, Collection[str]]) -> dict[str, list[Versions]]:
        """The sheets that this table has written before, each with all its versions, by the uid of the
        well that they were written for: several, where wells were joined since."""
        table = t.sheet
        kinds = [SheetKind.OPENING.value, SheetKind.VISIT.value]
        query = (
            select(table)
            .where(table.c.well_id.in_(list(well_uids)), table.c.kind.in_(kinds))
            .order_by(table.c.id)
        )
        versions: dict[tuple[int, str], Versions] = defaultdict(list)
        for row in records(self.connection, query):
            versions[row["well_id"], row["root_uid"]].append(row)
        found: dict[str, list[Versions]] = defaultdict(list)
        for (well_id, root), rows in versions.items():
            kind, days = SheetKind(rows[0]["kind"]), (None, rows[0]["start_on"])
            for uid in well_uids[well_id]:
                if root in [self._root(uid, kind, day) for day in days]:
                    found[uid].append(rows)
        return found

    def renew(self, well: WellInBook, record: WellRecord, known: Iterable[Versions]) -> News:
        """Bring a well's sheets to what its record says now, not replayed yet."""
        wanted = self._wanted(well.uid, record)
        news = News()
        for rows in known:
            root, kind = rows[0]["root_uid"], SheetKind(rows[0]["kind"])
            _, day, said = wanted.pop(root, (kind, None, {}))
            self._bring(rows, kind, day, said, news)
        entries = [
            self._entry(well.id, root, kind, self._document(kind, day, said, self.today))
            for root, (kind, day, said) in wanted.items()
        ]
        self._write(entries)
        news.written = news.written or bool(entries)
        return news

    def _bring(
        self, rows: Versions, kind: SheetKind, day: date | None, said: Any, news: News
    ) -> None:
        last, own = rows[-1], self._own(rows)
        was = json.loads(own["document"])
        document = self._document(kind, day, said, date.fromisoformat(was["date"]))
        counts = last["status"] == SheetStatus.VALID
        by_import = last is own if counts else last["status_why"] == _WHY
        if not by_import:
            what = "corrected" if counts else "withdrawn"
            if document != was:
                news.stays.append(
                    f"sheet {last['id']} was {what} by hand and stays;"
                    " the source says otherwise now"
                )
            return
        name = f"{'visit' if kind is SheetKind.VISIT else 'down the hole'} {was['date']}"
        if counts and not said:
            news.changes.append((name, "on record", "no longer said"))
            self.trace.before(t.sheet, last["uid"], last)
            sheets.take_out(self.connection, self.who, last["id"], why=_WHY)
        elif counts and document != was:
            news.changes += documents_changed(name, was, document)
            self.trace.before(t.sheet, last["uid"], last)
            made, _ = sheets.supersede(
                self.connection, self.who, last["id"], document, today=self.today, why=_WHY
            )
            self.trace.came(t.sheet, [by_id(self.connection, t.sheet, made)["uid"]])
        elif said and not counts:
            news.changes.append((name, "no longer said", "on record"))
            self._write([self._entry(last["well_id"], last["root_uid"], kind, document)])
        else:
            return
        news.written = True

    def _own(self, rows: Versions) -> Record:
        """The newest version that an import wrote: the first, or one that came after its own end."""
        own = [new for old, new in pairwise(rows) if old["status_why"] == _WHY]
        return own[-1] if own else rows[0]

    def _wanted(self, well_uid: str, record: WellRecord) -> Wanted:
        opening, visit = SheetKind.OPENING, SheetKind.VISIT
        said: Wanted = {
            self._root(well_uid, opening, day): (opening, day, parts)
            for day, parts in record.parts.items()
        }
        for on, document in record.visits.items():
            said[self._root(well_uid, visit, on)] = (visit, on, document)
        return said

    def _root(self, well_uid: str, kind: SheetKind, day: date | None) -> str:
        return derived_uid(well_uid, self.name, kind.value, day or UNDATED)

    def _document(
        self, kind: SheetKind, day: date | None, said: Any, entered: date
    ) -> dict[str, Any]:
        if kind is SheetKind.VISIT:
            return dict(said)
        dated = {"date": (day or entered).isoformat()}
        if day is None:
            dated["as_of"] = "unknown"
        return {
            **dated,
            "notes": f"from the former records: {self.name}",
            "down": sheet_tables(said),
        }

    def _entry(self, well_id: int, root: str, kind: SheetKind, document: dict[str, Any]) -> Entry:
        return Entry(self.trace.uid(t.sheet), root, well_id, kind, document)

    def _write(self, entries: Sequence[Entry]) -> None:
        sheets.enter_many(self.connection, self.who, entries, today=self.today)
