"""What should go out, to whom and how; who is not told and why; what is in doubt. As lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from wellbook.present.envelope import Shape, day_json
from wellbook.present.text import clean, plural
from wellbook.reminders.gathering import Notice
from wellbook.terms import RemindBy

_WAY = 10


def notice_lines(notices: Sequence[Notice], doubtful: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """All of them: what goes, who stands on an older call list, who is not told, what is in doubt."""
    for notice in notices:
        if notice.goes:
            by = notice.choice.by
            yield f"{by.label if by else '':<{_WAY}}{_whom(notice)}: {_things(notice)}"
    waiting = [n for n in notices if n.still_to_call]
    if waiting:
        yield "STILL TO CALL: on an earlier list, and no call is on record"
        yield from (f"{'call':<{_WAY}}{_whom(n)}: {_things(n)}" for n in waiting)
    silent = [n for n in notices if n.choice.why_not]
    if silent:
        yield "NOT TOLD"
        for notice in silent:
            yield f"{'':<{_WAY}}{_whom(notice)}: {clean(notice.choice.why_not)}"
    yield from doubt_lines(doubtful)
    yield counted(notices, doubtful)


def doubt_lines(doubtful: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Messages of which nobody knows whether they went, and how to say so."""
    if not doubtful:
        return
    yield "IN DOUBT: written down, and not marked as sent or not; another run may be at it"
    for row in doubtful:
        yield f"{row['id']:<{_WAY}}{_doubt(row)}"
    numbers = spans([row["id"] for row in doubtful])
    yield (
        f"{'':<{_WAY}}look, then say which: wellbook remind --went {numbers}, or --did-not-go"
        f" {numbers}; nothing of it is sent again before"
    )


def spans(numbers: Sequence[int]) -> str:
    """Numbers as the options take them; only those, and no gap filled.

    >>> spans([3, 4, 5, 9])
    '3-5,9'
    """
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ",".join(f"{a}-{b}" if b > a else f"{a}" for a, b in runs)


def _doubt(row: Mapping[str, Any]) -> str:
    by = RemindBy(row["by"])
    where = ", ".join(clean(x) for x in (row["road"], row["town"]) if x)
    begun = datetime.fromisoformat(row["started_at"]).astimezone()
    hand = f"begun {begun:%Y-%m-%d %H:%M} by {clean(row['who'])}"
    said = f"{by.label} to {clean(row['name'])}, {where}, {hand}"
    if not row["file_name"]:
        return f"{said} ({clean(row['address'])})"
    there = "is there" if Path(row["file_name"]).exists() else "is not there"
    return f"{said}: {row['file_name']} {there}"


def _whom(notice: Notice) -> str:
    who = notice.place.resident
    address = notice.choice.address if notice.choice.by in (RemindBy.CALL, RemindBy.EMAIL) else ""
    parts = (who.name if who else "", address, notice.place.words, ", ".join(notice.tags))
    return " · ".join(clean(x) for x in parts if x)


def _things(notice: Notice) -> str:
    """What it tells of, each thing once with the day from which it is due."""
    said: dict[str, date | None] = {}
    for owed in notice.tells:
        said.setdefault(owed.finding.subject, owed.finding.may_from)
    return ", ".join(f"{what} {day}" if day else what for what, day in said.items())


def counted(notices: Sequence[Notice], doubtful: Sequence[Mapping[str, Any]]) -> str:
    """How many of each."""
    going = [n.choice.by for n in notices if n.goes]
    said = [plural(going.count(by), by.label) for by in RemindBy if by in going]
    others = (
        (sum(n.still_to_call for n in notices), "still to call"),
        (sum(bool(n.choice.why_not) for n in notices), "not told"),
        (len(doubtful), "in doubt"),
    )
    said += [f"{count} {words}" for count, words in others if count]
    return ", ".join(said) or "nothing is to be told to anybody now"


def notices_json(notices: Sequence[Notice], doubtful: Sequence[Mapping[str, Any]]) -> Shape:
    """The same for programs."""
    return {
        "notices": [
            {
                "customer": n.place.resident.name if n.place.resident else None,
                "place": n.place.words,
                "by": n.choice.by.value if n.choice.by else None,
                "address": n.choice.address,
                "why_not": n.choice.why_not,
                "still_to_call": n.still_to_call,
                "tells": [
                    {
                        "well": o.tag,
                        "occurrence": o.finding.occurrence,
                        "subject": o.finding.subject,
                        "may_from": day_json(o.finding.may_from),
                        "to_customer": o.finding.to_customer,
                    }
                    for o in n.tells
                ],
            }
            for n in notices
        ],
        "in_doubt": [
            {
                "number": row["id"],
                "by": row["by"],
                "on": day_json(row["on_day"]),
                "customer": row["name"],
                "address": row["address"],
                "file": row["file_name"],
            }
            for row in doubtful
        ],
    }
