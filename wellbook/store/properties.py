"""Where properties are and how to get in, for a list of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.rows import batches


@dataclass(frozen=True, slots=True)
class Property:
    """A property: coordinates in degrees where they are known, the way in, where the well head is."""

    latitude: float | None
    longitude: float | None
    access: str
    well_head: str


def properties(connection: Connection, site_ids: Iterable[int]) -> dict[int, Property]:
    """Property by its number."""
    site = t.site
    query = select(site.c.id, site.c.latitude, site.c.longitude, site.c.access, site.c.well_head)
    numbers = sorted(site_ids)
    found: dict[int, Property] = {}
    for batch in batches(numbers):
        some = query.where(site.c.id.in_(batch))
        found.update({number: Property(*rest) for number, *rest in connection.execute(some)})
    return found
