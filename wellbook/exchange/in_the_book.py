"""Who and what in the book is like a record that comes in: people by telephone, house and name, wells by
place.

What they are looked up by is set aside once a run in a temporary file, and the run's own people and wells
come to it: memory does not grow with the book. Names and addresses are compared as everywhere (`likeness`).
"""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, select

from wellbook.exchange.person import Person
from wellbook.likeness.names import NameFit, compare_names, told_name
from wellbook.likeness.plain_words import plain_words
from wellbook.likeness.roads import RoadFit, compare_roads, house_key, place_key, road_key
from wellbook.store import tables as t
from wellbook.terms import ContactWay, Role

NEAR_FT = 100.0
"""Two records of one well lie nearer than this: some 30 m, to which coordinates of records are good
(common practice, no published source)."""
MOST = 40
"""So many may share a number or the beginning of an address; what more share says nothing."""
_CELL = 1000.0
"""A cell of the index is a thousandth of a degree, no more than 365 ft of latitude."""
_FT_A_DEGREE = 364_567.0
"""Of latitude, on a sphere of 6,371.0 km (IUGG mean radius): 111.19 km."""

_TABLES = """
CREATE TABLE person (told TEXT, digits TEXT, id INTEGER, name TEXT, came INTEGER);
CREATE INDEX person_told ON person (told);
CREATE INDEX person_digits ON person (digits);
CREATE INDEX person_id ON person (id);
CREATE TABLE home (place TEXT, house INTEGER, name TEXT, customer_id INTEGER, site_id INTEGER);
CREATE INDEX home_place ON home (place);
CREATE TABLE spot (
    row INTEGER, col INTEGER, latitude REAL, longitude REAL, well_id INTEGER, told TEXT
);
CREATE INDEX spot_cell ON spot (row, col);
CREATE TABLE address (key TEXT, road TEXT, town TEXT, well_id INTEGER, told TEXT, who TEXT);
CREATE INDEX address_key ON address (key);
"""


@dataclass(frozen=True, slots=True)
class Alike:
    """A customer who may be the same: his name, the numbers by which he is reached, and whether he is of
    the same file."""

    id: int
    name: str
    digits: tuple[str, ...]
    came: bool


