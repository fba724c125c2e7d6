"""Rules for rows that both books have and of which no line of a change log tells.

Imports, the outbox, the calendar and decisions write none a row, or none that says which side is right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from wellbook.exchange.merging.lines import field_of
from wellbook.exchange.merging.sides import Row, Side
from wellbook.terms import MessageStatus

_FINAL = {MessageStatus.MADE: 3, MessageStatus.REFUSED: 2, MessageStatus.NOT_SENT: 1}

Ruled = tuple[Iterable[str], Mapping[str, Any]]
"""Fields that a rule decides, and the columns to be taken from the other side."""


def _message(here: Row, there: Row, _sides: tuple[Side, Side]) -> Ruled:
    """Made outweighs all else: a message that went on either side counts as gone out."""
    mine, its = (_FINAL.get(MessageStatus(row["status"]), 0) for row in (here, there))
    marks = ("status", "ended_at", "answer")
    return ("status",), {c: there[c] for c in marks} if its > mine else {}


def _calendar(here: Row, there: Row, _sides: tuple[Side, Side]) -> Ruled:
    """The one that was given out more often; of equals the later, as one change more."""
    order = ("sequence", "changed_at", "digest")
    mine, its = (tuple(row[c] for c in order) for row in (here, there))
    taken = dict(max(here, there, key=lambda row: tuple(row[c] for c in order)))
    if mine[0] == its[0] and mine[2] != its[2]:
        taken["sequence"] += 1
    return {field_of("calendar_entry", c) for c in there}, taken


def _imported(here: Row, there: Row, sides: tuple[Side, Side]) -> Ruled:
    """What the newer import said; the sum alone, for the facts are decided as facts."""
    mine, its = sides
    newer = there["run_id"] not in mine.runs and here["run_id"] in its.runs
    return set(there), there if newer else {}


def _well(here: Row, there: Row, _sides: tuple[Side, Side]) -> Ruled:
    """A well that both entered was entered on the earlier day."""
    day = min(here["entered_on"], there["entered_on"])
    return ("entered_on",), {"entered_on": day}


def _fact(here: Row, there: Row, sides: tuple[Side, Side]) -> Ruled:
    """A reading or a stretch that a file brought follows the side whose file is news."""
    mine, its = (("well", here["well_id"]) in side.from_file for side in sides)
    if mine == its:
        return (), {}
    return {field_of("observation", c) for c in there}, there if its else {}


def _sheet(_here: Row, _there: Row, _sides: tuple[Side, Side]) -> Ruled:
    """Which version counts is decided for all versions of a sheet together."""
    return ("status",), {}


def _reached(here: Row, there: Row, _sides: tuple[Side, Side]) -> Ruled:
    """One number in two spellings is one."""
    same = (
        here["digits"] == there["digits"]
        if here["digits"]
        else (here["value"].strip().casefold() == there["value"].strip().casefold())
    )
    return (("value",), {"value": min(here["value"], there["value"])}) if same else ((), {})


def _attached(here: Row, there: Row, sides: tuple[Side, Side]) -> Ruled:
    """A file that both attached to a well: as who attached it first has it, with what either said of it.

    What was changed afterwards is decided as all else is.
    """
    row = ("attachment", here["uid"])
    later = {name for side in sides for name in side.log.touched.get(row, {})}
    first = min((here, there), key=lambda row: (row["added_on"], row["who"], row["file_name"]))
    names = ("file_name", "media_type", "size_bytes", "added_on", "who")
    values = {c: first[c] for c in names}
    said = (c for c in ("note", "sheet_root_uid") if not (here[c] and there[c]))
    values |= {c: here[c] or there[c] for c in said}
    values = {c: value for c, value in values.items() if c not in later}
    return tuple(values), values


def _decided(here: Row, there: Row, _sides: tuple[Side, Side]) -> Ruled:
    """A decision on doubles that both know: each book keeps how it comes back from it."""
    backs = [row["taken_back_at"] for row in (here, there) if row["taken_back_at"]]
    ruled = ("steps", "names", "one_uid", "other_uid", "at", "who", "taken_back_at")
    first = min((here, there), key=lambda row: (row["at"], row["who"]))
    values = {"at": first["at"], "who": first["who"]}
    return ruled, values | ({"taken_back_at": min(backs)} if backs else {})


def _run(here: Row, there: Row, _sides: tuple[Side, Side]) -> Ruled:
    """An import that was taken back in one book was taken back; its lines are counted in each book."""
    backs = [row["undone_at"] for row in (here, there) if row["undone_at"]]
    return {field_of("import_run", c) for c in there}, {"undone_at": min(backs)} if backs else {}


def _forgotten(here: Row, there: Row, _sides: tuple[Side, Side]) -> Ruled:
    """Who was forgotten on both sides was forgotten when it was first done."""
    return {"at", "who"}, min(here, there, key=lambda row: (row["at"], row["who"]))


RULED: Mapping[str, Callable[[Row, Row, tuple[Side, Side]], Ruled]] = {
    "attachment": _attached,
    "contact_point": _reached,
    "decided_pair": _decided,
    "forgotten": _forgotten,
    "sheet": _sheet,
    "observation": _fact,
    "bore_interval": _fact,
    "message": _message,
    "calendar_entry": _calendar,
    "import_run": _run,
    "imported_row": _imported,
    "well": _well,
}
"""By table: which rule decides, of a row here, the same one there, and the two sides."""
