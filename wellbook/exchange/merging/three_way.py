"""Two books' rows held against each other: what changed on one side only follows that side.

Pure: it knows nothing of a database. Which side changed what is in the sides' change logs; of what no
line tells (imports, the outbox, the calendar) there is a rule of its own (`ruled`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from wellbook.exchange.merging.lines import Id, field_of
from wellbook.exchange.merging.ruled import RULED
from wellbook.exchange.merging.sides import Conflict, Key, Plan, Row, Side
from wellbook.store.rows import plain

OWNED = {
    "system_site": ("system_id", "water_system"),
    "crew": ("sheet_id", "sheet"),
    "call": ("sheet_id", "sheet"),
    "message_about": ("message_id", "message"),
    "contact_about": ("contact_id", "contact"),
    "imported_row": ("well_id", "well"),
    "observation": ("well_id", "well"),
    "bore_interval": ("well_id", "well"),
    "forgotten_mark": ("forgotten_id", "forgotten"),
}
"""Tables whose rows are a part of another row, by the column that names it and its table: they go where
it goes."""

NEVER_TAKEN_OUT = frozenset({"message", "calendar_entry", "forgotten", "forgotten_mark"})
"""Tables from which nothing is ever taken out: what one book lacks is new to it."""

WORDS = frozenset({"notes", "note", "access", "well_head"})
"""Fields of free words: of two texts both can stay."""

BOUND = frozenset({"name_key", "road_key", "e164"})
"""Columns that follow from others of their row: they go where those go."""


def merge_table(
    plan: Plan,
    table: str,
    here: Mapping[Key, Row],
    there: Mapping[Key, Row],
    points: Mapping[str, str],
) -> None:
    """Plan what becomes of one table; its parents must have been planned before.

    Parameters
    ----------
    points
        Its columns that name rows of other tables, each with that table.
    """
    mine, its = plan.sides
    part = plan.of(table)
    for key, row in there.items():
        if key not in here:
            _only_there(plan, table, key, row)
    for key, row in here.items():
        if key in there:
            _both(plan, table, key, row, there[key])
        elif _owner_goes(plan, table, row) or _gone(table, key, row, mine, its):
            _only_here(plan, table, key, row)
        else:
            part.kept += 1
    if table not in OWNED:
        changes = part.update
        staying = (
            {**row, **changes.get(key, {})} for key, row in here.items() if key not in part.delete
        )
        _contest(plan, points, staying, here=False)
        _contest(plan, points, [*part.insert.values(), *changes.values()], here=True)


def _contest(plan: Plan, points: Mapping[str, str], rows: Iterable[Row], *, here: bool) -> None:
    """Rows that stay, or come in, and hang on one that a side has taken out: that is to be decided."""
    out = {
        column: lost
        for column, parent in points.items()
        if (lost := plan.of(parent).gone if here else plan.of(parent).delete)
    }
    if not out:
        return
    known = {(c.table, c.key) for c in plan.conflicts if c.kind == "gone"}
    for row in rows:
        for column, lost in out.items():
            key = (row.get(column),)
            if key in lost and (points[column], key) not in known:
                known.add((points[column], key))
                conflict = _taken_out(plan, points[column], key, lost[key], here=here)
                shown = ("taken out", "has new rows") if here else ("has new rows", "taken out")
                plan.conflicts.append(replace(conflict, shown=shown))


def _only_there(plan: Plan, table: str, key: Key, row: Row) -> None:
    mine, its = plan.sides
    part = plan.of(table)
    owner_gone = table in OWNED and _owner(table, row) in plan.of(OWNED[table][1]).gone
    if not owner_gone and not _gone(table, key, row, its, mine):
        part.insert[key] = row
        return
    part.gone[key] = row
    if table not in OWNED and _is_news((table, str(key[0])), its, mine):
        plan.conflicts.append(_taken_out(plan, table, key, row, here=True))


def _only_here(plan: Plan, table: str, key: Key, row: Row) -> None:
    mine, its = plan.sides
    row_id = (table, str(key[0]))
    if table not in OWNED and row_id in mine.log.touched:
        if not _is_news(row_id, mine, its):
            plan.of(table).kept += 1
            return
        plan.conflicts.append(_taken_out(plan, table, key, row, here=False))
    plan.of(table).delete[key] = row


def _is_news(row: Id, changed: Side, gone: Side) -> bool:
    """Whether a row that one side took out was changed on the other, and nobody decided that yet."""
    new = row in gone.log.removed or row not in gone.log.removed_ever
    return row in changed.log.touched and new


def _taken_out(plan: Plan, table: str, key: Key, row: Row, *, here: bool) -> Conflict:
    shown = ("taken out", "changed") if here else ("changed", "taken out")
    mine, its = (side.log.by((table, key[0])) for side in plan.sides)
    values: tuple[Row, Row] = ({}, row) if here else (row, {})
    return Conflict("gone", table, key, "the whole", *values, mine, its, shown=shown)


def _owner(table: str, row: Row) -> Key:
    return (row[OWNED[table][0]],)


def _owner_goes(plan: Plan, table: str, row: Row) -> bool:
    return table in OWNED and _owner(table, row) in plan.of(OWNED[table][1]).delete


def _gone(table: str, key: Key, row: Row, has: Side, lacks: Side) -> bool:
    """Whether a row that one side has and the other lacks was there too, and was taken out."""
    if table in NEVER_TAKEN_OUT:
        return False
    if table in ("import_change", "import_answer") and row["run_id"] in lacks.undone:
        return True
    if table == "imported_row":
        return row["run_id"] in lacks.runs
    if table == "system_site":
        return row["site_id"] in lacks.moved and row["site_id"] not in has.moved
    if table in ("observation", "bore_interval"):
        well = ("well", row["well_id"])
        return well in lacks.from_file and well not in has.from_file
    row_id = (table, str(key[0]))
    if row_id in lacks.log.ever:
        # Unless it was taken out on both and came back here: somebody has undone that since.
        return row_id not in has.log.new
    runs = has.by_file.get(row_id, set())
    return bool(runs) and row_id not in has.log.ever and runs <= lacks.runs


def _both(plan: Plan, table: str, key: Key, here: Row, there: Row) -> None:
    differ = [column for column in there if here[column] != there[column]]
    names = {field_of(table, column) for column in differ if column not in BOUND}
    if not names:
        return
    if (rule := RULED.get(table)) is not None:
        ruled, values = rule(here, there, plan.sides)
        _take(plan, (table, key), {c: v for c, v in values.items() if here[c] != v})
        names -= set(ruled)
    columns: dict[str, list[str]] = {}
    for column in there:
        if (name := field_of(table, column)) in names:
            columns.setdefault(name, []).append(column)
    for name, some in columns.items():
        _field(plan, (table, key), name, {c: here[c] for c in some}, {c: there[c] for c in some})


Place = tuple[str, Key]


def _take(plan: Plan, place: Place, values: Mapping[str, Any]) -> None:
    if values:
        plan.of(place[0]).update.setdefault(place[1], {}).update(values)


def _field(plan: Plan, place: Place, name: str, ours: Row, theirs: Row) -> None:
    table, key = place
    row = (table, str(key[0]))
    winner = _winner(plan, row, name, ours, theirs)
    if winner == "there":
        _take(plan, place, theirs)
    elif winner == "here":
        plan.of(table).kept += 1
    else:
        mine, its = (_by(side, row, name) for side in plan.sides)
        words = [values.get(name) for values in (ours, theirs)]
        both = name in WORDS and all(isinstance(text, str) and text for text in words)
        choices = ("here", "there", "both") if both else ("here", "there")
        conflict = Conflict("field", table, key, name, ours, theirs, mine, its, choices)
        plan.conflicts.append(conflict)


def _by(side: Side, row: Id, name: str) -> str:
    touch = side.log.touch(row, name)
    return touch.by if touch else "an import" if row in side.from_file else ""


def _winner(plan: Plan, row: Id, name: str, here: Row, there: Row) -> str:
    """Which side a field follows; empty where both changed it, or nothing says who did."""
    mine, its = (side.log.touch(row, name) for side in plan.sides)
    if mine is None and its is None:
        if row[0] == "well" and name == "status":
            return "here"  # What a sheet made of it: the replay says it anew.
        # An import writes no line a row.
        files = [row in side.from_file for side in plan.sides]
        return "" if files[0] == files[1] else "here" if files[0] else "there"
    if mine is None or its is None:
        return "there" if mine is None else "here"
    if mine.base and mine.base == its.base and not name.endswith("_id"):
        # Changed and changed back is not changed.
        if _is(here, mine.base):
            return "there"
        if _is(there, its.base):
            return "here"
    return ""


def _is(values: Row, base: Mapping[str, Any]) -> bool:
    """Whether a field is what it was; the log has dates as text."""
    return all(plain(value) == base.get(column, plain(value)) for column, value in values.items())


def merge_values(plan: Plan, table: str, here: Mapping[str, Any], there: Mapping[str, Any]) -> None:
    """Plan what becomes of a table of names and values; what has no row has its default."""
    for name in sorted({*here, *there}):
        ours, theirs = {"value": here.get(name)}, {"value": there.get(name)}
        if ours != theirs:
            _field(plan, (table, (name,)), "value", ours, theirs)
