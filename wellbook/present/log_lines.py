"""The change log on a screen and for programs: who did what, when, and what stood there before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime, tzinfo

from wellbook.present.envelope import Shape, envelope
from wellbook.present.text import clean, one_line, plural
from wellbook.store.log_words import Field, Told, ToldEntry

_SHORT = 60
"""How much of a value is shown in a list; the whole of it with its entry alone."""


def log_lines(entries: Iterable[ToldEntry], zone: tzinfo | None, *, whole: bool) -> Iterator[str]:
    """Entries for people, by the shop's clock.

    Parameters
    ----------
    whole
        Whether values are shown in full, and not only as much as tells them apart.
    """
    for told in entries:
        yield f"{told.entry.number}  {local(told.entry.at, zone)}  {clean(told.entry.who)}{_state(told)}"
        for line in told.lines:
            yield f"  {_line(line, whole)}"
        if told.more:
            yield f"  and {plural(told.more, 'line')} more: wellbook log {told.entry.number}"


def local(at: str, zone: tzinfo | None) -> str:
    """A moment of the log by the shop's clock.

    >>> from datetime import UTC
    >>> local("2026-11-25T10:32:05.250000+00:00", UTC)
    '2026-11-25 10:32'
    """
    try:
        return datetime.fromisoformat(at).astimezone(zone).strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError):
        return clean(at)


def _state(told: ToldEntry) -> str:
    return "  (taken back)" if told.undone else ""


def _line(line: Told, whole: bool) -> str:
    head = f"{line.name} {line.done}"
    if not line.fields:
        return clean(head)
    return clean(f"{head}: " + "; ".join(_field(one, whole) for one in line.fields))


def _field(field: Field, whole: bool) -> str:
    new = _shown(field.new, whole)
    if field.old in (None, ""):
        return f"{field.name} {new}"
    return f"{field.name} {_shown(field.old, whole)} -> {new}"


def _shown(value: object, whole: bool) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    text = str(value)
    return " ".join(clean(text).split()) if whole else one_line(text[: 4 * _SHORT], _SHORT)


def log_json(entries: Iterable[ToldEntry]) -> Shape:
    """Entries for programs; moments in universal time, values as the log has them."""
    return envelope("wellbook.log", 1, entries=[entry_json(told) for told in entries])


def entry_json(told: ToldEntry) -> Shape:
    """One entry for programs."""
    return {
        "number": told.entry.number,
        "at": told.entry.at,
        "who": told.entry.who,
        "taken_back": told.undone,
        "takes_back": told.undoes,
        "lines": [_line_json(line) for line in told.lines],
        "more_lines": told.more,
    }


def _line_json(line: Told) -> Shape:
    return {
        "number": line.number,
        "action": line.action,
        "of": line.what,
        "row": line.row_uid,
        "name": line.name,
        "done": line.done,
        "fields": [
            {"field": one.name, "old": _value(one.old), "new": _value(one.new)}
            for one in line.fields
        ],
    }


def _value(value: object) -> object:
    return value.isoformat() if isinstance(value, date) else value
