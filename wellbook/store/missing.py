"""Whether a book lacks what names, addresses and telephone numbers are compared by (`store.keys`)."""

from __future__ import annotations

from sqlalchemy import Connection, select

from wellbook import versions
from wellbook.store import tables as t


def some_missing(connection: Connection) -> bool:
    """Whether any such column has not been worked out; three look-ups in an index."""
    return any(
        connection.execute(select(column.table.c.id).where(column.is_(None)).limit(1)).first()
        for column in (t.contact_point.c.e164, t.customer.c.name_key, t.site.c.road_key)
    )


def words_are_old(connection: Connection) -> bool:
    """Whether the words by which wells are found were made by another version of the program."""
    return connection.execute(select(t.book.c.words_version)).scalar() != versions.WORDS
