"""Who else wrote meanwhile: what somebody saw, held against the change log when he writes.

Who fills in a sheet, or corrects one, looks at a record, thinks, and then writes. What another wrote
between is in the change log, and is told before anything of his is written. A field that is given
outright is written at once, and the last word counts; that another's word of a moment ago went is told
too.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select

from wellbook.store import tables as t
from wellbook.store.rows import Record, by_id, records


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the change log.

    Parameters
    ----------
    uid
        Its own identity, which it keeps in a merge; its number it may not.
    at, who
        When (universal time, to the second) and by whom.
    action, what, row_uid
        `add` or `change`, in which table, of which row.
    old, new
        The values by their columns' names.
    """

    uid: str
    at: str
    who: str
    action: str
    what: str
    row_uid: str
    old: Mapping[str, Any]
    new: Mapping[str, Any]


def lines_of_well(connection: Connection, well_id: int) -> list[Line]:
    """All that was written of a well and of the sheets of its water system, in its order.

    What is new in it from one look to the next is what somebody wrote between.
    """
    system = by_id(connection, t.well, well_id)["system_id"]
    log, sheet = t.change, t.sheet
    wells = select(t.well.c.id).where(t.well.c.system_id == system)
    uids = select(sheet.c.uid).where(sheet.c.well_id.in_(wells))
    rows = [
        by_id(connection, t.well, well_id)["uid"],
        by_id(connection, t.water_system, system)["uid"],
    ]
    about = select(log).where(log.c.row_uid.in_(uids) | log.c.row_uid.in_(rows))
    return [_line(row) for row in records(connection, about.order_by(log.c.id))]


def ended_by(connection: Connection, sheet_uid: str) -> Line | None:
    """The line by which a sheet was corrected or withdrawn; None where there is none."""
    log = t.change
    about = select(log).where(log.c.row_uid == sheet_uid, log.c.action == "change")
    found = records(connection, about.order_by(log.c.id.desc()).limit(1))
    return _line(found[0]) if found else None


def last_number(connection: Connection) -> int:
    """The number of the last line there is: what is written from here on has a greater one."""
    return int(connection.execute(select(func.max(t.change.c.id))).scalar() or 0)


@dataclass(frozen=True, slots=True)
class Overwritten:
    """Another's word of a field that went: his line, the field, his value and the one in its place."""

    line: Line
    field: str
    theirs: Any
    mine: Any


def overwritten(connection: Connection, after: int, since: str) -> Iterator[Overwritten]:
    """What the lines after that number took the place of, where another had written it lately.

    Parameters
    ----------
    since
        From which moment on it is lately, as the log has it.
    """
    log = t.change
    own = select(log).where(log.c.id > after, log.c.action == "change").order_by(log.c.id)
    for row in records(connection, own):
        mine = _line(row)
        earlier = select(log).where(
            log.c.row_uid == mine.row_uid, log.c.what == mine.what, log.c.id <= after
        )
        left = {name for name, value in mine.new.items() if mine.old.get(name) != value}
        for line in map(_line, records(connection, earlier.order_by(log.c.id.desc()))):
            for name in sorted(left & line.new.keys()):
                if line.who != mine.who and line.at >= since and line.action == "change":
                    yield Overwritten(line, name, mine.old.get(name), mine.new[name])
            left -= line.new.keys()
            if not left or line.at < since:
                break


def _line(row: Record) -> Line:
    old, new = (json.loads(row[side]) if row[side] else {} for side in ("old", "new"))
    return Line(
        uid=row["uid"],
        at=row["at"],
        who=row["who"],
        action=row["action"],
        what=row["what"],
        row_uid=row["row_uid"],
        old=old or {},
        new=new or {},
    )
