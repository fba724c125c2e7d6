"""Wells judged by the rules: the due ledger renewed, and what it would be by other numbers.

The ledger is a pure function of the holes, the shop's settings and the version of the rules. The
book's mark says by which each rule's rows were made (`store.mark`). After a visit all rules are asked of
one well, after a change of a rule that one is asked of all wells: by one function.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, delete, insert, select

from wellbook.hole.hole import Hole
from wellbook.rules import catalogue
from wellbook.rules.finding import Finding, Settings
from wellbook.store import tables as t
from wellbook.store.due_rows import change_rows, row_of, standing_rows
from wellbook.store.holes import holes_to_judge, load_hole
from wellbook.store.mark import made_by, mark, set_mark
from wellbook.store.rows import AT_ONCE, batches, log
from wellbook.store.settings import settings
from wellbook.terms import Role

Progress = Callable[[int, int], None]
"""Takes how many wells of how many have been judged."""


def renew(
    connection: Connection, well_ids: Iterable[int], names: Collection[str] | None = None
) -> None:
    """Work out anew what these wells owe, in the caller's transaction.

    Only what differs is written: a rule that says of a well what it said leaves its rows alone.

    Parameters
    ----------
    names
        The rules that are asked; None for all. Of a name that no rule bears, rows only go.
    """
    shop = settings(connection)
    for some in batches(sorted(set(well_ids))):
        holes = zip(some, holes_to_judge(connection, some), strict=True)
        _renew(connection, some, holes, shop, names)


def renew_holes(connection: Connection, holes: Mapping[int, Hole]) -> None:
    """The same of wells whose records are at hand, as they stand now, by all rules."""
    _renew(connection, list(holes), holes.items(), settings(connection), None)


def _renew(
    connection: Connection,
    well_ids: Sequence[int],
    holes: Iterable[tuple[int, Hole]],
    shop: Settings,
    names: Collection[str] | None,
) -> None:
    rules = [r for r in catalogue.RULES if names is None or r.name in names]
    standing = standing_rows(connection, well_ids, names)
    new = [
        row
        for number, hole in holes
        for finding in catalogue.judge(hole, shop, rules)
        if not standing.keeps(row := row_of(number, finding))
    ]
    change_rows(connection, standing, new)


def owing_wells(connection: Connection) -> list[int]:
    """The wells that can owe anything: the shop's own."""
    query = select(t.well.c.id).where(t.well.c.role == Role.OURS.value).order_by(t.well.c.id)
    return list(connection.execute(query).scalars())


def renew_all(connection: Connection, progress: Progress = lambda _a, _b: None) -> None:
    """Renew every well's part of the ledger and set the book's mark."""
    ours = select(t.well.c.id).where(t.well.c.role == Role.OURS.value)
    connection.execute(delete(t.due).where(t.due.c.well_id.not_in(ours)))
    _renew_everywhere(connection, None, progress)


def renew_old(connection: Connection, progress: Progress = lambda _a, _b: None) -> None:
    """Renew what the ledger has by rules, or by numbers, that are not today's, and set the mark."""
    by, mine = made_by(connection).mark, mark(connection)
    names = mine.old_in(by)
    if names >= mine.by_rule.keys():
        renew_all(connection, progress)
    else:
        _renew_everywhere(connection, names, progress)


def _renew_everywhere(
    connection: Connection, names: Collection[str] | None, progress: Progress
) -> None:
    numbers = owing_wells(connection)
    for start in range(0, len(numbers), AT_ONCE):
        renew(connection, numbers[start : start + AT_ONCE], names)
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
    touched = current.differs(proposed)
    rules = [rule for rule in catalogue.RULES if rule.name in touched]
    added: list[tuple[str, Finding]] = []
    dropped: list[tuple[str, Finding]] = []
    for hole in holes_to_judge(connection, owing_wells(connection)):
        old = _holding(catalogue.judge(hole, current, rules), on)
        new = _holding(catalogue.judge(hole, proposed, rules), on)
        added += [(hole.tag, f) for key, f in new.items() if key not in old]
        dropped += [(hole.tag, f) for key, f in old.items() if key not in new]
    return Preview(added, dropped)


def _holding(findings: Iterable[Finding], on: date) -> dict[tuple[str, str], Finding]:
    return {(f.occurrence, f.severity.value): f for f in findings if f.holds(on)}


def save_settings(connection: Connection, who: str, proposed: Settings) -> None:
    """Keep changed numbers and renew what the ledger has by them."""
    old = settings(connection).changed
    connection.execute(delete(t.setting))
    for name, value in sorted(proposed.changed.items()):
        connection.execute(insert(t.setting).values(name=name, value=json.dumps(value)))
    log(connection, who, "change", "setting", "rules", old=old, new=proposed.changed)
    renew_old(connection)
