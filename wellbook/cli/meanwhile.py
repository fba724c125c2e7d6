"""What another wrote while somebody was writing: told before his own is written, or just after."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.store.book import Book
    from wellbook.store.meanwhile import Line

LATELY = timedelta(days=1)
"""For so long another's word of a field is new to whoever writes over it."""


class ChangedSince(Exception):  # noqa: N818 - it is news; whoever is writing decides
    """What was on record when the sheet was begun is not what is there now.

    Parameters
    ----------
    news
        Who wrote what and when, and what came of it.
    """

    def __init__(self, news: list[str]) -> None:
        super().__init__(news)
        self.news = news


class Watch:
    """What was on record of a well when somebody began to write about it."""

    def __init__(self, connection: Connection, well_id: int) -> None:
        from wellbook.store.holes import load_hole
        from wellbook.store.meanwhile import lines_of_well

        self._well_id = well_id
        self.hole = load_hole(connection, well_id)
        self._lines = lines_of_well(connection, well_id)
        self._seen = {line.uid for line in self._lines}

    def written_after(self, moment: datetime) -> list[str]:
        """What is on record by now and was written after a moment: a sheet that was left is older."""
        text = moment.astimezone(UTC).isoformat(timespec="microseconds")
        return [_told(line) for line in self._lines if line.at > text]

    def look(self, connection: Connection, data: Mapping[str, Any]) -> None:
        """Look again, with the sheet that is now to be written.

        Raises
        ------
        ChangedSince
            If anything was written since the last look. It is then seen.
        """
        from wellbook.present.changes import changes
        from wellbook.store.holes import load_hole
        from wellbook.store.meanwhile import lines_of_well

        lines = [x for x in lines_of_well(connection, self._well_id) if x.uid not in self._seen]
        if not lines:
            return
        self._seen |= {line.uid for line in lines}
        now = load_hole(connection, self._well_id)
        news = [f"  {change}" for change in changes(self.hole, now)]
        self.hole = now
        raise ChangedSince([*map(_told, lines), *news, *self.beside(connection, data)])

    def beside(self, connection: Connection, data: Mapping[str, Any]) -> list[str]:
        """What else is to be told of it."""
        return []


class CorrectedWatch(Watch):
    """The same for a sheet on record: another may have corrected it meanwhile.

    Parameters
    ----------
    number
        The sheet that was opened; then the one that counts in its place.
    """

    def __init__(self, connection: Connection, number: int) -> None:
        from wellbook.store.rows import document_of
        from wellbook.store.sheets import the_sheet

        sheet = the_sheet(connection, number)
        super().__init__(connection, sheet["well_id"])
        self.number = number
        self.document: Mapping[str, Any] = document_of(sheet["document"])

    def beside(self, connection: Connection, data: Mapping[str, Any]) -> list[str]:
        """Field by field: what stood on the sheet, what another put there, what is to be written."""
        from wellbook.store.rows import document_of, plain
        from wellbook.store.sheets import versions
        from wellbook.terms import SheetStatus

        counts = [
            row
            for row in versions(connection, self.number)
            if row["status"] == SheetStatus.VALID and row["id"] != self.number
        ]
        if not counts:
            return []
        theirs: Mapping[str, Any] = document_of(counts[0]["document"])
        was, now = _fields(self.document), _fields(theirs)
        mine = _fields(json.loads(json.dumps(data, default=plain)))
        said = [f"visit {counts[0]['id']} stands in the place of visit {self.number} now:"]
        for path in sorted(was.keys() | now.keys()):
            if was.get(path) != now.get(path):
                words = [_value(side.get(path)) for side in (was, now, mine)]
                said.append(f"  {path}: was {words[0]}; is {words[1]}; yours {words[2]}")
        self.number, self.document = counts[0]["id"], theirs
        return said


def _fields(value: Any, path: str = "") -> dict[str, Any]:
    """The single values of a sheet, by their places."""
    inner = value.items() if isinstance(value, Mapping) else enumerate(value, 1)
    found: dict[str, Any] = {}
    for name, one in inner:
        place = f"{path}.{name}" if path else str(name)
        if isinstance(one, Mapping | list):
            found |= _fields(one, place)
        else:
            found[place] = one
    return found


@contextmanager
def writing_over(book: Book) -> Iterator[Connection]:
    """A transaction after which it is told where another had lately written what was written over."""
    from wellbook.cli.session import note
    from wellbook.store.meanwhile import last_number, overwritten

    since = (datetime.now(UTC) - LATELY).isoformat(timespec="seconds")
    with book.writing() as connection:
        before = last_number(connection)
        yield connection
        gone = list(overwritten(connection, before, since))
    for one in gone:
        note(
            f"{_name(one.field)}: {one.line.who} wrote {_value(one.theirs)} at {_when(one.line)};"
            f" yours counts now, {_value(one.mine)}; if it should be the other, write that again"
        )


def _told(line: Line) -> str:
    """A line of the log in words."""
    if line.what == "sheet" and line.action == "add":
        kind = line.new.get("kind", "sheet")
        what = f"{kind} of {line.new.get('start_on')}: {line.new.get('reason')}".replace("_", " ")
        notes = _value(line.new["notes"]) if line.new.get("notes") else ""
        return f"{line.who} wrote at {_when(line)}: {what}{f', {notes}' if notes else ''}"
    of = {"sheet": "a visit"}.get(line.what, line.what.replace("_", " "))
    fields = [
        f"{_name(name)} {_value(value)} (was {_value(line.old.get(name))})"
        for name, value in line.new.items()
        if value != line.old.get(name) and value not in ("", None)
    ]
    return f"{line.who} changed {of} at {_when(line)}: {', '.join(fields)}"


def _when(line: Line) -> str:
    return f"{line.at[:10]} {line.at[11:16]} UTC"


def _name(field: str) -> str:
    return field.removesuffix("_id").replace("_", " ")


_LONGEST = 60


def _value(value: Any) -> str:
    if value in ("", None):
        return "nothing"
    from wellbook.present.text import one_line

    if isinstance(value, float):
        value = f"{value:g}"
    return f"'{one_line(str(value), _LONGEST)}'"
