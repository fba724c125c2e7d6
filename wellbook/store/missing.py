"""Whether a book lacks what names, addresses and telephone numbers are compared by (`store.keys`)."""

from __future__ import annotations

from sqlalchemy import Connection, or_, select

from wellbook.store import tables as t


def some_missing(connection: Connection) -> bool:
    """Whether any such column has not been worked out; three look-ups in an index."""
    columns = (t.contact_point.c.e164, t.customer.c.name_key, t.site.c.road_key)
    some = (select(column.table.c.id).where(column.is_(None)).exists() for column in columns)
    return bool(connection.execute(select(or_(*some))).scalar())
