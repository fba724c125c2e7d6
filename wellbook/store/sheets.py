"""Recording, correcting and withdrawing sheets: change the set of valid sheets, replay, renew.

Each is one transaction of the caller: all of it, or nothing.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, insert, select, update

from wellbook.errors import NotFoundError, WellbookError
from wellbook.hole.hole import Hole
from wellbook.hole.said import Sheet
from wellbook.hole.sheet import SheetError, read_recorded, read_sheet
from wellbook.store import tables as t
from wellbook.store.holes import load_hole, load_holes
from wellbook.store.identity import new_uid, now
from wellbook.store.in_bulk import added, log_added, put_rows
from wellbook.store.judging import renew_holes
from wellbook.store.meanwhile import ended_by
from wellbook.store.replaying import rebuild
from wellbook.store.rows import add, by_id, fit_lengths, log, plain, records
from wellbook.store.status import sealed_by_hand_on
from wellbook.terms import Reason, SheetKind, SheetStatus, WellStatus


@dataclass(frozen=True, slots=True)
class CallSaid:
    """What belongs to a call beside the facts that were told."""

    caller: str = ""
    caller_phone: str = ""
    symptom: str = ""
    promised: str = ""
    outcome: str = ""


@dataclass(frozen=True, slots=True)
class Recording:
    """What came of recording a sheet: its number, and the hole before and after."""

    number: int
    sheet: Sheet
    before: Hole
    after: Hole


def as_document(data: Mapping[str, Any]) -> str:
    """A sheet's plain tables as JSON text, dates as ISO text."""
    return json.dumps(data, default=plain, ensure_ascii=False)


def record(
    connection: Connection,
    who: str,
    well_id: int,
    data: Mapping[str, Any],
    *,
    today: date,
    kind: SheetKind = SheetKind.VISIT,
    call: CallSaid | None = None,
) -> Recording:
    """Check a sheet whole, write it, replay the string and renew the ledger.

    Raises
    ------
    SheetError
        If the sheet itself is wrong.
    ReplayError
        If it does not fit the sheets on record.
    """
    before = load_hole(connection, well_id)
    number, sheet = enter(connection, who, well_id, data, today=today, kind=kind, call=call)
    _not_sealed_by_hand(connection, before, sheet)
    return Recording(number, sheet, before, _replayed(connection, well_id))


def _not_sealed_by_hand(connection: Connection, hole: Hole, sheet: Sheet) -> None:
    """Refuse to hang parts in a well after somebody wrote that it is sealed for good.

    Where a sheet sealed it, the replay knows. A slip of older days goes in at its own date.
    """
    if hole.status is not WellStatus.SEALED or not (sheet.set or sheet.back):
        return
    sealed_on = sealed_by_hand_on(connection, hole.uid)
    if sealed_on is not None and sheet.start >= sealed_on:
        raise WellbookError(
            f"{hole.tag} is sealed for good; if it was opened again, say so first:"
            f" wellbook well edit {hole.tag} --status in_use"
        )


def enter(
    connection: Connection,
    who: str,
    well_id: int,
    data: Mapping[str, Any],
    *,
    today: date,
    kind: SheetKind = SheetKind.VISIT,
    call: CallSaid | None = None,
    root_uid: str = "",
) -> tuple[int, Sheet]:
    """Check a sheet and write it, without replaying: for many sheets, replayed once at their end.

    Parameters
    ----------
    root_uid
        The identity of the sheet where it follows from something; a new one otherwise.

    Raises
    ------
    SheetError
        If the sheet itself is wrong.
    """
    sheet = read_sheet(data, today=today, kind=kind)
    number = _write(
        connection, who, well_id, sheet, data, root_uid=root_uid or new_uid(), today=today
    )
    if kind is SheetKind.CALL:
        said = call or CallSaid()
        fit_lengths(asdict(said))
        connection.execute(
            insert(t.call).values(
                sheet_id=number,
                caller=said.caller,
                caller_phone=said.caller_phone,
                symptom=said.symptom,
                promised=said.promised,
                outcome=said.outcome,
            )
        )
    return number, sheet


