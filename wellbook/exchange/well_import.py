"""Writing imported wells: in one transaction, in bulk, and the same record never twice.

`imported_row` keeps the sum of what a source said of each well. All rows of a file that are joined
in one well share its outcome, so that written + unchanged + changed + refused are all the rows.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, Table, delete, insert, select, update

from wellbook.exchange.wells_csv import WellRecord
from wellbook.store import tables as t
from wellbook.store.identity import new_uid, now
from wellbook.store.rows import log, put_when, table_of
from wellbook.store.search import index_wells
from wellbook.store.wells import SITE_BLANK, WELL_BLANK, checked_tag, refresh
from wellbook.terms import Basis, Role, WellStatus

_AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Plan:
    """What an import would do: the new wells, those that changed, and those that did not."""

    new: list[WellRecord]
    changed: list[tuple[int, WellRecord]]
    same: list[WellRecord]

    def counts(self, refused: int) -> dict[str, int]:
        """The rows by what becomes of them."""
        written = sum(r.rows for r in self.new)
        unchanged = sum(r.rows for r in self.same)
        changed = sum(r.rows for _, r in self.changed)
        return {
            "rows": written + unchanged + changed + refused,
            "written": written,
            "unchanged": unchanged,
            "changed": changed,
            "refused": refused,
        }


def plan(connection: Connection, source: str, records: Iterable[WellRecord]) -> Plan:
    """Sort records by what the book has of this source already."""
    table = table_of(t.ImportedRow)
    query = select(table.c.row_key, table.c.digest, table.c.well_id).where(table.c.source == source)
    known = {key: (digest, well) for key, digest, well in connection.execute(query)}
    made = Plan([], [], [])
    for record in records:
        digest, well_id = known.get(record.key, ("", 0))
        if not digest:
            made.new.append(record)
        elif digest == record.digest():
            made.same.append(record)
        else:
            made.changed.append((well_id, record))
    return made


def import_wells(
    connection: Connection,
    records: Sequence[WellRecord],
    *,
    who: str,
    source: str,
    file_name: str,
    role: Role,
    prefix: str,
    refused: int,
    today: date,
) -> dict[str, int]:
    """Write records in the caller's transaction; the counts of rows by what became of them."""
    made = plan(connection, source, records)
    counts = made.counts(refused)
    run = {"uid": new_uid(), "at": now(), "who": who, "file_name": file_name, "source": source}
    run_id = _added(connection, table_of(t.ImportRun), [{**run, **counts}])[0]
    new_ids = _new_wells(connection, made.new, role, prefix, today)
    changed_ids = [number for number, _ in made.changed]
    _forget(connection, changed_ids)
    for number, record in made.changed:
        _change(connection, number, record)
    ids = [*new_ids, *changed_ids]
    written = [*made.new, *(r for _, r in made.changed)]
    _write_details(connection, ids, written, source, run_id)
    owing = table_of(t.Well)
    ours = set(
        connection.execute(select(owing.c.id).where(owing.c.role == Role.OURS.value)).scalars()
    )
    refresh(connection, [n for n in ids if n in ours])
    index_wells(connection, [n for n in ids if n not in ours])
    said = {"file": file_name, "source": source, "role": role.value, **counts}
    log(connection, who, "import", "import_run", run["uid"], new=said)
    return counts


