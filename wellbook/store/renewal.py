"""The whole ledger renewed: after a change of a rule, of the shop's numbers, or of all that is in the book."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Generator
from contextlib import closing
from time import monotonic

from sqlalchemy import Connection, delete, insert, select

from wellbook.rules.finding import Settings
from wellbook.store import tables as t
from wellbook.store.due_rows import Changes, make_changes
from wellbook.store.judging import changes, owing_wells
from wellbook.store.mark import made_by, mark, set_mark
from wellbook.store.rows import batches, log
from wellbook.store.settings import settings
from wellbook.store.side_by_side import Lots, changes_side_by_side
from wellbook.terms import Role

Progress = Callable[[int, int], None]
"""Takes how many wells of how many have been judged."""

_WORTH_S = 2.0
"""Where less than this is left to do, other processes would hardly have begun."""


def renew_all(connection: Connection, progress: Progress = lambda _a, _b: None) -> None:
    """Renew every well's part of the ledger and set the book's mark."""
    _renew_everywhere(connection, None, progress, as_kept=False)


def renew_old(
    connection: Connection, progress: Progress = lambda _a, _b: None, *, as_kept: bool = False
) -> None:
    """Renew what the ledger has by rules, or by numbers, that are not today's, and set the mark.

    Parameters
    ----------
    as_kept
        Whether the caller has changed nothing yet that rules look at, so that other processes, which
        see only what is kept, can judge for this one.
    """
    by, mine = made_by(connection).mark, mark(connection)
    names = mine.old_in(by)
    everything = None if names >= mine.by_rule.keys() else names
    _renew_everywhere(connection, everything, progress, as_kept=as_kept)


def save_settings(
    connection: Connection, who: str, proposed: Settings, *, as_kept: bool = False
) -> None:
    """Keep changed numbers and renew what the ledger has by them (`as_kept` as in `renew_old`)."""
    old = settings(connection).changed
    connection.execute(delete(t.setting))
    for name, value in sorted(proposed.changed.items()):
        connection.execute(insert(t.setting).values(name=name, value=json.dumps(value)))
    log(connection, who, "change", "setting", "rules", old=old, new=proposed.changed)
    renew_old(connection, as_kept=as_kept)


def _renew_everywhere(
    connection: Connection, names: Collection[str] | None, progress: Progress, *, as_kept: bool
) -> None:
    if names is None:
        ours = select(t.well.c.id).where(t.well.c.role == Role.OURS.value)
        connection.execute(delete(t.due).where(t.due.c.well_id.not_in(ours)))
    lots = list(batches(owing_wells(connection)))
    wells, done = sum(map(len, lots)), 0
    with closing(_differing(connection, names, lots, as_kept=as_kept)) as differing:
        for lot, found in zip(lots, differing, strict=True):
            make_changes(connection, found)
            done += len(lot)
            progress(done, wells)
    set_mark(connection)


def _differing(
    connection: Connection, names: Collection[str] | None, lots: Lots, *, as_kept: bool
) -> Generator[Changes, None, None]:
    """By what the ledger of each lot differs, by this process or by as many as there are processors."""
    shop, begun = settings(connection), monotonic()
    for lot in lots[:1]:
        yield changes(connection, lot, shop, names)
    rest = lots[1:]
    worth_it = (monotonic() - begun) * len(rest) > _WORTH_S
    if not (as_kept and worth_it and _can_be_looked_into(connection)):
        yield from (changes(connection, lot, shop, names) for lot in rest)
        return
    with closing(changes_side_by_side(_place(connection), shop, names, rest)) as others:
        for lot, found in zip(rest, others, strict=True):
            yield changes(connection, lot, shop, names) if found is None else found


def _can_be_looked_into(connection: Connection) -> bool:
    """Whether others can read the book while this one writes: a file kept without a write-ahead log
    would let neither of them go on."""
    if connection.dialect.name != "sqlite":
        return True
    return str(connection.exec_driver_sql("PRAGMA journal_mode").scalar()) == "wal"


def _place(connection: Connection) -> str:
    url = connection.engine.url
    if connection.dialect.name == "sqlite":
        return str(url.database)
    return url.render_as_string(hide_password=False)
