"""Changes to the book's truth that are written down as they are made, and can be taken back one by one.

A step names rows by their uids and never by their numbers, so it can be taken back in any book that
it came to. It is taken back only where what it made still stands as it made it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from sqlalchemy import (
    Connection,
    Date,
    Table,
    UniqueConstraint,
    delete,
    func,
    insert,
    select,
    update,
)

from wellbook.errors import WellbookError
from wellbook.store.kept import Kept, kept_tables
from wellbook.store.rows import Record, plain, records

Said = dict[str, Any]
"""A row as it is written down: by its columns, with uids where it points, days as ISO text."""


def kept_of(table: Table) -> Kept:
    """What is known of a table of the book's truth."""
    return next(kept for kept in kept_tables() if kept.table is table)


def pointing(
    connection: Connection, table: Table, number: int
) -> Iterator[tuple[Kept, str, Record]]:
    """Every row of the book's truth that points to a row, with the column by which it does."""
    for kept in kept_tables():
        for column, target in kept.points.items():
            if target is not table:
                continue
            query = select(kept.table).where(kept.table.c[column] == number)
            if kept.which is not None:
                query = query.where(kept.which)
            for row in records(connection, query.order_by(*kept.table.primary_key)):
                yield kept, column, row


class Steps:
    """What is done to the book, step by step."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.taken: list[Said] = []

    def change(self, kept: Kept, row: Record, values: Mapping[str, Any]) -> None:
        """Change some columns of a row."""
        differs = {name: value for name, value in values.items() if row[name] != value}
        if not differs:
            return
        new = {**row, **differs}
        self.taken.append(
            {
                "table": kept.name,
                "old": self._said(kept, row, {*kept.key, *differs}),
                "new": self._said(kept, new, {*kept.key, *differs}),
            }
        )
        self.connection.execute(update(kept.table).where(*_is(kept.table, row)).values(**differs))

    def remove(self, kept: Kept, row: Record) -> None:
        """Remove a row."""
        names = {column.name for column in kept.columns}
        self.taken.append(
            {
                "table": kept.name,
                "id": row.get("id"),
                "old": self._said(kept, row, names),
                "new": None,
            }
        )
        self.connection.execute(delete(kept.table).where(*_is(kept.table, row)))

    def added(self, kept: Kept, row: Mapping[str, Any]) -> None:
        """Write down that a row was added."""
        names = {column.name for column in kept.columns}
        self.taken.append({"table": kept.name, "old": None, "new": self._said(kept, row, names)})

    def repoint(self, table: Table, old: int, new: int, more: Mapping[str, Any]) -> None:
        """Let all that points to one row point to another; what then says the same twice is removed.

        Parameters
        ----------
        more
            By the name of a table: takes a row, gives further columns of it to change.
        """
        for kept, column, row in list(pointing(self.connection, table, old)):
            values = {column: new, **more.get(kept.name, lambda _row: {})(row)}
            if self._there(kept, {**row, **values}, row):
                self.remove(kept, row)
            else:
                self.change(kept, row, values)

    def _there(self, kept: Kept, wanted: Mapping[str, Any], besides: Record) -> bool:
        """Whether another row has what must be unique already."""
        unique = [
            [column.name for column in constraint.columns]
            for constraint in kept.table.constraints
            if isinstance(constraint, UniqueConstraint)
        ]
        if not kept.has_uid:
            unique.append([column.name for column in kept.table.primary_key])
        for names in unique:
            if all(wanted[n] == besides[n] for n in names):
                continue
            same = [kept.table.c[n] == wanted[n] for n in names]
            if self.connection.execute(select(kept.table).where(*same)).first():
                return True
        return False

    def _said(self, kept: Kept, row: Mapping[str, Any], names: set[str]) -> Said:
        return {
            name: self._uid(kept.points[name], row[name])
            if name in kept.points
            else plain(row[name])
            for name in sorted(names)
        }

    def _uid(self, table: Table, number: int | None) -> str | None:
        if number is None:
            return None
        query = select(table.c.uid).where(table.c.id == number)
        return str(self.connection.execute(query).scalar_one())


def _is(table: Table, row: Mapping[str, Any]) -> list[Any]:
    """The conditions that single out a row."""
    return [column == row[column.name] for column in table.primary_key]


# -- taking back -------------------------------------------------------------------------------


def take_back(connection: Connection, steps: list[Said]) -> None:
    """Take steps back, the last one first.

    Raises
    ------
    WellbookError
        Saying what has been changed since.
    """
    by_name = {kept.name: kept for kept in kept_tables()}
    for step in reversed(steps):
        kept = by_name[step["table"]]
        if step["new"] is None:
            _put_back(connection, kept, step)
        elif step["old"] is None:
            new = _read(connection, kept, step["new"])
            connection.execute(delete(kept.table).where(*_is(kept.table, new)))
        else:
            _change_back(connection, kept, step)


def _change_back(connection: Connection, kept: Kept, step: Said) -> None:
    new, old = (_read(connection, kept, step[which]) for which in ("new", "old"))
    table = kept.table
    found = records(connection, select(table).where(*(table.c[n] == new[n] for n in kept.key)))
    words = kept.name.replace("_", " ")
    if not found:
        raise WellbookError(f"a {words} that was joined is no longer in the book")
    for name, value in new.items():
        if found[0][name] != value:
            raise WellbookError(f"the {words}'s {name.replace('_', ' ')} was changed since")
    connection.execute(update(table).where(*_is(table, found[0])).values(**old))


def _put_back(connection: Connection, kept: Kept, step: Said) -> None:
    values, table = _read(connection, kept, step["old"]), kept.table
    for names in _unique(table):
        same = [table.c[n] == values[n] for n in names if n in values]
        if len(same) == len(names) and connection.execute(select(table).where(*same)).first():
            told = ", ".join(str(values[n]) for n in names)
            raise WellbookError(f"another {kept.name.replace('_', ' ')} has {told} by now")
    if step["id"] is not None:
        taken = connection.execute(select(table.c.id).where(table.c.id == step["id"])).first()
        newest = connection.execute(select(func.max(table.c.id))).scalar() or 0
        # Its old number, if the counting of the engine is past it and nobody has it.
        if not taken and step["id"] < newest:
            values["id"] = step["id"]
    connection.execute(insert(table).values(**values))


def _unique(table: Table) -> list[list[str]]:
    found = [
        [c.name for c in x.columns] for x in table.constraints if isinstance(x, UniqueConstraint)
    ]
    return [*found, *([c.name] for c in table.c if c.unique and c.name != "uid")]


def _read(connection: Connection, kept: Kept, said: Said) -> dict[str, Any]:
    """A row as it was written down, with this book's numbers."""
    values: dict[str, Any] = {}
    for name, value in said.items():
        column = kept.table.c[name]
        if value is None:
            values[name] = None
        elif name in kept.points:
            target = kept.points[name]
            number = connection.execute(select(target.c.id).where(target.c.uid == value)).scalar()
            if number is None:
                what = target.name.replace("_", " ")
                raise WellbookError(f"a {what} that it needs is no longer in the book")
            values[name] = number
        else:
            values[name] = date.fromisoformat(value) if isinstance(column.type, Date) else value
    return values


def names_of_kept(kept: Kept, row: Mapping[str, Any], connection: Connection) -> str:
    """By what a row is known in any book: the values of its key, uids where it points."""
    steps = Steps(connection)
    said = steps._said(kept, row, set(kept.key))
    return " ".join(str(value) for value in said.values())
