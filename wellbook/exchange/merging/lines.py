"""What the change log of one book says was touched since the last line that both books share.

Lines are known across books by their uids. The first unshared line about a field holds what it was
when the books parted; the last one says who had the last word.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from wellbook.store.rows import ENTRY, UNDO

TOGETHER = {
    "latitude": "place",
    "longitude": "place",
    "digits": "value",
    "maker_key": "maker",
    "model_key": "model",
    "ended_at": "status",
    "answer": "status",
    "status_why": "status",
}
"""Columns that are one fact with another, and by which name it goes."""
_NAMED = {"shop": "shop_fact", "template": "template"}
"""Tables of names and values that the log calls otherwise, or logs by the name."""

Id = tuple[str, str]
"""A table's name, and the identity of one of its rows (uid, or name)."""


def field_of(table: str, column: str) -> str:
    """The fact that a column is part of.

    >>> field_of("well", "drilled_latest"), field_of("site", "latitude"), field_of("well", "tag")
    ('drilled', 'place', 'tag')
    """
    if table == "consent" and column == "answer":
        return column
    for end in ("_earliest", "_latest", "_text"):
        if column.endswith(end) and column != end:
            return column.removesuffix(end)
    return TOGETHER.get(column, column)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the change log; `old` and `new` are JSON or None."""

    uid: str
    at: str
    who: str
    action: str
    what: str
    row_uid: str
    old: str | None
    new: str | None


@dataclass(frozen=True, slots=True)
class Touch:
    """Who last changed a field on one side, and what it was before the first change there."""

    base: Mapping[str, Any]
    at: str
    who: str

    @property
    def by(self) -> str:
        """Who and when, as it is shown."""
        return f"{self.who} {self.at[:10]}"


@dataclass(slots=True)
class Log:
    """What one side's log says.

    Parameters
    ----------
    touched
        Fields that its own lines changed, by row.
    new
        Rows that its own lines added, with who and when.
    ever
        All rows that a line of it ever added, shared or not.
    removed
        Rows that its own lines took out; in `removed_ever`, those that any line did.
    """

    touched: dict[Id, dict[str, Touch]] = field(default_factory=dict)
    new: dict[Id, Touch] = field(default_factory=dict)
    removed: dict[Id, Touch] = field(default_factory=dict)
    ever: set[Id] = field(default_factory=set)
    removed_ever: set[Id] = field(default_factory=set)

    def touch(self, row: Id, name: str) -> Touch | None:
        """Who changed a field of a row here, or added the row; None where nobody did."""
        return self.touched.get(row, {}).get(name) or self.new.get(row)

    def by(self, row: Id) -> str:
        """Who had the last word on a row here; empty where only a file had."""
        touches = [*self.touched.get(row, {}).values()]
        touches += [t for t in (self.new.get(row), self.removed.get(row)) if t]
        return max(touches, key=lambda t: t.at).by if touches else ""


def read_log(own: Iterable[Line], ever: Iterable[Id], removed_ever: Iterable[Id]) -> Log:
    """The log of one side from the lines that the other side lacks, oldest first."""
    log = Log(ever=set(ever), removed_ever=set(removed_ever))
    for line in own:
        touch = Touch({}, line.at, line.who)
        row = (_NAMED.get(line.what, line.what), line.row_uid)
        action = _action(line)
        if action == "add" and line.what != "pump_point":
            log.new[row] = touch
            log.removed.pop(row, None)
        elif action == "remove":
            log.removed[row] = touch
        else:
            for row, base in _changed(line):
                fields = log.touched.setdefault(row, {})
                for name, values in base.items():
                    first = fields[name].base if name in fields else values
                    fields[name] = Touch(first, line.at, line.who)
    return log


def _action(line: Line) -> str:
    """What a line did to its row: one that undoes adds, removes or changes it too."""
    if line.action != UNDO or line.what in (ENTRY, "import_run", "pump_point"):
        return line.action
    return "add" if line.old is None else "remove" if line.new is None else "change"


def _changed(line: Line) -> Iterator[tuple[Id, dict[str, dict[str, Any]]]]:
    """The rows that a line changed: each field with its old columns."""
    old = json.loads(line.old) if line.old else {}
    new = json.loads(line.new) if line.new else {}
    if line.what == "pump_point":
        yield ("pump_model", line.row_uid), {"points": {}}
    elif line.what == "setting":
        for name in {n for n in {*old, *new} if old.get(n) != new.get(n)}:
            base = json.dumps(old[name]) if name in old else None
            yield ("setting", name), {"value": {"value": base}}
    elif line.what in _NAMED:
        base = next(iter(old.values()), None) or None
        yield (_NAMED[line.what], line.row_uid), {"value": {"value": base}}
    elif _action(line) in ("change", "merge"):
        fields: dict[str, dict[str, Any]] = {}
        for column in {**old, **new}:
            fields.setdefault(field_of(line.what, column), {})[column] = old.get(column)
        yield (line.what, line.row_uid), fields


def in_one_order(here: Sequence[Line], there: Sequence[Line]) -> list[Line]:
    """All lines of two logs in an order that is the same whichever is named first.

    Each log keeps its own order, and shared lines part the rest; between two of them the earlier goes
    first by the clock.

    >>> a, b, c = (Line(x, at, "", "", "", "", None, None) for x, at in ("a1", "b3", "c2"))
    >>> [line.uid for line in in_one_order([a, b], [a, c])]
    ['a', 'c', 'b']
    """
    shared = {line.uid for line in here} & {line.uid for line in there}
    order: list[Line] = []
    done: set[str] = set()
    i = j = 0
    while i < len(here) or j < len(there):
        while i < len(here) and here[i].uid in done:
            i += 1
        while j < len(there) and there[j].uid in done:
            j += 1
        heads = [some[n] for some, n in ((here, i), (there, j)) if n < len(some)]
        if not heads:
            break
        # A shared line waits until the other log has come to it too.
        own = [line for line in heads if line.uid not in shared]
        line = min(own or heads, key=lambda line: (line.at, line.uid))
        order.append(line)
        done.add(line.uid)
    return order
