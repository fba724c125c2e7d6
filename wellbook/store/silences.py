"""Which rules a shop keeps silent for which wells, why, and until when."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Connection,
    Select,
    bindparam,
    exists,
    or_,
    select,
)

from wellbook.errors import WellbookError
from wellbook.rules.finding import Rule
from wellbook.store import tables as t
from wellbook.store.rows import add, batches, change


def silences(
    connection: Connection, well_ids: Iterable[int], day: date
) -> dict[tuple[int, str], str]:
    """Which rules are silent for which wells on a day, with the reason.

    On the day on which a silence ends the rule speaks again.
    """
    table = t.silence
    numbers = sorted(well_ids)
    found: dict[tuple[int, str], str] = {}
    for batch in batches(numbers):
        query = select(table.c.well_id, table.c.rule, table.c.reason).where(
            table.c.well_id.in_(batch),
            table.c.since <= day,
            or_(table.c.until.is_(None), table.c.until > day),
        )
        found.update({(w, rule): reason for w, rule, reason in connection.execute(query)})
    return found


def silent_on(day: date | BindParameter[date]) -> ColumnElement[bool]:
    """Whether a rule is silent on a day for the well of a row of the ledger."""
    kept, ledger = t.silence, t.due
    return exists().where(
        kept.c.well_id == ledger.c.well_id,
        kept.c.rule == ledger.c.rule,
        kept.c.since <= day,
        or_(kept.c.until.is_(None), kept.c.until > day),
    )


def waking() -> Select[int, str]:
    """Silences that end on a day between `start` and `by`: well and rule."""
    kept = t.silence
    ends = kept.c.until.between(bindparam("start"), bindparam("by"))
    return select(kept.c.well_id, kept.c.rule).where(ends, kept.c.until > kept.c.since)


def silence(
    connection: Connection,
    who: str,
    well_id: int,
    rule: Rule,
    *,
    reason: str,
    today: date,
    until: date | None = None,
) -> None:
    """Keep a rule silent for one well, until a day or for good."""
    if not reason.strip():
        raise WellbookError("a silence needs a reason, which others will read", where="--because")
    if until is not None and until <= today:
        raise WellbookError(f"ends on {until}, which is not ahead", where="--until")
    add(
        connection,
        who,
        t.silence,
        {
            "well_id": well_id,
            "rule": rule.name,
            "reason": reason.strip(),
            "since": today,
            "until": until,
            "who": who,
        },
    )


def unsilence(connection: Connection, who: str, well_id: int, rule: Rule, *, today: date) -> int:
    """Let a rule speak again for one well; how many silences ended."""
    table = t.silence
    query = select(table.c.id).where(
        table.c.well_id == well_id,
        table.c.rule == rule.name,
        or_(table.c.until.is_(None), table.c.until > today),
    )
    numbers = list(connection.execute(query).scalars())
    for number in numbers:
        change(connection, who, t.silence, number, {"until": today})
    return len(numbers)
