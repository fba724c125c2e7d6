"""The list of what is due in a span of days, with whose well it is.

What it costs follows from what is listed, not from the size of the book: each statement begins with a
range of an index.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache
from typing import Any

from sqlalchemy import (
    CompoundSelect,
    Connection,
    Date,
    Select,
    bindparam,
    exists,
    func,
    or_,
    select,
    union_all,
)

from wellbook.rules.finding import Finding
from wellbook.store import tables as t
from wellbook.store.ledger import FINDING, finding_of
from wellbook.store.lives import QUIET, Life, coming_back, lives
from wellbook.store.rows import batches
from wellbook.store.silences import silent_on, waking
from wellbook.store.stays import first_phone, there_on
from wellbook.terms import Occasion, Severity


@dataclass(frozen=True, slots=True)
class Asked:
    """Which part of the ledger is wanted. `start` is the first day of a span, None for open."""

    by: date
    start: date | None = None
    rule: str | None = None
    town: str | None = None
    severity: Severity | None = None
    occasion: Occasion | None = None


@dataclass(frozen=True, slots=True)
class DueItem:
    """A finding with whose well it is; `site_id` is the number of the property, None where there is none."""

    tag: str
    site_id: int | None
    customer: str
    phone: str
    road: str
    town: str
    finding: Finding
    life: Life | None = None
    """What was last said of it to the customer; None where nothing was."""


def due(connection: Connection, asked: Asked, *, today: date) -> list[DueItem]:
    """What is due by a day, worst first, without what is still silenced, declined or put off then.

    What would only be done at the next pull is left out unless that occasion is asked for. In a
    span, what a silence held back comes due on the day on which that silence ends, and what was put
    off on the day until which it was.
    """
    day = max(asked.by, today)
    rows = _rows(connection, asked, today, day)
    said = lives(connection, {row[_WELL] for row in rows if row[_SPOKEN]})
    items: list[DueItem] = []
    for row in rows:
        finding, (tag, site_id, road, town, who, phone) = finding_of(row), row[_WHOSE]
        life = said.get((row[_WELL], finding.occurrence)) if row[_SPOKEN] else None
        if life is None or life.standing(day) not in QUIET:
            at = site_id, who or "", phone or "", road or "", town or ""
            items.append(DueItem(tag, *at, finding, life))
    return sorted(items, key=lambda i: (*i.finding.rank, i.tag, i.finding.occurrence))


def _rows(connection: Connection, asked: Asked, today: date, day: date) -> list[tuple[Any, ...]]:
    """The rows of the ledger that are asked for, plain as the engine gives them, each with its well,
    its property and who is there.

    Each statement begins with a range of an index: one condition for all that is asked would be met
    only after everything that ever came due was gone through.
    """
    wanted = [asked.occasion] if asked.occasion else [Occasion.NOW, Occasion.NEXT_VISIT]
    given: dict[str, Any] = {"by": asked.by, "today": today, "day": day, "occasions": wanted}
    if asked.rule:
        given["rule"] = asked.rule
    if asked.severity:
        given["severity"] = asked.severity
    if asked.town:
        given["town"] = asked.town.lower()
    if asked.start is None:
        return _one_each(_plain(connection, given))
    found = _plain(connection, given | {"start": asked.start})
    again = _again(connection, asked.start, asked.by)
    for some in batches(sorted({number for number, _ in again})):
        found += [
            row
            for row in _plain(connection, given | {"wells": some})
            if not again.isdisjoint([(row[_WELL], row[0]), (row[_WELL], row[2])])
        ]
    return _one_each(found)


def _again(connection: Connection, start: date, by: date) -> set[tuple[int, str]]:
    """What comes due anew within these days: a well with a rule, or with an occurrence, which no rule is
    called as."""
    rows = connection.execute(_coming_again(), {"start": start, "by": by})
    return {(number, what) for number, what in rows}


@cache
def _coming_again() -> CompoundSelect[int, str]:
    return union_all(waking(), coming_back())


@lru_cache(maxsize=64)
def _statement(given: frozenset[str]) -> Select[Any]:
    """The statement that takes these values, by their names: to put it together costs as much as a short list."""
    ledger, well, site, stays, person = t.due, t.well, t.site, t.occupancy, t.customer
    by, day, today = (bindparam(name, type_=Date) for name in ("by", "day", "today"))
    spoken = exists().where(
        t.contact_about.c.well_id == ledger.c.well_id,
        t.contact_about.c.occurrence == ledger.c.occurrence,
    )
    only = {
        "start": ledger.c.from_day >= bindparam("start"),
        "rule": ledger.c.rule == bindparam("rule"),
        "severity": ledger.c.severity == bindparam("severity"),
        "town": func.lower(site.c.town) == bindparam("town"),
        "wells": ledger.c.well_id.in_(bindparam("wells", expanding=True)),
    }
    return (
        select(*FINDING, ledger.c.well_id, ledger.c.position, spoken, well.c.tag, well.c.site_id)
        .add_columns(site.c.road, site.c.town, person.c.name, first_phone())
        .add_columns(stays.c.until_text, stays.c.id)
        .join(well, well.c.id == ledger.c.well_id)
        .outerjoin(site, site.c.id == well.c.site_id)
        .outerjoin(stays, (stays.c.site_id == well.c.site_id) & there_on(today))
        .outerjoin(person, person.c.id == stays.c.customer_id)
        .where(ledger.c.from_day <= by, ~silent_on(day))
        .where(or_(ledger.c.until.is_(None), ledger.c.until > by))
        .where(ledger.c.occasion.in_(bindparam("occasions", expanding=True)))
        .where(*(condition for name, condition in only.items() if name in given))
    )


_WELL, _AT_POSITION, _SPOKEN = range(len(FINDING), len(FINDING) + 3)
_WHOSE = slice(_SPOKEN + 1, _SPOKEN + 7)
_LEAVES, _STAY = -2, -1


def _plain(connection: Connection, given: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    """A row that goes through the library's own types costs half as much again, of many rows."""
    result = connection.execute(_statement(frozenset(given)), given)
    return list(result.cursor.fetchall())


def _one_each(rows: Iterable[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    """Each row of the ledger once; of two who may be there, who stays is meant, or who came first."""
    found: dict[tuple[int, str, int], tuple[Any, ...]] = {}
    for row in rows:
        key = row[_WELL], row[0], row[_AT_POSITION]
        other = found.setdefault(key, row)
        if other is not row and _meant(row) < _meant(other):
            found[key] = row
    return list(found.values())


def _meant(row: tuple[Any, ...]) -> tuple[bool, int]:
    return row[_LEAVES] is not None, row[_STAY]
