"""What a record says is down the hole, as opening sheets: one for each day of which it speaks.

Each sheet's identity follows from the well, the table of the source and the day, so that the same
record read again finds its own sheet: what it says otherwise now is a correction of it, what it no
longer says is withdrawn. What the shop corrected or withdrew by hand is never written over.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from typing import Any

from sqlalchemy import Connection, select

from wellbook.exchange.well_record import Parts, sheet_tables
from wellbook.exchange.well_writing import WellInBook
from wellbook.hole.story import derived_uid
from wellbook.store import sheets
from wellbook.store import tables as t
from wellbook.store.rows import Record, records
from wellbook.terms import SheetKind, SheetStatus

_WHY = "the source says otherwise now"
UNDATED = "undated"


Versions = list[Record]
"""A sheet as it was written, corrected and withdrawn, oldest first."""


@dataclass(slots=True)
class News:
    """Whether a well's sheets became others, and what stays though the source says otherwise."""

    written: bool = False
    stays: list[str] = field(default_factory=list)


class SheetsOfTable:
    """Writes the opening sheets of one table of a source, in the caller's transaction."""

    def __init__(self, connection: Connection, who: str, name: str, today: date) -> None:
        self.connection, self.who, self.name, self.today = connection, who, name, today

    def enter(self, well: WellInBook, parts: Mapping[date | None, Parts]) -> None:
        """Write the sheets of a new well, not replayed yet."""
        for day, said in parts.items():
            self._enter(well.id, self._root(well.uid, day), self._document(day, said, self.today))

    def known(self, well_uids: Mapping[int, Collection[str]]) -> dict[str, list[Versions]]:
        """The sheets that this table has written before, each with all its versions, by the uid of the
        well that they were written for: several, where wells were joined since."""
        table = t.sheet
        query = (
            select(table)
            .where(table.c.well_id.in_(list(well_uids)), table.c.kind == SheetKind.OPENING.value)
            .order_by(table.c.id)
        )
        versions: dict[tuple[int, str], Versions] = defaultdict(list)
        for row in records(self.connection, query):
            versions[row["well_id"], row["root_uid"]].append(row)
        found: dict[str, list[Versions]] = defaultdict(list)
        for (well_id, root), rows in versions.items():
            days = (None, rows[0]["start_on"])
            for uid in well_uids[well_id]:
                if root in [self._root(uid, day) for day in days]:
                    found[uid].append(rows)
        return found

    def renew(
        self, well: WellInBook, parts: Mapping[date | None, Parts], known: Iterable[Versions]
    ) -> News:
        """Bring a well's sheets to what its record says now, not replayed yet."""
        wanted = {self._root(well.uid, day): (day, said) for day, said in parts.items()}
        news = News()
        for rows in known:
            day, said = wanted.pop(rows[0]["root_uid"], (None, {}))
            self._bring(rows, day, said, news)
        for root, (day, said) in wanted.items():
            self._enter(well.id, root, self._document(day, said, self.today))
            news.written = True
        return news

    def _bring(self, rows: Versions, day: date | None, said: Parts, news: News) -> None:
        last, own = rows[-1], self._own(rows)
        was = json.loads(own["document"])
        document = self._document(day, said, date.fromisoformat(was["date"]))
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
        if counts and not said:
            sheets.take_out(self.connection, self.who, last["id"], why=_WHY)
        elif counts and document != was:
            sheets.supersede(
                self.connection, self.who, last["id"], document, today=self.today, why=_WHY
            )
        elif said and not counts:
            self._enter(last["well_id"], last["root_uid"], document)
        else:
            return
        news.written = True

    def _own(self, rows: Versions) -> Record:
        """The newest version that an import wrote: the first, or one that came after its own end."""
        own = [new for old, new in pairwise(rows) if old["status_why"] == _WHY]
        return own[-1] if own else rows[0]

    def _root(self, well_uid: str, day: date | None) -> str:
        return derived_uid(well_uid, self.name, "opening", day or UNDATED)

    def _document(self, day: date | None, parts: Parts, entered: date) -> dict[str, Any]:
        dated = {"date": (day or entered).isoformat()}
        if day is None:
            dated["as_of"] = "unknown"
        return {
            **dated,
            "notes": f"from the former records: {self.name}",
            "down": sheet_tables(parts),
        }

    def _enter(self, well_id: int, root: str, document: dict[str, Any]) -> None:
        sheets.enter(
            self.connection,
            self.who,
            well_id,
            document,
            today=self.today,
            kind=SheetKind.OPENING,
            root_uid=root,
        )