@dataclass(frozen=True, slots=True)
class Entry:
    """A sheet to be written with others: of which well, what it says, and its identities."""

    uid: str
    root_uid: str
    well_id: int
    kind: SheetKind
    data: Mapping[str, Any]


def enter_many(connection: Connection, who: str, entries: Sequence[Entry], *, today: date) -> None:
    """Check sheets and write them at once, without replaying.

    Raises
    ------
    SheetError
        If one of them is wrong.
    """
    if not entries:
        return
    moment = now()
    read = [read_sheet(e.data, today=today, kind=e.kind) for e in entries]
    rows = [
        {
            "uid": e.uid,
            **_values(sheet, e.data, e.root_uid, e.well_id, who, today=today, moment=moment),
        }
        for e, sheet in zip(entries, read, strict=True)
    ]
    table = t.sheet
    made = added(connection, table, rows)
    numbers = {e.uid: number for e, number in zip(entries, made, strict=True)}
    log_added(connection, who, table, rows)
    names = {name for sheet in read for name in sheet.crew}
    if not names:
        return
    person = t.technician
    known = {
        row.name: row.id
        for row in connection.execute(
            select(person.c.id, person.c.name).where(person.c.name.in_(names))
        )
    }
    new = sorted(names - known.keys())
    known |= {name: add(connection, who, person, {"name": name}) for name in new}
    crews = [
        {"sheet_id": numbers[e.uid], "position": n, "technician_id": known[name]}
        for e, sheet in zip(entries, read, strict=True)
        for n, name in enumerate(dict.fromkeys(sheet.crew))
    ]
    put_rows(connection, t.crew, crews)


def correct(
    connection: Connection,
    who: str,
    number: int,
    data: Mapping[str, Any],
    *,
    today: date,
    why: str = "",
) -> Recording:
    """Put a new sheet in place of one on record; the old one stays readable."""
    well_id = the_sheet(connection, number)["well_id"]
    before = load_hole(connection, well_id)
    made, sheet = supersede(connection, who, number, data, today=today, why=why or "corrected")
    return Recording(made, sheet, before, _replayed(connection, well_id))


def supersede(
    connection: Connection,
    who: str,
    number: int,
    data: Mapping[str, Any],
    *,
    today: date,
    why: str,
) -> tuple[int, Sheet]:
    """Put a new sheet in place of one on record, without replaying."""
    old = the_sheet(connection, number)
    sheet = read_sheet(data, today=today, kind=SheetKind(old["kind"]))
    _end(connection, who, old, SheetStatus.SUPERSEDED, why)
    made = _write(
        connection, who, old["well_id"], sheet, data, root_uid=old["root_uid"], today=today
    )
    for row in records(connection, select(t.call).where(t.call.c.sheet_id == number)):
        connection.execute(insert(t.call).values({**row, "sheet_id": made}))
    return made, sheet


def withdraw(
    connection: Connection, who: str, number: int, *, today: date, why: str = ""
) -> Recording:
    """Take a sheet out of the count; it stays readable."""
    old = the_sheet(connection, number)
    sheet = _as_written(old, today)
    before = load_hole(connection, old["well_id"])
    take_out(connection, who, number, why=why or "withdrawn")
    return Recording(number, sheet, before, _replayed(connection, old["well_id"]))


def _as_written(row: Mapping[str, Any], today: date) -> Sheet:
    """A sheet on record. One that something else has changed need not be read to be taken out."""
    kind = SheetKind(row["kind"])
    try:
        return read_recorded(json.loads(row["document"]), today=today, kind=kind)
    except (ValueError, AttributeError, TypeError, SheetError):
        return Sheet(kind, row["start_on"], row["end_on"], Reason(row["reason"]), kind.basis)


def take_out(connection: Connection, who: str, number: int, *, why: str) -> None:
    """Take a sheet out of the count, without replaying."""
    _end(connection, who, the_sheet(connection, number), SheetStatus.WITHDRAWN, why)


