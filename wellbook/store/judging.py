"""Wells judged by the rules: the due ledger renewed, and what it would be by other numbers.

The ledger is a pure function of the holes, the shop's settings and the version of the rules. The
book's mark says by which it was made (`store.freshness`).
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from wellbook.hole.hole import Hole
from wellbook.rules import catalogue
from wellbook.rules.finding import Finding, Settings
from wellbook.store import tables as t
from wellbook.store.holes import load_hole, load_holes
from wellbook.store.in_bulk import put_rows
from wellbook.store.mark import set_mark
from wellbook.store.rows import AT_ONCE, batches, log, plain
from wellbook.store.settings import settings
from wellbook.terms import Role

_as_json = json.JSONEncoder(default=plain).encode


def renew(connection: Connection, well_ids: Iterable[int]) -> None:
    """Work out anew what these wells owe, in the caller's transaction."""
    numbers = list(well_ids)
    shop = settings(connection)
    for some in batches(numbers):
        connection.execute(delete(t.due).where(t.due.c.well_id.in_(some)))
        rows = [
            row
            for number, hole in zip(some, load_holes(connection, some), strict=True)
            for row in _rows(number, catalogue.judge(hole, shop))
        ]
        put_rows(connection, t.due, rows)


def _rows(well_id: int, findings: Iterable[Finding]) -> Iterator[dict[str, Any]]:
    for n, f in enumerate(findings):
        yield {
            "well_id": well_id,
            "position": n,
            "rule": f.rule,
            "subject": f.subject,
            "occurrence": f.occurrence,
            "from_day": f.may_from or date.min,
            "may_from": f.may_from,
            "surely_from": f.surely_from,
            "until": f.until,
            "severity": f.severity.value,
            "occasion": f.occasion.value,
            "reason": f.reason,
            "action": f.action,
            "source": f.source,
            "counts_from": f.counts_from,
            "numbers": _as_json(f.numbers),
            "to_customer": f.to_customer,
        }


def owing_wells(connection: Connection) -> list[int]:
    """The wells that can owe anything: the shop's own."""
    query = select(t.well.c.id).where(t.well.c.role == Role.OURS.value).order_by(t.well.c.id)
    return list(connection.execute(query).scalars())


def renew_all(
    connection: Connection, progress: Callable[[int, int], None] = lambda _a, _b: None
) -> None:
    """Renew every well's part of the ledger and set the book's mark."""
    connection.execute(delete(t.due))
    numbers = owing_wells(connection)
    for start in range(0, len(numbers), AT_ONCE):
        renew(connection, numbers[start : start + AT_ONCE])
        progress(min(start + AT_ONCE, len(numbers)), len(numbers))
    set_mark(connection)


def judged(connection: Connection, well_id: int) -> tuple[Hole, list[Finding]]:
    """A hole and all that its rules say, from nothing, whatever the ledger has."""
    hole = load_hole(connection, well_id)
    return hole, catalogue.judge(hole, settings(connection))


# -- by other numbers --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Preview:
    """Which findings a changed number would add and drop, by well."""

    added: Sequence[tuple[str, Finding]]
    dropped: Sequence[tuple[str, Finding]]


def preview(connection: Connection, proposed: Settings, *, on: date) -> Preview:
    """What would be added and dropped on a day if the settings were these."""
    current = settings(connection)
    added: list[tuple[str, Finding]] = []
    dropped: list[tuple[str, Finding]] = []
    for hole in load_holes(connection, owing_wells(connection)):
        old = _holding(hole, current, on)
        new = _holding(hole, proposed, on)
        added += [(hole.tag, f) for key, f in new.items() if key not in old]
        dropped += [(hole.tag, f) for key, f in old.items() if key not in new]
    return Preview(added, dropped)


def _holding(hole: Hole, shop: Settings, on: date) -> dict[tuple[str, str], Finding]:
    return {(f.occurrence, f.severity.value): f for f in catalogue.judge(hole, shop) if f.holds(on)}


def save_settings(connection: Connection, who: str, proposed: Settings) -> None:
    """Keep changed numbers and renew the ledger by them."""
    old = settings(connection).changed
    connection.execute(delete(t.setting))
    for name, value in sorted(proposed.changed.items()):
        connection.execute(insert(t.setting).values(name=name, value=json.dumps(value)))
    log(connection, who, "change", "setting", "rules", old=old, new=proposed.changed)
    renew_all(connection)
