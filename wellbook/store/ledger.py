"""The due ledger, read by an index when a list is wanted.

It is worked out when a record changes (`store.judging`); reading it loads no rule and no hole.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, func, or_, select

from wellbook.rules.finding import Finding
from wellbook.store import tables as t
from wellbook.store.lives import QUIET, Life, comes_back, lives, standing
from wellbook.store.rows import batches, records
from wellbook.store.silences import silences, woken
from wellbook.store.stays import who_is_there
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
    ledger, well, site = t.due, t.well, t.site
    query = (
        select(ledger, well.c.tag, well.c.site_id, site.c.road, site.c.town)
        .join(well, well.c.id == ledger.c.well_id)
        .outerjoin(site, site.c.id == well.c.site_id)
        .where(ledger.c.from_day <= asked.by)
        .where(or_(ledger.c.until.is_(None), ledger.c.until > asked.by))
    )
    wanted = [asked.occasion] if asked.occasion else [Occasion.NOW, Occasion.NEXT_VISIT]
    query = query.where(ledger.c.occasion.in_([o.value for o in wanted]))
    if asked.start is not None:
        back = (woken(asked.start, asked.by), comes_back(asked.start, asked.by))
        query = query.where(or_(ledger.c.from_day >= asked.start, *back))
    if asked.rule:
        query = query.where(ledger.c.rule == asked.rule)
    if asked.severity:
        query = query.where(ledger.c.severity == asked.severity.value)
    if asked.town:
        query = query.where(func.lower(site.c.town) == asked.town.lower())
    rows = records(connection, query)
    wells, day = {r["well_id"] for r in rows}, max(asked.by, today)
    silent, said = silences(connection, wells, day), lives(connection, wells)
    rows = [
        r
        for r in rows
        if (r["well_id"], r["rule"]) not in silent
        and standing(said.get((r["well_id"], r["occurrence"])), day) not in QUIET
    ]
    people = who_is_there(connection, {r["site_id"] for r in rows if r["site_id"]}, today)
    items = [
        _item(r, people.get(r["site_id"]), said.get((r["well_id"], r["occurrence"]))) for r in rows
    ]
    return sorted(items, key=lambda i: (*i.finding.rank, i.tag, i.finding.occurrence))


def _item(row: Mapping[str, Any], who: tuple[str, str] | None, life: Life | None) -> DueItem:
    name, phone = who or ("", "")
    where = row["road"] or "", row["town"] or ""
    return DueItem(row["tag"], row["site_id"], name, phone, *where, finding_of(row), life)


def due_at(connection: Connection, well_ids: Sequence[int], day: date) -> dict[int, list[Finding]]:
    """What is due at some wells on a day, worst first, as `due` has it: by the wells' numbers."""
    ledger = t.due
    found: dict[int, list[Finding]] = {}
    silent, said = silences(connection, well_ids, day), lives(connection, well_ids)
    for some in batches(well_ids):
        query = select(ledger).where(
            ledger.c.well_id.in_(some),
            ledger.c.from_day <= day,
            or_(ledger.c.until.is_(None), ledger.c.until > day),
            ledger.c.occasion.in_([Occasion.NOW.value, Occasion.NEXT_VISIT.value]),
        )
        for row in records(connection, query):
            well = row["well_id"]
            quiet = standing(said.get((well, row["occurrence"])), day) in QUIET
            if (well, row["rule"]) not in silent and not quiet:
                found.setdefault(well, []).append(finding_of(row))
    return {w: sorted(fs, key=lambda f: (*f.rank, f.occurrence)) for w, fs in found.items()}


def finding_of(row: Mapping[str, Any]) -> Finding:
    """A ledger row as the finding that it was."""
    same = ("rule", "subject", "occurrence", "may_from", "surely_from", "until")
    words = ("reason", "action", "source", "counts_from", "to_customer")
    return Finding(
        **{name: row[name] for name in (*same, *words)},
        severity=Severity(row["severity"]),
        occasion=Occasion(row["occasion"]),
        numbers=json.loads(row["numbers"]),
    )


def ledger_of(connection: Connection, well_id: int) -> list[Finding]:
    """All that stands in the ledger of one well, worst first, whenever it holds from."""
    query = select(t.due).where(t.due.c.well_id == well_id)
    found = [finding_of(r) for r in records(connection, query)]
    return sorted(found, key=lambda f: (*f.rank, f.rule, f.occurrence))
