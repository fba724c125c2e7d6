"""Conflicts in words: which customer, well or visit it is about, and what each side says."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, select

from wellbook.exchange.merging.reading import Truth
from wellbook.exchange.merging.sides import Conflict
from wellbook.store import tables as t
from wellbook.store.rows import Record, records

_LONGEST = 400
"""So much of a text is shown; the rest is in the books."""

TABLE_WORDS = {
    "site": "property",
    "occupancy": "stay",
    "contact_point": "way to reach",
    "consent": "answer on being reached",
    "water_system": "water system",
    "system_site": "property on a water system",
    "sheet": "visit or call",
    "call": "call",
    "pump_model": "pump model",
    "setting": "number of a rule",
    "shop_fact": "shop",
    "template": "letter",
    "contact": "contact",
    "contact_about": "contact, of what",
    "message": "message",
    "message_about": "message, of what",
    "calendar_entry": "calendar entry",
    "imported_row": "row of an import",
    "import_run": "import",
    "bore_interval": "stretch of a bore",
    "attachment": "file of a well",
    "decided_pair": "decision on doubles",
    "import_change": "step of an import",
    "import_answer": "answer on an import",
    "forgotten": "forgotten row",
    "forgotten_mark": "mark of a forgotten person",
}


@dataclass(frozen=True, slots=True)
class Shown:
    """A conflict as people see it, numbered from 1 on."""

    number: int
    what: str
    field: str
    here: str
    there: str
    here_by: str
    there_by: str
    choices: tuple[str, ...]
    decision: str = ""


class Words:
    """Puts conflicts in words by what both books say of their rows."""

    def __init__(self, mine: Truth, its: Truth) -> None:
        self.truths = (mine, its)

    def shown(self, number: int, conflict: Conflict, decision: str) -> Shown:
        """A conflict in words."""
        here, there = conflict.shown or self._values(conflict)
        field = conflict.name.removesuffix("_id").replace("_", " ")
        return Shown(
            number,
            self.label(conflict),
            field,
            here,
            there,
            conflict.here_by,
            conflict.there_by,
            conflict.choices,
            decision,
        )

    def label(self, conflict: Conflict) -> str:
        """What a conflict is about."""
        table, uid = conflict.table, str(conflict.key[0])
        if conflict.kind == "sheet":
            return self._first(lambda truth: _sheet(truth, t.sheet.c.root_uid, uid)) or "a sheet"
        if table in ("setting", "shop_fact", "template"):
            return f"{TABLE_WORDS[table]} {uid}"
        known = {kept.name: kept for kept in t.METADATA.sorted_tables}[table]
        said = self._first(lambda truth: label_of(truth, known, uid))
        word = TABLE_WORDS.get(table, table.replace("_", " "))
        return f"{word} {said}" if said else word

    def _first(self, label: Any) -> str:
        return next((said for truth in self.truths if (said := label(truth))), "")

    def _values(self, conflict: Conflict) -> tuple[str, str]:
        if conflict.kind == "sheet":
            return _sheets_apart(conflict.here, conflict.there)
        if conflict.kind == "tag":
            named = [
                f"{conflict.here['tag']} is {_place(truth, values['uid'])}"
                for truth, values in zip(self.truths, (conflict.here, conflict.there), strict=True)
            ]
            free = conflict.here["free"]
            return (
                f"{named[0]}; the other becomes {free}",
                f"{named[1]}; the one here becomes {free}",
            )
        points = {
            k.parent.name: k.column.table
            for c in _columns("occupancy" if conflict.kind == "stay" else conflict.table)
            for k in c.foreign_keys
        }
        said = []
        for values in (conflict.here, conflict.there):
            if conflict.name in points and (uid := values.get(conflict.name)):
                said.append(
                    self._first(lambda tr, u=uid: label_of(tr, points[conflict.name], u)) or uid
                )
            else:
                said.append(_said(conflict.name, values))
        return said[0], said[1]


def _columns(table: str) -> Any:
    return t.METADATA.tables[table].c


def label_of(truth: Truth, table: Table, uid: str) -> str:
    """What a row is called by people; empty where the book lacks it."""
    connection = truth.connection
    if table.name in ("sheet", "call"):
        return _sheet(truth, t.sheet.c.uid, uid)
    if "uid" not in table.c:
        return ""
    # In its own book the row may go by another identity.
    own = next(
        (old for (what, old), new in truth.known_as.items() if what == table.name and new == uid),
        uid,
    )
    found = records(connection, select(table).where(table.c.uid == own))
    if not found:
        return ""
    row = found[0]
    for name in ("tag", "name", "road", "model", "value", "summary", "file_name"):
        if row.get(name):
            return str(row[name])
    people = [
        str(name)
        for column, other in (
            ("customer_id", t.customer.c.name),
            ("site_id", t.site.c.road),
            ("well_id", t.well.c.tag),
        )
        if row.get(column)
        for name in connection.execute(
            select(other).where(other.table.c.id == row[column])
        ).scalars()
    ]
    if table.name == "water_system":
        fed = select(t.well.c.tag).where(t.well.c.system_id == row["id"]).order_by(t.well.c.tag)
        people = list(connection.execute(fed.limit(3)).scalars())
    return ", ".join(people)


def _sheet(truth: Truth, column: Any, uid: str) -> str:
    query = (
        select(t.sheet.c.kind, t.sheet.c.start_on, t.well.c.tag)
        .join(t.well, t.well.c.id == t.sheet.c.well_id)
        .where(column == uid)
    )
    row = truth.connection.execute(query).first()
    return f"{row.kind} of {row.start_on} at {row.tag}" if row else ""


def _place(truth: Truth, uid: str) -> str:
    row = well_row(truth.connection, uid)
    said = ", ".join(x for x in (row["road"], row["town"]) if x) if row else ""
    return said or "a well without a place"


def well_row(connection: Connection, uid: str) -> Record | None:
    """A well with its road and town."""
    query = (
        select(t.well.c.tag, t.site.c.road, t.site.c.town)
        .outerjoin(t.site, t.site.c.id == t.well.c.site_id)
        .where(t.well.c.uid == uid)
    )
    return next(iter(records(connection, query)), None)


def _said(name: str, values: Mapping[str, Any]) -> str:
    """The value of a field; of an uncertain date its words."""
    if f"{name}_text" in values:
        value = values[f"{name}_text"]
    elif name == "place":
        value = ", ".join(str(v) for v in values.values() if v is not None)
    elif name == "points":
        value = ", ".join(f"{q:g}:{h:g}" for q, h in values["points"])
    else:
        value = values.get(name)
    if value is None or value == "":
        return "(nothing)"
    text = " / ".join(str(value).split("\n"))
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."


def _sheets_apart(here: Mapping[str, str], there: Mapping[str, str]) -> tuple[str, str]:
    """Of two versions of a sheet only what differs."""
    if not ("document" in here and "document" in there):
        words = ["stays on record" if "document" in one else "withdrawn" for one in (here, there)]
        return words[0], words[1]
    flat = [_flat(json.loads(one["document"])) for one in (here, there)]
    names = [n for n in {**flat[0], **flat[1]} if flat[0].get(n) != flat[1].get(n)]
    said = [
        _said("", {"": "; ".join(f"{n} {one.get(n, 'not said')}" for n in names)}) for one in flat
    ]
    return said[0], said[1]


def _flat(value: Any, name: str = "") -> dict[str, str]:
    if isinstance(value, dict):
        inner = {f"{name}.{k}" if name else k: v for k, v in value.items()}
        return {k: v for n, one in inner.items() for k, v in _flat(one, n).items()}
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return {
            k: v for n, one in enumerate(value, 1) for k, v in _flat(one, f"{name} {n}").items()
        }
    return {name: str(value)}
