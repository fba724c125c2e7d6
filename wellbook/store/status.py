"""The status that somebody gave a well, apart from what a decommissioning makes of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Connection, func, select

from wellbook.store import tables as t
from wellbook.store.rows import Record, records
from wellbook.store.standing_lines import standing_lines
from wellbook.terms import Reason, WellStatus


def status_by_hand(connection: Connection, uids: Iterable[str]) -> dict[str, WellStatus]:
    """The last status that each of some wells was given by hand, by the wells' uids.

    A sheet that seals a well writes no line in the change log, since the sheet itself is the record
    of it: what the log has is what somebody chose.
    """
    return {given.well_uid: given.status for given in _given(connection, uids)}


def sealed_by_hand_on(connection: Connection, uid: str) -> date | None:
    """The day on which somebody wrote, without a sheet, that a well is sealed; None if nobody did."""
    given = list(_given(connection, [uid]))
    return given[-1].on if given and given[-1].status is WellStatus.SEALED else None


def opened_again(connection: Connection, sealing: Mapping[str, str]) -> set[str]:
    """Those of some decommissioning sheets that a hand has taken back since they came in.

    What the book was told last counts: a sheet after a status seals the well, a status after a
    sheet opens it again.

    Parameters
    ----------
    sealing
        The wells' uids by the sheets' roots.
    """
    if not sealing:
        return set()
    sheet, log = t.sheet, t.change
    came_in = (
        select(sheet.c.root_uid, func.min(log.c.id))
        .join(log, log.c.row_uid == sheet.c.uid)
        .where(sheet.c.root_uid.in_(list(sealing)), log.c.what == "sheet", log.c.action == "add")
        .where(sheet.c.reason == Reason.DECOMMISSIONING.value)
        .group_by(sheet.c.root_uid)
    )
    lines = {row[0]: row[1] for row in connection.execute(came_in)}
    opened = {
        given.well_uid: given.line
        for given in _given(connection, set(sealing.values()))
        if given.status is not WellStatus.SEALED
    }
    return {root for root, uid in sealing.items() if opened.get(uid, 0) > lines.get(root, 0)}


@dataclass(frozen=True, slots=True)
class _Given:
    """A status that somebody gave a well, in which line of the change log and on which day."""

    well_uid: str
    status: WellStatus
    line: int
    on: date


def _given(connection: Connection, uids: Iterable[str]) -> Iterator[_Given]:
    log = t.change
    query = select(
        *(log.c[name] for name in ("id", "row_uid", "action", "old", "new", "at"))
    ).where(log.c.row_uid.in_(list(uids)), log.c.what == "well", log.c.new.is_not(None))
    lines: dict[str, list[Record]] = {}
    for row in records(connection, query.order_by(log.c.id)):
        lines.setdefault(row["row_uid"], []).append(row)
    for some in lines.values():
        for row, status in standing_lines(some, "status"):
            if status is not None:
                day = datetime.fromisoformat(row["at"]).astimezone().date()
                yield _Given(row["row_uid"], WellStatus(status), row["id"], day)
