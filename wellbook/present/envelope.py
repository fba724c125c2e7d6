"""What every answer to another program stands in, and a date in it.

It knows of dates alone, so that an answer loads nothing that it does not speak of.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from wellbook.dates import When

Shape = dict[str, Any]


def envelope(name: str, version: int, **payload: Any) -> Shape:
    """An answer: which shape it has, and its payload, each date in it by its bounds.

    >>> envelope("wellbook.due", 1, items=[])
    {'schema': {'name': 'wellbook.due', 'version': 1}, 'items': []}
    """
    return {"schema": {"name": name, "version": version}, **_dates_in(payload)}


_UNSHOWN = re.compile(
    "[\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ud800-\udfff]"
)


def json_text(shape: Mapping[str, Any], *, indent: int | None = None) -> str:
    """An answer as JSON, in which what could change a terminal that shows it is escaped.

    JSON itself escapes the controls below the blank; those of eight bits, marks that turn the
    direction of writing, and halves of pairs, which no file in UTF-8 can hold, stand as \\uXXXX too. A
    program reads the same text.

    >>> json_text({"notes": "a\\u202eb"})
    '{"notes": "a\\\\u202eb"}'
    """
    text = json.dumps(shape, ensure_ascii=False, indent=indent)
    return _UNSHOWN.sub(lambda sign: f"\\u{ord(sign[0]):04x}", text)


def _dates_in(value: Any) -> Any:
    if isinstance(value, When):
        return when_json(value)
    if isinstance(value, Mapping):
        return {name: _dates_in(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_dates_in(one) for one in value]
    return value


def error_json(code: str, message: str, where: str) -> Shape:
    """An error."""
    error = {"code": code, "message": message, "where": where}
    return envelope("wellbook.error", 1, error=error)


def day_json(day: date | None) -> str | None:
    """A day, or null."""
    return None if day is None else day.isoformat()


def when_json(when: When | None) -> Shape | None:
    """A date as uncertain as it is known: its bounds and the user's words."""
    if when is None:
        return None
    return {
        "earliest": day_json(when.earliest),
        "latest": day_json(when.latest),
        "text": str(when),
    }
