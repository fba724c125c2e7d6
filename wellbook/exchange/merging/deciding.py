"""A plan with its conflicts decided: what is then to be written."""

from __future__ import annotations

from collections.abc import Mapping

from wellbook.exchange.merging.sheet_versions import settle, versions_of
from wellbook.exchange.merging.sides import Conflict, Key, Plan, Row

Points = Mapping[str, Mapping[str, str]]
"""Of each table its columns that name rows of other tables, each with that table."""

Place = tuple[str, Key]


def decide(
    plan: Plan,
    conflict: Conflict,
    decision: str,
    points: Points,
    sheets: tuple[Mapping[Key, Row], Mapping[Key, Row]],
) -> None:
    """Put one decision into the plan.

    Parameters
    ----------
    sheets
        The sheets of both books.
    """
    if conflict.kind == "field":
        _field(plan, conflict, decision)
    elif conflict.kind == "sheet":
        ours, theirs = (versions_of(some, conflict.key[0]) for some in sheets)
        settle(plan, ours, theirs, decision)
    elif conflict.kind == "gone":
        _gone(plan, conflict, decision, points)


def _field(plan: Plan, conflict: Conflict, decision: str) -> None:
    part = plan.of(conflict.table)
    if decision == "here":
        part.kept += 1
    elif decision == "there":
        part.update.setdefault(conflict.key, {}).update(conflict.there)
    else:
        (column,) = conflict.here
        lines = conflict.here[column].splitlines()
        lines += [x for x in conflict.there[column].splitlines() if x not in lines]
        part.update.setdefault(conflict.key, {})[column] = "\n".join(lines)


def _gone(plan: Plan, conflict: Conflict, decision: str, points: Points) -> None:
    table, key = conflict.table, conflict.key
    if key in plan.of(table).gone:
        if decision == "there":
            gone = {name: part.gone for name, part in plan.tables.items()}
            for name, one in _together(gone, (table, key), points):
                plan.of(name).insert[one] = plan.of(name).gone.pop(one)
        else:
            _drop(plan, (table, key), points)
    elif key in plan.of(table).delete and decision == "here":
        out = {name: part.delete for name, part in plan.tables.items()}
        for name, one in _together(out, (table, key), points):
            del plan.of(name).delete[one]


def _together(rows: Mapping[str, Mapping[Key, Row]], start: Place, points: Points) -> list[Place]:
    """A row with all among these that it hangs on, and all that hang on it."""
    found, new = [start], [start]
    while new:
        table, key = new.pop()
        row = rows[table][key]
        up = [(to, (row[c],)) for c, to in points[table].items() if (row[c],) in rows.get(to, {})]
        down = [
            (name, other)
            for name, some in rows.items()
            for column, to in points[name].items()
            if to == table
            for other, one in some.items()
            if one[column] == key[0]
        ]
        for place in (*up, *down):
            if place not in found:
                found.append(place)
                new.append(place)
    return found


def _drop(plan: Plan, start: Place, points: Points) -> None:
    """Leave out what would come in and hangs on a row that stays away."""
    away: set[Place] = {start}
    new = [start]
    while new:
        table, key = new.pop()
        for name, part in plan.tables.items():
            for column in (c for c, to in points[name].items() if to == table):
                for other in [k for k, row in part.insert.items() if row[column] == key[0]]:
                    part.gone[other] = part.insert.pop(other)
                    if (name, other) not in away:
                        away.add((name, other))
                        new.append((name, other))
                for changed, values in part.update.items():
                    if values.get(column) == key[0]:
                        del values[column]
                        plan.dropped.append((name, changed, column))


def heal(plan: Plan, points: Points) -> None:
    """Bring back, or leave in place, what something that comes in points to after all."""
    stores = (
        {name: part.gone for name, part in plan.tables.items()},
        {name: part.delete for name, part in plan.tables.items()},
    )
    for name, part in list(plan.tables.items()):
        for row in [*part.insert.values(), *part.update.values()]:
            for column, to in points[name].items():
                place = (to, (row.get(column),))
                if place[1] in stores[0].get(to, {}):
                    for table, one in _together(stores[0], place, points):
                        plan.of(table).insert[one] = plan.of(table).gone.pop(one)
                elif place[1] in stores[1].get(to, {}):
                    for table, one in _together(stores[1], place, points):
                        del plan.of(table).delete[one]
