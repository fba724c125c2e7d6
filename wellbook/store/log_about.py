"""Which rows the change log has to be looked through for, to find what was done about a well or customer."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ColumnElement, Connection, Select, or_, select

from wellbook.store import tables as t
from wellbook.store.kept import kept_tables
from wellbook.store.rows import by_id, records


def rows_of_well(connection: Connection, number: int) -> set[str]:
    """The identities of a well, its water and its property, and of all rows that belong to it."""
    well = by_id(connection, t.well, number)
    found = {well["uid"], by_id(connection, t.water_system, well["system_id"])["uid"]}
    found |= _pointing(connection, "well_id", number)
    draws = records(
        connection,
        select(t.water_system.c.uid.label("system"), t.site.c.uid.label("site"))
        .join(t.system_site, t.system_site.c.system_id == t.water_system.c.id)
        .join(t.site, t.site.c.id == t.system_site.c.site_id)
        .where(t.water_system.c.id == well["system_id"]),
    )
    found |= {f"{row['system']} {row['site']}" for row in draws}
    if well["site_id"] is not None:
        found.add(by_id(connection, t.site, well["site_id"])["uid"])
        found |= _pointing(connection, "site_id", well["site_id"])
    runs, row = t.import_run, t.imported_row
    brought = select(runs.c.uid).join(row, row.c.run_id == runs.c.id).where(row.c.well_id == number)
    found |= set(connection.execute(brought).scalars())
    return found | _decided(connection, well["uid"])


def rows_of_customer(connection: Connection, number: int) -> set[str]:
    """The identities of a customer, and of all rows that belong to him."""
    uid = str(by_id(connection, t.customer, number)["uid"])
    return {uid, *_pointing(connection, "customer_id", number)} | _decided(connection, uid)


_NOT_LOGGED = frozenset({"message", "imported_row", "observation", "bore_interval"})
"""Tables whose rows have no lines of their own."""


def _pointing(connection: Connection, column: str, number: int) -> set[str]:
    found: set[str] = set()
    for kept in kept_tables():
        if column in kept.points and kept.has_uid and kept.name not in _NOT_LOGGED:
            query = select(kept.table.c.uid).where(kept.table.c[column] == number)
            found |= set(connection.execute(query).scalars())
    return found


def _decided(connection: Connection, uid: str) -> set[str]:
    pair = t.decided_pair
    query = select(pair.c.uid).where(or_(pair.c.one_uid == uid, pair.c.other_uid == uid))
    return set(connection.execute(query).scalars())


def first_line_since(connection: Connection, moment: datetime) -> int:
    """The number of the first line that was written at a moment or later, or one behind the last.

    Lines stand in the order in which they were written, so it is found by halving: where a clock was
    set back, lines of that time stand among others.
    """
    line = t.change
    at = moment.isoformat(timespec="seconds")

    def one(query: Select[int, str]) -> tuple[int, str] | None:
        row = connection.execute(query.limit(1)).first()
        return (row[0], row[1]) if row else None

    def up_to(which: ColumnElement[bool]) -> tuple[int, str] | None:
        return one(select(line.c.id, line.c.at).where(which).order_by(line.c.id))

    last = one(select(line.c.id, line.c.at).order_by(line.c.id.desc()))
    if last is None or last[1] < at:
        return last[0] + 1 if last else 1
    low, high = 0, last[0]
    while high - low > 1:
        middle = (low + high) // 2
        found = up_to(line.c.id >= middle)
        assert found is not None
        if found[1] < at:
            low = max(found[0], middle)
        else:
            high = middle
    return high
