"""Entries of the change log in words of the trade: what was done, to what, and what stood there before."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, select

from wellbook.store import tables as t
from wellbook.store.entries import Entry, entry_by_uid, lines_of, taken_back
from wellbook.store.row_names import called, named
from wellbook.store.rows import ENTRY, UNDO, Record, batches, document_of, records
from wellbook.terms import Kind, Quantity, SheetStatus

_HIDDEN = frozenset(
    {
        *("id", "uid", "root_uid", "sheet_root_uid", "booking_uid", "sha256", "document", "with"),
        *("name_key", "road_key", "maker_key", "model_key", "digits", "e164"),
        *("recorded_at", "recorded_by", "entered_on", "added_on", "at", "who", "message_id"),
        *("media_type", "size_bytes", "well_id", "taken_back_at"),
    }
)
"""Columns that say nothing to people, or what the line says anyway."""
_DONE = {"add": "added", "change": "changed", "remove": "taken out", UNDO: "changed back"}
_POINTS: Mapping[str, Table] = {"customer_id": t.customer, "site_id": t.site}


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a row, as it was and as it became; None for nothing."""

    name: str
    old: Any
    new: Any


@dataclass(frozen=True, slots=True)
class Told:
    """One line of the log in words.

    Parameters
    ----------
    number, action, what, row_uid
        As the log has them.
    name
        What the row is called, with whose it is.
    done
        What was done to it.
    fields
        What stood there, and what stands there since.
    """

    number: int
    action: str
    what: str
    row_uid: str
    name: str
    done: str
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class ToldEntry:
    """An entry in words; `more` is how many of its lines are not told, `undone` whether it stands."""

    entry: Entry
    lines: tuple[Told, ...]
    more: int
    undone: bool
    undoes: int | None


def told_entries(
    connection: Connection,
    entries: Sequence[Entry],
    *,
    most: int | None = None,
    about: Collection[str] = (),
) -> list[ToldEntry]:
    """Entries in words.

    Parameters
    ----------
    most
        How many lines of each at most; None for all.
    about
        Only lines about these rows, where an entry has any and too many others.
    """
    gone = taken_back(connection, [entry.uid for entry in entries])
    found = []
    for entry in entries:
        lines = lines_of(connection, entry, most=None if most is None else most + 1)
        if most is not None and len(lines) > most and about:
            own: list[Record] = []
            for some in batches(sorted(about)):
                own += lines_of(connection, entry, most=most + 1, about=some)
            lines = sorted(own, key=lambda line: line["id"]) or lines
        shown = lines if most is None else lines[:most]
        told = _Words(connection, shown).told()
        more = 0 if most is None else entry.last - entry.number + 1 - len(shown)
        other = entry_by_uid(connection, entry.undoes) if entry.undoes else None
        undoes = other.number if other else None
        found.append(ToldEntry(entry, tuple(told), max(more, 0), entry.uid in gone, undoes))
    return found


