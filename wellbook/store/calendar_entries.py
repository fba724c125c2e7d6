"""What was given to a calendar so far, so that the next file updates it and doubles nothing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, insert, select, update

from wellbook.store import tables as t
from wellbook.store.identity import now
from wellbook.store.rows import Record, batches, records


@dataclass(frozen=True, slots=True)
class Entry:
    """An event or a to-do as it is to be given out now. `digest` is the sum of what it says."""

    uid: str
    well_id: int
    occurrence: str
    summary: str
    due_on: date
    digest: str


@dataclass(frozen=True, slots=True)
class Given:
    """How an entry is given out: how often it changed so far, and when it last did."""

    sequence: int
    changed_at: str


def give(connection: Connection, entries: Iterable[Entry]) -> dict[str, Given]:
    """Keep what a file is going to say; for each entry how often it has changed and when."""
    wanted = {e.uid: e for e in entries}
    before = _by_uid(connection, sorted(wanted))
    moment = now()
    given: dict[str, Given] = {}
    for uid, entry in wanted.items():
        old = before.get(uid)
        if old is None:
            given[uid] = Given(0, moment)
            connection.execute(insert(t.calendar_entry).values(**_row(entry, given[uid])))
        elif old["digest"] != entry.digest or old["done_at"]:
            given[uid] = Given(old["sequence"] + 1, moment)
            connection.execute(
                update(t.calendar_entry)
                .where(t.calendar_entry.c.uid == uid)
                .values(**_row(entry, given[uid]))
            )
        else:
            given[uid] = Given(old["sequence"], old["changed_at"])
    return given


def _by_uid(connection: Connection, uids: list[str]) -> dict[str, Record]:
    table = t.calendar_entry
    found: dict[str, Record] = {}
    for batch in batches(uids):
        query = select(table).where(table.c.uid.in_(batch))
        found |= {row["uid"]: row for row in records(connection, query)}
    return found


def _row(entry: Entry, given: Given) -> dict[str, object]:
    return {
        "uid": entry.uid,
        "well_id": entry.well_id,
        "occurrence": entry.occurrence,
        "summary": entry.summary,
        "due_on": entry.due_on,
        "digest": entry.digest,
        "sequence": given.sequence,
        "changed_at": given.changed_at,
        "done_at": None,
    }


def ended(connection: Connection, still: Iterable[str], since: str) -> list[Record]:
    """To-dos that were given out and are open no more, marked done now where they were not yet.

    Parameters
    ----------
    still
        The uids of those that are open.
    since
        The moment before which what was done is no longer told.
    """
    table, open_now = t.calendar_entry, set(still)
    query = select(table).where(table.c.occurrence != "", table.c.done_at.is_(None))
    moment = now()
    for row in records(connection, query):
        if row["uid"] not in open_now:
            connection.execute(
                update(table)
                .where(table.c.uid == row["uid"])
                .values(done_at=moment, changed_at=moment, sequence=row["sequence"] + 1)
            )
    done = select(table).where(table.c.done_at >= since).order_by(table.c.done_at, table.c.uid)
    return records(connection, done)
