"""What was decided of records that looked like doubles: listed, and looked up."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, select

from wellbook.store import tables as t
from wellbook.store.rows import Record, records
from wellbook.terms import PairDecision, PairOf


@dataclass(frozen=True, slots=True)
class Decided:
    """One decision that stands."""

    number: int
    what: PairOf
    decision: PairDecision
    names: str
    at: str
    who: str


def decisions(connection: Connection) -> list[Decided]:
    """The decisions that stand, the last one first."""
    table = t.decided_pair
    query = select(table).where(table.c.taken_back_at.is_(None)).order_by(table.c.id.desc())
    return [_decided(row) for row in records(connection, query)]


def _decided(row: Record) -> Decided:
    return Decided(
        row["id"],
        PairOf(row["what"]),
        PairDecision(row["decision"]),
        row["names"],
        row["at"],
        row["who"],
    )


def told_apart(connection: Connection, what: PairOf) -> dict[frozenset[str], int]:
    """The uids of the pairs that are two for good, each with the number of the decision."""
    table = t.decided_pair
    query = select(table.c.id, table.c.one_uid, table.c.other_uid).where(
        table.c.what == what.value,
        table.c.decision == PairDecision.APART.value,
        table.c.taken_back_at.is_(None),
    )
    return {frozenset((one, other)): number for number, one, other in connection.execute(query)}
