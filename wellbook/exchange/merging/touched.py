"""Which wells a plan touches: their part of the ledger and their words are made anew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sqlalchemy import Connection, Table, select

from wellbook.exchange.merging.sides import Plan, Row
from wellbook.store import tables as t
from wellbook.store.judging import renew
from wellbook.store.pump_writing import wells_with
from wellbook.store.renewal import renew_all
from wellbook.store.rows import batches
from wellbook.store.wells import wells_at, wells_of_customer
from wellbook.store.word_index import index_wells
from wellbook.terms import Role


def touched_wells(connection: Connection, plan: Plan) -> set[int]:
    """The numbers of the wells that a plan is about, as the book stands now.

    It is asked before and after the plan is written: where a customer leaves, the wells are his
    before, and where one comes, after.
    """
    wells, sites, people, models = set[str](), set[str](), set[str](), set[str]()
    for table, part in plan.tables.items():
        own = {"well": wells, "site": sites, "customer": people}.get(table)
        if own is not None:
            own.update(key[0] for some in (part.insert, part.update, part.delete) for key in some)
        for row in _rows(plan, table):
            for column, named in (("well_id", wells), ("site_id", sites), ("customer_id", people)):
                if row.get(column):
                    named.add(row[column])
            if table == "pump_model":
                models.add(row.get("model_key", ""))
    changed = [key[0] for key in plan.of("pump_model").update]
    query = select(t.pump_model.c.model_key).where(t.pump_model.c.uid.in_(changed))
    models |= set(connection.execute(query).scalars())
    # What an update leaves as it is stands in the book alone: where a stay is, whom a number reaches.
    sites |= _pointed(connection, plan, t.occupancy, t.site)
    people |= _pointed(connection, plan, t.contact_point, t.customer)
    numbers = set(_ids(connection, t.well, wells))
    for uid in _ids(connection, t.site, sites):
        numbers.update(wells_at(connection, uid))
    for uid in _ids(connection, t.customer, people):
        numbers.update(wells_of_customer(connection, uid))
    return numbers | set(wells_with(connection, models - {""}))


def _pointed(connection: Connection, plan: Plan, table: Table, other: Table) -> set[str]:
    """What the changed rows of a table point to, by its identity."""
    found: set[str] = set()
    query = select(other.c.uid).join(table, table.c[f"{other.name}_id"] == other.c.id)
    for some in batches([key[0] for key in plan.of(table.name).update]):
        found.update(connection.execute(query.where(table.c.uid.in_(some))).scalars())
    return found


def _rows(plan: Plan, table: str) -> Iterator[Row]:
    part = plan.of(table)
    yield from part.insert.values()
    yield from part.update.values()
    yield from part.delete.values()


def _ids(connection: Connection, table: Table, uids: Iterable[str]) -> Iterator[int]:
    for some in batches(sorted(uids)):
        query = select(table.c.id).where(table.c.uid.in_(some))
        yield from connection.execute(query).scalars().all()


def refresh(
    connection: Connection, wells: Iterable[int], systems: Iterable[int], *, everything: bool
) -> None:
    """Make anew what follows: the ledger, and the words by which wells are found.

    Parameters
    ----------
    everything
        Whether a number of a rule changed: then all wells are judged anew.
    """
    well = t.well
    numbers: set[int] = set()
    for some in batches(sorted(set(systems))):
        numbers.update(
            connection.execute(select(well.c.id).where(well.c.system_id.in_(some))).scalars()
        )
    numbers.update(wells)
    there: list[int] = []
    ours: list[int] = []
    for some in batches(sorted(numbers)):
        query = select(well.c.id, well.c.role).where(well.c.id.in_(some))
        for number, role in connection.execute(query):
            there.append(number)
            ours += [number] if role == Role.OURS.value else []
    if everything:
        renew_all(connection)
    else:
        renew(connection, ours)
    index_wells(connection, there)
