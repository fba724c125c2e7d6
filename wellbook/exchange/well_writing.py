"""Wells, and what was read in them, written in bulk from imported records.

A reading's and a stretch's identity follows from the well and the table of the source, so that a
table that says something else now takes back its own and no other's.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sqlalchemy import Connection, delete, func, select

from wellbook.exchange.trace import Trace
from wellbook.exchange.well_record import WellRecord
from wellbook.hole.story import derived_uid
from wellbook.store import tables as t
from wellbook.store.in_bulk import added, put_rows
from wellbook.store.rows import Record, put_when, records
from wellbook.store.wells import WELL_BLANK, checked_tag
from wellbook.terms import KNOWN_AS, Basis, Role, WellStatus


@dataclass(frozen=True, slots=True)
class WellInBook:
    """A well of the book, as far as an import has to know it."""

    id: int
    uid: str
    system_id: int
    site_id: int | None
    role: Role
    notes: str

    @classmethod
    def of(cls, row: Mapping[str, Any]) -> WellInBook:
        """From a row of the table of wells; of a well that was joined with the one that its row
        made, with the uid that this row's facts follow from."""
        same = {name: row[name] for name in ("id", "system_id", "site_id", "notes")}
        uid = row.get("facts_uid") or row["uid"]
        return cls(**same, uid=uid, role=Role(row["role"]))


@dataclass(slots=True)
class Slot:
    """A record and what it is in the book, as far as it is there yet.

    `said` are the sums of what its table said of it before, `known` whether its source said anything,
    `row` what is kept of it; `joined` it is with a well that other records made.
    """

    record: WellRecord
    well: WellInBook | None = None
    site_id: int | None = None
    customer_id: int | None = None
    said: dict[str, str] = field(default_factory=dict)
    known: bool = False
    joined: bool = False
    row: dict[str, Any] | None = None


# -- wells -------------------------------------------------------------------------------------


def add_wells(
    connection: Connection,
    trace: Trace,
    slots: Sequence[Slot],
    *,
    role: Role,
    prefix: str,
    today: date,
) -> None:
    """Add a well for each record, with a water system of its own that its place draws on."""
    blank = [{"uid": trace.uid(t.water_system), "name": "", "rise_to_tank_ft": None} for _ in slots]
    systems = added(connection, t.water_system, blank)
    pairs = [
        {"system_id": system, "site_id": slot.site_id}
        for system, slot in zip(systems, slots, strict=True)
        if slot.site_id is not None
    ]
    put_rows(connection, t.system_site, pairs)
    last = connection.execute(select(func.coalesce(func.max(t.well.c.id), 0))).scalar_one()
    # The shop's own well without a number is tagged as one that is entered by hand.
    by_hand = role is Role.OURS and not prefix
    wanted = [
        s.record.tag
        or (f"W-{n:04d}" if by_hand and not s.record.own_key else prefix + s.record.spelled)
        for n, s in enumerate(slots, start=last + 1)
    ]
    tags = free_tags(connection, wanted)
    public = role is Role.REFERENCE
    wells = [
        {
            "uid": trace.uid(t.well),
            **WELL_BLANK,
            # A public record is found by its number whatever stands before it in the tag.
            "permit_no": s.record.spelled
            if public and s.record.own_key and not s.record.tag
            else "",
            **well_values(s.record),
            "notes": "\n".join([*s.record.notes, *_also_known(s.record, tags[n], public)]),
            "tag": tags[n],
            "system_id": systems[n],
            "site_id": s.site_id,
            "role": role.value,
            "entered_on": today,
        }
        for n, s in enumerate(slots)
    ]
    numbers = added(connection, t.well, wells)
    for slot, number, row in zip(slots, numbers, wells, strict=True):
        slot.well = WellInBook.of({**row, "id": number})


def _also_known(record: WellRecord, tag: str, public: bool) -> list[str]:
    """The number of a well of the shop's own list, where its tag had to be another."""
    return (
        [KNOWN_AS + record.spelled]
        if record.own_key and not public and record.spelled != tag
        else []
    )


def free_tags(connection: Connection, wanted: Iterable[str]) -> list[str]:
    """Tags made of what is wanted, each fit and unlike all others.

    "R-VT PQW  3" becomes R-VT-PQW-3, or R-VT-PQW-3-2 where that is taken.
    """
    plain = [_fit(text) for text in wanted]
    column = t.well.c.tag
    taken = set(connection.execute(select(column).where(column.in_(plain))).scalars())
    tags: list[str] = []
    looked: set[str] = set()
    for tag in plain:
        free, n = tag, 1
        if tag in taken and tag not in looked:
            looked.add(tag)
            like = select(column).where(column.startswith(f"{tag}-", autoescape=True))
            taken.update(connection.execute(like).scalars())
        while free in taken:
            n += 1
            free = f"{tag}-{n}"
        taken.add(free)
        tags.append(free)
    return tags


