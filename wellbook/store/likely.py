"""Which customers and wells of the book are likely the same as others, or as those of a file.

Candidates are those that share a key with what is asked for (a number, a mailbox, the bones of a name, the
beginning of an address, the digits of a permit, a spot on the map), looked up in an index; only
they are compared (`likeness`). A key that very many share says nothing and is left out, so that the
work grows with what is asked for and not with its pairs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, and_, func, or_, select

from wellbook.likeness.customers import CustomerSaid, compare_customers
from wellbook.likeness.names import name_key
from wellbook.likeness.roads import road_key
from wellbook.likeness.weighing import LISTED, Likeness
from wellbook.likeness.wells import WellSaid, compare_wells, plain_permit
from wellbook.store import tables as t
from wellbook.store.decided import told_apart
from wellbook.store.phones import Numbering, read_phones
from wellbook.store.rows import Record, batches, records
from wellbook.store.said_records import customers_said, wells_said
from wellbook.terms import PairOf, Role

MOST = 60
"""So many may share a key: more have one office's number, or the commonest of names."""
_AROUND_DEGREES = 0.0045
"""Of latitude, some 1,600 ft: as far apart as two records of one well are looked for."""

Keys = dict[str, list[int]]


@dataclass(frozen=True, slots=True)
class Likely:
    """A record of the book that is likely the one meant, and why."""

    number: int
    likeness: Likeness


@dataclass(frozen=True, slots=True)
class LikelyPair:
    """Two records of the book that are likely one."""

    one: int
    other: int
    likeness: Likeness


# -- customers ---------------------------------------------------------------------------------


def likely_customers(
    connection: Connection, incoming: Sequence[CustomerSaid], *, least: float = LISTED
) -> list[list[Likely]]:
    """The customers of the book who are likely each of some others.

    Parameters
    ----------
    incoming
        As a file says them, numbers as they were written; give some hundreds at a time.
    least
        The lowest score that is given back, in bits.

    Returns
    -------
    For each of them, in their order, the likely ones, best first; often none.
    """
    numbering = Numbering.of_book(connection)
    return _likely_customers(connection, [_in_e164(one, numbering) for one in incoming], least)


def _likely_customers(
    connection: Connection, said: Sequence[CustomerSaid], least: float
) -> list[list[Likely]]:
    wanted: dict[str, list[set[str]]] = {
        "phone": [{p for p in one.phones if p.startswith("+")} for one in said],
        "value": [{*one.phones, *one.emails, *map(str.lower, one.emails)} for one in said],
        "name": [{name_key(one.name)} - {""} for one in said],
        "road": [{road_key(p.road, p.town) for p in one.places} - {""} for one in said],
    }
    point, stays = t.contact_point, t.occupancy
    at = select(t.site.c.road_key, stays.c.customer_id).join(stays, stays.c.site_id == t.site.c.id)
    found = {
        "phone": (select(point.c.e164, point.c.customer_id), point.c.e164),
        "value": (select(point.c.value, point.c.customer_id), point.c.value),
        "name": (select(t.customer.c.name_key, t.customer.c.id), t.customer.c.name_key),
        "road": (at, t.site.c.road_key),
    }
    near = _candidates(
        [(keys, _sharing(connection, *found[by], keys)) for by, keys in wanted.items()], len(said)
    )
    book = customers_said(connection, {n for some in near for n in some})
    return [
        _best(((n, compare_customers(one, book[n])) for n in some), least)
        for one, some in zip(said, near, strict=True)
    ]


def _in_e164(said: CustomerSaid, numbering: Numbering) -> CustomerSaid:
    phones = [p for text in said.phones for p in read_phones(text, numbering)]
    return replace(said, phones=tuple(p.e164 or p.value for p in phones))


# -- wells -------------------------------------------------------------------------------------


def likely_wells(
    connection: Connection, incoming: Sequence[WellSaid], *, least: float = LISTED
) -> list[list[Likely]]:
    """The wells of the book that are likely each of some others; as `likely_customers`."""
    well, digits = t.well, t.search_digits
    permits = [{one.permit_no.strip()} - {""} for one in incoming]
    runs = [{_digits(one.permit_no)} - {""} for one in incoming]
    tags = [{name.upper() for name in one.names} for one in incoming]
    roads = [{road_key(one.place.road, one.place.town)} - {""} for one in incoming]
    at = select(t.site.c.road_key, well.c.id).join(well, well.c.site_id == t.site.c.id)
    near = _candidates(
        [
            (permits, _sharing(connection, select(well.c.permit_no, well.c.id), well.c.permit_no, permits)),
            (runs, _sharing(connection, select(digits.c.digits, digits.c.well_id), digits.c.digits, runs)),
            (tags, _sharing(connection, select(well.c.tag, well.c.id), well.c.tag, tags)),
            (roads, _sharing(connection, at, t.site.c.road_key, roads)),
        ],
        len(incoming),
    )  # fmt: skip
    for some, beside in zip(near, _around(connection, incoming), strict=True):
        some.update(beside)
    book = wells_said(connection, {n for some in near for n in some})
    return [
        _best(((n, compare_wells(one, book[n])) for n in some), least)
        for one, some in zip(incoming, near, strict=True)
    ]


