"""Who was forgotten on his wish: by the rows that are gone, and by a sum over name and number.

A sum cannot be read back, though whoever has both name and number can tell that they are the ones. A name
alone does not say so: others have it too.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.forgetting_doubles import kept_for
from wellbook.store.rows import records
from wellbook.terms import ContactWay

NOBODY = "forgotten customer"
"""What a customer who was forgotten is called, where a row of him must stay."""


def mark_of(name: str, way: str) -> str:
    """The sum over a name and a telephone number or e-mail address, however they are written.

    >>> mark_of("Orla  Finch", "+1 (555) 014-7788") == mark_of("finch, orla", "5550147788")
    True
    """
    words = " ".join(sorted(re.findall(r"\w+", name.casefold())))
    digits = re.sub(r"\D", "", way)
    # With and without the country's code a number is one.
    plain = way.strip().casefold() if "@" in way else digits[-10:]
    return hashlib.sha256(f"wellbook:{words}\n{plain}".encode()).hexdigest()


def forgotten_rows(connection: Connection, what: str) -> dict[str, Mapping[str, Any]]:
    """The rows of a table that were erased or emptied, by their identity."""
    query = select(t.forgotten).where(t.forgotten.c.what == what)
    return {row["row_uid"]: row for row in records(connection, query)}


def to_be_forgotten(
    connection: Connection,
    own: Mapping[str, Mapping[str, Any]],
    other: Mapping[str, Mapping[str, Any]],
) -> dict[int, Mapping[str, Any]]:
    """The customers of this book who are still to be forgotten, by number, each with the row of it.

    Whoever was joined into another record here is the one who that record is.

    Parameters
    ----------
    own, other
        The customers whom this book and the other one have forgotten.
    """
    known = {**own, **other}
    said = {**{to: known[uid] for uid, to in kept_for(connection, known).items()}, **other}
    query = select(t.customer.c.id, t.customer.c.uid)
    return {
        number: said[uid]
        for number, uid in connection.execute(query)
        if uid in said and uid not in own
    }


def marks_kept(connection: Connection) -> dict[str, str]:
    """The sums over names and addresses of who was forgotten, each with the moment of it."""
    query = select(t.forgotten_mark.c.mark, t.forgotten.c.at).join(
        t.forgotten, t.forgotten.c.id == t.forgotten_mark.c.forgotten_id
    )
    return {row.mark: row.at for row in connection.execute(query)}


def people_with_marks(connection: Connection, marks: Mapping[str, str]) -> list[int]:
    """Customers of this book of whose name and number another book says that they are forgotten.

    Whom somebody entered by hand after that has come back of his own will.
    """
    point, person, line = t.contact_point, t.customer, t.change
    added = select(line.c.at).where(
        line.c.row_uid == person.c.uid, line.c.what == "customer", line.c.action == "add"
    )
    query = select(
        person.c.id, person.c.name, point.c.value, added.limit(1).scalar_subquery().label("added")
    ).join(point, point.c.customer_id == person.c.id)
    if not marks:
        return []
    rows = connection.execute(query.where(point.c.way != ContactWay.POST.value))
    return sorted(
        {
            row.id
            for row in rows
            if (at := marks.get(mark_of(row.name, row.value))) and (row.added or "") <= at
        }
    )
