"""The outbox: each message is written here before it goes and marked after.

Writers wait for each other, so what is looked up and written in one transaction holds. A program
that is killed between the two marks leaves a message `going`: the next run shows it as in doubt and
sends nothing about what it tells of, until somebody who has looked says whether it went.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, insert, select, update

from wellbook.errors import NotFoundError, WellbookError
from wellbook.store import tables as t
from wellbook.store.contacts import Spoken, write_down
from wellbook.store.identity import new_uid, now
from wellbook.store.lives import Key, Life, Standing, standing
from wellbook.store.rows import Record, batches, by_id, records
from wellbook.store.stays import residents_now
from wellbook.terms import MessageStatus, RemindBy, Said

LIVE = (MessageStatus.GOING.value, MessageStatus.MADE.value)


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A message that is about to go.

    `about` are the occurrences that it tells of, each with its round.
    """

    customer_id: int
    site_id: int
    by: RemindBy
    address: str
    subject: str
    body: str
    about: tuple[tuple[Key, int], ...]


def told_already(connection: Connection, well_ids: Iterable[int]) -> dict[tuple[Key, int], str]:
    """What a message that went, or may have gone, tells of: occurrence and round -> its status."""
    return {
        turn: row["status"]
        for turn, row in _told_of(connection, well_ids, t.message.c.status.in_(LIVE))
    }


def open_calls(connection: Connection, well_ids: Iterable[int]) -> dict[tuple[Key, int], int]:
    """What stands on a call list: occurrence and round -> the list's message."""
    listed = (
        t.message.c.by == RemindBy.CALL.value,
        t.message.c.status == MessageStatus.MADE.value,
    )
    return {turn: row["id"] for turn, row in _told_of(connection, well_ids, *listed)}


def _told_of(
    connection: Connection, well_ids: Iterable[int], *which: ColumnElement[bool]
) -> Iterator[tuple[tuple[Key, int], Record]]:
    """Occurrence and round, with the message that tells of it, oldest first.

    One to a customer who has left told the one who is there now of nothing.
    """
    numbers = sorted(set(well_ids))
    about, sent = t.message_about, t.message
    there = residents_now(connection, numbers)
    query = (
        select(about, sent.c.id, sent.c.status, sent.c.customer_id)
        .join(sent, sent.c.id == about.c.message_id)
        .where(*which)
        .order_by(sent.c.id)
    )
    for batch in batches(numbers):
        some = about.c.well_id.in_(batch)
        for row in records(connection, query.where(some)):
            if there.get(row["well_id"], row["customer_id"]) == row["customer_id"]:
                yield ((row["well_id"], row["occurrence"]), row["round"]), row


def may_tell(life: Life | None, key: Key, told: dict[tuple[Key, int], str], day: date) -> bool:
    """Whether an occurrence may be told of on a day: once in each round, while it stands as due."""
    turn = life.round if life else 0
    told_by_hand = life is not None and life.told_round == turn
    due = standing(life, day) is Standing.DUE
    return due and not told_by_hand and (key, turn) not in told


def begin(
    connection: Connection,
    who: str,
    messages: Sequence[Outgoing],
    *,
    run_uid: str,
    today: date,
    file_name: str = "",
) -> list[int]:
    """Write messages down before they go; their numbers. Commit before anything is sent.

    A message about something that another run has told of in the meantime is left out.
    """
    told = told_already(connection, {key[0] for m in messages for key, _ in m.about})
    numbers: list[int] = []
    for message in messages:
        if not message.about or any((key, turn) in told for key, turn in message.about):
            continue
        number = _add(connection, _row(message, who, run_uid, today, file_name))
        connection.execute(
            insert(t.message_about),
            [
                {"message_id": number, "well_id": well, "occurrence": occurrence, "round": turn}
                for (well, occurrence), turn in message.about
            ],
        )
        told.update(dict.fromkeys(message.about, MessageStatus.GOING.value))
        numbers.append(number)
    return numbers


def _row(message: Outgoing, who: str, run_uid: str, today: date, file_name: str) -> dict[str, Any]:
    return {
        "uid": new_uid(),
        "run_uid": run_uid,
        "customer_id": message.customer_id,
        "site_id": message.site_id,
        "by": message.by.value,
        "address": message.address,
        "subject": message.subject,
        "body": message.body,
        "status": MessageStatus.GOING.value,
        "started_at": now(),
        "ended_at": None,
        "on_day": today,
        "answer": "",
        "file_name": file_name,
        "who": who,
    }


