"""Doubles that were joined in one of two books are joined in the other one before they are compared.

So what was changed of the record that went is found at the one that stayed, and both books name all that
hung on the two alike. A join that was taken back in one book is taken back in the other one, or stands
in both where the other one built on it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from sqlalchemy import Connection, Table, insert, select, update

from wellbook.errors import WellbookError
from wellbook.exchange.merging.lines import Log, Touch
from wellbook.store import tables as t
from wellbook.store.doubles import TABLES, back, steps_of
from wellbook.store.kept import Kept, kept_tables
from wellbook.store.rows import Record, records
from wellbook.terms import PairDecision, PairOf


def join_alike(mine: Connection, its: Connection) -> int:
    """Bring what either book joined, or took back, into the other one as well.

    Returns
    -------
    How many joins of the other book are new to this one.

    Raises
    ------
    WellbookError
        If a join cannot be made here, or taken back, with what is otherwise new; or one book joined
        what the other one told apart.
    """
    books = (mine, its)
    _contradicted(mine, its)
    joins = [_joins(connection) for connection in books]
    news = 0
    for n, connection in enumerate(books):
        for uid, row in joins[1 - n].items():
            own = joins[n].get(uid)
            if own is None and (same := _same_join(joins[n], row)) is not None:
                # Made in both books: one decision, by the smaller of its two identities.
                which = t.decided_pair.c.id == same["id"]
                smaller = min(uid, same["uid"])
                connection.execute(update(t.decided_pair).where(which).values(uid=smaller))
            elif own is None and row["taken_back_at"] is None:
                news += _again(connection, books[1 - n], row) and n == 0
            elif own and row["taken_back_at"] and not own["taken_back_at"]:
                _taken_back(connection, books[1 - n], own, row)
    return news


def _contradicted(mine: Connection, its: Connection) -> None:
    """Refuse what one book joined and the other one told apart: neither is let win unsaid."""
    for here, there, said in (
        (mine, its, "told apart in this book (number {}), joined in the other one"),
        (its, mine, "joined in this book, told apart in the other one (number {} there)"),
    ):
        # What one of them took back the other one takes back too.
        apart = {
            (row["what"], frozenset((row["one_uid"], row["other_uid"]))): row["id"]
            for row in _standing(here, PairDecision.APART, but=_taken_back_in(there))
        }
        for row in _standing(there, PairDecision.JOINED, but=_taken_back_in(here)):
            number = apart.get((row["what"], frozenset((row["one_uid"], row["other_uid"]))))
            if number is not None:
                raise WellbookError(
                    f"{row['names']}: {said.format(number)}; take one of the two back"
                    " (wellbook doubles back NO), then merge"
                )


def _standing(
    connection: Connection, decision: PairDecision, *, but: Iterable[str] = ()
) -> list[Record]:
    """The decisions of a kind that stand in a book, in the order in which they were made."""
    pair = t.decided_pair
    query = select(pair).where(pair.c.decision == decision.value, pair.c.taken_back_at.is_(None))
    out = set(but)
    return [row for row in records(connection, query.order_by(pair.c.id)) if row["uid"] not in out]


def _taken_back_in(connection: Connection) -> Iterable[str]:
    pair = t.decided_pair
    query = select(pair.c.uid).where(pair.c.taken_back_at.is_not(None))
    return connection.execute(query).scalars()


def _joins(connection: Connection) -> dict[str, Record]:
    """The joins of a book by their identities, in the order in which they were made."""
    pair = t.decided_pair
    query = select(pair).where(pair.c.decision == PairDecision.JOINED.value).order_by(pair.c.id)
    return {row["uid"]: row for row in records(connection, query)}


def _same_join(joins: Mapping[str, Record], row: Record) -> Record | None:
    names = ("one_uid", "other_uid")
    standing_too = (r for r in joins.values() if r["taken_back_at"] is row["taken_back_at"] is None)
    return next((r for r in standing_too if all(r[n] == row[n] for n in names)), None)


def _again(connection: Connection, other: Connection, row: Record) -> bool:
    """Make a join of the other book in this one; False where there is nothing to be joined."""
    what = PairOf(row["what"])
    table = TABLES[what]
    if not json.loads(row["steps"]) or _number(connection, table, row["other_uid"]) is None:
        return False
    if _number(connection, table, row["one_uid"]) is None:
        if (met := _own_join(connection, row)) is not None:
            # Joined the other way round in this book: one record, which goes by two identities.
            raise WellbookError(
                f"{row['names']} was joined in the other book, and {met} in this one: the other way"
                " round; take one of them back (wellbook doubles back NO), then merge"
            )
        if what is PairOf.WELL and _tag_taken(connection, other, row["one_uid"]):
            return False
        _copy(connection, other, _kept(table), row["one_uid"])
    keep, gone = (_number(connection, table, row[c]) for c in ("one_uid", "other_uid"))
    assert keep is not None
    assert gone is not None
    try:
        made = steps_of(connection, row["who"], what, keep, gone)
    except WellbookError as error:
        raise WellbookError(f"{row['names']}, joined in one of the two books: {error}") from None
    values = {n: v for n, v in row.items() if n != "id"} | {"steps": made}
    connection.execute(insert(t.decided_pair).values(**values))
    return True


def _taken_back(connection: Connection, other: Connection, own: Record, row: Record) -> None:
    """Take a join back as the other book did.

    Where more was built on it here, or who it was about was forgotten, it stands in both.
    """
    try:
        with connection.begin_nested():
            back(connection, row["who"], own["id"], quietly=True)
    except WellbookError:
        _stands(other, row)
        return
    which = t.decided_pair.c.id == own["id"]
    at = {"taken_back_at": row["taken_back_at"]}
    connection.execute(update(t.decided_pair).where(which).values(**at))


def _stands(connection: Connection, row: Record) -> None:
    """Join again what was taken back in this book."""
    what = PairOf(row["what"])
    pair = [_number(connection, TABLES[what], row[c]) for c in ("one_uid", "other_uid")]
    keep, gone = pair
    if keep is None or gone is None:
        raise WellbookError(
            f"{row['names']}: joined in one book and built on since, taken back in the other one, where"
            " one of them is not there any more; join or forget them alike in both, then merge"
        )
    made = steps_of(connection, row["who"], what, keep, gone)
    which = t.decided_pair.c.id == row["id"]
    connection.execute(update(t.decided_pair).where(which).values(steps=made, taken_back_at=None))


def _number(connection: Connection, table: Table, uid: str) -> int | None:
    return connection.execute(select(table.c.id).where(table.c.uid == uid)).scalar()


def _own_join(connection: Connection, row: Record) -> str | None:
    """The join of this book by which the record that is to stay went."""
    pair = t.decided_pair
    query = select(pair.c.names).where(
        pair.c.other_uid == row["one_uid"],
        pair.c.decision == PairDecision.JOINED.value,
        pair.c.taken_back_at.is_(None),
    )
    return connection.execute(query).scalar()


def _tag_taken(connection: Connection, other: Connection, uid: str) -> bool:
    tag = other.execute(select(t.well.c.tag).where(t.well.c.uid == uid)).scalar()
    return connection.execute(select(t.well.c.id).where(t.well.c.tag == tag)).first() is not None


def _kept(table: Table) -> Kept:
    return next(kept for kept in kept_tables() if kept.table is table)


def _copy(connection: Connection, other: Connection, kept: Kept, uid: str) -> int:
    """Bring a row of the other book in, with those that it points to, where they are not there."""
    number = _number(connection, kept.table, uid)
    if number is not None:
        return number
    found = records(other, select(kept.table).where(kept.table.c.uid == uid))
    if not found:
        raise WellbookError("a record that others were joined into is not in either book")
    row = dict(found[0])
    for column, table in kept.points.items():
        if row[column] is not None:
            known = select(table.c.uid).where(table.c.id == row[column])
            row[column] = _copy(connection, other, _kept(table), other.execute(known).scalar_one())
    del row["id"]
    made = connection.execute(insert(kept.table).values(**row)).inserted_primary_key
    return int(made[0])  # type: ignore[index]


def follow(log: Log, joins: Iterable[Mapping[str, str]]) -> None:
    """What a side changed of a record that went it changed of the one that stayed: of its fields, and
    of the notes in which what differed is kept."""
    for row in joins:
        table = row["what"]
        went = log.touched.get((table, row["other_uid"]))
        if not went:
            continue
        stayed = log.touched.setdefault((table, row["one_uid"]), {})
        last = max(went.values(), key=lambda touch: touch.at)
        for name in (*went, "notes"):
            stayed.setdefault(name, Touch({}, last.at, last.who))


def standing(connection: Connection) -> list[Record]:
    """The joins of a book that stand."""
    return _standing(connection, PairDecision.JOINED)
