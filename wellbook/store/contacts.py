"""Writing down that a customer was told, and what came of it: booked, declined, put off.

What was said is only ever added to. Each line is about occurrences of the ledger, of one well or of
several at one property, and the last line about an occurrence is where it stands (`store.lives`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Connection, insert, or_, select

from wellbook.days import add_months
from wellbook.errors import WellbookError
from wellbook.rules.finding import Finding
from wellbook.store import tables as t
from wellbook.store.identity import new_uid, now
from wellbook.store.ledger import FINDING, finding_of
from wellbook.store.lives import Key, Life, Standing, lives
from wellbook.store.reachable import Place, places
from wellbook.store.rows import Record, add, records
from wellbook.store.shop import shop_says
from wellbook.store.silences import silences
from wellbook.store.stays import residents_now
from wellbook.terms import Occasion, RemindBy, Said

ASKED_FOR = "visit:asked-for:"
"""How the occurrence begins of a visit that was booked though nothing was due."""
LATEST_MONTHS = 60
"""Further ahead nobody books, or puts off: it is a slip of the pen."""


@dataclass(frozen=True, slots=True)
class Owed:
    """One thing that is due at a property: whose ledger it stands in, and where it stands."""

    well_id: int
    tag: str
    finding: Finding
    life: Life | None

    @property
    def key(self) -> Key:
        """By which it is spoken of."""
        return self.well_id, self.finding.occurrence


def wells_together(connection: Connection, well_id: int) -> list[int]:
    """The wells of one property: one visit does them all, and one message tells of them."""
    site_id = select(t.well.c.site_id).where(t.well.c.id == well_id).scalar_subquery()
    query = select(t.well.c.id).where(or_(t.well.c.id == well_id, t.well.c.site_id == site_id))
    return list(connection.execute(query.order_by(t.well.c.tag)).scalars())


def owed_at(
    connection: Connection, well_ids: Iterable[int], *, by: date, today: date
) -> list[Owed]:
    """What is due at some wells by a day and is done at a visit, worst first; nothing that is silent
    today: until a silence ends nobody is told, as of what is put off.

    What is over before that day is due until then. Each occurrence is named once: as it stands now, or
    as it first comes; but where a customer is told of it only later, as it stands then.
    """
    numbers = sorted(set(well_ids))
    ledger = t.due
    query = (
        select(*FINDING, ledger.c.well_id, t.well.c.tag)
        .join(t.well, t.well.c.id == ledger.c.well_id)
        .where(
            ledger.c.well_id.in_(numbers),
            ledger.c.from_day <= by,
            or_(ledger.c.until.is_(None), ledger.c.until > today),
            ledger.c.occasion.in_([Occasion.NOW.value, Occasion.NEXT_VISIT.value]),
        )
        .order_by(ledger.c.from_day, ledger.c.position)
    )
    silent = silences(connection, numbers, today)
    said = lives(connection, numbers)
    first: dict[Key, Any] = {}
    for row in connection.execute(query):
        key = (row.well_id, row.occurrence)
        if key not in first or (row.to_customer and not first[key].to_customer):
            first[key] = row
    owed = [
        Owed(row.well_id, row.tag, finding_of(row), said.get(key))
        for key, row in first.items()
        if (row.well_id, row.rule) not in silent
    ]
    return sorted(owed, key=lambda o: (*o.finding.rank, o.tag, o.finding.occurrence))


def booked_besides(
    connection: Connection, well_ids: Iterable[int], owed: Iterable[Owed], today: date
) -> dict[Key, Life]:
    """Visits ahead that are booked for what is not due: so that they can be moved or called off too.

    It never was due, where the customer asked for a visit; or no longer is, since it was done
    before that day, the rule was silenced or the well sealed.
    """
    due = {o.key for o in owed}
    return {
        key: life
        for key, life in lives(connection, well_ids).items()
        if key not in due and life.standing(today) is Standing.BOOKED
    }


@dataclass(frozen=True, slots=True)
class Spoken:
    """What is to be written down of one time that somebody spoke, or was written to.

    Parameters
    ----------
    said, on_day, by
        What came of it, on which day, by which way (None where nobody says).
    for_day, for_time, crew
        Of a booking: when and who; of what is put off: until when.
    note
        In whose words.
    """

    said: Said
    on_day: date
    by: RemindBy | None = None
    for_day: date | None = None
    for_time: str = ""
    crew: str = ""
    note: str = ""


def write_down(
    connection: Connection,
    who: str,
    well_id: int,
    spoken: Spoken,
    about: Sequence[Key],
    *,
    today: date,
    message_id: int | None = None,
) -> int:
    """Keep what was said about some occurrences; the number of the line.

    A booking of what is booked already moves that booking, so that a calendar moves its event; the
    crew stays unless another is named.

    Raises
    ------
    WellbookError
        If its days cannot be.
    """
    _check_days(spoken, today)
    moved, crew = "", spoken.crew.strip()
    if spoken.said is Said.BOOKED:
        moved, same_crew = _booking(connection, about)
        crew = crew or same_crew
        about = about or [(well_id, f"{ASKED_FOR}{moved}")]
    number = add(
        connection,
        who,
        t.contact,
        {
            "well_id": well_id,
            "on_day": spoken.on_day,
            "by": spoken.by.value if spoken.by else None,
            "said": spoken.said.value,
            "for_day": spoken.for_day,
            "for_time": spoken.for_time,
            "crew": crew,
            "note": spoken.note.strip(),
            "at": now(),
            "who": who,
            "message_id": message_id,
            "customer_id": residents_now(connection, [well_id]).get(well_id),
            "booking_uid": moved,
        },
    )
    connection.execute(
        insert(t.contact_about),
        [
            {"contact_id": number, "well_id": well, "occurrence": occurrence}
            for well, occurrence in dict.fromkeys(about)
        ],
    )
    return number


def _check_days(spoken: Spoken, today: date) -> None:
    if spoken.on_day > today:
        raise WellbookError(f"{spoken.on_day} lies ahead", where="on")
    if spoken.for_day is None:
        return
    booked = spoken.said is Said.BOOKED
    if spoken.for_day < today or (spoken.for_day == today and not booked):
        raise WellbookError(f"{spoken.for_day} is not ahead", where=spoken.said.label)
    if spoken.for_day > add_months(today, LATEST_MONTHS):
        raise WellbookError(
            f"{spoken.for_day} is more than {LATEST_MONTHS // 12} years ahead",
            where=spoken.said.label,
        )


def _booking(connection: Connection, about: Sequence[Key]) -> tuple[str, str]:
    """The booking that is moved, with its crew; a new one where none of it is booked."""
    said = lives(connection, {well for well, _ in about})
    moved = (
        (said[key].booking_uid, said[key].crew)
        for key in about
        if key in said and said[key].said is Said.BOOKED
    )
    return next(moved, (new_uid(), ""))


@dataclass(frozen=True, slots=True)
class PropertyRecord:
    """A property as it is spoken of: whose, what is due there and where it stands, what was said.

    `owed` is what comes due within the shop's `together_days`; `visits` are booked for what is
    not due; `lines` are newest first.
    """

    tags: tuple[str, ...]
    place: Place | None
    owed: tuple[Owed, ...]
    visits: tuple[Life, ...]
    lines: tuple[Record, ...]


def property_record(connection: Connection, well_id: int, today: date) -> PropertyRecord:
    """The property on which a well stands."""
    wells = wells_together(connection, well_id)
    rows = records(connection, select(t.well.c.tag, t.well.c.site_id).where(t.well.c.id.in_(wells)))
    sites = {row["site_id"] for row in rows} - {None}
    where, _ = places(connection, sites, today)
    by = today + timedelta(days=shop_says(connection).number("together_days"))
    owed = owed_at(connection, wells, by=by, today=today)
    return PropertyRecord(
        tags=tuple(sorted(row["tag"] for row in rows)),
        place=next(iter(where.values()), None),
        owed=tuple(owed),
        visits=tuple(_visits(booked_besides(connection, wells, owed, today))),
        lines=tuple(spoken_of(connection, wells)),
    )


def _visits(booked: Mapping[Key, Life]) -> Iterable[Life]:
    """Each visit once, however much it was booked for."""
    return {life.booking_uid: life for life in booked.values()}.values()


def spoken_of(connection: Connection, well_ids: Iterable[int]) -> list[Record]:
    """Every line of what was said at some wells, newest first, each with its occurrences."""
    numbers = sorted(set(well_ids))
    about, said = t.contact_about, t.contact
    mine = select(about.c.contact_id).where(about.c.well_id.in_(numbers))
    lines = records(
        connection,
        select(said, t.customer.c.name.label("customer"))
        .outerjoin(t.customer, t.customer.c.id == said.c.customer_id)
        .where(or_(said.c.id.in_(mine), said.c.well_id.in_(numbers)))
        .order_by(said.c.on_day.desc(), said.c.id.desc()),
    )
    named: dict[int, list[str]] = {}
    ids = [line["id"] for line in lines]
    for contact_id, occurrence in connection.execute(
        select(about.c.contact_id, about.c.occurrence)
        .where(about.c.contact_id.in_(ids))
        .order_by(about.c.well_id, about.c.occurrence)
    ):
        named.setdefault(contact_id, []).append(occurrence)
    return [{**line, "about": named.get(line["id"], [])} for line in lines]
