"""Wells judged by the rules: the due ledger renewed, and what it would be by other numbers.

The ledger is a pure function of the holes, the shop's settings and the version of the rules. The
book's mark says by which each rule's rows were made (`store.mark`). After a visit all rules are asked of
one well, after a change of a rule that one is asked of all wells: by one function.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, select

from wellbook.hole.hole import Hole
from wellbook.rules import catalogue
from wellbook.rules.finding import Finding, Settings
from wellbook.store import tables as t
from wellbook.store.due_rows import Changes, make_changes, row_of, standing_rows
from wellbook.store.holes import holes_to_judge, load_hole
from wellbook.store.rows import batches
from wellbook.store.settings import settings
from wellbook.terms import Role


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
        make_changes(connection, changes(connection, some, shop, names))


def renew_holes(connection: Connection, holes: Mapping[int, Hole]) -> None:
    """The same of wells whose records are at hand, as they stand now, by all rules."""
    differing = _changes(connection, list(holes), holes.items(), settings(connection), None)
    make_changes(connection, differing)


def changes(
    connection: Connection, well_ids: Sequence[int], shop: Settings, names: Collection[str] | None
) -> Changes:
    """By what the ledger of some wells differs from what the rules say, with nothing written."""
    holes = zip(well_ids, holes_to_judge(connection, well_ids), strict=True)
    return _changes(connection, well_ids, holes, shop, names)


def _changes(
    connection: Connection,
    well_ids: Sequence[int],
    holes: Iterable[tuple[int, Hole]],
    shop: Settings,
    names: Collection[str] | None,
) -> Changes:
    rules = [r for r in catalogue.RULES if names is None or r.name in names]
    standing = standing_rows(connection, well_ids, names)
    new = [
        row
        for number, hole in holes
        for finding in catalogue.judge(hole, shop, rules)
        if not standing.keeps(row := row_of(number, finding))
    ]
    return standing.changes(new)


def owing_wells(connection: Connection) -> list[int]:
    """The wells that can owe anything: the shop's own."""
    query = select(t.well.c.id).where(t.well.c.role == Role.OURS.value).order_by(t.well.c.id)
    return list(connection.execute(query).scalars())


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
