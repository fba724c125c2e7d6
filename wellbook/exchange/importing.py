"""A file on its way into the book: looked at, read by a mapping, written or only rehearsed."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice
from pathlib import Path

from sqlalchemy import Connection, func, select

from wellbook.exchange import reading
from wellbook.exchange.deciding import Decisions
from wellbook.exchange.import_counts import Counts
from wellbook.exchange.layout import REASON, Layout
from wellbook.exchange.mapping import WellMapping
from wellbook.exchange.proposing import propose
from wellbook.exchange.rows_aside import RowsAside
from wellbook.exchange.surveying import survey
from wellbook.exchange.well_clerk import Clerk
from wellbook.exchange.well_import import import_wells
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.phones import Numbering
from wellbook.terms import Role

_SAMPLE = 400
_SHARE = 0.5
"""Of the records of a file that a source must know for the file to be of that source."""


@dataclass(frozen=True)
class Job:
    """A file as it is to be read: its layout, the mapping, the header, and whose its wells are."""

    path: Path
    layout: Layout
    mapping: WellMapping
    header: tuple[str, ...]
    role: Role
    role_why: str
    numbering: Numbering

    @property
    def columns(self) -> str:
        """A sum over the headers, in whatever order they stand; "" for a file without."""
        return columns_of(self.header)


@dataclass(frozen=True)
class Outcome:
    """What became of a file, or would: the counts, and all that is noted of its rows."""

    counts: Counts
    aside: RowsAside


def columns_of(header: Sequence[str]) -> str:
    """The sum over headers by which files of the same columns are known.

    >>> columns_of(["b", "A "]) == columns_of(["a", "b", "reason"])
    True
    """
    names = sorted(h.strip().lower() for h in header if h.strip())
    names = [n for n in names if n != REASON]
    return hashlib.sha256("\x1f".join(names).encode()).hexdigest()[:16] if names else ""


def prepare(
    path: Path,
    book: Book,
    *,
    mapping: WellMapping | None = None,
    sheet: str = "",
    unit: str = "",
    source: str = "",
    role: Role | None = None,
    today: date,
) -> Job:
    """Look into a file and find out how it is to be read.

    Parameters
    ----------
    mapping
        How it is read, where somebody says so; else it is proposed.
    source
        Whose records they are; "" for the source that has brought the same columns and records, else
        the file's own name.
    role
        Whose the wells are; None for what the file is: with customers the shop's own.

    Raises
    ------
    WellbookError
        If it cannot be read, or has no such sheet.
    """
    layout = reading.look(path, sheet)
    proposed = mapping or propose(layout, path.stem)
    proposed = proposed.with_unit(unit) if unit else proposed
    header = reading.header_of(path, proposed)
    if source:
        proposed = replace(proposed, source=source)
    whose, why = _role(proposed, role)
    with book.reading() as connection:
        numbering = Numbering.of_book(connection)
        if mapping is None and not source:
            clerk = Clerk(proposed, header, today, whose, numbering)
            proposed = _known_source(connection, path, proposed, header, clerk)
    proposed = survey(path, proposed, header)
    return Job(path, layout, proposed, header, whose, why, numbering)


def _role(mapping: WellMapping, said: Role | None) -> tuple[Role, str]:
    if said is not None:
        return said, "as you say"
    if mapping.people:
        return Role.OURS, "it names customers; --as reference for public records"
    return Role.REFERENCE, "it names no customers; --as ours for the shop's own"


def _known_source(
    connection: Connection,
    path: Path,
    mapping: WellMapping,
    header: tuple[str, ...],
    clerk: Clerk,
) -> WellMapping:
    """The mapping with the source of an earlier file of the same columns and records."""
    columns, run, row = columns_of(header), t.import_run, t.imported_row
    if not columns:
        return mapping
    query = (
        select(func.max(run.c.id), run.c.source, func.max(run.c.file_name))
        .where(run.c.columns == columns, run.c.undone_at.is_(None))
        .group_by(run.c.source)
        .order_by(func.max(run.c.id).desc())
    )
    runs = connection.execute(query).all()
    if not runs or any(name == mapping.name for _, name, _ in runs):
        return mapping
    mended = header[-1:] == (REASON,)
    some = islice(reading.data_rows(path, mapping), _SAMPLE)
    keys = {clerk.key(r.cells) for r in some if not r.fault}
    for number, name, file_name in runs:
        of_source = (row.c.source == name) & row.c.row_key.in_(keys)
        known = connection.execute(select(func.count()).where(of_source)).scalar_one()
        if mended or known >= _SHARE * max(1, len(keys)):
            source, _, table = name.rpartition(" / ")
            what = "refused rows" if mended else "columns and records"
            said = f"source: {source}, whose {what} these are ({file_name}, run {number})"
            grounds = {**mapping.grounds, "source": said}
            return replace(mapping, source=source, table=table, grounds=grounds)
    return mapping


@contextmanager
def brought_in(
    connection: Connection,
    job: Job,
    *,
    who: str,
    today: date,
    decisions: Decisions,
    begin: Callable[[int], None] = lambda _: None,
    progress: Callable[[int], None] = lambda _: None,
) -> Iterator[Outcome]:
    """Bring a file in, in the caller's transaction; what is noted of its rows is there to be read.

    Parameters
    ----------
    begin, progress
        Told how many rows there are, and how many are done as they are.

    Raises
    ------
    WellbookError
        If the mapping will not do, or a decision cannot be carried out. Nothing is then written.
    """
    job.mapping.check()
    clerk = Clerk(job.mapping, job.header, today, job.role, job.numbering)
    with RowsAside() as aside:
        aside.put((clerk.key(row.cells), row) for row in reading.data_rows(job.path, job.mapping))
        begin(aside.count("row"))
        counts = import_wells(
            connection,
            aside,
            clerk,
            who=who,
            file_name=job.path.name,
            today=today,
            decisions=decisions,
            columns=job.columns,
            progress=progress,
        )
        yield Outcome(counts, aside)
