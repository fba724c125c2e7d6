"""Who and what in the book is like a record that comes in: people by name and telephone, wells by place.

The book keeps no plain forms of names and addresses, so that they are made once a run and set aside in a
temporary file: memory does not grow with the book. A run's own people and places come to them.
"""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, select

from wellbook.exchange.alike import plain_address, plain_name, plain_place
from wellbook.exchange.person import Person
from wellbook.store import tables as t
from wellbook.terms import ContactWay, Role

NEAR_FT = 100.0
"""Two records of one well lie nearer than this: some 30 m, to which coordinates of records are good
(common practice, no published source)."""
_CELL = 1000.0
"""A cell of the index is a thousandth of a degree, no more than 365 ft of latitude."""
_FT_A_DEGREE = 364_567.0
"""Of latitude, on a sphere of 6,371.0 km (IUGG mean radius): 111.19 km."""

_TABLES = """
CREATE TABLE person (plain TEXT, digits TEXT, id INTEGER, name TEXT, came INTEGER);
CREATE INDEX person_plain ON person (plain, digits);
CREATE TABLE home (plain TEXT, address TEXT, customer_id INTEGER, site_id INTEGER);
CREATE INDEX home_plain ON home (plain, address);
CREATE TABLE spot (row INTEGER, col INTEGER, latitude REAL, longitude REAL, well_id INTEGER);
CREATE INDEX spot_cell ON spot (row, col);
CREATE TABLE address (address TEXT, well_id INTEGER);
CREATE INDEX address_address ON address (address);
"""


@dataclass(frozen=True, slots=True)
class Alike:
    """A customer of the book whose name is the same."""

    id: int
    name: str
    digits: tuple[str, ...]


