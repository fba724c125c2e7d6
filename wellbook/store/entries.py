"""The change log by entries: what one command did is one entry, however many lines it wrote.

The lines of a transaction stand together, since writers wait for each other, and bear one moment that
no other transaction bears (`store.rows.moment`). Lines of earlier programs bear a second, and those
of one second and one name stand together as one entry; how far each command went is not told there.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import groupby

from sqlalchemy import ColumnElement, Connection, select

from wellbook.store import tables as t
from wellbook.store.rows import ENTRY, UNDO, Record, batches, records

_PAGE = 100
"""How many lines are looked at together."""


@dataclass(frozen=True, slots=True)
class Entry:
    """What one command did.

    Parameters
    ----------
    number, last
        The numbers of its first and its last line; by the first it is called.
    uid
        The identity of its first line.
    at, who
        When, as ISO text in universal time, and who.
    undoes
        The uid of the entry that it takes back, or brings about again; empty for all others.
    """

    number: int
    last: int
    uid: str
    at: str
    who: str
    undoes: str

    @property
    def whole(self) -> bool:
        """Whether it is known which lines one command wrote: it bears a moment, and no second."""
        return "." in self.at


def newest(
    connection: Connection,
    *,
    before: int | None = None,
    from_line: int = 0,
    about: Collection[str] | None = None,
    who: str = "",
) -> Iterator[Entry]:
    """Entries, newest first, found as they are asked for.

    Parameters
    ----------
    before
        Only entries that begin before this line.
    from_line
        Only those that end with this line or later.
    about
        Only those that have a line about one of these rows, by uid.
    who
        Only those of somebody.
    """
    line = t.change
    which: list[ColumnElement[bool]] = [line.c.id >= from_line]
    if who:
        which.append(line.c.who == who)
    while True:
        ahead = [] if before is None else [line.c.id < before]
        if about is None:
            found = _heads(connection, *which, *ahead)
        else:
            some = [
                row
                for batch in batches(sorted(about))
                for row in _heads(connection, line.c.row_uid.in_(batch), *which, *ahead)
            ]
            found = sorted(some, key=lambda row: -row["id"])[:_PAGE]
        if not found:
            return
        for (at, by), some_lines in groupby(found, lambda row: (row["at"], row["who"])):
            lines = list(some_lines)
            # Of all lines those of an entry stand together; the last of a page may go on below.
            if about is None and lines[-1] is not found[-1]:
                entry = _entry(lines[-1], lines[0]["id"])
            else:
                entry = _around(connection, lines[0]["id"], at, by)
            if before is None or entry.last < before:
                yield entry
            before = entry.number


def _heads(connection: Connection, *which: ColumnElement[bool]) -> list[Record]:
    line = t.change
    named = (line.c[name] for name in ("id", "uid", "at", "who", "action", "what", "row_uid"))
    query = select(*named).where(*which)
    return records(connection, query.order_by(line.c.id.desc()).limit(_PAGE))


def _entry(first: Record, last: int) -> Entry:
    undoes = first["row_uid"] if (first["action"], first["what"]) == (UNDO, ENTRY) else ""
    return Entry(first["id"], last, first["uid"], first["at"], first["who"], undoes)


def entry_of(connection: Connection, number: int) -> Entry | None:
    """The entry that a line belongs to; None where there is no such line."""
    line = t.change
    found = records(connection, select(line).where(line.c.id == number))
    return _around(connection, number, found[0]["at"], found[0]["who"]) if found else None


def entry_by_uid(connection: Connection, uid: str) -> Entry | None:
    """The entry that begins with a line of this identity."""
    number = connection.execute(select(t.change.c.id).where(t.change.c.uid == uid)).scalar()
    return None if number is None else entry_of(connection, number)


def lines_of(
    connection: Connection, entry: Entry, *, most: int | None = None, about: Collection[str] = ()
) -> list[Record]:
    """The lines of an entry, oldest first; at most so many, and of some rows alone."""
    line = t.change
    query = select(line).where(line.c.id.between(entry.number, entry.last)).order_by(line.c.id)
    if about:
        query = query.where(line.c.row_uid.in_(sorted(about)))
    return records(connection, query if most is None else query.limit(most))


def taken_back(connection: Connection, uids: Iterable[str]) -> set[str]:
    """Which of these entries, by the uids of their first lines, were taken back and stay so.

    An entry that takes back may be taken back itself: then what it took back stands again.
    """
    asked = sorted(set(uids))
    line = t.change
    by: dict[str, list[str]] = {}
    for some in batches(asked):
        query = select(line.c.row_uid, line.c.uid).where(
            line.c.row_uid.in_(some), line.c.action == UNDO, line.c.what == ENTRY
        )
        for uid, undoing in connection.execute(query.order_by(line.c.id)):
            by.setdefault(uid, []).append(undoing)
    if not by:
        return set()
    void = taken_back(connection, [uid for some in by.values() for uid in some])
    return {uid for uid, some in by.items() if any(one not in void for one in some)}


def latest_standing(connection: Connection, *, again: bool = False) -> Entry | None:
    """The newest entry that stands and takes none back; None where there is none.

    Parameters
    ----------
    again
        The newest instead that takes one back and stands, if nothing else came after it.
    """
    gone: set[str] = set()
    for entry in newest(connection):
        if entry.uid in gone:
            continue
        if not entry.undoes:
            return None if again else entry
        if again and _takes_back(connection, entry):
            return entry
        gone.add(entry.undoes)
    return None


def _takes_back(connection: Connection, entry: Entry) -> bool:
    """Whether an entry takes one back, and does not bring one about again."""
    other = entry_by_uid(connection, entry.undoes)
    return other is None or not other.undoes


def cancelled_lines(connection: Connection, since: int) -> list[tuple[int, int]]:
    """From which line to which the log tells, after a line, of what was taken back, and of its taking
    back: as if neither had been."""
    line = t.change
    heads = select(line.c.id).where(line.c.id > since, line.c.action == UNDO, line.c.what == ENTRY)
    undoing = [
        entry_of(connection, n) for n in connection.execute(heads.order_by(line.c.id)).scalars()
    ]
    found = [entry for entry in undoing if entry]
    void = taken_back(connection, [entry.uid for entry in found])
    spans = [(entry.number, entry.last) for entry in found]
    for entry in found:
        other = entry_by_uid(connection, entry.undoes)
        if other and not other.undoes and entry.uid not in void:
            spans.append((other.number, other.last))
    return spans


def _around(connection: Connection, number: int, at: str, who: str) -> Entry:
    line = t.change

    def of_it(from_line: bool, n: int) -> int | None:
        """The first line from a number on, or the last one up to it, where it is of the entry."""
        near = line.c.id >= n if from_line else line.c.id <= n
        query = select(line.c.id, line.c.at, line.c.who).where(near)
        order = line.c.id if from_line else line.c.id.desc()
        row = connection.execute(query.order_by(order).limit(1)).first()
        return row[0] if row and (row[1], row[2]) == (at, who) else None

    newest = connection.execute(select(line.c.id).order_by(line.c.id.desc()).limit(1)).scalar_one()
    first = _farthest(number, 0, partial(of_it, True))
    last = _farthest(number, newest, partial(of_it, False))
    return _entry(records(connection, select(line).where(line.c.id == first))[0], last)


def _farthest(known: int, end: int, of_it: Callable[[int], int | None]) -> int:
    """The farthest line towards an end that is still of an entry.

    In steps that double and then halve, so an import of a hundred thousand lines takes some thirty
    look-ups. Numbers may be missing between.
    """
    way, step = (1 if end > known else -1), 1
    while known != end:
        ahead = known + way * step if step < abs(end - known) else end
        if of_it(ahead) is None:
            outside = ahead
            break
        known, step = ahead, step * 2
    else:
        outside = known
    while abs(outside - known) > 1:
        middle = (known + outside) // 2
        if of_it(middle) is None:
            outside = middle
        else:
            known = middle
    found = of_it(known)
    assert found is not None
    return found
