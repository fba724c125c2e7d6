"""Which customers and wells of the book are likely one and the same.

Candidates are those that share a key (a number, a mailbox, the bones of a name, the beginning of an
address, a permit, a spot on the map); only they are compared (`likeness`), and each pair once. Where
many share a key, it alone says little: of them those are compared that share a second one too. So no
record has more than some dozens of candidates, and the work grows with the book and not with its pairs.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from heapq import nsmallest
from itertools import combinations, groupby
from typing import Any, TypeVar

from sqlalchemy import ColumnElement, Connection, Row, Select, and_, func, null, select

from wellbook.likeness.customers import compare_customers
from wellbook.likeness.plain_words import plain_words
from wellbook.likeness.weighing import LISTED, Likeness
from wellbook.likeness.wells import compare_wells, plain_permit
from wellbook.store import tables as t
from wellbook.store.decided import told_apart
from wellbook.store.rows import AT_ONCE, Record, batches, records
from wellbook.store.said_records import customers_said, wells_said
from wellbook.store.words import names_in
from wellbook.terms import PairOf, Role

MOST = 12
"""So many may share a key and are all compared."""
_AROUND_DEGREES = 0.0045
"""Of latitude, some 1,600 ft: as far apart as two records of one well are looked for."""
_BEGINS = 3
"""So many letters of a town and a road, since the later ones have most of the slips."""

Pair = tuple[int, int]
Said = TypeVar("Said")


@dataclass(frozen=True, slots=True)
class LikelyPair:
    """Two records of the book that are likely one."""

    one: int
    other: int
    likeness: Likeness


# -- customers ---------------------------------------------------------------------------------


def likely_customer_pairs(connection: Connection) -> Iterator[LikelyPair]:
    """Pairs of the book's customers who are likely one, and were not told apart."""
    person, point, site, stays = t.customer, t.contact_point, t.site, t.occupancy
    where = (site.c.road_key, site.c.town, site.c.postcode)
    known = select(person.c.id, person.c.name_key, *where)
    known = known.outerjoin(stays, stays.c.customer_id == person.c.id)
    known = known.outerjoin(site, site.c.id == stays.c.site_id)
    ways = select(person.c.id, person.c.name_key).join(point)
    way = func.coalesce(func.nullif(point.c.e164, ""), func.lower(point.c.value))
    found: set[Pair] = set()
    found.update(_sharing(connection, ways, way, _name, alone=MOST))
    # One house and other names, one name and a place that is another, come to less than is listed.
    found.update(_sharing(connection, known, site.c.road_key, _town_or_name, alone=0))
    found.update(_sharing(connection, known, person.c.name_key, _place, alone=0))
    return _likely(connection, PairOf.CUSTOMER, found, customers_said, compare_customers)


# -- wells -------------------------------------------------------------------------------------


def likely_well_pairs(connection: Connection) -> Iterator[LikelyPair]:
    """Pairs of wells that are likely one, one of them the shop's own, and were not told apart.

    Two wells that stand on one property of the book are two: whoever entered them knew of both.
    """
    well, site, stays, person = t.well, t.site, t.occupancy, t.customer
    known = select(well.c.id, site.c.town, site.c.postcode, person.c.name_key)
    known = known.outerjoin(site, site.c.id == well.c.site_id)
    known = known.outerjoin(stays, and_(stays.c.site_id == site.c.id, stays.c.until_text.is_(None)))
    known = known.outerjoin(person, person.c.id == stays.c.customer_id)
    own = _own(connection)
    found: set[Pair] = set()
    for key, second, alone in (
        (well.c.permit_no, _nothing, MOST),
        (site.c.road_key, _town_or_name, 0),
    ):
        # Of public records, which may be very many, only those are read that own wells ask for.
        asked = select(key).select_from(well.outerjoin(site)).where(well.c.role == Role.OURS.value)
        several = known.where(key.in_(asked))
        found.update(_sharing(connection, several, key, second, alone=alone))
    found.update(_named_by(connection, own.values()))
    found.update(_around(connection, own.values()))
    some = {pair for pair in found if pair[0] in own or pair[1] in own}
    return _likely(connection, PairOf.WELL, some, wells_said, compare_wells)


def _own(connection: Connection) -> dict[int, Record]:
    well, site = t.well, t.site
    query = select(well.c.id, well.c.permit_no, well.c.notes, site.c.latitude, site.c.longitude)
    query = query.outerjoin(site).where(well.c.role == Role.OURS.value)
    return {row["id"]: row for row in records(connection, query)}


def _named_by(connection: Connection, own: Iterable[Record]) -> Iterator[Pair]:
    """Pairs of own wells with those that have their permit's digits, or a tag that is their name."""
    runs: defaultdict[str, list[int]] = defaultdict(list)
    names: defaultdict[str, list[int]] = defaultdict(list)
    for row in own:
        if run := _digits(row["permit_no"]):
            runs[run].append(row["id"])
        for name in names_in(row["notes"]):
            names[name.upper()].append(row["id"])
    well, digits = t.well, t.search_digits
    for asked, key, number in (
        (runs, digits.c.digits, digits.c.well_id),
        (names, well.c.tag, well.c.id),
    ):
        for some in batches(sorted(asked)):
            query = select(key, number).where(key.in_(some)).order_by(key)
            for text, block in groupby(connection.execute(query), lambda row: row[0]):
                others = [row[1] for row in block]
                if len(others) <= MOST:
                    yield from _pairs(asked[text], others)


