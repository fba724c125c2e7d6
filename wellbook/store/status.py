"""The status that somebody gave a well, apart from what a decommissioning makes of it."""

from __future__ import annotations

import json
from collections.abc import Iterable

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.rows import records, table_of
from wellbook.terms import WellStatus


def status_by_hand(connection: Connection, uids: Iterable[str]) -> dict[str, WellStatus]:
    """The last status that each of some wells was given by hand, by the wells' uids.

    A sheet that seals a well writes no line in the change log, since the sheet itself is the record
    of it: what the log has is what somebody chose.
    """
    log = table_of(t.Change)
    query = select(log.c.row_uid, log.c.new).where(
        log.c.row_uid.in_(list(uids)), log.c.what == "well", log.c.new.is_not(None)
    )
    found: dict[str, WellStatus] = {}
    for row in records(connection, query.order_by(log.c.id)):
        status = json.loads(row["new"]).get("status")
        if status is not None:
            found[row["row_uid"]] = WellStatus(status)
    return found
