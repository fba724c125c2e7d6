"""Who is at a property now, how he wants to be reminded, and by which address he is reached."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.consents import Answers, answers_by_address
from wellbook.store.rows import Record, batches, records
from wellbook.store.stays import residents
from wellbook.terms import ContactWay, RemindBy


@dataclass(frozen=True, slots=True)
class Resident:
    """A customer at a property.

    `remind_by` is None where he has not chosen. `addresses` are those of each way, first come first;
    by post it is the property's own where he gave none.
    """

    customer_id: int
    name: str
    remind_by: RemindBy | None
    addresses: Mapping[ContactWay, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Place:
    """A property, with who is there now; nobody where none is on record."""

    site_id: int
    road: str
    town: str
    region: str
    postcode: str
    resident: Resident | None

    @property
    def words(self) -> str:
        """Road and town."""
        return ", ".join(x for x in (self.road, self.town) if x)


def places(
    connection: Connection, site_ids: Iterable[int], today: date
) -> tuple[dict[int, Place], Answers]:
    """Properties with who is there today, and what those customers said of being reached."""
    numbers = sorted(set(site_ids))
    found: dict[int, Place] = {}
    people: set[int] = set()
    for some in batches(numbers):
        residents = _residents(connection, some, today)
        people |= {r.customer_id for r in residents.values()}
        for row in records(connection, select(t.site).where(t.site.c.id.in_(some))):
            found[row["id"]] = _place(row, residents.get(row["id"]))
    return found, answers_by_address(connection, people)


def _place(row: Record, resident: Resident | None) -> Place:
    return Place(row["id"], row["road"], row["town"], row["region"], row["postcode"], resident)


def _residents(connection: Connection, site_ids: Sequence[int], today: date) -> dict[int, Resident]:
    there = residents(connection, site_ids, today)
    ids = sorted(set(there.values()))
    person, point = t.customer, t.contact_point
    ways: dict[int, dict[ContactWay, list[str]]] = {}
    for customer, way, value in connection.execute(
        select(point.c.customer_id, point.c.way, point.c.value)
        .where(point.c.customer_id.in_(ids))
        .order_by(point.c.id)
    ):
        ways.setdefault(customer, {}).setdefault(ContactWay(way), []).append(value)
    people = {
        row["id"]: Resident(
            row["id"],
            row["name"],
            RemindBy(row["remind_by"]) if row["remind_by"] else None,
            {way: tuple(values) for way, values in ways.get(row["id"], {}).items()},
        )
        for row in records(connection, select(person).where(person.c.id.in_(ids)))
    }
    return {site_id: people[customer] for site_id, customer in there.items()}
