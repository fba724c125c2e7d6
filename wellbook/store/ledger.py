"""The due ledger: worked out when a record changes, read by an index when a list is wanted.

It is a pure function of the holes, the shop's settings and the version of the rules. The book's mark
says by which it was made (`store.freshness`).
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Connection, delete, func, insert, or_, select

from wellbook.errors import WellbookError
from wellbook.hole.hole import Hole
from wellbook.rules import catalogue
from wellbook.rules.finding import Finding, Settings
from wellbook.store import tables as t
from wellbook.store.holes import AT_ONCE, load_hole, load_holes
from wellbook.store.mark import set_mark
from wellbook.store.rows import add, change, log, plain, records, table_of
from wellbook.terms import ContactWay, Occasion, Role, Severity


def settings(connection: Connection) -> Settings:
    """What the shop has changed of the rules' numbers."""
    rows = connection.execute(select(t.Setting.name, t.Setting.value))
    return Settings({name: json.loads(value) for name, value in rows})


def renew(connection: Connection, well_ids: Iterable[int]) -> None:
    """Work out anew what these wells owe, in the caller's transaction."""
    numbers = list(well_ids)
    shop = settings(connection)
    for start in range(0, len(numbers), AT_ONCE):
        some = numbers[start : start + AT_ONCE]
        connection.execute(delete(t.Due).where(t.Due.well_id.in_(some)))
        rows = [
            row
            for number, hole in zip(some, load_holes(connection, some), strict=True)
            for row in _rows(number, catalogue.judge(hole, shop))
        ]
        if rows:
            connection.execute(insert(table_of(t.Due)), rows)


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
            "numbers": json.dumps(f.numbers, default=plain),
        }


def owing_wells(connection: Connection) -> list[int]:
    """The wells that can owe anything: the shop's own."""
    query = select(t.Well.id).where(t.Well.role == Role.OURS.value).order_by(t.Well.id)
    return list(connection.execute(query).scalars())


def renew_all(
    connection: Connection, progress: Callable[[int, int], None] = lambda _a, _b: None
) -> None:
    """Renew every well's part of the ledger and set the book's mark."""
    connection.execute(delete(t.Due))
    numbers = owing_wells(connection)
    for start in range(0, len(numbers), AT_ONCE):
        renew(connection, numbers[start : start + AT_ONCE])
        progress(min(start + AT_ONCE, len(numbers)), len(numbers))
    set_mark(connection)


# -- reading -----------------------------------------------------------------------------------


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
    """A finding with whose well it is."""

    tag: str
    customer: str
    phone: str
    road: str
    town: str
    finding: Finding


def due(connection: Connection, asked: Asked, *, today: date) -> list[DueItem]:
    """What is due by a day, worst first, without what is still silenced then.

    What would only be done at the next pull is left out unless that occasion is asked for. In a
    span, what a silence held back comes due on the day on which that silence ends.
    """
    ledger, well, site = table_of(t.Due), table_of(t.Well), table_of(t.Site)
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
        query = query.where(or_(ledger.c.from_day >= asked.start, _woken(asked.start, asked.by)))
    if asked.rule:
        query = query.where(ledger.c.rule == asked.rule)
    if asked.severity:
        query = query.where(ledger.c.severity == asked.severity.value)
    if asked.town:
        query = query.where(func.lower(site.c.town) == asked.town.lower())
    rows = records(connection, query)
    silent = silences(connection, {r["well_id"] for r in rows}, max(asked.by, today))
    rows = [r for r in rows if (r["well_id"], r["rule"]) not in silent]
    people = _who(connection, {r["site_id"] for r in rows if r["site_id"]}, today)
    items = [_item(r, people) for r in rows]
    return sorted(items, key=lambda i: (*i.finding.rank, i.tag, i.finding.occurrence))


def _item(row: Mapping[str, Any], people: Mapping[int, tuple[str, str]]) -> DueItem:
    name, phone = people.get(row["site_id"], ("", ""))
    return DueItem(row["tag"], name, phone, row["road"] or "", row["town"] or "", finding_of(row))


def finding_of(row: Mapping[str, Any]) -> Finding:
    """A ledger row as the finding that it was."""
    same = ("rule", "subject", "occurrence", "may_from", "surely_from", "until")
    words = ("reason", "action", "source", "counts_from")
    return Finding(
        **{name: row[name] for name in (*same, *words)},
        severity=Severity(row["severity"]),
        occasion=Occasion(row["occasion"]),
        numbers=json.loads(row["numbers"]),
    )


