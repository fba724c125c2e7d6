"""What follows from rows that were changed is worked out anew: strings, the ledger, the words."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Table, delete, select

from wellbook.store import tables as t
from wellbook.store.judging import renew
from wellbook.store.pump_writing import wells_with
from wellbook.store.replaying import rebuild
from wellbook.store.rows import Record, batches
from wellbook.store.wells import wells_at, wells_of_customer
from wellbook.store.word_index import index_wells
from wellbook.terms import Role

_REPLAYED = frozenset({"sheet", "well", "water_system"})
"""Tables whose changes may change what hangs in a well."""


def touched(connection: Connection, lines: Iterable[Record]) -> set[int]:
    """The wells that lines of the change log are about, as the book stands now.

    Asked before and after what they tell of is taken back: a customer who leaves has his wells
    before, and one who comes has them after.
    """
    wells: set[int] = set()
    for line in lines:
        rows = [json.loads(line[name]) for name in ("old", "new") if line[name]]
        table = t.METADATA.tables.get(line["what"])
        if table is not None and "uid" in table.c:
            query = select(table).where(table.c.uid == line["row_uid"])
            rows += [dict(row) for row in connection.execute(query).mappings()]
            rows = [{**row, "_of": table} for row in rows]
        for row in rows:
            wells |= _wells(connection, row)
    return wells


def _wells(connection: Connection, row: Mapping[str, Any]) -> set[int]:
    of: Table | None = row.get("_of")
    found: set[int] = set()

    def number_of(table: Table, column: str) -> int | None:
        return row.get("id") if of is table else row.get(column)

    if well := number_of(t.well, "well_id"):
        found.add(well)
    if site := number_of(t.site, "site_id"):
        found |= set(wells_at(connection, site))
    if person := number_of(t.customer, "customer_id"):
        found |= set(wells_of_customer(connection, person))
    if system := number_of(t.water_system, "system_id"):
        query = select(t.well.c.id).where(t.well.c.system_id == system)
        found |= set(connection.execute(query).scalars())
    if of is t.pump_model and row.get("model_key"):
        found |= set(wells_with(connection, {row["model_key"]}))
    return found


def settle(
    connection: Connection, wells: Iterable[int], rows: Sequence[tuple[Table, Record]]
) -> None:
    """Replay what may hang otherwise, and renew the ledger and the words of some wells.

    Parameters
    ----------
    rows
        The rows that were changed, as they were and as they are, each with its table.
    """
    well = t.well
    replayed = any(table.name in _REPLAYED for table, _ in rows)
    systems = {row["system_id"] for table, row in rows if table is well}
    there: dict[int, str] = {}
    for some in batches(sorted(set(wells))):
        query = select(well.c.id, well.c.role, well.c.system_id).where(well.c.id.in_(some))
        for number, role, system in connection.execute(query):
            there[number] = role
            systems.add(system)
    if replayed:
        left = select(well.c.system_id).where(well.c.system_id.in_(sorted(systems)))
        for number in rebuild(connection, *sorted(set(connection.execute(left).scalars()))):
            there.setdefault(number, "")
    roles = select(well.c.id, well.c.role).where(well.c.id.in_(sorted(there)))
    ours = [n for n, role in connection.execute(roles) if role == Role.OURS.value]
    renew(connection, ours)
    for some in batches(sorted(set(there) - set(ours))):
        connection.execute(delete(t.due).where(t.due.c.well_id.in_(some)))
    index_wells(connection, sorted(there))
