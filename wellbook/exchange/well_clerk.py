"""Rows of a file read as well records: each is checked, or refused with the column and the reason.

Blank and NA are not known. A depth of nothing is not known either, and counted as doubtful. A
negative depth, an impossible or future date and a place off the globe are refused: the whole row,
so that no well is half right. So are lines that are no well: totals, the header once more. A date
that can be two days is kept as between them. What is converted from another unit is rounded to one
place more than is shown, a hundredth of a foot. What is down the hole passes the check of any visit
sheet; a depth from the casing's top is brought to the ground by the stick-up.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from typing import Any

from wellbook.dates import When
from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.mapping import DATES, WellMapping
from wellbook.exchange.person import Person, read_person
from wellbook.exchange.row_bore import RowBore
from wellbook.exchange.row_cells import RowCells
from wellbook.exchange.row_keys import RowKeys
from wellbook.exchange.row_parts import RowParts
from wellbook.exchange.row_visit import RowVisit
from wellbook.exchange.well_record import Remark, Row, Said, WellRecord
from wellbook.hole.places import MANY
from wellbook.store.phones import Numbering
from wellbook.terms import KNOWN_AS, Role

_STAYS = (
    *("permit_no", "driller", "use", "construction", "stick_up_ft", "flowing", "drilled_on"),
    *("road", "town", "region", "latitude", "longitude", "depth_ft"),
)
"""Facts of which two rows of one well cannot both be right."""
_OF_A_PUMP = re.compile(r"\d ?h\.?p\b", re.IGNORECASE)


class Clerk:
    """Reads row after row by one mapping."""

    def __init__(
        self,
        mapping: WellMapping,
        headers: tuple[str, ...],
        today: date,
        role: Role = Role.OURS,
        numbering: Numbering | None = None,
    ) -> None:
        self.numbering = numbering or Numbering()
        self.mapping, self.headers, self.today, self.role = mapping, headers, today, role
        # Public records make no customers, and nobody's visits.
        self.people = mapping.people and role is Role.OURS
        self.lists_wells = mapping.kind != "customers"
        self.here = RowCells(mapping, headers, today)
        self.keys = RowKeys(self.here, mapping, self.people, self.numbering)
        self.bore = RowBore(self.here)
        self.parts = RowParts(self.here, today)
        self.visit = RowVisit(self.here, today, mapping.kind == "visits" and role is Role.OURS)
        self.stays = [t for t in _STAYS if t in mapping.columns]

    def key(self, cells: list[str]) -> str:
        """By what the well of a row is known."""
        self.here.at(FileRow(0, cells))
        return self.keys.key()

    def row(self, line: FileRow) -> Row:
        """A row, checked."""
        self.here.at(line)
        number, cells = line.number, line.cells
        if why := line.fault or self.keys.no_well():
            n = next((n for n, c in enumerate(cells) if line.fault and c.startswith('"')), 0)
            column = self.headers[n] if len(cells) == len(self.headers) else ""
            return Row(number, tuple(cells), None, (Remark(number, column, cells[n].strip(), why),))
        if self.headers and any(c.strip() for c in cells[len(self.headers) :]):
            more = cells[len(self.headers)]
            self.here.bad.append(Remark(number, "", more, "more cells than the header has"))
        record = self._record()
        good = record if not self.here.bad else None
        return Row(number, tuple(cells), good, tuple(self.here.bad), tuple(self.here.odd))

    def _record(self) -> WellRecord:
        dates = {name: self.here.date(name) for name in DATES}
        drilled = dates["drilled_on"]
        when = dates["measured_on"] or drilled or When.unknown()
        well: dict[str, Any] = {"drilled": drilled} if drilled else {}
        for name in ("permit_no", "driller", "use"):
            if text := self.here.text(name):
                well[name] = text
        if how := self.bore.construction():
            well["construction"] = how
        if dates["sealed_on"]:
            well["sealed"] = True
        if self.bore.flows():
            well["flowing"] = True
        if (stick_up := self.here.measure("stick_up_ft")) is not None:
            well["stick_up_ft"] = stick_up
        site: dict[str, Any] = dict(self.here.address())
        site |= {n: v for n in ("access", "well_head") if (v := self.here.text(n))}
        for name, limit in (("latitude", 90), ("longitude", 180)):
            if (value := self.here.degrees(name, limit)) is not None:
                site[name] = value
        keys, column = self.keys, self.here.column("key").label
        record = WellRecord(keys.key(), keys.spelled(), column, bool(keys.own_key()), well, site)
        record.tag = self.here.text("tag")
        record.person = self._person(record.notes)
        record.readings = list(self.bore.readings(when))
        record.stretches = list(self.bore.stretches(drilled or When.unknown()))
        if name := self.here.text("name"):
            record.notes.append(KNOWN_AS + name)
        if notes := self.here.text("notes"):
            record.notes.append(notes)
        record.parts = self.parts.read(dates["measured_on"] or dates["visit.on"], record.notes)
        if dates["visit.on"]:
            self.visit.read(dates["visit.on"], record)
        self._free_text(record, dates["measured_on"] or dates["visit.on"])
        words = list(self.here.notes.values())
        # What was found on a visit is told with it.
        for document in record.visits.values():
            document["notes"] = "\n".join(x for x in (document.get("notes", ""), *words) if x)
        record.notes += [] if record.visits else words
        record.rows.append(self.here.number)
        record.has_well = self._has_well(record)
        record.facts = dict(self._facts(record, when))
        return record

    def _free_text(self, record: WellRecord, seen: When | None) -> None:
        """What may tell of the pump in free words: read only where somebody decides so."""
        day = min(seen.latest, self.today) if seen and seen.latest else None
        if text := self.here.text("equipment"):
            record.equipment.append((text, day))
            record.notes.append(text)
        # Remarks are where many a shop writes down the pump.
        for text in (self.here.text("notes"), self.here.text("visit.notes")):
            if self.lists_wells and _OF_A_PUMP.search(text):
                record.equipment.append((text, day))

    def _person(self, notes: list[str]) -> Person | None:
        """Whoever is named; without a name nobody, and how to reach him is kept as a note."""
        if not self.people:
            return None
        person = read_person(self.here.text, self.here.doubt, self.numbering)
        if person is None or person.name:
            return person
        where = next(
            t for t in self.mapping.columns if t.startswith("customer.") and self.here.text(t)
        )
        self.here.doubt(where, "no name stands beside it; kept as a note")
        notes += [value for _, value, _, _ in person.ways()] + person.notes
        return None

    def _has_well(self, record: WellRecord) -> bool:
        """Whether a row speaks of a well: a list of wells does in each row that names one."""
        if not self.lists_wells:
            return False
        if not self.people:
            return True
        said = (record.tag, record.well, record.readings, record.stretches, record.parts)
        more = (record.visits, record.equipment, record.site, self.here.text("key"))
        return any((*said, *more))

    def _facts(
        self, record: WellRecord, when: When
    ) -> Iterator[tuple[tuple[str, date | None], Said]]:
        """What another row of the same well may speak against."""
        values = {**record.well, **record.site}
        values |= {r.quantity.value: r.value for r in record.readings}
        for target in self.stays:
            if (value := values.get(target.removesuffix("_on"))) is not None:
                yield (target, None), self._as_said(target, value, when)
        for day, parts in record.parts.items():
            for kind, said in parts.items():
                for name, value in said[0].items() if kind not in MANY else ():
                    target = f"{kind}.{name}"
                    yield (target, day), self._as_said(target, value, When.unknown())

    def _as_said(self, target: str, value: object, when: When) -> Said:
        return Said(
            self.here.number,
            self.here.column(target).label,
            self.here.text(target),
            value,
            when,
            target,
        )
