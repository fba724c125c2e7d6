"""Two records that are one are joined; that they are two is kept; either is taken back.

A join unites what hangs on the two and keeps what differs in the notes of the one that stays. It is
written down step by step (`store.steps`), in one transaction, and is taken back as long as nothing
was built on it.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Table, insert, select, update

from wellbook.errors import NotFoundError, ReplayError, WellbookError
from wellbook.store import tables as t
from wellbook.store.decided import told_apart
from wellbook.store.identity import new_uid, now
from wellbook.store.joining_customers import join_customer_rows
from wellbook.store.joining_wells import join_well_rows, renew_after
from wellbook.store.rows import Record, by_id, log, records
from wellbook.store.steps import Steps, names_of_kept, pointing, take_back
from wellbook.terms import PairDecision, PairOf

TABLES: dict[PairOf, Table] = {PairOf.CUSTOMER: t.customer, PairOf.WELL: t.well}


def join(
    connection: Connection, who: str, what: PairOf, keep: int, gone: int
) -> tuple[int, list[str]]:
    """Let two records be one: what hangs on the one that goes hangs on the other from now on.

    That they were told apart before is taken back with it.

    Returns
    -------
    The number of the decision, by which it is taken back, and what differed, line by line.

    Raises
    ------
    WellbookError
        If they are one record already, or the sheets of two wells do not work out together.
    """
    one, other = _both(connection, TABLES[what], keep, gone)
    apart = told_apart(connection, what).get(frozenset((one["uid"], other["uid"])))
    if apart is not None:
        back(connection, who, apart)
    steps, differed = _joined(connection, who, what, one, other)
    made = _decide(connection, who, what, PairDecision.JOINED, (one, other), steps=steps)
    return made, differed


def steps_of(connection: Connection, who: str, what: PairOf, keep: int, gone: int) -> str:
    """Join two records as another book decided it; the steps, as a decision keeps them.

    Raises
    ------
    WellbookError
        As `join` does.
    """
    one, other = _both(connection, TABLES[what], keep, gone)
    steps, _ = _joined(connection, who, what, one, other)
    return json.dumps(steps, ensure_ascii=False)


def _joined(
    connection: Connection, who: str, what: PairOf, one: Record, other: Record
) -> tuple[dict[str, Any], list[str]]:
    """What a join did, as it is kept, and what differed."""
    steps = Steps(connection)
    joined = join_customer_rows if what is PairOf.CUSTOMER else join_well_rows
    try:
        differed, touched = joined(connection, who, steps, one, other)
    except ReplayError as error:
        raise WellbookError(
            f"the sheets of {_name(what, one)} and {_name(what, other)} do not fit each other:"
            f" {error}; put that right first (wellbook correct), or tell the two apart"
        ) from None
    hangs = _hangs(connection, TABLES[what], one["id"])
    return {"steps": steps.taken, "hangs": hangs, "wells": touched}, differed


def tell_apart(connection: Connection, who: str, what: PairOf, one: int, other: int) -> int:
    """Keep that two records are two: they are not listed as likely doubles again.

    Returns
    -------
    The number of the decision.
    """
    first, second = _both(connection, TABLES[what], one, other)
    if frozenset((first["uid"], second["uid"])) in told_apart(connection, what):
        raise WellbookError(
            f"{_name(what, first)} and {_name(what, second)} are told apart already"
        )
    return _decide(connection, who, what, PairDecision.APART, (first, second), steps={})


def back(connection: Connection, who: str, number: int, *, quietly: bool = False) -> Record:
    """Take a decision back: after a join the book is as it was before.

    Parameters
    ----------
    quietly
        Whether no line of the change log is written, since the other book's comes in.

    Raises
    ------
    NotFoundError
        If there is no such decision.
    WellbookError
        If something was built on it since, which is said.
    """
    table = t.decided_pair
    found = records(connection, select(table).where(table.c.id == number))
    if not found:
        raise NotFoundError(
            f"nothing was decided under the number {number}; see: wellbook doubles decided"
        )
    row = found[0]
    if row["taken_back_at"]:
        raise WellbookError(f"number {number} was taken back already")
    if row["decision"] == PairDecision.JOINED:
        _part(connection, row)
    connection.execute(update(table).where(table.c.id == number).values(taken_back_at=now()))
    if not quietly:
        log(connection, who, "take back", "decided_pair", row["uid"], old={"names": row["names"]})
    return row


def _part(connection: Connection, row: Record) -> None:
    said = json.loads(row["steps"])
    if not said:
        raise WellbookError(
            f"number {row['id']} cannot be taken back: who it was about was forgotten on a wish"
        )
    what = PairOf(row["what"])
    table = TABLES[what]
    keep = connection.execute(select(table.c.id).where(table.c.uid == row["one_uid"])).scalar()
    if keep is None:
        raise WellbookError(f"{_last(connection, row)}; take that back first")
    before = Counter(said["hangs"])
    more = Counter(_hangs(connection, table, keep)) - before
    if more:
        tables = Counter(key.split(" ")[0].replace("_", " ") for key in more)
        listed = ", ".join(f"{n} {name}{'s' if n > 1 else ''}" for name, n in tables.items())
        raise WellbookError(
            f"number {row['id']} cannot be taken back: {listed} came to {row['names'].split(' <- ')[0]}"
            " since; whose they are would have to be guessed"
        )
    try:
        take_back(connection, said["steps"])
        if what is PairOf.WELL:
            renew_after(connection, [row["one_uid"], row["other_uid"], *said["wells"]])
        else:
            from wellbook.store.wells import refresh
            from wellbook.store.word_index import wells_of

            both = select(table.c.id).where(table.c.uid.in_([row["one_uid"], row["other_uid"]]))
            refresh(connection, wells_of(connection, list(connection.execute(both).scalars())))
    except WellbookError as error:
        raise WellbookError(f"number {row['id']} cannot be taken back: {error}") from None


def _last(connection: Connection, row: Record) -> str:
    """Where a record that is not there went."""
    table = t.decided_pair
    query = select(table.c.id, table.c.names).where(
        table.c.other_uid == row["one_uid"],
        table.c.decision == PairDecision.JOINED.value,
        table.c.taken_back_at.is_(None),
    )
    found = connection.execute(query).first()
    return f"it was joined on in number {found[0]}" if found else "it is no longer in the book"


def _hangs(connection: Connection, table: Table, number: int) -> list[str]:
    """What points to a record, and to a well's place and system, by the tables' names and the rows'
    keys."""
    to = [(table, number)]
    if table is t.well:
        row = by_id(connection, t.well, number)
        to += [(t.water_system, row["system_id"]), (t.site, row["site_id"])]
    return [
        f"{kept.name} {names_of_kept(kept, row, connection)}"
        for target, at in to
        for kept, _, row in pointing(connection, target, at)
        if kept.name not in ("contact_about", "message_about", "calendar_entry")
    ]


def _both(connection: Connection, table: Table, one: int, other: int) -> tuple[Record, Record]:
    if one == other:
        raise WellbookError("these are one record already; name two")
    return by_id(connection, table, one), by_id(connection, table, other)


def _name(what: PairOf, row: Record) -> str:
    return str(row["tag"]) if what is PairOf.WELL else f"customer {row['id']} {row['name']}"


def _decide(
    connection: Connection,
    who: str,
    what: PairOf,
    decision: PairDecision,
    pair: Sequence[Record],
    *,
    steps: dict[str, Any],
) -> int:
    one, other = pair
    row = {
        "uid": new_uid(),
        "what": what.value,
        "decision": decision.value,
        "one_uid": one["uid"],
        "other_uid": other["uid"],
        "names": f"{_name(what, one)} {'<-' if decision is PairDecision.JOINED else '|'} {_name(what, other)}",
        "steps": json.dumps(steps, ensure_ascii=False),
        "at": now(),
        "who": who,
        "taken_back_at": None,
    }
    made = connection.execute(insert(t.decided_pair).values(**row))
    action = "join" if decision is PairDecision.JOINED else "tell apart"
    same = {name: row[name] for name in ("names", "one_uid", "other_uid")}
    log(connection, who, action, "decided_pair", str(row["uid"]), new=same)
    return int(made.inserted_primary_key[0])  # type: ignore[index]