def _digits(permit: str) -> str:
    """A permit's digits as they stand in the index of digits, which holds runs of four or more."""
    run = "".join(c for c in permit if c.isdigit())
    return run if len(run) > 3 and plain_permit(permit) else ""


def _around(connection: Connection, incoming: Sequence[WellSaid]) -> list[set[int]]:
    """Wells of places around each, by the index over coordinates."""
    found: list[set[int]] = [set() for _ in incoming]
    site, step = t.site, _AROUND_DEGREES
    placed = [
        (n, one.place.latitude, one.place.longitude)
        for n, one in enumerate(incoming)
        if one.place.latitude is not None and one.place.longitude is not None
    ]
    for some in batches(placed, 50):
        boxes = [
            and_(
                site.c.latitude.between(a - step, a + step),
                site.c.longitude.between(b - step, b + step),
            )
            for _, a, b in some
        ]
        query = (
            select(t.well.c.id, site.c.latitude, site.c.longitude)
            .join(t.well, t.well.c.site_id == site.c.id)
            .where(or_(*boxes))
        )
        rows = connection.execute(query).all()
        for n, a, b in some:
            beside = [(abs(y - a) + abs(x - b), w) for w, y, x in rows if abs(y - a) <= step]
            found[n] |= {w for off, w in sorted(beside)[:MOST] if off <= 2 * step}
    return found


# -- pairs of the book -------------------------------------------------------------------------


def likely_customer_pairs(connection: Connection) -> Iterator[LikelyPair]:
    """Pairs of the book's customers who are likely one, and were not told apart."""
    ids = list(connection.execute(select(t.customer.c.id).order_by(t.customer.c.id)).scalars())
    for some in batches(ids):
        said = customers_said(connection, some)
        likely = _likely_customers(connection, [said[n] for n in some], LISTED)
        yield from _pairs(connection, PairOf.CUSTOMER, ids, some, likely)


def likely_well_pairs(connection: Connection) -> Iterator[LikelyPair]:
    """Pairs of wells that are likely one, one of them the shop's own, and were not told apart.

    Two wells that stand on one property of the book are two: whoever entered them knew of both.
    """
    well = t.well
    query = select(well.c.id).where(well.c.role == Role.OURS.value).order_by(well.c.id)
    ids = list(connection.execute(query).scalars())
    for some in batches(ids):
        said = wells_said(connection, some)
        likely = likely_wells(connection, [said[n] for n in some])
        yield from _pairs(connection, PairOf.WELL, ids, some, likely)


def _pairs(
    connection: Connection,
    what: PairOf,
    ids: Sequence[int],
    some: Sequence[int],
    likely: Sequence[list[Likely]],
) -> Iterator[LikelyPair]:
    """The pairs of some of the records that were asked for (`ids`, in their order), each once."""
    asked = set(ids)
    found = [
        LikelyPair(n, one.number, one.likeness)
        for n, of in zip(some, likely, strict=True)
        for one in of
        # Of two that are both asked for, each finds the other.
        if one.number != n and not (one.number in asked and one.number < n)
    ]
    rows = _known(connection, what, {n for pair in found for n in (pair.one, pair.other)})
    apart = told_apart(connection, what)
    for pair in found:
        one, other = rows[pair.one], rows[pair.other]
        together = what is PairOf.WELL and one["site_id"] and one["site_id"] == other["site_id"]
        if not together and frozenset((one["uid"], other["uid"])) not in apart:
            yield pair


def _known(connection: Connection, what: PairOf, numbers: Iterable[int]) -> dict[int, Record]:
    table = t.well if what is PairOf.WELL else t.customer
    return {
        row["id"]: row
        for some in batches(sorted(numbers))
        for row in records(connection, select(table).where(table.c.id.in_(some)))
    }


# -- sharing a key -----------------------------------------------------------------------------


def _sharing(
    connection: Connection,
    pairs: Select[Any],
    column: ColumnElement[Any],
    wanted: Iterable[set[str]],
) -> Keys:
    """Key -> the records that have it; none for a key of too many."""
    keys = sorted(set().union(*wanted))
    found: Keys = defaultdict(list)
    for some in batches(keys):
        few = select(column).where(column.in_(some)).group_by(column).having(func.count() <= MOST)
        usable = list(connection.execute(few).scalars())
        if usable:
            for key, number in connection.execute(pairs.where(column.in_(usable))):
                found[key].append(number)
    return found


def _candidates(
    by: Iterable[tuple[Sequence[set[str]], Mapping[str, list[int]]]], count: int
) -> list[set[int]]:
    found: list[set[int]] = [set() for _ in range(count)]
    for wanted, sharing in by:
        for n, keys in enumerate(wanted):
            for key in keys:
                found[n].update(sharing.get(key, ()))
    return found


def _best(compared: Iterable[tuple[int, Likeness]], least: float) -> list[Likely]:
    found = [Likely(number, likeness) for number, likeness in compared if likeness.score >= least]
    return sorted(found, key=lambda one: (-one.likeness.score, one.number))