def _added(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> list[int]:
    """Add rows in bulk and give their numbers, in the order of the rows."""
    if not rows:
        return []
    statement = insert(table).returning(table.c.id, sort_by_parameter_order=True)
    return list(connection.execute(statement, rows).scalars())


def _put(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    if rows:
        connection.execute(insert(table), rows)


def _new_wells(
    connection: Connection, records: list[WellRecord], role: Role, prefix: str, today: date
) -> list[int]:
    placed = [n for n, r in enumerate(records) if r.site]
    sites = [{"uid": new_uid(), **SITE_BLANK, **records[n].site} for n in placed]
    site_of = dict(zip(placed, _added(connection, table_of(t.Site), sites), strict=True))
    blank = [{"uid": new_uid(), "name": "", "rise_to_tank_ft": None} for _ in records]
    systems = _added(connection, table_of(t.WaterSystem), blank)
    pairs = [{"system_id": systems[n], "site_id": site} for n, site in site_of.items()]
    _put(connection, table_of(t.SystemSite), pairs)
    taken = set(connection.execute(select(t.Well.tag)).scalars())
    wells = [
        {
            "uid": new_uid(),
            **WELL_BLANK,
            # A public record is found by its number whatever stands before it in the tag.
            "permit_no": r.key if r.own_key else "",
            **_values(r),
            "notes": "\n".join(r.notes),
            "tag": free_tag(prefix, r.key, taken),
            "system_id": systems[n],
            "site_id": site_of.get(n),
            "role": role.value,
            "entered_on": today,
        }
        for n, r in enumerate(records)
    ]
    return _added(connection, table_of(t.Well), wells)


def free_tag(prefix: str, key: str, taken: set[str]) -> str:
    """A tag from a source's key, made fit and unlike all others; it is then taken.

    >>> free_tag("R-", "VT PQW  3", {"R-VT-PQW-3"})
    'R-VT-PQW-3-2'
    """
    plain = re.sub(r"[^A-Z0-9._/-]+", "-", (prefix + key).upper()).strip("-._/")[:24] or "WELL"
    tag, n = checked_tag(plain), 1
    while tag in taken:
        n += 1
        tag = f"{plain}-{n}"
    taken.add(tag)
    return tag


def _values(record: WellRecord) -> dict[str, Any]:
    """What is known of the well itself, as columns."""
    values = {k: v for k, v in record.well.items() if k not in ("drilled", "sealed")}
    if "drilled" in record.well:
        values |= put_when("drilled", record.well["drilled"])
    if record.well.get("sealed"):
        values["status"] = WellStatus.SEALED.value
    return values


def _forget(connection: Connection, well_ids: list[int]) -> None:
    """Take away what an import wrote of these wells; what sheets say stays."""
    for start in range(0, len(well_ids), _AT_ONCE):
        some = well_ids[start : start + _AT_ONCE]
        for table in (table_of(t.Observation), table_of(t.BoreInterval)):
            connection.execute(
                delete(table).where(
                    table.c.well_id.in_(some),
                    table.c.sheet_root_uid.is_(None),
                    table.c.basis == Basis.DRILLERS_LOG.value,
                )
            )


def _change(connection: Connection, number: int, record: WellRecord) -> None:
    """Bring what is now known over; what the source no longer says is left as it was."""
    wells, sites = table_of(t.Well), table_of(t.Site)
    row = connection.execute(
        select(wells.c.site_id, wells.c.system_id, wells.c.role).where(wells.c.id == number)
    ).one()
    values = _values(record)
    if row.role == Role.REFERENCE.value:
        # The shop writes notes of its own on its own wells: those are not written over.
        values["notes"] = "\n".join(record.notes)
    if record.site and row.site_id is not None:
        connection.execute(update(sites).where(sites.c.id == row.site_id).values(**record.site))
    elif record.site:
        site = {"uid": new_uid(), **SITE_BLANK, **record.site}
        values["site_id"] = _added(connection, sites, [site])[0]
        pair = {"system_id": row.system_id, "site_id": values["site_id"]}
        _put(connection, table_of(t.SystemSite), [pair])
    if values:
        connection.execute(update(wells).where(wells.c.id == number).values(**values))


def _write_details(
    connection: Connection, ids: list[int], records: list[WellRecord], source: str, run_id: int
) -> None:
    """Readings and stretches of the bore, and the sums by which the records are known again."""
    pairs = list(zip(ids, records, strict=True))
    rest = {"method": "", "at_gpm": None, "minutes": None, "sheet_root_uid": None}
    basis = Basis.DRILLERS_LOG.value
    readings = [
        {
            "uid": new_uid(),
            "well_id": number,
            "quantity": o.quantity.value,
            "value": o.value,
            **put_when("when", o.when),
            "basis": basis,
            "point": o.point.value if o.point else None,
            "state": o.state.value if o.state else None,
            **rest,
        }
        for number, record in pairs
        for o in record.readings
    ]
    stretches = [
        {
            "uid": new_uid(),
            "well_id": number,
            "kind": s.kind.value,
            "from_ft": s.from_ft,
            "to_ft": s.to_ft,
            "diameter_in": s.diameter_in,
            "material": s.material,
            "basis": basis,
            **put_when("when", s.when),
            "sheet_root_uid": None,
        }
        for number, record in pairs
        for s in record.stretches
    ]
    _put(connection, table_of(t.Observation), readings)
    _put(connection, table_of(t.BoreInterval), stretches)
    table = table_of(t.ImportedRow)
    keys = [record.key for record in records]
    for start in range(0, len(keys), _AT_ONCE):
        some = keys[start : start + _AT_ONCE]
        connection.execute(delete(table).where(table.c.source == source, table.c.row_key.in_(some)))
    sums = [
        {
            "source": source,
            "row_key": record.key,
            "digest": record.digest(),
            "well_id": number,
            "run_id": run_id,
        }
        for number, record in pairs
    ]
    _put(connection, table, sums)
