"""Who was forgotten on his wish and stands in a former list still: he is left out, his well comes in."""

from __future__ import annotations

from sqlalchemy import Connection, select

from wellbook.exchange.person import Person
from wellbook.store import tables as t
from wellbook.store.forgotten import mark_of, marks_kept


class ForgottenPeople:
    """Those whom the book was asked to forget: by the sums over name and number that are kept, and by
    the rows that a source has told of them before."""

    def __init__(self, connection: Connection) -> None:
        self.marks = marks_kept(connection).keys()
        gone = t.forgotten
        mine = (gone.c.row_uid == t.customer.c.uid) & (gone.c.what == "customer")
        self.customers = set(connection.execute(select(t.customer.c.id).join(gone, mine)).scalars())

    def has(self, person: Person, customer_id: int | None) -> bool:
        """Whether he is one of them, by any of the ways in which his name is written."""
        if customer_id is not None and customer_id in self.customers:
            return True
        ways = [*(p.value for p in person.phones), *person.digits, *person.emails]
        return bool(self.marks) and any(
            mark_of(name, way) in self.marks for name in (person.name, *person.also) for way in ways
        )
