"""The due ledger: what each rule says of each well, and from when.

It is worked out when a record changes (`store.judging`); reading it loads no rule and no hole.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import date
from functools import lru_cache
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, or_, select

from wellbook.rules.finding import Finding, Number
from wellbook.store import tables as t
from wellbook.store.lives import QUIET, lives, standing
from wellbook.store.loading.cells import maybe_day, words
from wellbook.store.rows import batches
from wellbook.store.silences import silences
from wellbook.terms import Occasion, Severity

FINDING = tuple(t.due.c[field.name] for field in fields(Finding))
"""What a finding is made of, as the first columns of a statement."""


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
        for row in connection.execute(query):
            quiet = standing(said.get((row.well_id, row.occurrence)), day) in QUIET
            if (row.well_id, row.rule) not in silent and not quiet:
                found.setdefault(row.well_id, []).append(finding_of(row))
    return {w: sorted(fs, key=lambda f: (*f.rank, f.occurrence)) for w, fs in found.items()}


def finding_of(row: Sequence[Any]) -> Finding:
    """The finding that a row of the ledger was, which begins with the columns of `FINDING`."""
    # One after another, in the order of the fields: a list of what is due is made of thousands of these.
    rule, subject, occurrence, may_from, surely_from, severity, occasion, *rest = row[:_MANY]
    reason, action, source, counts_from, numbers, until, to_customer = rest
    return Finding(
        rule,
        subject,
        occurrence,
        maybe_day(may_from),
        maybe_day(surely_from),
        _SEVERITY[severity],
        _OCCASION[occasion],
        reason,
        action,
        source,
        counts_from,
        _numbers(numbers),
        maybe_day(until),
        to_customer,
    )


@lru_cache(maxsize=1024)
def _numbers(text: str) -> Mapping[str, Number]:
    """Most findings of a rule have the numbers of many others."""
    return MappingProxyType(json.loads(text))


_MANY = len(FINDING)
_SEVERITY, _OCCASION = words(Severity), words(Occasion)


def ledger_of(connection: Connection, well_id: int) -> list[Finding]:
    """All that stands in the ledger of one well, worst first, whenever it holds from."""
    query = select(*FINDING).where(t.due.c.well_id == well_id)
    found = map(finding_of, connection.execute(query))
    return sorted(found, key=lambda f: (*f.rank, f.rule, f.occurrence))
