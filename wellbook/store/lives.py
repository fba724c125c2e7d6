"""Where each thing that is due stands with the customer: told, booked, declined or put off.

What was said is kept by the ledger's occurrence, so that a changed threshold or a moved date neither
revives nor doubles it. That it is done is not said here: the visit or the sample that satisfies it
takes the occurrence out of the ledger. What a former customer was told or declined says nothing of the
one who is there now.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from typing import Any

from sqlalchemy import Connection, Select, bindparam, select

from wellbook.store import tables as t
from wellbook.store.rows import Record, batches, records
from wellbook.store.stays import residents_now
from wellbook.terms import Said, Word

Key = tuple[int, str]
"""A well's number and an occurrence of its ledger."""


class Standing(Word):
    """Where an occurrence stands on a day."""

    DUE = "due"
    TOLD = "told"
    BOOKED = "booked"
    MISSED = "missed"
    DECLINED = "declined"
    PUT_OFF = "put_off"


QUIET = frozenset({Standing.DECLINED, Standing.PUT_OFF})
"""What no list names: nobody is to be asked about it now."""


_AGREED = frozenset({Standing.BOOKED, Standing.DECLINED, Standing.PUT_OFF})
"""What being told once more takes nothing back of: a letter that crosses with a call, or one in doubt
of which somebody says a day later that it did go."""


@dataclass(frozen=True, slots=True)
class Life:
    """What was last said of an occurrence.

    Parameters
    ----------
    said, on_day, by, note
        What came of it, when, by which way, and in what words.
    for_day, for_time, crew
        What it was booked for or put off to.
    round
        How often it was put off: in each round it is told of once.
    told_on
        The last day on which the customer was told of it, in whichever round.
    told_round
        The round in which he was; -1 where never.
    """

    said: Said
    on_day: date
    by: str
    note: str
    for_day: date | None
    for_time: str
    crew: str
    booking_uid: str
    round: int = 0
    told_on: date | None = None
    told_round: int = -1

    def standing(self, day: date) -> Standing:
        """Where it stands on a day. What was put off comes back by itself; so does a booking whose
        day went by."""
        if self.said is Said.BOOKED and self.for_day is not None:
            return Standing.BOOKED if self.for_day >= day else Standing.MISSED
        if self.said is Said.PUT_OFF and self.for_day is not None:
            return Standing.PUT_OFF if self.for_day > day else Standing.DUE
        return Standing(self.said.value)


def standing(life: Life | None, day: date) -> Standing:
    """Where an occurrence stands on a day; what nobody has spoken of is due."""
    return Standing.DUE if life is None else life.standing(day)


def words_of(life: Life | None, day: date) -> str:
    """Where it stands, in few words; empty for what is merely due."""
    if life is None:
        return ""
    stands, by = life.standing(day), f" by {life.by}" if life.by else ""
    more = " ".join(x for x in (life.for_time, life.crew) if x)
    when = f"{life.for_day} {more}".rstrip()
    if stands is Standing.BOOKED:
        return f"booked for {when}"
    if stands is Standing.MISSED:
        return f"was booked for {when}, and no visit that did it is on record"
    if stands is Standing.PUT_OFF:
        return f"put off until {life.for_day}"
    if stands is Standing.DECLINED:
        return f"declined {life.on_day}"
    if stands is Standing.TOLD:
        return f"told {life.on_day}{by}"
    return f"was put off until {life.for_day}"


def lives(
    connection: Connection, well_ids: Iterable[int], *, by: date | None = None
) -> dict[Key, Life]:
    """What was last said, by a day, of each occurrence that was ever spoken of at some wells."""
    found: dict[Key, Life] = {}
    query, days = _said_at(dated=by is not None), {} if by is None else {"by": by}
    lines = [
        row
        for some in batches(sorted(set(well_ids)))
        for row in records(connection, query.params(wells=some, **days))
    ]
    there = residents_now(connection, sorted({row["well_id"] for row in lines}))
    for row in lines:
        key = (row["well_id"], row["occurrence"])
        if row["customer_id"] in (None, there.get(row["well_id"], row["customer_id"])):
            found[key] = _next(found.get(key), row)
    return found


@cache
def _said_at(*, dated: bool) -> Select[Any]:
    about, said = t.contact_about, t.contact
    until = [said.c.on_day <= bindparam("by")] if dated else []
    return (
        select(about.c.well_id, about.c.occurrence)
        .add_columns(*(said.c[name] for name in _OF_WHAT_WAS_SAID))
        .join(said, said.c.id == about.c.contact_id)
        .where(about.c.well_id.in_(bindparam("wells", expanding=True)), *until)
        .order_by(said.c.on_day, said.c.at, said.c.id)
    )


_OF_WHAT_WAS_SAID = (
    *("said", "on_day", "by", "note", "for_day", "for_time", "crew", "booking_uid", "customer_id"),
)


def _next(before: Life | None, row: Record) -> Life:
    said = Said(row["said"])
    rounds = (before.round if before else 0) + (said is Said.PUT_OFF)
    told_on, told_round = (before.told_on, before.told_round) if before else (None, -1)
    if said is Said.TOLD:
        if before is not None and before.standing(row["on_day"]) in _AGREED:
            return replace(before, told_on=row["on_day"])
        told_on, told_round = row["on_day"], rounds
    return Life(
        said=said,
        on_day=row["on_day"],
        by=row["by"] or "",
        note=row["note"],
        for_day=row["for_day"],
        for_time=row["for_time"],
        crew=row["crew"],
        booking_uid=row["booking_uid"],
        round=rounds,
        told_on=told_on,
        told_round=told_round,
    )


def coming_back() -> Select[int, str]:
    """What was put off until a day between `start` and `by`: well and occurrence."""
    about, said = t.contact_about, t.contact
    days = said.c.for_day.between(bindparam("start"), bindparam("by"))
    return (
        select(about.c.well_id, about.c.occurrence)
        .join(said, said.c.id == about.c.contact_id)
        .where(days, said.c.said == Said.PUT_OFF.value)
    )
