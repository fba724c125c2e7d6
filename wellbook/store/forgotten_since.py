"""Who was forgotten since a backup was made is forgotten in what is made of it too."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, insert, inspect, select

from wellbook.store import tables as t
from wellbook.store.forgetting import forget, forget_undone
from wellbook.store.forgetting_undone import undone_among
from wellbook.store.forgotten import forgotten_rows, people_with_marks, to_be_forgotten
from wellbook.store.rows import records


@dataclass(frozen=True, slots=True)
class Forgotten:
    """Whom a book has forgotten: its rows of them by uid, and the sums over names and ways of each."""

    rows: Mapping[str, Mapping[str, Any]]
    marks: Mapping[str, tuple[str, ...]]


NOBODY = Forgotten({}, {})
"""Where there is no book yet, or another one."""


def forgotten_in(connection: Connection) -> Forgotten:
    """Whom a book has forgotten; nobody where it is older than that this was kept."""
    if not inspect(connection).has_table(t.forgotten.name):
        return NOBODY
    rows = {row["uid"]: row for row in records(connection, select(t.forgotten))}
    by_number = {row["id"]: uid for uid, row in rows.items()}
    marks: dict[str, list[str]] = {}
    for row in records(connection, select(t.forgotten_mark)):
        marks.setdefault(by_number[row["forgotten_id"]], []).append(row["mark"])
    return Forgotten(rows, {uid: tuple(some) for uid, some in marks.items()})


def forget_again(connection: Connection, who: str, since: Forgotten) -> int:
    """Forget in a book whom another state of it has forgotten; how many people.

    That it was done is kept here too, also of those who are not in this book: a list or another
    book that still has them finds it.
    """
    said = {row["row_uid"]: row for row in since.rows.values() if row["what"] == "customer"}
    own = forgotten_rows(connection, "customer")
    many = 0
    for number, row in to_be_forgotten(connection, own, said).items():
        forget(connection, row["who"], number, at=row["at"])
        many += 1
    for person, row in undone_among(connection, said):
        forget_undone(connection, row["who"], person, at=row["at"])
        many += 1
    at = {mark: since.rows[uid]["at"] for uid, some in since.marks.items() for mark in some}
    for number in people_with_marks(connection, at):
        forget(connection, who, number)
        many += 1
    _keep(connection, since)
    return many


def _keep(connection: Connection, since: Forgotten) -> None:
    table, mark = t.forgotten, t.forgotten_mark
    known = {(row["row_uid"], row["what"]): row["id"] for row in records(connection, select(table))}
    for uid, row in since.rows.items():
        number = known.get((row["row_uid"], row["what"]))
        if number is None:
            values = {name: row[name] for name in ("uid", "what", "row_uid", "at", "who")}
            made = connection.execute(insert(table).values(**values))
            number = made.inserted_primary_key[0]  # type: ignore[index]
        there = set(
            connection.execute(select(mark.c.mark).where(mark.c.forgotten_id == number)).scalars()
        )
        new = [{"forgotten_id": number, "mark": m} for m in since.marks.get(uid, ())]
        if new := [row for row in new if row["mark"] not in there]:
            connection.execute(insert(mark), new)
