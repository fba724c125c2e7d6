"""Customers, properties and who is where, written in bulk from imported records.

Of one name and one telephone there is one customer, and of a customer at a house one property, however
many rows tell of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, select, update

from wellbook.dates import When
from wellbook.exchange.in_the_book import MOST, InTheBook
from wellbook.exchange.person import Person
from wellbook.exchange.trace import Trace
from wellbook.exchange.well_writing import Slot, more_notes
from wellbook.likeness.names import NameFit, compare_names, name_key
from wellbook.likeness.roads import house_key, place_key, road_key
from wellbook.store import tables as t
from wellbook.store.in_bulk import added, put_rows
from wellbook.store.rows import put_when, records
from wellbook.store.wells import SITE_BLANK


def where(slot: Slot) -> tuple[str, str]:
    """Road and town of a record."""
    return slot.record.site.get("road", ""), slot.record.site.get("town", "")


@dataclass(slots=True)
class _Mates:
    """A row that is to be made, and the records that it is made of."""

    row: dict[str, Any]
    slots: list[Slot] = field(default_factory=list)

    def may_be(self, person: Person, least: NameFit) -> bool:
        """Whether the name of somebody may be that of this customer."""
        return compare_names(str(self.row["name"]), person.name) >= least


class PeopleOfRun:
    """Writes people and properties of one run, in the caller's transaction."""

    def __init__(self, connection: Connection, trace: Trace, there: InTheBook) -> None:
        self.connection, self.trace, self.there = connection, trace, there

    def add_customers(self, slots: Sequence[Slot]) -> int:
        """A customer for each record that names one and has none yet; how many were made.

        What is noted of one who is there already comes to his notes.
        """
        new: list[_Mates] = []
        waiting: dict[str, list[_Mates]] = {}
        for slot in slots:
            person = slot.record.person
            if person is None or slot.customer_id is not None:
                continue
            found = self.there.same_person(person, *where(slot))
            if found is not None:
                slot.customer_id = found
                continue
            # Of whom a number or a house tells, a short form of the name is enough.
            place, house = place_key(*where(slot)), house_key(*where(slot))
            keys = dict.fromkeys(person.digits, NameFit.NEAR)
            keys |= {place: NameFit.NEAR if house else NameFit.SAME} if place else {}
            keys = keys or {f"/{person.told}": NameFit.SAME}
            mates = next(
                (
                    mates
                    for key, least in keys.items()
                    for mates in waiting.get(key, ())
                    if mates.may_be(person, least)
                ),
                None,
            )
            if mates is None:
                row = {
                    "uid": self.trace.uid(t.customer),
                    "name": person.name,
                    "name_key": name_key(person.name),
                    "notes": "",
                    "remind_by": None,
                    "contract_month": None,
                }
                mates = _Mates(row)
                new.append(mates)
            noted = person.noted(mates.row["name"])
            mates.row["notes"] = more_notes(mates.row["notes"], noted)
            mates.slots.append(slot)
            for key in keys:
                some = waiting.setdefault(key, [])
                # What very many share tells nobody.
                if mates not in some and len(some) < MOST:
                    some.append(mates)
        numbers = added(self.connection, t.customer, [mates.row for mates in new])
        for number, mates in zip(numbers, new, strict=True):
            for slot in mates.slots:
                slot.customer_id = number
        made = set(numbers)
        self._add_notes([s for s in slots if s.customer_id not in made])
        return len(new)

    def _add_notes(self, slots: Sequence[Slot]) -> None:
        people: dict[int, list[tuple[Person, str]]] = {}
        for slot in slots:
            if slot.customer_id is not None and slot.record.person:
                # A name that the shop has put right since is not noted again as it was.
                known = slot.record.person.name if slot.known else ""
                people.setdefault(slot.customer_id, []).append((slot.record.person, known))
        who = t.customer
        for row in records(self.connection, select(who).where(who.c.id.in_(sorted(people)))):
            notes = [
                note for one, known in people[row["id"]] for note in one.noted(known or row["name"])
            ]
            whole = more_notes(row["notes"], notes)
            if whole != row["notes"]:
                self.trace.before(who, row["uid"], row)
                mine = update(who).where(who.c.id == row["id"])
                self.connection.execute(mine.values(notes=whole))

    def add_ways(self, slots: Sequence[Slot]) -> dict[int, list[str]]:
        """Add what the book does not have yet of the ways to reach the customers of records; what that
        is, by the customers' numbers."""
        told: dict[int, Person] = {}
        for slot in slots:
            if slot.record.person is None or slot.customer_id is None:
                continue
            whole = told.setdefault(slot.customer_id, Person(slot.record.person.name))
            whole.join(slot.record.person)
        if not told:
            return {}
        way = t.contact_point
        columns = (way.c.customer_id, way.c.way, way.c.value, way.c.digits, way.c.e164)
        query = select(*columns).where(way.c.customer_id.in_(list(told)))
        have = {
            (row.customer_id, row.way, row.e164 or row.digits or row.value)
            for row in self.connection.execute(query)
        }
        rows = [
            {
                "uid": self.trace.uid(way),
                "customer_id": number,
                "way": kind.value,
                "value": value,
                "digits": digits,
                "e164": e164,
            }
            for number, person in told.items()
            for kind, value, digits, e164 in person.ways()
            if (number, kind.value, e164 or digits or value) not in have
        ]
        put_rows(self.connection, way, rows)
        for number, person in told.items():
            self.there.add_person(number, person)
        new: dict[int, list[str]] = {}
        for row in rows:
            new.setdefault(int(row["customer_id"]), []).append(str(row["value"]))
        return new

    def add_sites(self, slots: Sequence[Slot]) -> int:
        """A property for each record that names a place, or somebody's well, and has none yet; how many
        were made."""
        rows, of_row = [], []
        waiting: dict[tuple[int, str], list[Slot]] = {}
        for slot in slots:
            # A well is its customer's by the property that it stands on, whether its address is told.
            owned = slot.record.has_well and slot.customer_id is not None
            if slot.site_id is not None or not (slot.record.site or owned):
                continue
            address, who = house_key(*where(slot)), slot.customer_id
            if address and who is not None:
                home = self.there.home(*where(slot), who)
                if home is not None:
                    slot.site_id = home
                    continue
                mates = waiting.get((who, address))
                if mates is not None:
                    mates.append(slot)
                    continue
                mates = waiting[who, address] = [slot]
            else:
                mates = [slot]
            place = {**SITE_BLANK, **slot.record.site}
            key = road_key(place["road"], place["town"])
            rows.append({"uid": self.trace.uid(t.site), **place, "road_key": key})
            of_row.append(mates)
        for number, mates in zip(added(self.connection, t.site, rows), of_row, strict=True):
            for slot in mates:
                slot.site_id = number
        for slot in (mates[0] for mates in of_row):
            if slot.customer_id and slot.record.person and slot.site_id:
                name = slot.record.person.name
                self.there.add_home(name, *where(slot), slot.customer_id, slot.site_id)
        return len(rows)

    def move_in(self, slots: Sequence[Slot]) -> list[Slot]:
        """Customers at their properties; records of a property where somebody else is are given
        back, and nobody moves."""
        wanted = {
            (s.site_id, s.customer_id): s
            for s in slots
            if s.site_id is not None and s.customer_id is not None
        }
        if not wanted:
            return []
        stays = t.occupancy
        query = select(stays.c.site_id, stays.c.customer_id, stays.c.until_text).where(
            stays.c.site_id.in_({site for site, _ in wanted})
        )
        were: dict[int, set[int]] = {}
        there: dict[int, set[int]] = {}
        for row in self.connection.execute(query):
            were.setdefault(row.site_id, set()).add(row.customer_id)
            if row.until_text is None:
                there.setdefault(row.site_id, set()).add(row.customer_id)
        rows, refused = [], []
        for (site, customer), slot in wanted.items():
            if customer in were.get(site, ()):
                continue
            if there.get(site):
                refused.append(slot)
                continue
            rows.append(
                {
                    "uid": self.trace.uid(stays),
                    "customer_id": customer,
                    "site_id": site,
                    **put_when("since", When.unknown()),
                    **put_when("until", None),
                }
            )
            there.setdefault(site, set()).add(customer)
        put_rows(self.connection, stays, rows)
        return refused
