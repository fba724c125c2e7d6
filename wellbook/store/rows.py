"""Rows in and out: uncertain dates as three columns, and every change in the change log."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from enum import Enum
from typing import Any, TypeVar, cast
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, Executable, RootTransaction, Table, insert, select, update

from wellbook.dates import When
from wellbook.errors import WellbookError
from wellbook.limits import too_long
from wellbook.store import tables as t
from wellbook.store.identity import another_moment, new_uid

Record = Mapping[str, Any]
"""A row by its columns' names."""
AT_ONCE = 500
"""How many numbers one query asks for at most: engines take only so many values."""


Item = TypeVar("Item")


def batches(items: Sequence[Item], size: int = AT_ONCE) -> Iterator[Sequence[Item]]:
    """The items in their order, some at a time.

    >>> [list(some) for some in batches([1, 2, 3], 2)]
    [[1, 2], [3]]
    """
    for start in range(0, len(items), size):
        yield items[start : start + size]


def records(connection: Connection, query: Executable) -> list[Record]:
    """The rows of a query by their columns' names."""
    return cast(list[Record], connection.execute(query).mappings().all())


def document_of(text: str) -> dict[str, Any]:
    """What a sheet on record says; nothing where something else than this program has changed its text.

    >>> document_of('{"reason": "other"}'), document_of('{"reason": ')
    ({'reason': 'other'}, {})
    """
    try:
        said = json.loads(text)
    except ValueError:
        return {}
    return said if isinstance(said, dict) else {}


def put_when(prefix: str, when: When | None) -> dict[str, Any]:
    """The three columns of an uncertain date."""
    return {
        f"{prefix}_earliest": when.earliest if when else None,
        f"{prefix}_latest": when.latest if when else None,
        f"{prefix}_text": when.text if when else None,
    }


def get_when(row: Mapping[str, Any], prefix: str) -> When | None:
    """The uncertain date in three columns; None where there is none."""
    words = row[f"{prefix}_text"]
    if words is None:
        return None
    return When(row[f"{prefix}_earliest"], row[f"{prefix}_latest"], words)


def claim_text(value: object) -> str:
    """The value of a statement as text; of a date its bounds, then the words it was said in."""
    return f"{value.edtf()} = {value.text}" if isinstance(value, When) else str(value)


def said_when(text: str, noted_on: date) -> When:
    """A date from the text of a statement that was made on a day."""
    bounds, parted, words = text.partition(" = ")
    if not parted:
        # A book of an older version holds the words alone.
        return When.parse(text, said_on=noted_on)
    when = When.parse(bounds or "unknown", said_on=noted_on)
    return When.between(when.earliest, when.latest, words)


def plain(value: Any) -> Any:
    """A value as JSON has it: dates as ISO text, words as text."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Enum):
        return value.value
    return value


_as_json = json.JSONEncoder(ensure_ascii=False).encode


def as_json(values: Mapping[str, Any]) -> str:
    """Values as JSON text for the change log."""
    return _as_json({k: plain(v) for k, v in values.items()})


_MOMENTS: WeakKeyDictionary[RootTransaction, str] = WeakKeyDictionary()


def moment(connection: Connection) -> str:
    """The moment at which a transaction writes: one for all its lines of the change log.

    By it the lines of one command are known to belong together (`store.entries`), so it is unlike
    that of the line before, however fast one command follows the other.
    """
    running = connection.get_transaction()
    known = _MOMENTS.get(running) if isinstance(running, RootTransaction) else None
    if known is not None:
        return known
    last = select(t.change.c.at).order_by(t.change.c.id.desc()).limit(1)
    at = another_moment(connection.execute(last).scalar() or "")
    begun = connection.get_transaction()
    if isinstance(begun, RootTransaction):
        _MOMENTS[begun] = at
    return at


UNDO = "undo"
"""Action of the lines of an entry that takes another one back."""

ENTRY = "change"
"""What the first line of such an entry is about: the entry, by the uid of its first line."""


def log(
    connection: Connection,
    who: str,
    action: str,
    what: str,
    uid: str,
    *,
    old: Mapping[str, Any] | None = None,
    new: Mapping[str, Any] | None = None,
) -> None:
    """Write one line of the change log."""
    connection.execute(
        insert(t.change).values(
            uid=new_uid(),
            at=moment(connection),
            who=who,
            action=action,
            what=what,
            row_uid=uid,
            old=as_json(old) if old is not None else None,
            new=as_json(new) if new is not None else None,
        )
    )


def log_about(connection: Connection, who: str, well_uid: str) -> None:
    """Write that what else this command wrote is about a well.

    For what is taken out of the book: whose it was is then told by no row any more, and the change
    log is looked through by the rows of a well.
    """
    log(connection, who, "about", "well", well_uid)


def add(connection: Connection, who: str, table: Table, values: Mapping[str, Any]) -> int:
    """Add a row with a new identity, and log it.

    Returns
    -------
    The row's number in this book.
    """
    row = {"uid": new_uid(), **values}
    fit_lengths(row)
    number = connection.execute(insert(table).values(**row)).inserted_primary_key[0]  # type: ignore[index]
    log(connection, who, "add", table.name, row["uid"], new=row)
    return int(number)


def change(
    connection: Connection, who: str, table: Table, number: int, values: Mapping[str, Any]
) -> bool:
    """Change some columns of a row, and log what they were; False where nothing differed."""
    row = by_id(connection, table, number)
    differs = {k: v for k, v in values.items() if row[k] != v}
    if not differs:
        return False
    fit_lengths(differs)
    connection.execute(update(table).where(table.c.id == number).values(**differs))
    old = {k: row[k] for k in differs}
    log(connection, who, "change", table.name, row["uid"], old=old, new=differs)
    return True


_WHOLE = frozenset({"document", "steps"})
"""Columns of the program's own texts, in which many of a user's stand together."""


def fit_lengths(values: Mapping[str, Any]) -> None:
    """Refuse a text that is longer than any can be; what stands in a book already is left alone.

    Raises
    ------
    WellbookError
        Naming the field.
    """
    for name, value in values.items():
        if isinstance(value, str) and name not in _WHOLE and (wrong := too_long(value)):
            raise WellbookError(wrong, where=name.replace("_", " "))


def by_id(connection: Connection, table: Table, number: int) -> Mapping[str, Any]:
    """One row by its number."""
    return records(connection, select(table).where(table.c.id == number))[0]
