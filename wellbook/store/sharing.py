"""Since when wells feed one water system, as the change log has it.

What a sheet said of a well's tank while the well had a system of its own is said of that tank. So
two wells that come to share keep both their tanks.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.rows import UNDO, Record, records
from wellbook.store.standing_lines import standing_lines


def joined_at(connection: Connection, wells: Iterable[tuple[int, str]]) -> Mapping[str, int]:
    """In which line of the change log each well came to the water system that it feeds.

    Wells that never had another are left out.

    Parameters
    ----------
    wells
        System and uid of each well, of any number of systems.

    Returns
    -------
    The number of the line, by the wells' uids: sheets that came in later have a higher one.
    """
    together: dict[int, list[str]] = {}
    for system_id, uid in wells:
        together.setdefault(system_id, []).append(uid)
    shared = [uid for uids in together.values() if len(uids) > 1 for uid in uids]
    if not shared:
        return {}
    log = t.change
    moves = select(log.c.id, log.c.row_uid, log.c.action, log.c.old, log.c.new).where(
        log.c.what == "well", log.c.action.in_(["change", UNDO]), log.c.row_uid.in_(shared)
    )
    lines: dict[str, list[Record]] = {}
    for line in records(connection, moves.order_by(log.c.id)):
        lines.setdefault(line["row_uid"], []).append(line)
    found: dict[str, int] = {}
    for uid, some in lines.items():
        for line, _ in standing_lines(some, "system_id"):
            found[uid] = line["id"]
    return found
