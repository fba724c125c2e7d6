"""Who is at a property, and who was: which of the customers that a property ever had is meant.

Of two who may be there today the one who stays is meant: a buyer outlasts the seller, though nobody
knows to the day when he left.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import date
from functools import cache
from typing import Any

from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Connection,
    ScalarSelect,
    Select,
    bindparam,
    or_,
    select,
)

from wellbook.store import tables as t
from wellbook.store.rows import batches
from wellbook.terms import ContactWay


def residents(connection: Connection, site_ids: Iterable[int], today: date) -> dict[int, int]:
    """Property -> the customer who is there today; none where nobody is."""
    stays = t.occupancy
    query = _staying(today, stays.c.site_id, stays.c.customer_id)
    found: dict[int, int] = {}
    for batch in batches(sorted(set(site_ids))):
        some = query.where(stays.c.site_id.in_(batch))
        for site_id, customer in connection.execute(some):
            found.setdefault(site_id, customer)
    return found


def who_is_there(
    connection: Connection, site_ids: Iterable[int], today: date
) -> dict[int, tuple[str, str]]:
    """Property -> the name of the customer who is there today, and a telephone number."""
    stays, person = t.occupancy, t.customer
    query = _staying(today, stays.c.site_id, person.c.name, first_phone()).join(
        person, person.c.id == stays.c.customer_id
    )
    found: dict[int, tuple[str, str]] = {}
    for batch in batches(sorted(set(site_ids))):
        for site_id, name, phone in connection.execute(query.where(stays.c.site_id.in_(batch))):
            found.setdefault(site_id, (name, phone or ""))
    return found


def first_phone() -> ScalarSelect[str]:
    """The telephone number of a customer that is dialled first, for a statement about customers."""
    way = t.contact_point
    query = select(way.c.value).where(
        way.c.customer_id == t.customer.c.id, way.c.way == ContactWay.PHONE.value
    )
    return query.order_by(way.c.id).limit(1).correlate(t.customer).scalar_subquery()


def there_on(today: date | BindParameter[date]) -> ColumnElement[bool]:
    """Whether a stay is one of a day; of two who may be there, who stays is meant."""
    return or_(t.occupancy.c.until_text.is_(None), t.occupancy.c.until_latest > today)


def _staying(today: date, *columns: ColumnElement[Any]) -> Select[Any]:
    """Who is at properties on a day, of each first who is meant."""
    stays = t.occupancy
    return (
        select(*columns)
        .select_from(stays)
        .where(there_on(today))
        .order_by(stays.c.until_text.is_not(None), stays.c.id)
    )


def residents_now(connection: Connection, well_ids: Sequence[int]) -> dict[int, int]:
    """The customer who is at the property of each well and stays there; none where nobody does."""
    found: dict[int, int] = {}
    for some in batches(well_ids):
        for number, customer in connection.execute(_residents(), {"wells": some}):
            found.setdefault(number, customer)
    return found


@cache
def _residents() -> Select[int, int]:
    well, stays = t.well, t.occupancy
    return (
        select(well.c.id, stays.c.customer_id)
        .join(stays, stays.c.site_id == well.c.site_id)
        .where(well.c.id.in_(bindparam("wells", expanding=True)), stays.c.until_text.is_(None))
        .order_by(stays.c.id)
    )


def there_now(connection: Connection, number: int) -> dict[int, str]:
    """Whose a property is by now: the names by the customers' numbers."""
    stays = t.occupancy
    query = select(t.customer.c.id, t.customer.c.name).join(
        stays, stays.c.customer_id == t.customer.c.id
    )
    now = query.where(stays.c.site_id == number, stays.c.until_text.is_(None))
    return {row.id: row.name for row in connection.execute(now.order_by(stays.c.id))}


def who_was(
    connection: Connection, stays: Collection[tuple[int, date]]
) -> dict[tuple[int, date], tuple[str, str]]:
    """Property and day -> who was there on it, and a telephone number; none where nobody is known."""
    there, person = t.occupancy, t.customer
    way = t.contact_point
    numbers = sorted({site_id for site_id, _ in stays})
    query = (
        select(
            there.c.site_id,
            there.c.until_text,
            there.c.until_latest,
            person.c.name,
            way.c.value,
        )
        .join(person, person.c.id == there.c.customer_id)
        .outerjoin(way, (way.c.customer_id == person.c.id) & (way.c.way == ContactWay.PHONE.value))
        .order_by(there.c.id, way.c.id)
    )
    at: dict[int, list[tuple[date, tuple[str, str]]]] = {}
    for some in batches(numbers):
        for row in connection.execute(query.where(there.c.site_id.in_(some))):
            # Who left, nobody knows when, is not there on any day.
            until = date.max if row.until_text is None else row.until_latest or date.min
            at.setdefault(row.site_id, []).append((until, (row.name, row.value or "")))
    found: dict[tuple[int, date], tuple[str, str]] = {}
    for site_id, day in stays:
        who = next((who for until, who in at.get(site_id, ()) if until > day), None)
        if who is not None:
            found[site_id, day] = who
    return found
