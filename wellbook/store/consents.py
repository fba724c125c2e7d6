"""What customers said of being reached by post, telephone or e-mail: yes or no, when and how.

Every answer is kept; the last one counts, by the day on which it was given.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, Connection, select

from wellbook.errors import WellbookError
from wellbook.store import tables as t
from wellbook.store.rows import Record, add, batches, change, records
from wellbook.terms import Answer, ContactWay, Permission


@dataclass(frozen=True, slots=True)
class Consent:
    """An answer that counts: what was said, on which day and how."""

    answer: Answer
    on_day: date
    how: str


Answers = Mapping[tuple[int, ContactWay], Consent]
"""The answer that counts, by customer and way; no line where nobody has said anything."""


def answers(connection: Connection, customer_ids: Iterable[int]) -> Answers:
    """What counts of the answers of some customers."""
    numbers = sorted(customer_ids)
    table = t.consent
    found: dict[tuple[int, ContactWay], Consent] = {}
    for batch in batches(numbers):
        query = select(table).where(table.c.customer_id.in_(batch))
        for row in records(connection, query.order_by(table.c.on_day, table.c.id)):
            key = (row["customer_id"], ContactWay(row["way"]))
            found[key] = Consent(Answer(row["answer"]), row["on_day"], row["how"])
    return found


def answers_by_address(connection: Connection, customer_ids: Iterable[int]) -> Answers:
    """What counts for some customers who are about to be reached: their own answers, and the no of
    whoever else is reached by the same number or e-mail address, unless theirs is newer.

    Who says stop means the address, whoever else has it, and whichever of two cards of one person it
    was written on. For commercial e-mail the law says so (15 U.S.C. 7704(a)(4)(A)).
    """
    people = set(customer_ids)
    found = dict(answers(connection, people))
    refusing = select(t.consent.c.customer_id).where(t.consent.c.answer == Answer.NO.value)
    theirs = _addresses(connection, t.contact_point.c.customer_id.in_(refusing))
    said = answers(connection, {number for numbers in theirs.values() for number in numbers})
    numbers = sorted(people) if theirs else []
    for batch in batches(numbers):
        some = t.contact_point.c.customer_id.in_(batch)
        for (way, address), mine in _addresses(connection, some).items():
            stops = [said[who, way] for who in theirs.get((way, address), ()) if (who, way) in said]
            for stop in (one for one in stops if one.answer is Answer.NO):
                for number in mine:
                    own = found.get((number, way))
                    if own is None or own.on_day <= stop.on_day:
                        found[number, way] = stop
    return found


def _addresses(
    connection: Connection, whose: ColumnElement[bool]
) -> dict[tuple[ContactWay, str], list[int]]:
    """Telephone numbers and e-mail addresses, each with the customers who are reached by it.

    A number is the same however it was written: it is compared in E.164 where it is a valid one.
    """
    point = t.contact_point
    query = select(
        point.c.customer_id, point.c.way, point.c.value, point.c.digits, point.c.e164
    ).where(whose, point.c.way != ContactWay.POST.value)
    found: dict[tuple[ContactWay, str], list[int]] = {}
    for number, way, value, digits, e164 in connection.execute(query.order_by(point.c.id)):
        address = e164 or digits or value.strip().lower()
        found.setdefault((ContactWay(way), address), []).append(number)
    return found


def permission(said: Answers, customer_id: int, way: ContactWay) -> Permission:
    """Whether a way may be used, as far as anybody has said."""
    one = said.get((customer_id, way))
    return Permission.UNKNOWN if one is None else Permission(one.answer.value)


def history(connection: Connection, customer_id: int) -> list[Record]:
    """Every answer of a customer, oldest first."""
    table = t.consent
    query = select(table).where(table.c.customer_id == customer_id)
    return records(connection, query.order_by(table.c.on_day, table.c.id))


def say(
    connection: Connection,
    who: str,
    customer_id: int,
    way: ContactWay,
    answer: Answer,
    *,
    on_day: date,
    how: str,
    today: date,
) -> None:
    """Write down what a customer said of a way. A stop counts at once.

    An answer that is on record with a day ahead was written down by a clock that was wrong: it is
    brought to today, as it would else outlast what is said now.

    Raises
    ------
    WellbookError
        If the day lies ahead, or a yes does not say how it was given.
    """
    if on_day > today:
        raise WellbookError(f"{on_day} lies ahead", where="--on")
    if answer is Answer.YES and not how.strip():
        raise WellbookError(
            'a yes needs to say how it was given, such as --how "ticked it on the sheet"',
            where="--how",
        )
    table = t.consent
    ahead = select(table.c.id).where(table.c.customer_id == customer_id, table.c.on_day > today)
    for number in connection.execute(ahead).scalars().all():
        change(connection, who, table, number, {"on_day": today})
    add(
        connection,
        who,
        table,
        {
            "customer_id": customer_id,
            "way": way.value,
            "answer": answer.value,
            "on_day": on_day,
            "how": how.strip(),
            "who": who,
        },
    )