def _digits(permit: str) -> str:
    """A permit's digits as they stand in the index of digits, which holds runs of four or more."""
    run = "".join(c for c in permit if c.isdigit())
    return run if len(run) > 3 and plain_permit(permit) else ""


def _around(connection: Connection, own: Iterable[Record]) -> Iterator[Pair]:
    """Pairs of own wells with those nearest to them: one look at each well that has coordinates."""
    grid: defaultdict[Pair, list[Record]] = defaultdict(list)
    for row in own:
        if row["latitude"] is not None and row["longitude"] is not None:
            south, west = _square(row["latitude"], row["longitude"])
            for y in (south - 1, south, south + 1):
                for x in (west - 1, west, west + 1):
                    grid[y, x].append(row)
    if not grid:
        return
    site = t.site
    query = select(t.well.c.id, site.c.latitude, site.c.longitude).join(site)
    placed = query.where(site.c.latitude.is_not(None), site.c.longitude.is_not(None))
    near: defaultdict[int, list[tuple[float, int]]] = defaultdict(list)
    for number, latitude, longitude in connection.execute(placed):
        for row in grid.get(_square(latitude, longitude), ()):
            off = abs(row["latitude"] - latitude) + abs(row["longitude"] - longitude)
            some = near[row["id"]]
            some.append((off, number))
            if len(some) > 4 * MOST:
                some[:] = nsmallest(MOST, some)
    for own_id, some in near.items():
        yield from _pairs([own_id], [number for _, number in nsmallest(MOST, some)])


def _square(latitude: float, longitude: float) -> Pair:
    return math.floor(latitude / _AROUND_DEGREES), math.floor(longitude / _AROUND_DEGREES)


# -- sharing a key -----------------------------------------------------------------------------


def _sharing(
    connection: Connection,
    query: Select[Any],
    key: ColumnElement[Any],
    second: Callable[[Row[Any]], set[str]],
    *,
    alone: int,
) -> Iterator[Pair]:
    """Pairs of records that share a key.

    Parameters
    ----------
    second
        Further keys of a row, of which two have to share one as well; "" where they are not known, which
        fits any among few.
    alone
        So many may share the key and are all compared, whatever else they share.
    """
    asked = query.add_columns(key.label("key")).where(key != "").order_by(key)
    for _, block in groupby(connection.execute(asked), lambda row: row.key):
        rows = list(block)
        if len(rows) == 1:
            continue
        numbers = {row.id for row in rows}
        if len(numbers) <= alone:
            yield from _among(numbers)
            continue
        parts: defaultdict[str, set[int]] = defaultdict(set)
        for row in rows:
            for word in second(row):
                parts[word].add(row.id)
        for part in parts.values():
            if len(part) <= MOST:
                yield from _among(part)
        if len(numbers) <= MOST:
            yield from _pairs(parts.get("", ()), numbers)


def _among(numbers: Iterable[int]) -> Iterator[Pair]:
    """Each two of them, the lower number first."""
    return combinations(sorted(numbers), 2)


def _pairs(some: Iterable[int], others: Iterable[int]) -> Iterator[Pair]:
    """Each of some with each of the others, the lower number first."""
    return ((min(a, b), max(a, b)) for a in some for b in others if a != b)


def _nothing(_row: Row[Any]) -> set[str]:
    """Of a permit of many, which will be "none" or a whole development's, nobody is compared."""
    return set()


def _name(row: Row[Any]) -> set[str]:
    return set((row.name_key or "").split()) or {""}


def _town(row: Row[Any]) -> set[str]:
    town = "".join(plain_words(row.town or ""))[:_BEGINS]
    return {town, row.postcode.strip()[:5]} - {""} if row.postcode else {town}


def _place(row: Row[Any]) -> set[str]:
    """Where it is: the town, the postal code, how the road begins."""
    words = [word for word in (row.road_key or "").split() if word.isalpha()]
    return _town(row) | {f"road {word[:_BEGINS]}" for word in words[:1]}


def _town_or_name(row: Row[Any]) -> set[str]:
    return _town(row) | _name(row)


# -- comparing ---------------------------------------------------------------------------------


def _likely(
    connection: Connection,
    what: PairOf,
    found: Iterable[Pair],
    said: Callable[[Connection, Iterable[int]], Mapping[int, Said]],
    compare: Callable[[Said, Said], Likeness],
) -> Iterator[LikelyPair]:
    apart = told_apart(connection, what)
    for some in batches(sorted(found), 4 * AT_ONCE):
        numbers = {number for pair in some for number in pair}
        rows = _identities(connection, what, numbers)
        known = said(connection, numbers)
        for one, other in some:
            (uid, site), (other_uid, other_site) = rows[one], rows[other]
            if (site and site == other_site) or frozenset((uid, other_uid)) in apart:
                continue
            likeness = compare(known[one], known[other])
            if likeness.score >= LISTED:
                yield LikelyPair(one, other, likeness)


def _identities(
    connection: Connection, what: PairOf, numbers: Iterable[int]
) -> dict[int, tuple[str, int | None]]:
    """The uid of each, and of a well its property."""
    table = t.well if what is PairOf.WELL else t.customer
    site = (t.well.c.site_id if what is PairOf.WELL else null()).label("site")
    found: dict[int, tuple[str, int | None]] = {}
    for some in batches(sorted(numbers)):
        query = select(table.c.id, table.c.uid, site).where(table.c.id.in_(some))
        found |= {row[0]: (row[1], row[2]) for row in connection.execute(query)}
    return found
