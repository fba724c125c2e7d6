"""What decisions on doubles keep of a person who is forgotten, and how it goes.

They keep former values, to be able to bring them back. What would bring a forgotten person back can be
taken back no more: `store.doubles` says so.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, select, update

from wellbook.store import tables as t
from wellbook.store.rows import UNDO, batches, records
from wellbook.terms import PairDecision, PairOf

_HE_IS = frozenset({"customer", "contact_point", "consent"})
Without = Callable[[str], str]
"""Takes his words out of a text."""


def walked(value: Any, without: Without) -> Any:
    """A value of a JSON text, with his words taken out of each text in it."""
    if isinstance(value, dict):
        return {name: walked(x, without) for name, x in value.items()}
    if isinstance(value, list):
        return [walked(x, without) for x in value]
    return without(value) if isinstance(value, str) else value


@dataclass(slots=True)
class Former:
    """Under which records a person was in the book before they were joined into his.

    Parameters
    ----------
    names, ways
        Their names, and each way to reach them (which, and its value).
    rows
        The rows that were theirs, by table and identity.
    """

    names: set[str] = field(default_factory=set)
    ways: set[tuple[str, str]] = field(default_factory=set)
    rows: set[tuple[str, str]] = field(default_factory=set)


def former_of(connection: Connection, uid: str) -> Former:
    """All records that were joined into a person's, those that were joined into them too."""
    pair, found, waiting = t.decided_pair, Former(), [uid]
    while waiting:
        query = select(pair).where(pair.c.one_uid == waiting.pop(), *_joined())
        for row in records(connection, query):
            if ("customer", row["other_uid"]) in found.rows:
                continue
            found.rows.add(("customer", row["other_uid"]))
            waiting.append(row["other_uid"])
            for step in json.loads(row["steps"]).get("steps", ()):
                for said in (step["old"] or {}, step["new"] or {}):
                    if step["table"] in _HE_IS and "uid" in said:
                        found.rows.add((step["table"], said["uid"]))
                    if step["table"] == "customer" and "name" in said:
                        found.names.add(said["name"])
                    if step["table"] == "contact_point" and "value" in said:
                        found.ways.add((said["way"], said["value"]))
    return found


def _joined() -> tuple[Any, ...]:
    pair = t.decided_pair
    return (
        pair.c.what == PairOf.CUSTOMER.value,
        pair.c.decision == PairDecision.JOINED.value,
        pair.c.taken_back_at.is_(None),
    )


def kept_for(connection: Connection, uids: Iterable[str]) -> dict[str, str]:
    """Of records that were joined into others: into which, by identities."""
    pair = t.decided_pair
    query = select(pair.c.other_uid, pair.c.one_uid).where(*_joined())
    into = {row.other_uid: row.one_uid for row in connection.execute(query)}
    found: dict[str, str] = {}
    for uid in uids:
        end, seen = uid, {uid}
        while (further := into.get(end)) and further not in seen:
            end = further
            seen.add(end)
        if end != uid:
            found[uid] = end
    return found


def clear_decisions(
    connection: Connection, own: set[tuple[str, str]], without: Without, nobody: str
) -> None:
    """Take a person out of what was decided of doubles: his own joins keep no steps, in others his
    words go."""
    pair = t.decided_pair
    people = {uid for what, uid in own if what == "customer"}
    for row in records(connection, select(pair)):
        between = " <- " if row["decision"] == PairDecision.JOINED else " | "
        names = row["names"].split(between, 1)
        his = [row["one_uid"] in people, row["other_uid"] in people]
        if row["what"] == PairOf.CUSTOMER and any(his):
            # Who was joined with him is he.
            joined = row["decision"] == PairDecision.JOINED and row["taken_back_at"] is None
            pairs = zip(names, his, strict=True)
            new = [nobody if joined or is_he else without(name) for name, is_he in pairs]
            values = {"names": between.join(new), "steps": "{}"}
        else:
            steps = json.dumps(walked(json.loads(row["steps"]), without), ensure_ascii=False)
            values = {"names": without(row["names"]), "steps": steps}
        if any(values[name] != row[name] for name in values):
            connection.execute(update(pair).where(pair.c.id == row["id"]).values(**values))


def lines_besides(connection: Connection, wells: Iterable[int]) -> set[str]:
    """Identities of which the change log tells too: runs, decisions, files of wells (those taken off
    too), what was undone, and wells and places that were joined into these."""
    line, well = t.change, t.well
    words = ("attachment", "decided_pair", "import_run")
    which = line.c.what.in_(words) | (line.c.action == UNDO)
    found = set(connection.execute(select(line.c.row_uid).where(which)).scalars())
    mine: set[str] = set()
    for some in batches(sorted(wells)):
        mine |= set(connection.execute(select(well.c.uid).where(well.c.id.in_(some))).scalars())
    pair = t.decided_pair
    query = select(pair).where(pair.c.what == PairOf.WELL.value).order_by(pair.c.id.desc())
    for row in records(connection, query):
        if row["one_uid"] not in mine:
            continue
        mine.add(row["other_uid"])
        for step in json.loads(row["steps"]).get("steps", ()):
            found |= {s["uid"] for s in (step["old"], step["new"]) if s and "uid" in s}
    return found | mine
