"""The status that somebody gave a well, apart from what a decommissioning makes of it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from datetime import date, datetime

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.rows import records, table_of
from wellbook.terms import WellStatus


def status_by_hand(connection: Connection, uids: Iterable[str]) -> dict[str, WellStatus]:
    """The last status that each of some wells was given by hand, by the wells' uids.

    A sheet that seals a well writes no line in the change log, since the sheet itself is the record
    of it: what the log has is what somebody chose.
    """
    return {uid: status for uid, status, _ in _given(connection, uids)}


def sealed_by_hand_on(connection: Connection, uid: str) -> date | None:
    """The day on which somebody wrote, without a sheet, that a well is sealed; None if nobody did."""
    given = list(_given(connection, [uid]))
    return given[-1][2] if given and given[-1][1] is WellStatus.SEALED else None


def _given(connection: Connection, uids: Iterable[str]) -> Iterator[tuple[str, WellStatus, date]]:
    log = table_of(t.Change)
    query = select(log.c.row_uid, log.c.new, log.c.at).where(
        log.c.row_uid.in_(list(uids)), log.c.what == "well", log.c.new.is_not(None)
    )
    for row in records(connection, query.order_by(log.c.id)):
        status = json.loads(row["new"]).get("status")
        if status is not None:
            yield (
                row["row_uid"],
                WellStatus(status),
                datetime.fromisoformat(row["at"]).astimezone().date(),
            )
