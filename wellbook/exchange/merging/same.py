"""The same thing entered in both books: known by what it is, and one thing afterwards.

A pump model and a technician are known by name, a way to reach a customer by its number or address, a
well from a file by its row there, a file of a well by its content. Of two identities the smaller stays,
whichever book is named first; of a well that of this book stays: occurrences of its ledger are named by it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import Connection, select

from wellbook.exchange.import_sheets import UNDATED
from wellbook.exchange.merging.lines import Log
from wellbook.exchange.merging.reading import Truth
from wellbook.exchange.merging.sides import Key, Row, Side
from wellbook.hole.story import derived_uid
from wellbook.store import tables as t
from wellbook.store.rows import records

NATURAL: Mapping[str, Callable[[Row], tuple[Any, ...] | None]] = {
    "technician": lambda r: (r["name"],),
    "pump_model": lambda r: (r["model_key"], r["maker_key"]),
    "contact_point": lambda r: (
        r["customer_id"],
        r["way"],
        r["digits"] or r["value"].strip().casefold(),
    ),
    "paper": lambda r: (r["well_id"], r["sheet_root_uid"], r["kind"]),
    "decided_pair": lambda r: (
        (r["what"], *sorted((r["one_uid"], r["other_uid"])))
        if r["decision"] == "apart" and r["taken_back_at"] is None
        else None
    ),
    "attachment": lambda r: (r["well_id"], r["sha256"]),
    "contact": lambda r: (r["message_id"], r["said"]) if r["message_id"] else None,
    "occupancy": lambda r: (r["customer_id"], r["site_id"]) if r["until_text"] is None else None,
    "forgotten": lambda r: (r["row_uid"], r["what"]),
}
"""By what a row is known beside its identity; None where by nothing."""


def unite(
    table: str,
    truths: tuple[Truth, Truth],
    rows: tuple[dict[Key, Row], dict[Key, Row]],
    sides: tuple[Side, Side],
) -> tuple[dict[Key, Row], dict[Key, Row], dict[str, str]]:
    """Both books' rows of a table, where the same thing goes by one identity.

    Returns
    -------
    The rows of this book and of the other, and this book's identities that change, old to new.
    """
    natural = NATURAL.get(table)
    here, there = rows
    if natural is None:
        return here, there, {}
    known = {natural(row): key[0] for key, row in here.items() if key not in there}
    known.pop(None, None)
    renamed: dict[str, str] = {}
    for key, row in there.items():
        mine = None if key in here else known.pop(natural(row), None)
        if mine is None:
            continue
        old, new = max(mine, key[0]), min(mine, key[0])
        which = 0 if old == mine else 1
        truths[which].known_as[table, old] = new
        _rename(sides[which].log, table, old, new)
        if which == 0:
            renamed[old] = new
    mine, its = (_renamed(some, truth, table) for some, truth in zip(rows, truths, strict=True))
    return mine, its, renamed


def _renamed(rows: dict[Key, Row], truth: Truth, table: str) -> dict[Key, Row]:
    named = ((truth.called(table, row["uid"]), row) for row in rows.values())
    return {(uid,): {**row, "uid": uid} for uid, row in named}


def _rename(log: Log, table: str, old: str, new: str) -> None:
    row = (table, old)
    if row in log.touched:
        log.touched[table, new] = log.touched.pop(row)
    for kept in (log.new, log.removed):
        if row in kept:
            kept[table, new] = kept.pop(row)


# -- wells that both books brought in from a file ----------------------------------------------


def unite_imported(mine: Connection, its: Connection, truth: Truth, side: Side) -> None:
    """Let wells, places and systems of the other book that came from the same rows of the same
    source as this book's go by the identities of this one."""
    theirs, ours = _by_row(its), _by_row(mine)
    known = {row["well"] for row in ours.values()}
    others = {row["well"] for row in theirs.values()}
    pairs: dict[str, tuple[Row, Row, set[str]]] = {}
    for key, row in theirs.items():
        same = ours.get(key)
        if same is None or row["well"] in known or same["well"] in others:
            continue
        pairs.setdefault(row["well"], (row, same, set()))[2].add(key[0])
    for row, same, sources in pairs.values():
        for table in ("well", "site", "water_system", "customer"):
            if table == "customer" and row["called"] != same["called"]:
                continue
            if row[table] and same[table] and row[table] != same[table]:
                truth.known_as[table, row[table]] = same[table]
                _rename(side.log, table, row[table], same[table])
                if (table, row[table]) in side.from_file:
                    side.from_file.add((table, same[table]))
        _facts(its, truth, row, same, sources)


def _by_row(connection: Connection) -> dict[tuple[str, str], Row]:
    query = (
        select(
            t.imported_row.c.source,
            t.imported_row.c.row_key,
            t.well.c.id,
            t.well.c.uid.label("well"),
            t.site.c.uid.label("site"),
            t.water_system.c.uid.label("water_system"),
            t.customer.c.uid.label("customer"),
            t.customer.c.name.label("called"),
        )
        .join(t.well, t.well.c.id == t.imported_row.c.well_id)
        .join(t.water_system, t.water_system.c.id == t.well.c.system_id)
        .outerjoin(t.site, t.site.c.id == t.well.c.site_id)
        .outerjoin(t.customer, t.customer.c.id == t.imported_row.c.customer_id)
    )
    return {(r["source"], r["row_key"]): r for r in records(connection, query)}


def _facts(its: Connection, truth: Truth, row: Row, same: Row, sources: set[str]) -> None:
    """What an import wrote of a well is named after the well: so is it under the other name."""
    for table in (t.observation, t.bore_interval):
        query = select(table.c.uid).where(
            table.c.well_id == row["id"], table.c.sheet_root_uid.is_(None)
        )
        uids = set(its.execute(query).scalars())
        for source in sources:
            for n in range(len(uids)):
                path = (source, table.name, n)
                if (old := derived_uid(row["well"], *path)) in uids:
                    truth.known_as[table.name, old] = derived_uid(same["well"], *path)
    sheets = select(t.sheet.c.root_uid, t.sheet.c.document).where(t.sheet.c.well_id == row["id"])
    for root, document in its.execute(sheets):
        for day in (json.loads(document)["date"], UNDATED):
            for source in sources:
                if root == derived_uid(row["well"], source, "opening", day):
                    truth.known_as["root", root] = derived_uid(same["well"], source, "opening", day)
