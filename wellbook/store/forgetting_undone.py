"""What was undone of a person: it stands in the change log alone, and goes from there too."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select

from wellbook.errors import WellbookError
from wellbook.store import tables as t
from wellbook.store.forgetting_doubles import kept_for
from wellbook.store.forgetting_imports import HIS
from wellbook.store.forgotten import forgotten_rows
from wellbook.store.rows import UNDO

UndoneRows = dict[tuple[str, str], list[dict[str, Any]]]
"""By table and identity, what the lines of the change log have of rows."""


@dataclass(frozen=True, slots=True)
class Undone:
    """A customer whose adding was undone: only the change log has the name still.

    Parameters
    ----------
    uid
        The identity of the record that there was.
    number
        Under which number it was in the book; another may have that by now.
    name, notes
        What he was called last, and what was noted of him.
    """

    uid: str
    number: int
    name: str
    notes: str


def undone_customers(connection: Connection) -> list[Undone]:
    """Customers whom the log names and the book has no more, the newest last.

    Whoever was joined into another record is forgotten with that one.
    """
    line, person = t.change, t.customer
    gone = select(line.c.row_uid).where(
        line.c.action == UNDO, line.c.what == person.name, line.c.new.is_(None)
    )
    here = select(person.c.uid).where(person.c.uid == line.c.row_uid).exists()
    uids = list(connection.execute(gone.where(~here).order_by(line.c.id)).scalars())
    away = forgotten_rows(connection, person.name).keys() | kept_for(connection, uids).keys()
    return [_undone(connection, uid) for uid in dict.fromkeys(uids) if uid not in away]


def undone_among(
    connection: Connection, said: Mapping[str, Mapping[str, Any]]
) -> list[tuple[Undone, Mapping[str, Any]]]:
    """Those of them whom another state of the book has forgotten, each with its row of that."""
    return [(one, said[one.uid]) for one in undone_customers(connection) if one.uid in said]


def the_undone(connection: Connection, words: str) -> Undone | None:
    """The one of them whom a number, or words of the name, single out; None where none does.

    Raises
    ------
    WellbookError
        If several do.
    """
    wanted = words.casefold().split()
    found = [
        one
        for one in undone_customers(connection)
        if words.strip() == str(one.number) or all(w in one.name.casefold() for w in wanted)
    ]
    if len(found) > 1:
        names = ", ".join(f"{one.number} {one.name}" for one in found)
        raise WellbookError(f"'{words}' fits several whose adding was taken back: {names}")
    return found[0] if found else None


def _undone(connection: Connection, uid: str) -> Undone:
    line = t.change
    query = select(line.c.old).where(
        line.c.row_uid == uid, line.c.action == UNDO, line.c.new.is_(None)
    )
    last = connection.execute(query.order_by(line.c.id.desc()).limit(1)).scalar_one()
    row: dict[str, Any] = json.loads(last)
    return Undone(uid, row["id"], row["name"], row["notes"])


def undone_of(connection: Connection, uid: str, number: int) -> UndoneRows:
    """Rows of a customer of which a line says that they were undone, or done again.

    Parameters
    ----------
    uid, number
        His record's identity and its number. Another may have had the number before, or have it since:
        then the log has no line about this one beside those rows.

    """
    line = t.change
    query = select(line.c.what, line.c.row_uid, line.c.old, line.c.new).where(
        line.c.action == UNDO, line.c.what.in_(HIS), *_while_he_had_it(connection, uid)
    )
    found: UndoneRows = {}
    for what, its, *said in connection.execute(query.order_by(line.c.id)):
        rows = [json.loads(text) for text in said if text]
        if any(row.get("customer_id") == number for row in rows):
            found.setdefault((what, its), []).extend(rows)
    return found


def _while_he_had_it(connection: Connection, uid: str) -> tuple[Any, ...]:
    """From which line of the log to which a number was his."""
    line, person = t.change, t.customer
    about = (line.c.row_uid == uid, line.c.what == person.name)
    added = select(func.min(line.c.id)).where(*about, line.c.action == "add")
    since = connection.execute(added).scalar()
    held: tuple[Any, ...] = () if since is None else (line.c.id >= since,)
    if connection.execute(select(person.c.id).where(person.c.uid == uid)).first() is None:
        last = connection.execute(select(func.max(line.c.id)).where(*about)).scalar()
        # What hung on him was taken out in the same entry, before or after him.
        held += () if last is None else (line.c.id <= _end_of_entry(connection, last),)
    return held


def _end_of_entry(connection: Connection, number: int) -> int:
    line = t.change
    at = select(line.c.at).where(line.c.id == number).scalar_subquery()
    query = select(func.max(line.c.id)).where(line.c.at == at)
    return int(connection.execute(query).scalar_one())