class InTheBook:
    """What is there to be held against what comes in."""

    def __init__(self, connection: Connection, *, people: bool, source: str) -> None:
        self.connection = connection
        self._db = sqlite3.connect("", isolation_level=None)
        self._db.executescript(_TABLES)
        self._db.execute("BEGIN")
        if people:
            self._gather_people()
        self._gather_wells(source)

    def close(self) -> None:
        """Let go of the temporary file."""
        self._db.close()

    def _gather_people(self) -> None:
        who, way = t.customer, t.contact_point
        phones = (way.c.customer_id == who.c.id) & (way.c.way == ContactWay.PHONE.value)
        query = select(who.c.id, who.c.name, way.c.digits, way.c.e164).outerjoin(way, phones)
        rows = self.connection.execute(query.execution_options(yield_per=1000))
        self._db.executemany(
            "INSERT INTO person VALUES (?, ?, ?, ?, 0)",
            ((plain_name(r.name), r.e164 or r.digits or "", r.id, r.name) for r in rows),
        )
        site, stay = t.site, t.occupancy
        homes = (
            select(who.c.name, who.c.id, site.c.id.label("site_id"), site.c.road, site.c.town)
            .join(stay, stay.c.customer_id == who.c.id)
            .join(site, site.c.id == stay.c.site_id)
            .where(stay.c.until_text.is_(None))
        )
        rows = self.connection.execute(homes.execution_options(yield_per=1000))
        self._db.executemany(
            "INSERT INTO home VALUES (?, ?, ?, ?)",
            (
                (plain_name(r.name), plain_place(r.road, r.town), r.id, r.site_id)
                for r in rows
                if plain_place(r.road, r.town)
            ),
        )

    def _gather_wells(self, source: str) -> None:
        """The shop's own wells that this source has not told of, by their places."""
        well, site = t.well, t.site
        row = t.imported_row
        told = select(row.c.well_id).where(
            row.c.source.startswith(f"{source} / ", autoescape=True), row.c.well_id.is_not(None)
        )
        query = (
            select(well.c.id, site.c.latitude, site.c.longitude, site.c.road, site.c.town)
            .join(site, site.c.id == well.c.site_id)
            .where(well.c.role == Role.OURS.value, well.c.id.not_in(told))
        )
        for r in self.connection.execute(query.execution_options(yield_per=1000)):
            if r.latitude is not None and r.longitude is not None:
                self._db.execute(
                    "INSERT INTO spot VALUES (?, ?, ?, ?, ?)",
                    (*_cell(r.latitude, r.longitude), r.latitude, r.longitude, r.id),
                )
            if address := plain_address(r.road, r.town):
                self._db.execute("INSERT INTO address VALUES (?, ?)", (address, r.id))

    # -- people --------------------------------------------------------------------------------

    def same_person(self, person: Person, address: str) -> int | None:
        """The customer of the same name and telephone, or the same name at the same house."""
        for digits in person.digits or [""]:
            query = "SELECT id FROM person WHERE plain = ? AND digits = ? ORDER BY id"
            found = self._db.execute(query, (person.plain, digits)).fetchone()
            if found and (digits or not address):
                return int(found[0])
        if address:
            query = "SELECT customer_id FROM home WHERE plain = ? AND address = ?"
            found = self._db.execute(query, (person.plain, address)).fetchone()
            if found:
                return int(found[0])
        return None

    def alike(self, person: Person) -> Alike | None:
        """The first customer whose name is the same, and who was in the book before this run."""
        query = "SELECT id, name, digits FROM person WHERE plain = ? AND NOT came ORDER BY id"
        rows = self._db.execute(query, (person.plain,)).fetchall()
        if not rows:
            return None
        first = rows[0][0]
        return Alike(first, rows[0][1], tuple(d for i, _, d in rows if i == first and d))

    def add_person(self, number: int, person: Person) -> None:
        """A customer of this run, or more numbers of one."""
        self._db.executemany(
            "INSERT INTO person VALUES (?, ?, ?, ?, 1)",
            [(person.plain, d, number, person.name) for d in person.digits or [""]],
        )

    def home(self, plain: str, address: str, customer_id: int) -> int | None:
        """The property of a customer at an address."""
        query = "SELECT site_id FROM home WHERE plain = ? AND address = ? AND customer_id = ?"
        found = self._db.execute(query, (plain, address, customer_id)).fetchone()
        return int(found[0]) if found else None

    def add_home(self, plain: str, address: str, customer_id: int, site_id: int) -> None:
        """A property of this run."""
        self._db.execute(
            "INSERT INTO home VALUES (?, ?, ?, ?)", (plain, address, customer_id, site_id)
        )

    # -- wells ---------------------------------------------------------------------------------

    def wells_near(self, latitude: float, longitude: float) -> Iterator[tuple[int, float]]:
        """Wells nearer than `NEAR_FT`, each with its distance in ft, nearest first."""
        row, col = _cell(latitude, longitude)
        query = "SELECT latitude, longitude, well_id FROM spot WHERE row BETWEEN ? AND ? AND col BETWEEN ? AND ?"
        wide = 1 + int(1 / max(0.1, math.cos(math.radians(latitude))))
        box = (row - 1, row + 1, col - wide, col + wide)
        found = []
        for lat, lon, well in self._db.execute(query, box):
            east = (lon - longitude) * math.cos(math.radians(latitude))
            away = math.hypot(lat - latitude, east) * _FT_A_DEGREE
            if away <= NEAR_FT:
                found.append((well, away))
        yield from sorted(found, key=lambda x: (x[1], x[0]))

    def wells_at(self, address: str) -> list[int]:
        """Wells at an address."""
        query = "SELECT well_id FROM address WHERE address = ? ORDER BY well_id"
        return [n for (n,) in self._db.execute(query, (address,))]


def wells_of_permit(connection: Connection, permits: Iterable[str], source: str) -> dict[str, int]:
    """Wells with these permit numbers that the source has not told of."""
    wanted = sorted({p for p in permits if p})
    if not wanted:
        return {}
    well, row = t.well, t.imported_row
    told = select(row.c.well_id).where(
        row.c.well_id == well.c.id, row.c.source.startswith(f"{source} / ", autoescape=True)
    )
    query = select(well.c.permit_no, well.c.id).where(well.c.permit_no.in_(wanted), ~told.exists())
    found: dict[str, int] = {}
    for permit, number in connection.execute(query.order_by(well.c.id.desc())):
        found[permit] = number
    return found


def _cell(latitude: float, longitude: float) -> tuple[int, int]:
    return math.floor(latitude * _CELL), math.floor(longitude * _CELL)
