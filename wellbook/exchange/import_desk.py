"""What lies on the desk as a file comes in: every step of the work takes it from here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date

from sqlalchemy import Connection

from wellbook.exchange.asking import Asking
from wellbook.exchange.import_counts import Counts
from wellbook.exchange.in_the_book import InTheBook
from wellbook.exchange.rows_aside import Change, RowsAside
from wellbook.exchange.trace import Trace
from wellbook.exchange.well_clerk import Clerk
from wellbook.exchange.well_record import Remark, WellRecord
from wellbook.exchange.well_writing import WellInBook
from wellbook.terms import Role


@dataclass(frozen=True, slots=True)
class Desk:
    """One run: the book, the rows set aside, how they are read, and what is noted of them.

    `touched` are the wells whose ledger and words are to be renewed once some records are written.
    """

    connection: Connection
    aside: RowsAside
    clerk: Clerk
    counts: Counts
    trace: Trace
    asking: Asking
    there: InTheBook
    who: str
    today: date
    touched: set[int] = field(default_factory=set)

    @property
    def role(self) -> Role:
        """Whose the new wells are."""
        return self.clerk.role

    @property
    def name(self) -> str:
        """How the book names the table of the source."""
        return self.clerk.mapping.name

    @property
    def source(self) -> str:
        """Whose records they are."""
        return self.clerk.mapping.source

    def made_ours(self, well: WellInBook | None) -> bool:
        """Whether a well that is in the book for reference becomes the shop's own."""
        return well is not None and self.role is Role.OURS and well.role is Role.REFERENCE

    def tell(self, record: WellRecord, changes: Iterable[tuple[str, str, str]]) -> None:
        """Note what the source says otherwise now of a record: what it is, old and new."""
        called = record.person.name if record.person else record.spelled
        what = record.tag or (record.spelled if record.own_key else called)
        self.aside.change(Change(record.rows[0], what, *change) for change in changes)

    def remarks(self, record: WellRecord, reason: str, target: str = "key") -> Iterator[Remark]:
        """The same of all rows of a record."""
        column = self.clerk.mapping.columns.get(target)
        value = record.spelled
        if target == "customer.name" and record.person:
            value = record.person.name
        return (Remark(n, column.label if column else "", value, reason) for n in record.rows)