def _fit(text: str) -> str:
    return checked_tag(re.sub(r"[^A-Z0-9._/-]+", "-", text.upper()).strip("-._/")[:24] or "WELL")


def well_values(record: WellRecord) -> dict[str, Any]:
    """What is known of the well itself, as columns."""
    values = {k: v for k, v in record.well.items() if k not in ("drilled", "sealed")}
    if "drilled" in record.well:
        values |= put_when("drilled", record.well["drilled"])
    if record.well.get("sealed"):
        values["status"] = WellStatus.SEALED.value
    return values


def more_notes(there: str, notes: Iterable[str]) -> str:
    """Notes with what is new in them; they are never written over, for the shop writes there too."""
    lines = there.splitlines()
    new = [note for note in notes if note not in lines and note not in there]
    return "\n".join([*lines, *new]) if new else there


# -- readings and stretches of the bore --------------------------------------------------------


class Facts:
    """What one table of a source says was read in wells and stands in their bores."""

    def __init__(self, connection: Connection, name: str, trace: Trace) -> None:
        self.connection, self.name, self.trace = connection, name, trace

    def _uid(self, well_uid: str, what: str, number: int) -> str:
        return derived_uid(well_uid, self.name, what, number)

    def forget(self, wells: Sequence[WellInBook]) -> dict[str, list[Record]]:
        """Take away what this table wrote of these wells, and give it by their uids; what others and
        sheets say stays."""
        taken: dict[str, list[Record]] = defaultdict(list)
        uids: dict[int, list[str]] = defaultdict(list)
        for well in wells:
            uids[well.id].append(well.uid)
        for table in (t.observation, t.bore_interval):
            query = select(table).where(table.c.well_id.in_(uids), table.c.sheet_root_uid.is_(None))
            there: dict[int, dict[str, Record]] = defaultdict(dict)
            for row in records(self.connection, query):
                there[row["well_id"]][row["uid"]] = row
            of_well = [
                (of, rows[uid])
                for well_id, rows in there.items()
                for of in uids[well_id]
                for n in range(len(rows))
                if (uid := self._uid(of, table.name, n)) in rows
            ]
            for of, row in of_well:
                self.trace.gone(table, row["uid"], row)
                taken[of].append(row)
            if of_well:
                self.connection.execute(
                    delete(table).where(table.c.id.in_([row["id"] for _, row in of_well]))
                )
        return taken

    def came(self, wells: Iterable[tuple[WellInBook, WellRecord]]) -> None:
        """Keep in the trace what is written of wells that were there before the run."""
        for well, record in wells:
            for table, facts in (
                (t.observation, record.readings),
                (t.bore_interval, record.stretches),
            ):
                uids = (self._uid(well.uid, table.name, n) for n in range(len(facts)))
                self.trace.came(table, uids)

    def write(self, pairs: Iterable[tuple[WellInBook, WellRecord]]) -> None:
        """Write the readings and stretches of records."""
        listed = list(pairs)
        basis = {"basis": Basis.DRILLERS_LOG.value, "sheet_root_uid": None}
        rest = {"method": "", "at_gpm": None, "minutes": None, **basis}
        readings, bore = t.observation, t.bore_interval
        put_rows(
            self.connection,
            readings,
            [
                {
                    "uid": self._uid(well.uid, readings.name, n),
                    "well_id": well.id,
                    "quantity": o.quantity.value,
                    "value": o.value,
                    **put_when("when", o.when),
                    "point": o.point.value if o.point else None,
                    "state": o.state.value if o.state else None,
                    **rest,
                }
                for well, record in listed
                for n, o in enumerate(record.readings)
            ],
        )
        put_rows(
            self.connection,
            bore,
            [
                {
                    "uid": self._uid(well.uid, bore.name, n),
                    "well_id": well.id,
                    "kind": s.kind.value,
                    "from_ft": s.from_ft,
                    "to_ft": s.to_ft,
                    "diameter_in": s.diameter_in,
                    "material": s.material,
                    **put_when("when", s.when),
                    **basis,
                }
                for well, record in listed
                for n, s in enumerate(record.stretches)
            ],
        )
