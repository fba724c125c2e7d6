"""A book's rows as they are named across books, and both sides' change logs."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, Table, case, select

from wellbook.exchange.merging.lines import Id, Line, read_log
from wellbook.exchange.merging.sides import Key, Row, Side
from wellbook.exchange.trace import made_uids
from wellbook.store import tables as t
from wellbook.store.kept import Kept
from wellbook.store.rows import ENTRY, UNDO, batches, records

LINE = ("uid", "at", "who", "action", "what", "row_uid", "old", "new")


class Truth:
    """The rows of one book, each by what it is called in every book.

    Parameters
    ----------
    known_as
        Rows of this book that go by another identity: the same thing was entered in both books.
    """

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.known_as: dict[Id, str] = {}
        self._uids: dict[str, dict[int, str]] = {}

    def called(self, table: str, uid: str) -> str:
        """The identity by which a row goes."""
        return self.known_as.get((table, uid), uid)

    def uids(self, table: Table) -> Mapping[int, str]:
        """The identities of a table's rows, by their numbers in this book."""
        if table.name not in self._uids:
            query = select(table.c.id, table.c.uid)
            self._uids[table.name] = {row.id: row.uid for row in self.connection.execute(query)}
        return self._uids[table.name]

    def rows(self, kept: Kept) -> dict[Key, Row]:
        """All rows of a table of the book's truth."""
        query = select(*kept.columns)
        if kept.which is not None:
            query = query.where(kept.which)
        # In the order of this book, so that what is taken over comes in in its order.
        order = kept.table.c.id if "id" in kept.table.c else kept.table.primary_key.columns[0]
        found: dict[Key, Row] = {}
        points = self._points() if kept.name == "pump_model" else None
        for plain in records(self.connection, query.order_by(order)):
            row = self._named(kept, plain)
            if points is not None:
                row["points"] = points.get(row["uid"], ())
            found[tuple(row[c] for c in kept.key)] = row
        return found

    def _named(self, kept: Kept, plain: Mapping[str, Any]) -> dict[str, Any]:
        row = dict(plain)
        for column, table in kept.points.items():
            if row[column] is not None and "uid" in table.c:
                row[column] = self.called(table.name, self.uids(table)[row[column]])
        if not self.known_as:
            return row
        if kept.has_uid:
            row["uid"] = self.called(kept.name, row["uid"])
        for column in ("root_uid", "sheet_root_uid"):
            if column in row:
                row[column] = self.called("root", row[column])
        if "occurrence" in row:
            for (what, old), new in self.known_as.items():
                if what in ("well", "root") and old in row["occurrence"]:
                    row["occurrence"] = row["occurrence"].replace(old, new)
        return row

    def _points(self) -> dict[str, tuple[tuple[float, float], ...]]:
        """The curves of pump models, each as one value, as the change log has it."""
        curves: dict[str, list[tuple[float, float]]] = defaultdict(list)
        uids = self.uids(t.pump_model)
        query = select(t.pump_point).order_by(t.pump_point.c.gpm)
        for model, gpm, head_ft in self.connection.execute(query):
            curves[self.called("pump_model", uids[model])].append((gpm, head_ft))
        return {uid: tuple(points) for uid, points in curves.items()}

    def values(self, table: Table) -> dict[str, Any]:
        """A table of names and values."""
        name, value = table.columns
        return {row[0]: row[1] for row in self.connection.execute(select(name, value))}


# -- the logs ----------------------------------------------------------------------------------


def line_uids(connection: Connection) -> set[str]:
    """The identities of all lines of a change log."""
    return set(connection.execute(select(t.change.c.uid)).scalars())


def lines_of(connection: Connection, uids: Iterable[str]) -> list[Line]:
    """Some lines of a change log, oldest first."""
    table = t.change
    found: list[tuple[int, Line]] = []
    for some in batches(sorted(uids)):
        query = select(table.c.id, *(table.c[n] for n in LINE)).where(table.c.uid.in_(some))
        found += [(row[0], Line(*row[1:])) for row in connection.execute(query)]
    return [line for _, line in sorted(found, key=lambda pair: pair[0])]


def read_side(connection: Connection, own: list[Line], other: Connection) -> Side:
    """What is known of one book, held against the other.

    Parameters
    ----------
    own
        Its lines of the change log that the other lacks.
    """
    table = t.change
    undone = case((table.c.action == UNDO, table.c.new))
    named = select(table.c.what, table.c.row_uid, table.c.action, undone).where(
        table.c.action.in_(["add", "import", "remove", UNDO]),
        ~((table.c.action == UNDO) & table.c.what.in_([ENTRY, "import_run"])),
    )
    ever: set[Id] = set()
    removed: set[Id] = set()
    for what, uid, action, new in connection.execute(named.order_by(table.c.id)):
        if action == UNDO:
            (removed.add if new is None else removed.discard)((what, uid))
        else:
            (removed if action == "remove" else ever).add((what, uid))
    side = Side(read_log(own, ever, removed))
    runs = select(t.import_run.c.uid)
    theirs = set(other.execute(runs).scalars())
    imports = (uid for what, uid in ever if what == "import_run")
    side.runs = {*connection.execute(runs).scalars(), *imports}
    taken_back = t.import_run.c.undone_at.is_not(None)
    side.undone = set(connection.execute(runs.where(taken_back)).scalars())
    _files(connection, side, theirs)
    _made_by_runs(connection, side)
    moved = [
        uid
        for (what, uid), names in side.log.touched.items()
        if what == "well" and "system_id" in names
    ]
    for some in batches(moved):
        query = select(t.site.c.uid).join(t.well, t.well.c.site_id == t.site.c.id)
        side.moved.update(connection.execute(query.where(t.well.c.uid.in_(some))).scalars())
    return side


def _made_by_runs(connection: Connection, side: Side) -> None:
    """Rows that imports made, by the traces that they left."""
    run, step = t.import_run, t.import_change
    for uid, made in connection.execute(select(run.c.uid, run.c.made).where(run.c.made != "")):
        counts: dict[str, int] = json.loads(made)
        for table in counts:
            for made_uid in made_uids(uid, counts, table):
                side.by_file.setdefault((table, made_uid), set()).add(uid)
    query = select(run.c.uid, step.c.what, step.c.row_uid).join(step, step.c.run_id == run.c.id)
    for uid, what, row_uid in connection.execute(query.where(step.c.old.is_(None))):
        side.by_file.setdefault((what, row_uid), set()).add(uid)


def _files(connection: Connection, side: Side, theirs: set[str]) -> None:
    """Which rows came in with which imports."""
    query = (
        select(
            t.import_run.c.uid.label("run"),
            t.well.c.uid.label("well"),
            t.site.c.uid.label("site"),
            t.water_system.c.uid.label("water_system"),
        )
        .join(t.imported_row, t.imported_row.c.run_id == t.import_run.c.id)
        .join(t.well, t.well.c.id == t.imported_row.c.well_id)
        .join(t.water_system, t.water_system.c.id == t.well.c.system_id)
        .outerjoin(t.site, t.site.c.id == t.well.c.site_id)
    )
    for row in records(connection, query):
        for table in ("well", "site", "water_system"):
            if row[table] is not None:
                side.by_file.setdefault((table, row[table]), set()).add(row["run"])
                if row["run"] not in theirs:
                    side.from_file.add((table, row[table]))