def the_sheet(connection: Connection, number: int) -> Mapping[str, Any]:
    """A sheet that still counts.

    Raises
    ------
    NotFoundError
        If there is none of that number.
    WellbookError
        If it was already corrected or withdrawn.
    """
    table = t.sheet
    found = records(connection, select(table).where(table.c.id == number))
    if not found:
        raise NotFoundError(f"no visit has the number {number}; wellbook history shows the numbers")
    row = found[0]
    if row["status"] != SheetStatus.VALID:
        newer = connection.execute(
            select(table.c.id).where(
                table.c.root_uid == row["root_uid"], table.c.status == SheetStatus.VALID
            )
        ).scalar()
        instead = f"; the sheet that counts now is {newer}" if newer else ""
        line = ended_by(connection, row["uid"])
        by = f" by {line.who} on {line.at[:10]}" if line else ""
        raise WellbookError(f"visit {number} is {row['status']} already{by}{instead}")
    return row


def versions(connection: Connection, number: int) -> list[Mapping[str, Any]]:
    """All versions of a sheet, oldest first, whichever of them is named."""
    table = t.sheet
    root = select(table.c.root_uid).where(table.c.id == number).scalar_subquery()
    query = select(table).where(table.c.root_uid == root).order_by(table.c.id)
    return records(connection, query)


def _write(
    connection: Connection,
    who: str,
    well_id: int,
    sheet: Sheet,
    data: Mapping[str, Any],
    *,
    root_uid: str,
    today: date,
) -> int:
    values = _values(sheet, data, root_uid, well_id, who, today=today, moment=now())
    number = add(connection, who, t.sheet, values)
    for n, name in enumerate(dict.fromkeys(sheet.crew)):
        person = _technician(connection, who, name)
        connection.execute(insert(t.crew).values(sheet_id=number, position=n, technician_id=person))
    return number


def _values(
    sheet: Sheet,
    data: Mapping[str, Any],
    root_uid: str,
    well_id: int,
    who: str,
    *,
    today: date,
    moment: str,
) -> dict[str, Any]:
    """The columns of a sheet that counts."""
    _fit_lengths(data)
    return {
        "root_uid": root_uid,
        "well_id": well_id,
        "kind": sheet.kind.value,
        "status": SheetStatus.VALID.value,
        "start_on": sheet.start,
        "end_on": sheet.end,
        "reason": sheet.reason.value,
        "left_without_pump": sheet.left_without_pump,
        "left_for_next_time": sheet.left_for_next_time,
        "opened": sheet.opened,
        "disinfected": sheet.disinfected or sheet.reason is Reason.DISINFECTION,
        "notes": sheet.notes,
        "document": as_document(data),
        # What a sheet may speak of ends on the day it was entered, by the shop's calendar.
        "recorded_at": f"{today.isoformat()}T{moment[11:]}",
        "recorded_by": who,
        "status_why": "",
    }


def _fit_lengths(value: Any, name: str = "sheet") -> None:
    """Refuse a sheet with a text that is longer than any can be, wherever it stands."""
    if isinstance(value, str):
        fit_lengths({name: value})
    elif isinstance(value, Mapping):
        for key, one in value.items():
            _fit_lengths(one, str(key))
    elif isinstance(value, list | tuple):
        for one in value:
            _fit_lengths(one, name)


def _technician(connection: Connection, who: str, name: str) -> int:
    known = connection.execute(
        select(t.technician.c.id).where(t.technician.c.name == name)
    ).scalar()
    return known if known is not None else add(connection, who, t.technician, {"name": name})


def _end(
    connection: Connection, who: str, old: Mapping[str, Any], status: SheetStatus, why: str
) -> None:
    table = t.sheet
    connection.execute(
        update(table).where(table.c.id == old["id"]).values(status=status.value, status_why=why)
    )
    log(
        connection,
        who,
        "change",
        "sheet",
        old["uid"],
        old={"status": old["status"], "status_why": old["status_why"]},
        new={"status": status.value, "status_why": why},
    )


def _replayed(connection: Connection, well_id: int) -> Hole:
    system_id = by_id(connection, t.well, well_id)["system_id"]
    wells = rebuild(connection, system_id)
    holes = dict(zip(wells, load_holes(connection, wells), strict=True))
    renew_holes(connection, holes)
    return holes[well_id]
