"""The mark that a book bears of how its derived rows were made."""

from __future__ import annotations

import hashlib
import json

from sqlalchemy import Connection, select, update

from wellbook import versions
from wellbook.store import tables as t


def mark(connection: Connection) -> str:
    """The mark of this program: the versions of the replay and of the rules, and a short sum over
    the numbers that the shop has changed."""
    changed = sorted(
        (name, json.loads(value))
        for name, value in connection.execute(select(t.setting.c.name, t.setting.c.value))
    )
    numbers = hashlib.sha256(json.dumps(changed).encode()).hexdigest()[:16]
    # The versions stand in it as they are, so that an older program sees that it is older.
    return f"{versions.REPLAY}-{versions.RULES}-{numbers}"


def mark_of_book(connection: Connection) -> str:
    """The mark that the book bears; empty where it bears none yet."""
    return str(connection.execute(select(t.book.c.ledger_fingerprint)).scalar() or "")


def set_mark(connection: Connection) -> None:
    """Let the book bear this program's mark."""
    connection.execute(update(t.book).values(ledger_fingerprint=mark(connection)))
