"""Every sheet ever entered for a well, in every version: what was put right or taken back stays readable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.rows import UNDO, Record, document_of, records
from wellbook.terms import Reason, SheetKind, SheetStatus

_TOLD = ("caller", "caller_phone", "symptom", "promised", "outcome")


@dataclass(frozen=True, slots=True)
class SheetVersion:
    """One sheet as it was entered; `root_uid` is the same for all versions of one visit or call."""

    number: int
    root_uid: str
    kind: SheetKind
    status: SheetStatus
    start: date
    reason: Reason
    document: Mapping[str, Any]
    recorded_on: date
    recorded_by: str
    ended_on: date | None = None
    """The day on which it was corrected or withdrawn; None while it counts."""
    ended_by: str = ""
    why: str = ""


def all_versions(connection: Connection, well_id: int) -> list[SheetVersion]:
    """All sheets of a well, those that count and those that no longer do, as they were entered."""
    sheet, call = t.sheet, t.call
    query = (
        select(sheet, *(call.c[name] for name in _TOLD))
        .outerjoin(call, call.c.sheet_id == sheet.c.id)
        .where(sheet.c.well_id == well_id)
        .order_by(sheet.c.id)
    )
    rows = records(connection, query)
    ended = _ended(connection, [r["uid"] for r in rows if r["status"] != SheetStatus.VALID])
    return [_version(row, ended.get(row["uid"])) for row in rows]


def _ended(connection: Connection, uids: Sequence[str]) -> dict[str, Record]:
    """The line of the change log that ended each sheet."""
    if not uids:
        return {}
    log = t.change
    query = (
        select(log.c.row_uid, log.c.at, log.c.who)
        .where(log.c.row_uid.in_(uids), log.c.what == "sheet", log.c.action.in_(["change", UNDO]))
        .order_by(log.c.id)
    )
    return {row["row_uid"]: row for row in records(connection, query)}


def _version(row: Record, ended: Record | None) -> SheetVersion:
    told = {name: row[name] for name in _TOLD if row[name]}
    return SheetVersion(
        number=row["id"],
        root_uid=row["root_uid"],
        kind=SheetKind(row["kind"]),
        status=SheetStatus(row["status"]),
        start=row["start_on"],
        reason=Reason(row["reason"]),
        document={**told, **document_of(row["document"])},
        recorded_on=date.fromisoformat(row["recorded_at"][:10]),
        recorded_by=row["recorded_by"],
        ended_on=date.fromisoformat(ended["at"][:10]) if ended else None,
        ended_by=ended["who"] if ended else "",
        why=row["status_why"],
    )