def _add(connection: Connection, row: Mapping[str, Any]) -> int:
    # No line in the change log: the outbox is one itself, and a person's words stand in one place.
    number = connection.execute(insert(t.message).values(**row)).inserted_primary_key
    assert number is not None
    return int(number[0])


def end(
    connection: Connection,
    who: str,
    number: int,
    status: MessageStatus,
    *,
    answer: str = "",
    today: date,
) -> None:
    """Mark what became of a message; of one that was made, that the customer was told.

    A call list tells nobody: that a customer was told is written down when the call was made.
    """
    row = by_id(connection, t.message, number)
    ended = {"status": status.value, "ended_at": now(), "answer": answer}
    connection.execute(update(t.message).where(t.message.c.id == number).values(**ended))
    by = RemindBy(row["by"])
    if status is MessageStatus.MADE and by is not RemindBy.CALL:
        about = about_of(connection, number)
        spoken = Spoken(Said.TOLD, row["on_day"], by)
        write_down(connection, who, about[0][0], spoken, about, today=today, message_id=number)


def about_of(connection: Connection, number: int) -> list[Key]:
    """What a message tells of."""
    table = t.message_about
    query = select(table.c.well_id, table.c.occurrence).where(table.c.message_id == number)
    return [
        (w, o) for w, o in connection.execute(query.order_by(table.c.well_id, table.c.occurrence))
    ]


def messages_of(connection: Connection, numbers: Sequence[int]) -> Iterator[Record]:
    """Messages by their numbers, one after the other, each with the customer's name and the place.

    They are fetched as they are asked for, so that a thousand letters take no more memory than one.
    """
    for batch in batches(numbers):
        yield from records(connection, _whole(t.message.c.id.in_(batch)))


def _whole(condition: ColumnElement[bool]) -> Select[Any]:
    sent, person, place = t.message, t.customer, t.site
    return (
        select(sent, person.c.name, place.c.road, place.c.town)
        .join(person, person.c.id == sent.c.customer_id)
        .join(place, place.c.id == sent.c.site_id)
        .where(condition)
        .order_by(sent.c.id)
    )


def in_doubt(connection: Connection) -> list[Record]:
    """Messages that are going, or were broken off: nobody can know whether they went."""
    return records(connection, _whole(t.message.c.status == MessageStatus.GOING.value))


def of_run(connection: Connection, run_uid: str) -> dict[MessageStatus, list[int]]:
    """The messages of one run, by where they stand."""
    sent = t.message
    query = select(sent.c.status, sent.c.id).where(sent.c.run_uid == run_uid).order_by(sent.c.id)
    found: dict[MessageStatus, list[int]] = {}
    for status, number in connection.execute(query):
        found.setdefault(MessageStatus(status), []).append(number)
    return found


def settle(connection: Connection, who: str, number: int, *, went: bool, today: date) -> Record:
    """Say of a message in doubt whether it went.

    Raises
    ------
    NotFoundError
        If there is no message of that number.
    WellbookError
        If it is not in doubt.
    """
    found = records(connection, select(t.message).where(t.message.c.id == number))
    if not found:
        raise NotFoundError(f"there is no message {number}; wellbook remind shows those in doubt")
    if found[0]["status"] != MessageStatus.GOING.value:
        said = MessageStatus(found[0]["status"]).label
        raise WellbookError(f"message {number} is not in doubt: it is marked '{said}'")
    status = MessageStatus.MADE if went else MessageStatus.NOT_SENT
    end(connection, who, number, status, answer=f"so said by {who}", today=today)
    return found[0]


def refused_addresses(
    connection: Connection, customer_ids: Iterable[int]
) -> dict[tuple[int, str], str]:
    """Addresses of some customers at which a mail server's last word was a refusal, with that word."""
    sent = t.message
    query = (
        select(sent.c.customer_id, sent.c.address, sent.c.status, sent.c.answer)
        .where(sent.c.by == RemindBy.EMAIL.value)
        .where(sent.c.status.in_([MessageStatus.MADE.value, MessageStatus.REFUSED.value]))
        .order_by(sent.c.id)
    )
    last: dict[tuple[int, str], str] = {}
    numbers = sorted(set(customer_ids))
    for batch in batches(numbers):
        some = sent.c.customer_id.in_(batch)
        for customer, address, status, answer in connection.execute(query.where(some)):
            key = (customer, address.lower())
            last.pop(key, None)
            if status == MessageStatus.REFUSED.value:
                last[key] = answer
    return last