@dataclass(frozen=True, slots=True)
class WellLike:
    """A well that may be the same, and why. `told` is the key under which the record's own source told of
    it; "" where it did not. `who` is there, where the same file says so."""

    id: int
    why: str
    told: str = ""
    who: str = ""


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
            ((told_name(r.name), r.e164 or r.digits or "", r.id, r.name) for r in rows),
        )
        site, stay = t.site, t.occupancy
        homes = (
            select(who.c.name, who.c.id, site.c.id.label("site_id"), site.c.road, site.c.town)
            .join(stay, stay.c.customer_id == who.c.id)
            .join(site, site.c.id == stay.c.site_id)
            .where(stay.c.until_text.is_(None))
        )
        for r in self.connection.execute(homes.execution_options(yield_per=1000)):
            self.add_home(r.name, r.road, r.town, r.id, r.site_id)

    def _gather_wells(self, source: str) -> None:
        """The shop's own wells by their places, and which of them this source has told of."""
        well, site = t.well, t.site
        row = t.imported_row
        own = (row.c.well_id == well.c.id) & row.c.source.startswith(
            f"{source} / ", autoescape=True
        )
        query = (
            select(
                *(well.c.id, site.c.latitude, site.c.longitude, site.c.road, site.c.town),
                row.c.row_key,
            )
            .join(site, site.c.id == well.c.site_id)
            .outerjoin(row, own)
            .where(well.c.role == Role.OURS.value)
        )
        for r in self.connection.execute(query.execution_options(yield_per=1000)):
            self.add_well(r.id, r.road, r.town, r.row_key or "")
            if r.latitude is not None and r.longitude is not None:
                self._db.execute(
                    "INSERT INTO spot VALUES (?, ?, ?, ?, ?, ?)",
                    (
                        *_cell(r.latitude, r.longitude),
                        *(r.latitude, r.longitude, r.id, r.row_key or ""),
                    ),
                )

    # -- people --------------------------------------------------------------------------------

    def same_person(self, person: Person, road: str, town: str) -> int | None:
        """The customer of the same telephone or house whose name may be his, however it was shortened;
        who has neither, by his name alone."""
        for digits in person.digits:
            people = [(name, number) for number, name, _ in self._of_number(digits)]
            if found := _best_named(person.name, people):
                return found
        place = place_key(road, town)
        if place:
            query = "SELECT name, customer_id FROM home WHERE place = ? LIMIT ?"
            people = self._db.execute(query, (place, MOST)).fetchall()
            least = NameFit.NEAR if house_key(road, town) else NameFit.SAME
            if found := _best_named(person.name, people, least):
                return found
        elif not person.digits:
            query = "SELECT id FROM person WHERE told = ? AND digits = '' ORDER BY id"
            alone = self._db.execute(query, (person.told,)).fetchone()
            return int(alone[0]) if alone else None
        return None

    def _of_number(self, digits: str) -> list[tuple[int, str, int]]:
        """Number, name and whether of this run, of those with a telephone number; none if very many
        have it."""
        query = "SELECT DISTINCT id, name, came FROM person WHERE digits = ? ORDER BY id LIMIT ?"
        rows = self._db.execute(query, (digits, MOST + 1)).fetchall()
        return rows if len(rows) <= MOST else []

    def alike(self, person: Person) -> Alike | None:
        """The first customer who may be he: of another name with his telephone number, or of his name.

        Two of one name in one file are two if each has a number of his own.
        """
        for digits in person.digits:
            if rows := self._of_number(digits):
                return self._alike(*rows[0])
        query = "SELECT DISTINCT id, name, came FROM person WHERE told = ? ORDER BY id LIMIT ?"
        for row in self._db.execute(query, (person.told, MOST)).fetchall():
            found = self._alike(*row)
            if not found.came or not (found.digits and person.digits):
                return found
        return None

    def _alike(self, number: int, name: str, came: int) -> Alike:
        query = "SELECT DISTINCT digits FROM person WHERE id = ? AND digits <> ''"
        rows = self._db.execute(query, (number,)).fetchall()
        return Alike(number, name, tuple(d for (d,) in rows), bool(came))

    def add_person(self, number: int, person: Person) -> None:
        """A customer of this run, or more numbers of one."""
        self._db.executemany(
            "INSERT INTO person VALUES (?, ?, ?, ?, 1)",
            [(person.told, d, number, person.name) for d in person.digits or [""]],
        )

    def home(self, road: str, town: str, customer_id: int) -> int | None:
        """The property of a customer at a house."""
        query = "SELECT site_id FROM home WHERE place = ? AND house AND customer_id = ?"
        found = self._db.execute(query, (house_key(road, town), customer_id)).fetchone()
        return int(found[0]) if found else None

    def add_home(self, name: str, road: str, town: str, customer_id: int, site_id: int) -> None:
        """Where somebody is."""
        if place := place_key(road, town):
            house = bool(house_key(road, town))
            self._db.execute(
                "INSERT INTO home VALUES (?, ?, ?, ?, ?)",
                (place, house, name, customer_id, site_id),
            )

    # -- wells ---------------------------------------------------------------------------------

    def add_well(self, number: int, road: str, town: str, told: str, who: str = "") -> None:
        """A well at a house, the key under which its source told of it, and of this run who is there."""
        if house_key(road, town):
            self._db.execute(
                "INSERT INTO address VALUES (?, ?, ?, ?, ?, ?)",
                (road_key(road, ""), road, town, number, told, who),
            )

    def wells_near(self, latitude: float, longitude: float) -> Iterator[WellLike]:
        """Wells nearer than `NEAR_FT` that this source has not told of, nearest first."""
        row, col = _cell(latitude, longitude)
        query = (
            "SELECT latitude, longitude, well_id FROM spot"
            " WHERE row BETWEEN ? AND ? AND col BETWEEN ? AND ? AND told = ''"
        )
        wide = 1 + int(1 / max(0.1, math.cos(math.radians(latitude))))
        box = (row - 1, row + 1, col - wide, col + wide)
        found = []
        for lat, lon, well in self._db.execute(query, box):
            east = (lon - longitude) * math.cos(math.radians(latitude))
            away = math.hypot(lat - latitude, east) * _FT_A_DEGREE
            if away <= NEAR_FT:
                found.append((away, well))
        for away, well in sorted(found):
            yield WellLike(well, f"it lies {away:.0f} ft away")

    def well_at(self, road: str, town: str, *, numbered: bool) -> WellLike | None:
        """The well at a house, or at what seems to be that house.

        Parameters
        ----------
        numbered
            Whether the source numbers its wells: then those that it told of are others.
        """
        if not house_key(road, town):
            return None
        query = "SELECT road, town, well_id, told, who FROM address WHERE key = ? ORDER BY well_id LIMIT ?"
        rows = self._db.execute(query, (road_key(road, ""), MOST + 1)).fetchall()
        near: WellLike | None = None
        for its_road, its_town, well, told, who in rows if len(rows) <= MOST else ():
            if (numbered and told) or not one_town(town, its_town):
                continue
            fit = compare_roads(road, its_road)
            if fit is RoadFit.SAME:
                return WellLike(well, "the same address", told, who)
            if fit is RoadFit.NEAR and near is None:
                near = WellLike(well, f"nearly the same address, {its_road}", told, who)
        return near


def _best_named(
    name: str, people: Iterable[tuple[str, int]], least: NameFit = NameFit.NEAR
) -> int | None:
    """The first of those whose name fits best, if one fits well enough."""
    fits = [(compare_names(name, its), number) for its, number in people]
    good = max((fit for fit, _ in fits if fit >= least), default=None)
    return next((number for fit, number in fits if fit is good), None) if good else None


def one_town(one: str, other: str) -> bool:
    """Whether two towns may be one: the same, or one is not said."""
    a, b = plain_words(one), plain_words(other)
    return not a or not b or a == b


def wells_of_permit(connection: Connection, permits: Sequence[str], source: str) -> dict[str, int]:
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
