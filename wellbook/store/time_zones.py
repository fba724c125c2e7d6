"""The shop's time zone. By itself, since every command asks for it, and few for what else a shop says."""

from __future__ import annotations

from datetime import tzinfo

from sqlalchemy import Connection, select

from wellbook.store import tables as t


def time_zone(connection: Connection) -> tzinfo | None:
    """The shop's time zone; None for the machine's own, also where this one does not know the zone."""
    query = select(t.shop_fact.c.value).where(t.shop_fact.c.name == "time_zone")
    return known_zone(connection.execute(query).scalar() or "")


def known_zone(name: str) -> tzinfo | None:
    """The time zone of a name; None where this machine knows none of it, or there is no name."""
    if not name:
        return None
    from zoneinfo import ZoneInfo

    try:
        return ZoneInfo(name)
    except (ValueError, OSError, KeyError):
        return None
