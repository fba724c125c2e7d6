"""Wells, and what was read in them, written in bulk from imported records.

A reading's and a stretch's identity follows from the well and the table of the source, so that a
table that says something else now takes back its own and no other's.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, Table, delete, insert, select, update

from wellbook.exchange.well_record import WellRecord
from wellbook.hole.story import derived_uid
from wellbook.store import tables as t
from wellbook.store.identity import new_uid
from wellbook.store.rows import put_when
from wellbook.store.wells import SITE_BLANK, WELL_BLANK, checked_tag
from wellbook.terms import Basis, Role, WellStatus


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


def _added(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> list[int]:
    """Add rows in bulk and give their numbers, in the order of the rows."""
    if not rows:
        return []
    statement = insert(table).returning(table.c.id, sort_by_parameter_order=True)
    return list(connection.execute(statement, rows).scalars())


def _put(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    if rows:
        connection.execute(insert(table), rows)


# -- wells -------------------------------------------------------------------------------------


def add_wells(
    connection: Connection, records: Sequence[WellRecord], role: Role, prefix: str, today: date
) -> list[WellInBook]:
    """Add a well for each record, with a place where one is named and a water system of its own."""
    placed = [n for n, r in enumerate(records) if r.site]
    sites = [{"uid": new_uid(), **SITE_BLANK, **records[n].site} for n in placed]
    site_of = dict(zip(placed, _added(connection, t.site, sites), strict=True))
    blank = [{"uid": new_uid(), "name": "", "rise_to_tank_ft": None} for _ in records]
    systems = _added(connection, t.water_system, blank)
    pairs = [{"system_id": systems[n], "site_id": site} for n, site in site_of.items()]
    _put(connection, t.system_site, pairs)
    tags = free_tags(connection, [prefix + r.spelled for r in records])
    wells = [
        {
            "uid": new_uid(),
            **WELL_BLANK,
            # A public record is found by its number whatever stands before it in the tag.
            "permit_no": r.spelled if r.own_key else "",
            **_values(r),
            "notes": "\n".join(r.notes),
            "tag": tags[n],
            "system_id": systems[n],
            "site_id": site_of.get(n),
            "role": role.value,
            "entered_on": today,
        }
        for n, r in enumerate(records)
    ]
    numbers = _added(connection, t.well, wells)
    return [
        WellInBook.of({**row, "id": number}) for number, row in zip(numbers, wells, strict=True)
    ]


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


def _values(record: WellRecord) -> dict[str, Any]:
    """What is known of the well itself, as columns."""
    values = {k: v for k, v in record.well.items() if k not in ("drilled", "sealed")}
    if "drilled" in record.well:
        values |= put_when("drilled", record.well["drilled"])
    if record.well.get("sealed"):
        values["status"] = WellStatus.SEALED.value
    return values


def change_well(connection: Connection, well: WellInBook, record: WellRecord, role: Role) -> None:
    """Bring what is now known over; what the source no longer says is left as it was.

    Notes are added to and never written over: the shop and other tables write there too.
    """
    wells, sites = t.well, t.site
    values = _values(record)
    if role is not well.role:
        values["role"] = role.value
    lines = well.notes.splitlines()
    if more := [note for note in record.notes if note not in lines]:
        values["notes"] = "\n".join([*lines, *more])
    if record.site and well.site_id is not None:
        new = {**record.site, "road_key": None}
        connection.execute(update(sites).where(sites.c.id == well.site_id).values(**new))
    elif record.site:
        site = {"uid": new_uid(), **SITE_BLANK, **record.site}
        values["site_id"] = _added(connection, sites, [site])[0]
        pair = {"system_id": well.system_id, "site_id": values["site_id"]}
        _put(connection, t.system_site, [pair])
    if values:
        connection.execute(update(wells).where(wells.c.id == well.id).values(**values))


# -- readings and stretches of the bore --------------------------------------------------------


class Facts:
    """What one table of a source says was read in wells and stands in their bores."""

    def __init__(self, connection: Connection, name: str) -> None:
        self.connection, self.name = connection, name

    def _uid(self, well_uid: str, what: str, number: int) -> str:
        return derived_uid(well_uid, self.name, what, number)

    def forget(self, wells: Sequence[WellInBook]) -> None:
        """Take away what this table wrote of these wells; what others and sheets say stays."""
        uids: dict[int, list[str]] = defaultdict(list)
        for well in wells:
            uids[well.id].append(well.uid)
        for table in (t.observation, t.bore_interval):
            query = select(table.c.id, table.c.uid, table.c.well_id).where(
                table.c.well_id.in_(uids), table.c.sheet_root_uid.is_(None)
            )
            there: dict[int, dict[str, int]] = defaultdict(dict)
            for number, uid, well_id in self.connection.execute(query):
                there[well_id][uid] = number
            gone = [
                numbers[uid]
                for well_id, numbers in there.items()
                for of in uids[well_id]
                for n in range(len(numbers))
                if (uid := self._uid(of, table.name, n)) in numbers
            ]
            if gone:
                self.connection.execute(delete(table).where(table.c.id.in_(gone)))

    def write(self, pairs: Iterable[tuple[WellInBook, WellRecord]]) -> None:
        """Write the readings and stretches of records."""
        listed = list(pairs)
        basis = {"basis": Basis.DRILLERS_LOG.value, "sheet_root_uid": None}
        rest = {"method": "", "at_gpm": None, "minutes": None, **basis}
        readings, bore = t.observation, t.bore_interval
        _put(
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
        _put(
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
