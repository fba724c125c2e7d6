"""What telephone numbers, names and addresses are compared by, kept beside them in columns of their own.

A column that is empty has not been worked out yet: in a book from before, after an import in bulk,
where a name was changed. It is filled as the book is opened, so whoever writes such a row may leave
it empty, and empties it where he changes what it follows from.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import ColumnElement, Connection, bindparam, select, update

from wellbook.likeness.names import name_key
from wellbook.likeness.roads import road_key
from wellbook.store import tables as t
from wellbook.store.phones import Numbering, read_phones
from wellbook.store.rows import AT_ONCE, Record, batches, records
from wellbook.store.word_index import index_wells, wells_of
from wellbook.terms import ContactWay


def fill_keys(connection: Connection) -> None:
    """Work out what is missing; wells of whoever has a new number are found by it."""
    numbering = Numbering.of_book(connection)

    def number(row: Record) -> str:
        return e164_of(ContactWay(row["way"]), row["value"], numbering)

    people = _fill(connection, t.contact_point.c.e164, number)
    _fill(connection, t.customer.c.name_key, lambda row: name_key(row["name"]))
    _fill(connection, t.site.c.road_key, lambda row: road_key(row["road"], row["town"]))
    _renew_words(connection, people)


def e164_of(way: ContactWay, value: str, numbering: Numbering) -> str:
    """The one valid number of what was written; "" where there is none."""
    if way is not ContactWay.PHONE:
        return ""
    found = read_phones(value, numbering)
    return found[0].e164 if found else ""


def look_again(connection: Connection) -> None:
    """Read the numbers anew that were none so far: the shop says of another country or area code.

    What was read as a number stays the number that it is.
    """
    point = t.contact_point
    connection.execute(
        update(point)
        .where(point.c.e164 == "", point.c.way == ContactWay.PHONE.value)
        .values(e164=None)
    )
    fill_keys(connection)


def _fill(
    connection: Connection, column: ColumnElement[Any], made: Callable[[Record], str]
) -> set[int]:
    """Fill one column; the customers of the rows that came to something, where rows have one."""
    table: Any = column.table
    touched: set[int] = set()
    query = select(table).where(column.is_(None)).order_by(table.c.id).limit(AT_ONCE)
    fill = update(table).where(table.c.id == bindparam("row"))
    while rows := records(connection, query):
        values: list[Mapping[str, Any]] = [{"row": r["id"], "made": made(r)} for r in rows]
        connection.execute(fill.values({column: bindparam("made")}), values)
        if "customer_id" in table.c:
            touched |= {
                row["customer_id"] for row, value in zip(rows, values, strict=True) if value["made"]
            }
    return touched


def _renew_words(connection: Connection, customers: set[int]) -> None:
    for some in batches(sorted(customers)):
        index_wells(connection, wells_of(connection, some))
