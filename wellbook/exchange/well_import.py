"""Bringing records in: in one transaction, some hundred at a time, no record twice.

A number of a source is one record, whichever of the source's tables speaks of it. `imported_row` keeps
the sum of what each table said of each. All rows of a file that are joined in one record share its
outcome, so that written + unchanged + changed + skipped + refused are all the rows.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from datetime import date
from itertools import islice

from sqlalchemy import Connection, func, insert, select, update

from wellbook.exchange.asking import Asking
from wellbook.exchange.deciding import Decisions
from wellbook.exchange.import_counts import Counts
from wellbook.exchange.import_desk import Desk
from wellbook.exchange.in_the_book import InTheBook
from wellbook.exchange.joined_rows import joined_records
from wellbook.exchange.rows_aside import RowsAside
from wellbook.exchange.trace import Trace
from wellbook.exchange.well_clerk import Clerk
from wellbook.exchange.writing_records import WritingRecords
from wellbook.store import tables as t
from wellbook.store.identity import new_uid, now
from wellbook.store.rows import log

_AT_ONCE = 500
_TABLES = {"well": t.well, "site": t.site, "customer": t.customer}


def import_wells(
    connection: Connection,
    aside: RowsAside,
    clerk: Clerk,
    *,
    who: str,
    file_name: str,
    today: date,
    decisions: Decisions | None = None,
    columns: str = "",
    progress: Callable[[int], None] = lambda _: None,
) -> Counts:
    """Write the rows that were set aside in the caller's transaction; what is wrong is noted there.

    The clerk's role says whose the new wells are. A well that is in the book already can become the
    shop's own so, and is never taken from its care.

    Parameters
    ----------
    decisions
        What was decided on questions; what is to be decided is noted with the rows.
    columns
        A sum over the headers of the file, by which a later one of the same columns is known.
    progress
        Told the number of rows that are done, as it grows.
    """
    counts = Counts()
    name, role = clerk.mapping.name, clerk.role
    decided = decisions or Decisions()
    decided.load(connection, clerk.mapping.source)
    run = {"uid": new_uid(), "at": now(), "who": who, "file_name": file_name, "source": name}
    runs = t.import_run
    line, person = t.change, t.technician
    first = connection.execute(select(func.coalesce(func.max(line.c.id), 0))).scalar_one()
    crew = connection.execute(select(func.coalesce(func.max(person.c.id), 0))).scalar_one()
    start = {**counts.by_row, "columns": columns, "first_change": first}
    made = connection.execute(insert(runs).values(**run, **start))
    counts.run = run_id = int(made.inserted_primary_key[0])  # type: ignore[index]
    trace = Trace(connection, run["uid"], run_id)
    asking = Asking(aside, decided)
    there = InTheBook(connection, people=clerk.people, source=clerk.mapping.source)
    try:
        desk = Desk(connection, aside, clerk, counts, trace, asking, there, who, today)
        writing = WritingRecords(desk)
        wells = joined_records(aside, clerk, counts, asking)
        while some := list(islice(wells, _AT_ONCE)):
            writing.bring_in(some)
            progress(counts.rows)
    finally:
        there.close()
    decided.keep(connection, clerk.mapping.source, run_id)
    new = select(person.c.uid).where(person.c.id > crew)
    trace.came(person, connection.execute(new).scalars())
    trace.write()
    said = {"file": file_name, "source": name, "role": role.value, **asdict(counts)}
    log(connection, who, "import", "import_run", run["uid"], new=said)
    last = connection.execute(select(func.max(line.c.id))).scalar_one()
    end = {**counts.by_row, "last_change": last, "made": trace.made_text}
    connection.execute(update(runs).where(runs.c.id == run_id).values(**end))
    return counts