class _Words:
    """Puts lines in words by the rows that they are about: as they are, else as the lines have them."""

    def __init__(self, connection: Connection, lines: Sequence[Record]) -> None:
        self.connection, self.lines = connection, lines
        self.masked = self._forgotten()

    def _forgotten(self) -> set[str]:
        gone, found = t.forgotten, set[str]()
        for some in batches(sorted({line["row_uid"] for line in self.lines})):
            query = select(gone.c.row_uid).where(
                gone.c.row_uid.in_(some), gone.c.what.in_(["customer", "contact_point", "consent"])
            )
            found |= set(self.connection.execute(query).scalars())
        return found

    def told(self) -> list[Told]:
        return [told for line in self.lines if (told := self._told(line)) is not None]

    def _told(self, line: Record) -> Told | None:
        what, action = line["what"], line["action"]
        if action == "about":
            return None
        old, new = (json.loads(line[name]) if line[name] else {} for name in ("old", "new"))
        name, done, fields = self._parted(line, what, action, old, new)
        if line["row_uid"] in self.masked:
            name, fields = _nobody(what, action), ()
        return Told(line["id"], action, what, line["row_uid"], name, done, tuple(fields))

    def _parted(
        self, line: Record, what: str, action: str, old: dict[str, Any], new: dict[str, Any]
    ) -> tuple[str, str, Sequence[Field]]:
        if (action, what) == (UNDO, ENTRY):
            entry = entry_by_uid(self.connection, line["row_uid"])
            number = f" {entry.number}" if entry else ""
            again = "done again" if entry and entry.undoes else "taken back"
            return f"entry{number}", again, ()
        if what in ("setting", "shop", "template"):
            return self._said(line, what, old, new)
        if what == "system_site":
            row = old or new
            place = named(self.connection, t.occupancy, row).split(" at ", 1)[-1]
            return place, "draws on the water no longer" if old else "draws on the water", ()
        row = self._row(what, line["row_uid"], {**old, **new})
        table = t.METADATA.tables.get(what)
        if what in ("call", "pump_point"):
            table = t.sheet if what == "call" else t.pump_model
            row = self._row(table.name, line["row_uid"], {})
        name = named(self.connection, table, row) if table is not None and row else called(what)
        if what == "sheet":
            return name, *self._sheet(action, new, row)
        if what == "occupancy" and action == "add":
            return name, "moved in", _fields({}, {k: v for k, v in new.items() if "since" in k})
        if action in ("join", "tell apart", "forget", "merge", "import", "take back"):
            return name, _ACTIONS[action], _fields({}, new if action in ("import", "merge") else {})
        if action == UNDO and what == "import_run":
            return name, "taken back", ()
        return name, self._how(action, old, new), self._fields(old, new)

    def _how(self, action: str, old: dict[str, Any], new: dict[str, Any]) -> str:
        if action == UNDO and not (old and new):
            return "brought back" if new else "taken out again"
        return _DONE.get(action, action)

    def _said(
        self, line: Record, what: str, old: dict[str, Any], new: dict[str, Any]
    ) -> tuple[str, str, Sequence[Field]]:
        names = {"setting": "numbers of the rules", "shop": "the shop"}
        name = names.get(what, f"letter {line['row_uid']}")
        fields = [
            Field(n, old.get(n), new.get(n)) for n in {**old, **new} if old.get(n) != new.get(n)
        ]
        return name, "changed", fields

    def _sheet(
        self, action: str, new: dict[str, Any], row: Mapping[str, Any]
    ) -> tuple[str, Sequence[Field]]:
        if action == "add":
            return "recorded", sheet_fields(row.get("document") or "")
        status = new.get("status")
        words = {
            SheetStatus.SUPERSEDED: "put right by a newer one",
            SheetStatus.WITHDRAWN: "withdrawn",
            SheetStatus.VALID: "counts again",
        }
        done = next((said for word, said in words.items() if status == word.value), "changed")
        why = new.get("status_why") or ""
        plain = status == SheetStatus.VALID.value or why in ("", "corrected", "withdrawn")
        return done, () if plain else (Field("why", None, why),)

    def _row(self, what: str, uid: str, said: dict[str, Any]) -> dict[str, Any]:
        """The row itself where it is in the book, else what the line says of it."""
        table = t.METADATA.tables.get(what)
        if table is None or "uid" not in table.c:
            return said
        found = records(self.connection, select(table).where(table.c.uid == uid))
        if found:
            return dict(found[0])
        # Of one that is gone, all that its other lines say: a line of a change has a few columns.
        line = t.change
        query = select(line.c.old, line.c.new).where(line.c.row_uid == uid, line.c.what == what)
        whole: dict[str, Any] = {}
        for was, is_now in self.connection.execute(query.order_by(line.c.id)):
            whole |= {**json.loads(was or "{}"), **json.loads(is_now or "{}")}
        return whole if table.name != "sheet" or "kind" in whole else {}

    def _fields(self, old: dict[str, Any], new: dict[str, Any]) -> list[Field]:
        shown = [
            {name: self._pointed(name, value) for name, value in row.items()} for row in (old, new)
        ]
        return _fields(shown[0], shown[1])

    def _pointed(self, name: str, value: Any) -> Any:
        if name == "system_id":
            return None if value is None else f"water system {value}"
        table = _POINTS.get(name)
        if table is None or value is None:
            return value
        found = records(self.connection, select(table).where(table.c.id == value))
        # The field says already what it is.
        of = f"{called(table.name)} "
        return named(self.connection, table, found[0]).removeprefix(of) if found else value


def _nobody(what: str, action: str) -> str:
    """What a row of somebody who was forgotten is called; that he was, his last line says by itself."""
    who = "customer" if action == "forget" else "customer who was forgotten on a wish"
    return who if what == "customer" else f"{called(what)} of a {who}"


_ACTIONS = {
    "join": "joined",
    "tell apart": "told apart",
    "take back": "taken back",
    "forget": "forgotten on a wish",
    "merge": "merged",
    "import": "brought in",
}


def _fields(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[Field]:
    """The fields of a row that say something to people; of an uncertain date its words."""
    names: dict[str, str] = {}
    for name in {**old, **new}:
        if name in _HIDDEN or name.endswith(("_earliest", "_latest")):
            continue
        names[name] = (
            name.removesuffix("_text") if f"{name[:-5]}_latest" in {**old, **new} else name
        )
    found = []
    for name, word in names.items():
        was, is_now = (row.get(name) for row in (old, new))
        if was != is_now and not (was in (None, "") and is_now in (None, "")):
            found.append(Field(word.removesuffix("_id").replace("_", " "), was, is_now))
    return found


def sheet_fields(document: str) -> list[Field]:
    """What a sheet tells of, in few words: its reason, what was set, pulled and measured."""
    data = document_of(document)
    found = [Field("reason", None, data["reason"])] if data.get("reason") else []
    for section in ("set", "pulled", "back", "down", "found", "measured", "sample"):
        told = data.get(section)
        if isinstance(told, dict) and told:
            words = [_word(name) for name in told]
            found.append(Field(section, None, ", ".join(words)))
    return found


def _word(name: str) -> str:
    known = {kind.value: kind.label for kind in Kind} | {q.value: q.label for q in Quantity}
    return known.get(name, name.replace("_", " "))
