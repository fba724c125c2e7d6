"""Properties with their people, and water systems with their wells, of some wells at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from datetime import date
from functools import cached_property

from sqlalchemy import Connection

from wellbook.hole.records import Contact, Occupant, OtherSite, Site, System
from wellbook.store import tables as t
from wellbook.store.consents import answers, permission
from wellbook.store.loading.cells import maybe_when, when, words
from wellbook.store.loading.plain_rows import Row, plain_rows, rows_by
from wellbook.terms import ContactWay

_OF_A_SITE = ("uid", "road", "town", "region", "postcode", "latitude", "longitude", "access")
_OF_AN_OCCUPANCY = (
    *("customer_id", "since_earliest", "since_latest", "since_text"),
    *("until_earliest", "until_latest", "until_text"),
)


class Sites:
    """Properties with who lives there, and lived there, and how to reach them."""

    def __init__(self, connection: Connection, site_ids: Collection[int]) -> None:
        self._connection, self._ids = connection, sorted(site_ids)

    @cached_property
    def _sites(self) -> dict[int, Row]:
        columns = (*_OF_A_SITE, "well_head", "notes")
        return {r[0]: r for r in plain_rows(self._connection, t.site, "id", self._ids, columns)}

    @cached_property
    def _occupants(self) -> dict[int, tuple[Occupant, ...]]:
        columns = _OF_AN_OCCUPANCY
        rows = rows_by(self._connection, t.occupancy, "site_id", self._ids, columns, order="id")
        people = sorted({row[1] for some in rows.values() for row in some})
        customer = ("uid", "name", "notes", "contract_month")
        customers = {
            r[0]: r for r in plain_rows(self._connection, t.customer, "id", people, customer)
        }
        points = rows_by(
            self._connection, t.contact_point, "customer_id", people, ("way", "value"), order="id"
        )
        said, ways = answers(self._connection, people), words(ContactWay)

        def occupant(row: Row) -> Occupant:
            _, number, *spans = row
            _, uid, name, notes, contract_month = customers[number]
            contacts = tuple(
                Contact(ways[way], value, permission(said, number, ways[way]))
                for _, way, value in points.get(number, ())
            )
            since, until = when(*spans[:3]), maybe_when(*spans[3:])
            return Occupant(uid, name, since, until, contacts, notes, contract_month)

        return {
            number: tuple(sorted(map(occupant, some), key=lambda o: o.since.earliest or date.min))
            for number, some in rows.items()
        }

    def site(self, site_id: int | None) -> Site | None:
        """A property; None where the well stands on none that is known."""
        return None if site_id is None else Site(*self._sites[site_id][1:])

    def occupants(self, site_id: int | None) -> tuple[Occupant, ...]:
        """Who lives and lived there, by when they came."""
        return () if site_id is None else self._occupants.get(site_id, ())


class Systems:
    """Water systems with the wells that feed them and the properties that draw on them."""

    def __init__(self, connection: Connection, system_ids: Collection[int]) -> None:
        self._connection, self._ids = connection, sorted(system_ids)
        self._wells = rows_by(
            connection, t.well, "system_id", self._ids, ("id", "uid", "tag", "site_id"), order="id"
        )

    def wells_of(self, system_id: int) -> list[int]:
        """The numbers of the wells that feed a system."""
        return [row[1] for row in sorted(self._wells[system_id], key=_by_tag)]

    @cached_property
    def wells(self) -> dict[int, str]:
        """All wells of these systems: number -> uid."""
        return {row[1]: row[2] for rows in self._wells.values() for row in rows}

    @cached_property
    def _systems(self) -> dict[int, Row]:
        columns = ("uid", "name", "rise_to_tank_ft")
        rows = plain_rows(self._connection, t.water_system, "id", self._ids, columns)
        return {row[0]: row for row in rows}

    @cached_property
    def _places(self) -> dict[int, list[tuple[int, str]]]:
        """The properties that draw on each system, with their addresses."""
        draws = list(
            plain_rows(self._connection, t.system_site, "system_id", self._ids, ("site_id",))
        )
        numbers = sorted({number for _, number in draws})
        columns = ("road", "town")
        sites = {r[0]: r for r in plain_rows(self._connection, t.site, "id", numbers, columns)}
        found: dict[int, list[tuple[int, str]]] = defaultdict(list)
        for system_id, number in sorted(draws):
            _, road, town = sites[number]
            found[system_id].append((number, ", ".join(x for x in (road, town) if x)))
        return found

    @cached_property
    def _drawing(self) -> Sites:
        """The properties that draw on systems beside those where the wells stand."""
        own = {system: {row[4] for row in rows} for system, rows in self._wells.items()}
        return Sites(
            self._connection,
            {n for system, some in self._places.items() for n, _ in some if own[system] != {n}},
        )

    def system(self, system_id: int, well_id: int, site_id: int | None) -> System:
        """A system, as it is seen from one of its wells."""
        _, uid, name, rise_to_tank_ft = self._systems[system_id]
        wells = sorted(self._wells[system_id], key=_by_tag)
        others = [(n, place) for n, place in self._places.get(system_id, ()) if n != site_id]
        return System(
            uid,
            name,
            rise_to_tank_ft,
            tuple(row[3] for row in wells if row[1] != well_id),
            tuple(OtherSite(place, self._drawing.occupants(number)) for number, place in others),
        )


def _by_tag(row: Row) -> str:
    return str(row[3])
