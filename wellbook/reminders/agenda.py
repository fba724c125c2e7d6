"""What a calendar is given: the visits that are booked, and what is due and not yet booked.

A second file updates the first one's entries: an entry keeps its UID, and the book remembers what it
said last time (`store.calendar_entries`).
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from uuid import UUID, uuid5

from sqlalchemy import Connection, select

from wellbook.errors import NotFoundError
from wellbook.reminders.calendar import Booking, Todo
from wellbook.store import tables as t
from wellbook.store.calendar_entries import Entry, ended, give
from wellbook.store.contacts import ASKED_FOR, Owed, owed_at
from wellbook.store.lives import Key, Standing, lives, standing
from wellbook.store.properties import Property, properties
from wellbook.store.reachable import Place, places
from wellbook.store.rows import Record, batches, records
from wellbook.store.shop import ShopSays
from wellbook.terms import ContactWay, Role, Said, Severity

KEPT_DAYS = 90
"""How long what is over stays in the file, so that every calendar gets to know of it."""
OPEN = frozenset({Standing.DUE, Standing.TOLD, Standing.MISSED})


@dataclass(frozen=True, slots=True)
class _Where:
    """The wells that entries are about, with their properties."""

    tags: dict[int, str]
    uids: dict[int, str]
    sites: dict[int, int | None]
    places: dict[int, Place]
    properties: dict[int, Property]

    def of(self, well_id: int) -> tuple[Place | None, Property | None]:
        site_id = self.sites[well_id]
        if site_id is None:
            return None, None
        return self.places.get(site_id), self.properties.get(site_id)


def agenda(
    connection: Connection, shop: ShopSays, *, today: date, crew: str = ""
) -> tuple[list[Booking], list[Todo]]:
    """Bookings and to-dos, and what was done or called off lately; kept in the caller's transaction.

    Parameters
    ----------
    crew
        Only the bookings of one person; to-dos are the shop's. What was his and is another's now is
        called off for him, as his calendar would else keep it.

    Raises
    ------
    NotFoundError
        If nobody of that name goes to any visit that is booked.
    """
    rows = _booked(connection, today)
    others = _others(rows, crew) if crew else frozenset()
    bookings = list(_bookings(connection, rows, today))
    todos = [] if crew else list(_todos(connection, shop, today))
    made = [*bookings, *todos]
    given = give(connection, [entry for entry, _ in made])
    numbered = [
        replace(
            one,
            sequence=given[entry.uid].sequence,
            changed_at=datetime.fromisoformat(given[entry.uid].changed_at),
        )
        for entry, one in made
    ]
    done = [] if crew else list(_done(connection, [e.uid for e, _ in todos], today))
    visits = [one for one in numbered if isinstance(one, Booking)]
    return (
        [replace(v, cancelled=v.cancelled or v.uid in others) for v in visits],
        [*(one for one in numbered if isinstance(one, Todo)), *done],
    )


# -- bookings ----------------------------------------------------------------------------------


def _booked(connection: Connection, today: date) -> list[list[Record]]:
    """What was said of each booking of the days ahead and of those just past, the last word last."""
    said = t.contact
    since = today - timedelta(days=KEPT_DAYS)
    # By its last day: one that was moved to an earlier day is over with that.
    lately = select(said.c.booking_uid).where(
        said.c.said == Said.BOOKED.value, said.c.for_day >= since
    )
    query = select(said).where(
        said.c.said == Said.BOOKED.value, said.c.booking_uid.in_(lately.scalar_subquery())
    )
    by_uid: dict[str, list[Record]] = defaultdict(list)
    for row in records(connection, query.order_by(said.c.on_day, said.c.id)):
        by_uid[row["booking_uid"]].append(row)
    return [rows for rows in by_uid.values() if rows[-1]["for_day"] >= since]


def _names(crew: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in crew.split(",") if name.strip())


def _others(booked: list[list[Record]], crew: str) -> frozenset[str]:
    """The uids of bookings that were one person's and are now another's; `booked` keeps only his."""
    wanted = crew.strip().casefold()
    known = sorted({name for rows in booked for row in rows for name in _names(row["crew"])})

    def his(row: Record) -> bool:
        names = [name.casefold() for name in _names(row["crew"])]
        return any(wanted == name or wanted in name.split() for name in names)

    booked[:] = [rows for rows in booked if any(his(row) for row in rows)]
    if not booked:
        there = f"visits are booked for: {', '.join(known)}" if known else "for nobody by name"
        raise NotFoundError(f"no visit is booked for '{crew}'; {there}", where="--crew")
    return frozenset(f"{rows[-1]['booking_uid']}@wellbook" for rows in booked if not his(rows[-1]))


def _bookings(
    connection: Connection, booked: Sequence[Sequence[Record]], today: date
) -> Iterator[tuple[Entry, Booking]]:
    """The last word on each booking. It is about what still stands as booked by it; if nothing does,
    it was called off."""
    last = [rows[-1] for rows in booked]
    about = _about(connection, [r["id"] for r in last])
    stand = lives(connection, {well for keys in about.values() for well, _ in keys})
    where = _where(connection, {r["well_id"] for r in last} | {w for w, _ in stand}, today)
    for row in last:
        keys = about[row["id"]]
        standing_yet = [
            key
            for key in keys
            if key in stand
            and stand[key].said is Said.BOOKED
            and stand[key].booking_uid == row["booking_uid"]
        ]
        yield _booking(row, standing_yet or keys, where, cancelled=not standing_yet)


def _about(connection: Connection, contact_ids: Sequence[int]) -> dict[int, list[Key]]:
    table = t.contact_about
    found: dict[int, list[Key]] = defaultdict(list)
    for some in batches(contact_ids):
        query = select(table).where(table.c.contact_id.in_(some))
        for row in records(connection, query.order_by(table.c.well_id, table.c.occurrence)):
            found[row["contact_id"]].append((row["well_id"], row["occurrence"]))
    return found


def _booking(
    row: Record, about: Sequence[Key], where: _Where, *, cancelled: bool
) -> tuple[Entry, Booking]:
    things = dict.fromkeys(
        occurrence.partition(":")[0].replace("-", " ")
        for _, occurrence in about
        if not occurrence.startswith(ASKED_FOR)
    )
    tags = sorted({where.tags[well] for well, _ in about if well in where.tags})
    tags = tags or [where.tags[row["well_id"]]]
    what = ", ".join(things) or row["note"] or "visit"
    start: date = row["for_day"]
    if row["for_time"]:
        start = datetime.fromisoformat(f"{row['for_day']}T{row['for_time']}")
    common = _common(where, row["well_id"])
    booking = Booking(
        uid=f"{row['booking_uid']}@wellbook",
        summary=f"{', '.join(tags)}: {what}",
        changed_at=datetime.min,
        where=common.where,
        lines=tuple(x for x in (*common.lines, row["note"]) if x),
        latitude=common.latitude,
        longitude=common.longitude,
        crew=_names(row["crew"]),
        start=start,
        cancelled=cancelled,
    )
    return _entry(booking, row["well_id"], "", row["for_day"]), booking


# -- to-dos ------------------------------------------------------------------------------------


def _todos(connection: Connection, shop: ShopSays, today: date) -> Iterator[tuple[Entry, Todo]]:
    """What customers are told of and nobody has booked, declined or put off."""
    by = today + timedelta(days=shop.number("ahead_days"))
    query = select(t.well.c.id).where(t.well.c.role == Role.OURS.value).order_by(t.well.c.id)
    wells = list(connection.execute(query).scalars())
    for batch in batches(wells):
        owed = [
            o
            for o in owed_at(connection, batch, by=by, today=today)
            if o.finding.to_customer and standing(o.life, today) in OPEN
        ]
        where = _where(connection, {o.well_id for o in owed}, today)
        yield from (_todo(o, where, today) for o in owed)


def _todo(owed: Owed, where: _Where, today: date) -> tuple[Entry, Todo]:
    finding = owed.finding
    common = _common(where, owed.well_id)
    uid = uuid5(UUID(where.uids[owed.well_id]), finding.occurrence)
    due = finding.may_from or finding.surely_from or today
    todo = Todo(
        uid=f"{uid}@wellbook",
        summary=f"{owed.tag}: {finding.subject}",
        changed_at=datetime.min,
        where=common.where,
        lines=(*common.lines, finding.to_customer),
        latitude=common.latitude,
        longitude=common.longitude,
        due=due,
        severity=finding.severity,
    )
    return _entry(todo, owed.well_id, finding.occurrence, due), todo


def _done(connection: Connection, still: Sequence[str], today: date) -> Iterator[Todo]:
    """What was given out as a to-do and is none any more: done, booked, declined or put off."""
    since = (today - timedelta(days=KEPT_DAYS)).isoformat()
    for row in ended(connection, still, since):
        yield Todo(
            uid=row["uid"],
            summary=row["summary"],
            changed_at=datetime.fromisoformat(row["changed_at"]),
            sequence=row["sequence"],
            due=row["due_on"],
            severity=Severity.PLAN,
            done_at=datetime.fromisoformat(row["done_at"]),
        )


# -- what both have ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Common:
    where: str
    lines: tuple[str, ...]
    latitude: float | None
    longitude: float | None


def _common(where: _Where, well_id: int) -> _Common:
    place, spot = where.of(well_id)
    who = place.resident if place else None
    phones = who.addresses.get(ContactWay.PHONE, ()) if who else ()
    reach = ", ".join(x for x in (who.name if who else "", *phones[:1]) if x)
    ways = (reach, spot.access if spot else "", spot.well_head if spot else "")
    return _Common(
        place.words if place else "",
        tuple(x for x in ways if x),
        spot.latitude if spot else None,
        spot.longitude if spot else None,
    )


def _where(connection: Connection, well_ids: set[int], today: date) -> _Where:
    numbers = sorted(well_ids)
    rows: list[Record] = []
    for batch in batches(numbers):
        some = t.well.c.id.in_(batch)
        rows += records(connection, select(t.well).where(some))
    sites = {row["site_id"] for row in rows if row["site_id"] is not None}
    return _Where(
        {row["id"]: row["tag"] for row in rows},
        {row["id"]: row["uid"] for row in rows},
        {row["id"]: row["site_id"] for row in rows},
        places(connection, sites, today)[0],
        properties(connection, sites),
    )


def _entry(one: Booking | Todo, well_id: int, occurrence: str, due_on: date) -> Entry:
    digest = hashlib.sha256(repr(one).encode()).hexdigest()
    return Entry(one.uid, well_id, occurrence, one.summary, due_on, digest)
