"""The latest entry of the change log is taken back, by the means that each kind of it has.

A sheet is withdrawn, a correction makes way for what it corrected, an import and a join of doubles are
taken back as wholes, anything else row by row (`store.reversing`). It is a change like any other: it writes
lines of its own, by which it can be taken back itself.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, select, update

from wellbook.engineering.curves import HeadCurve
from wellbook.errors import NotFoundError, WellbookError
from wellbook.exchange.settling import settle, touched
from wellbook.rules.finding import Settings
from wellbook.store import doubles
from wellbook.store import tables as t
from wellbook.store.attachments import files_of
from wellbook.store.book import Book
from wellbook.store.entries import Entry, latest_standing, lines_of
from wellbook.store.keys import look_again
from wellbook.store.pump_writing import put_curve
from wellbook.store.renewal import save_settings
from wellbook.store.reversing import Reversing, added_by
from wellbook.store.rows import ENTRY, UNDO, Record, log, records
from wellbook.store.shop import put_fact
from wellbook.store.templates import keep_template
from wellbook.store.wells import draw, draw_no_more
from wellbook.terms import PairDecision

_NEVER = {
    ("merge", ""): "two books were merged; what came with the other is taken out by hand, or by"
    " going back to the copy that was made before: wellbook restore",
    (
        "forget",
        "",
    ): "somebody was forgotten on his wish, and nothing of him is kept to bring him back",
    ("restore", ""): "a backup was put in the place of the book; the book that was there is kept:"
    " wellbook backup --list, then wellbook restore FILE",
    (UNDO, "import_run"): "an import was taken back; bring its file in again: wellbook import",
}
"""What is never taken back, by action and by what it is about, and what to do instead."""


@dataclass(frozen=True, slots=True)
class TakenBack:
    """What was taken back: the entry, and its lines as the log has them."""

    entry: Entry
    lines: Sequence[Record]


def the_latest(connection: Connection, *, again: bool = False) -> Entry:
    """The entry that would be taken back.

    Parameters
    ----------
    again
        Whether what was taken back last is to be done again.

    Raises
    ------
    NotFoundError
        If there is none.
    """
    entry = latest_standing(connection, again=again)
    if entry is None and again:
        raise NotFoundError(
            "nothing was taken back, or something was done since; there is nothing to do again"
        )
    if entry is None:
        raise NotFoundError("nothing was done in this book that is not taken back already")
    return entry


def take_back(book: Book, connection: Connection, who: str, entry: Entry) -> TakenBack:
    """Take an entry back, which is the latest that stands, in the caller's transaction.

    Raises
    ------
    WellbookError
        If something depends on it, or it is of a kind that is never taken back: with what to do.
    """
    if not entry.whole:
        raise WellbookError(
            f"entry {entry.number} was written by an earlier version of this program, which did not"
            " note what belongs together; put it right by hand (wellbook log shows what it was)"
        )
    run = _import_of(connection, entry)
    lines = lines_of(connection, entry, most=None if run is None else 20)
    log(connection, who, UNDO, ENTRY, entry.uid)
    try:
        if run is not None:
            _import_back(connection, who, run)
        else:
            _Back(book, connection, who, lines).all()
    except WellbookError as error:
        raise WellbookError(f"entry {entry.number} cannot be taken back: {error}") from None
    return TakenBack(entry, lines)


def _import_of(connection: Connection, entry: Entry) -> int | None:
    """The number of the run of an import that an entry is."""
    line, run = t.change, t.import_run
    query = (
        select(run.c.id)
        .join(line, line.c.row_uid == run.c.uid)
        .where(line.c.id == entry.last, line.c.action == "import")
    )
    return connection.execute(query).scalar()


def _import_back(connection: Connection, who: str, run: int) -> None:
    from wellbook.exchange.undoing import undo

    undo(connection, who, run)


class _Back:
    def __init__(
        self, book: Book, connection: Connection, who: str, lines: Sequence[Record]
    ) -> None:
        self.book, self.connection, self.who, self.lines = book, connection, who, lines
        self.rows = Reversing(connection, who, added_by(lines))
        self.before: set[int] = set()

    def all(self) -> None:
        for line in self.lines:
            self._allowed(line)
        about = touched(self.connection, self.lines)
        for line in reversed(self.lines):
            self._line(line)
        about |= touched(self.connection, self.lines)
        settle(self.connection, about, self.rows.rows)

    def _allowed(self, line: Record) -> None:
        for which in ((line["action"], ""), (line["action"], line["what"])):
            if which in _NEVER:
                raise WellbookError(_NEVER[which])
        if line["what"] == "contact" and line["new"] and json.loads(line["new"]).get("message_id"):
            raise WellbookError("a message went out, and cannot be called back")

    def _line(self, line: Record) -> None:
        what, action = line["what"], line["action"]
        if what == "decided_pair" and action in ("join", "tell apart", "take back"):
            self._decision(line)
        elif action in ("about", "join") or what in (ENTRY, "technician"):
            # Who is of the crew stays known; the rest tells only what belongs together.
            return
        elif (special := getattr(self, f"_{what}", None)) is not None:
            old, new = (json.loads(line[n]) if line[n] else None for n in ("old", "new"))
            special(line, old, new)
        elif what in self.rows.kept and self.rows.kept[what].has_uid:
            self.rows.take_back(line)
        else:
            raise WellbookError(
                f"this program does not know how '{action}' of {what} is taken back"
            )

    def _decision(self, line: Record) -> None:
        table = t.decided_pair
        row = records(self.connection, select(table).where(table.c.uid == line["row_uid"]))[0]
        if line["action"] != "take back":
            doubles.back(self.connection, self.who, row["id"])
            return
        if row["decision"] == PairDecision.JOINED:
            raise WellbookError("records were parted again; to join them: wellbook doubles join")
        stands = update(table).where(table.c.id == row["id"]).values(taken_back_at=None)
        self.connection.execute(stands)
        was = {"taken_back_at": row["taken_back_at"]}
        new = {"taken_back_at": None}
        log(self.connection, self.who, UNDO, table.name, row["uid"], old=was, new=new)

    # -- what has a way of its own; each takes the line, and what it was before and after ----------

    def _setting(self, _line: Record, old: dict[str, float | str], _new: object) -> None:
        save_settings(self.connection, self.who, Settings(old))

    def _shop(self, line: Record, old: dict[str, str | None], new: dict[str, str | None]) -> None:
        name = line["row_uid"]
        put_fact(self.connection, self.who, name, new[name], old[name])
        if name in ("country", "area_code"):
            look_again(self.connection)

    def _template(self, line: Record, old: dict[str, str], _new: object) -> None:
        keep_template(self.connection, self.who, line["row_uid"], old["text"] or None)

    def _system_site(
        self, _line: Record, old: dict[str, int] | None, new: dict[str, int] | None
    ) -> None:
        if new is not None:
            draw_no_more(self.connection, self.who, new["system_id"], new["site_id"])
        elif old is not None:
            draw(self.connection, self.who, old["system_id"], old["site_id"])

    def _pump_point(
        self, line: Record, old: dict[str, str] | None, new: dict[str, str] | None
    ) -> None:
        query = select(t.pump_model.c.id).where(t.pump_model.c.uid == line["row_uid"])
        number = self.connection.execute(query).scalar_one()
        curves = [HeadCurve.parse(c["points"]) if c else None for c in (new, old)]
        put_curve(self.connection, self.who, number, curves[0], curves[1])

    def _call(self, line: Record, old: dict[str, str], new: dict[str, str]) -> None:
        call, sheet = t.call, t.sheet
        mine = select(sheet.c.id).where(sheet.c.uid == line["row_uid"]).scalar_subquery()
        which = update(call).where(call.c.sheet_id == mine)
        self.connection.execute(which.values(outcome=old["outcome"]))
        log(self.connection, self.who, UNDO, "call", line["row_uid"], old=new, new=old)

    def _attachment(self, line: Record, old: dict[str, object] | None, new: object) -> None:
        if old and "sha256" in old and (new is None or line["action"] == "remove"):
            files = files_of(self.book, self.connection)
            if wrong := files.wrong(str(old["sha256"])):
                raise WellbookError(f"the file {old['file_name']} is no longer kept ({wrong})")
        self.rows.take_back(line)