def _who(connection: Connection, site_ids: set[int], today: date) -> dict[int, tuple[str, str]]:
    """Property -> who is there now and a telephone number."""
    stays, person = table_of(t.Occupancy), table_of(t.Customer)
    way = table_of(t.ContactPoint)
    numbers = sorted(site_ids)
    query = (
        select(stays.c.site_id, person.c.name, way.c.value)
        .join(person, person.c.id == stays.c.customer_id)
        .outerjoin(way, (way.c.customer_id == person.c.id) & (way.c.way == ContactWay.PHONE.value))
        .where(or_(stays.c.until_text.is_(None), stays.c.until_latest > today))
        .order_by(stays.c.id, way.c.id)
    )
    found: dict[int, tuple[str, str]] = {}
    for start in range(0, len(numbers), AT_ONCE):
        some = numbers[start : start + AT_ONCE]
        for site_id, name, phone in connection.execute(query.where(stays.c.site_id.in_(some))):
            found.setdefault(site_id, (name, phone or ""))
    return found


def ledger_of(connection: Connection, well_id: int) -> list[Finding]:
    """All that stands in the ledger of one well, whenever it holds from."""
    table = table_of(t.Due)
    query = select(table).where(table.c.well_id == well_id).order_by(table.c.position)
    return [finding_of(r) for r in records(connection, query)]


# -- silences ----------------------------------------------------------------------------------


def _woken(start: date, by: date) -> ColumnElement[bool]:
    """Whether a silence over a row of the ledger ends within these days."""
    ledger, kept = table_of(t.Due), table_of(t.Silence)
    return (
        select(kept.c.id)
        .where(
            kept.c.well_id == ledger.c.well_id,
            kept.c.rule == ledger.c.rule,
            kept.c.until > kept.c.since,
            kept.c.until.between(start, by),
        )
        .exists()
    )


def silences(
    connection: Connection, well_ids: Iterable[int], day: date
) -> dict[tuple[int, str], str]:
    """Which rules are silent for which wells on a day, with the reason.

    On the day on which a silence ends the rule speaks again.
    """
    table = table_of(t.Silence)
    numbers = sorted(well_ids)
    found: dict[tuple[int, str], str] = {}
    for start in range(0, len(numbers), AT_ONCE):
        query = select(table.c.well_id, table.c.rule, table.c.reason).where(
            table.c.well_id.in_(numbers[start : start + AT_ONCE]),
            table.c.since <= day,
            or_(table.c.until.is_(None), table.c.until > day),
        )
        found.update({(w, rule): reason for w, rule, reason in connection.execute(query)})
    return found


def silence(
    connection: Connection,
    who: str,
    well_id: int,
    rule: str,
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
        t.Silence,
        {
            "well_id": well_id,
            "rule": catalogue.the_rule(rule).name,
            "reason": reason.strip(),
            "since": today,
            "until": until,
            "who": who,
        },
    )


def unsilence(connection: Connection, who: str, well_id: int, rule: str, *, today: date) -> int:
    """Let a rule speak again for one well; how many silences ended."""
    table = table_of(t.Silence)
    query = select(table.c.id).where(
        table.c.well_id == well_id,
        table.c.rule == catalogue.the_rule(rule).name,
        or_(table.c.until.is_(None), table.c.until > today),
    )
    numbers = list(connection.execute(query).scalars())
    for number in numbers:
        change(connection, who, t.Silence, number, {"until": today})
    return len(numbers)


# -- the shop's numbers ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Preview:
    """Which findings a changed number would add and drop, by well."""

    added: Sequence[tuple[str, Finding]]
    dropped: Sequence[tuple[str, Finding]]


def with_setting(current: Settings, name: str, value: str) -> Settings:
    """The settings with one number changed; "default" takes the shop's own away.

    Raises
    ------
    WellbookError
        If there is no such number, or the value will not do.
    """
    rule_name, _, threshold_name = name.partition(".")
    rule = catalogue.the_rule(rule_name)
    known = {x.name: x for x in rule.thresholds}
    if threshold_name not in known:
        raise WellbookError(
            f"{rule.name} has no '{threshold_name}'; it has: {', '.join(known)}", where=name
        )
    changed = dict(current.changed)
    key = f"{rule.name}.{threshold_name}"
    changed.pop(key, None)
    try:
        if value.strip().lower() != "default":
            changed[key] = known[threshold_name].read(value.strip())
        proposed = Settings(changed)
        rule.check_order(threshold_name, proposed.numbers(rule))
    except ValueError as error:
        raise WellbookError(str(error), where=name) from None
    return proposed


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
    connection.execute(delete(t.Setting))
    for name, value in sorted(proposed.changed.items()):
        connection.execute(insert(t.Setting).values(name=name, value=json.dumps(value)))
    log(connection, who, "change", "setting", "rules", old=old, new=proposed.changed)
    renew_all(connection)


def judged(connection: Connection, well_id: int) -> tuple[Hole, list[Finding]]:
    """A hole and all that its rules say, from nothing, whatever the ledger has."""
    hole = load_hole(connection, well_id)
    return hole, catalogue.judge(hole, settings(connection))
