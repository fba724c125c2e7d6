"""The due ledger, read by an index when a list is wanted.

It is worked out when a record changes (`store.judging`); reading it loads no rule and no hole.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, func, or_, select

from wellbook.rules.finding import Finding, Number
from wellbook.store import tables as t
from wellbook.store.lives import QUIET, Life, come_back, lives, standing
from wellbook.store.rows import batches
from wellbook.store.silences import silences, woken
from wellbook.store.stays import first_phone, there_on
from wellbook.terms import Occasion, Severity

FINDING = tuple(t.due.c[field.name] for field in fields(Finding))
"""What a finding is made of, as the first columns of a statement."""


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
    rows = _rows(connection, asked, today)
    wells, day = {well for well, _ in rows}, max(asked.by, today)
    silent, said = silences(connection, wells, day), lives(connection, wells)
    items: list[DueItem] = []
    for (well, _), row in rows.items():
        finding = finding_of(row)
        life = said.get((well, finding.occurrence))
        if (well, finding.rule) not in silent and standing(life, day) not in QUIET:
            _, _, tag, site_id, road, town, _, _, who, phone = row[len(FINDING) :]
            where = road or "", town or ""
            items.append(DueItem(tag, site_id, who or "", phone or "", *where, finding, life))
    return sorted(items, key=lambda i: (*i.finding.rank, i.tag, i.finding.occurrence))


def _rows(connection: Connection, asked: Asked, today: date) -> dict[tuple[int, int], Any]:
    """The rows of the ledger that are asked for, by their key, each with its well, its property and
    who is there.

    Each statement begins with a range of an index: one condition for all that is asked would be met
    only after everything that ever came due was gone through.
    """
    ledger, well, site, stays, person = t.due, t.well, t.site, t.occupancy, t.customer
    leaves, who = stays.c.until_text.label("leaves"), person.c.name.label("who")
    there = (well.c.tag, well.c.site_id, site.c.road, site.c.town, stays.c.id.label("stay"), leaves)
    query = (
        select(*FINDING, ledger.c.well_id, ledger.c.position, *there, who, first_phone())
        .join(well, well.c.id == ledger.c.well_id)
        .outerjoin(site, site.c.id == well.c.site_id)
        .outerjoin(stays, (stays.c.site_id == well.c.site_id) & there_on(today))
        .outerjoin(person, person.c.id == stays.c.customer_id)
        .where(ledger.c.from_day <= asked.by)
        .where(or_(ledger.c.until.is_(None), ledger.c.until > asked.by))
    )
    wanted = [asked.occasion] if asked.occasion else [Occasion.NOW, Occasion.NEXT_VISIT]
    query = query.where(ledger.c.occasion.in_([o.value for o in wanted]))
    if asked.rule:
        query = query.where(ledger.c.rule == asked.rule)
    if asked.severity:
        query = query.where(ledger.c.severity == asked.severity.value)
    if asked.town:
        query = query.where(func.lower(site.c.town) == asked.town.lower())
    if asked.start is None:
        return _by_key(connection.execute(query))
    found = _by_key(connection.execute(query.where(ledger.c.from_day >= asked.start)))
    rules = woken(connection, asked.start, asked.by)
    occurrences = come_back(connection, asked.start, asked.by)
    for some in batches(sorted({well for well, _ in rules | occurrences})):
        back = connection.execute(query.where(ledger.c.well_id.in_(some)))
        found |= _by_key(
            r
            for r in back
            if (r.well_id, r.rule) in rules or (r.well_id, r.occurrence) in occurrences
        )
    return found


def _by_key(rows: Iterable[Any]) -> dict[tuple[int, int], Any]:
    """Rows by their key; of two who may be there, who stays is meant, or else who came first."""
    found: dict[tuple[int, int], Any] = {}
    for row in rows:
        key = (row.well_id, row.position)
        other = found.setdefault(key, row)
        if other is not row and _meant(row) < _meant(other):
            found[key] = row
    return found


def _meant(row: Any) -> tuple[bool, int]:
    return row.leaves is not None, row.stay


def due_at(connection: Connection, well_ids: Sequence[int], day: date) -> dict[int, list[Finding]]:
    """What is due at some wells on a day, worst first, as `due` has it: by the wells' numbers."""
    ledger = t.due
    found: dict[int, list[Finding]] = {}
    silent, said = silences(connection, well_ids, day), lives(connection, well_ids)
    for some in batches(well_ids):
        query = select(*FINDING, ledger.c.well_id).where(
            ledger.c.well_id.in_(some),
            ledger.c.from_day <= day,
            or_(ledger.c.until.is_(None), ledger.c.until > day),
            ledger.c.occasion.in_([Occasion.NOW.value, Occasion.NEXT_VISIT.value]),
        )
        for row in connection.execute(query.order_by(ledger.c.well_id, ledger.c.position)):
            quiet = standing(said.get((row.well_id, row.occurrence)), day) in QUIET
            if (row.well_id, row.rule) not in silent and not quiet:
                found.setdefault(row.well_id, []).append(finding_of(row))
    return {w: sorted(fs, key=lambda f: (*f.rank, f.occurrence)) for w, fs in found.items()}


def finding_of(row: Any) -> Finding:
    """The finding that a row of the ledger was, which begins with the columns of `FINDING`."""
    told = list(row[: len(FINDING)])
    told[_AT["severity"]] = _SEVERITY[row.severity]
    told[_AT["occasion"]] = _OCCASION[row.occasion]
    told[_AT["numbers"]] = _numbers(row.numbers)
    return Finding(*told)


@lru_cache(maxsize=1024)
def _numbers(text: str) -> Mapping[str, Number]:
    """Most findings of a rule have the numbers of many others."""
    return MappingProxyType(json.loads(text))


_AT = {column.name: n for n, column in enumerate(FINDING)}
# A look-up costs a fifth of what the enumeration's own call does.
_SEVERITY = {word.value: word for word in Severity}
_OCCASION = {word.value: word for word in Occasion}


def ledger_of(connection: Connection, well_id: int) -> list[Finding]:
    """All that stands in the ledger of one well, whenever it holds from."""
    table = t.due
    query = select(*FINDING).where(table.c.well_id == well_id).order_by(table.c.position)
    return [finding_of(row) for row in connection.execute(query)]
