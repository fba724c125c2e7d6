"""How a value stands in a cell of a package's tables, and how exactly that value is read back.

A spreadsheet works out a cell that begins like a formula (OWASP, "CSV Injection"). Such a text gets an
apostrophe in front, and so does a text that itself begins with one: whoever reads takes one
apostrophe away and has the text as it was. Numbers, days and yes or no stand as they are.
"""

from __future__ import annotations

import json
import re
from datetime import date
from enum import StrEnum
from typing import Any

GUARD = "'"
"""The sign in front of a text that is not the text itself."""

EMPTY = GUARD
"""The empty text, in a column that may also hold nothing; nothing is an empty cell."""

_CODED = GUARD + "\\"
"""In front of a text with signs that spoil a file for other programs: it goes on as JSON writes it."""

# Blanks in front are skipped by some programs, and some take the wide forms for the narrow ones.
_GUARDED = re.compile(r"\s*[=+\-@\uFF1D\uFF0B\uFF0D\uFF20]|[\t\r\n']")
_SPOILS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")

HOW = (
    "A text that begins (after blanks, if any) with = + - @ or their wide forms, or with a tab, a line"
    " break or an apostrophe, has an apostrophe in front of it, so that a spreadsheet does not run it: take"
    " one apostrophe away. An apostrophe followed by a backslash: what comes behind both is the inside of"
    " a JSON string. An apostrophe alone: the empty text. An empty cell: nothing, or the empty text in a"
    " column that always holds something."
)
"""The same for whoever reads a package without this program."""


class CellKind(StrEnum):
    """What a column holds: the types of Table Schema."""

    STRING = "string"
    INTEGER = "integer"
    NUMBER = "number"
    BOOLEAN = "boolean"
    DATE = "date"


def written(value: Any, *, nullable: bool) -> str:
    """A value as it stands in a cell.

    Parameters
    ----------
    nullable
        Whether the column may hold nothing, so that the empty text has to be told from it.

    >>> [written(x, nullable=True) for x in (None, "", "=1+1", "'tis", -12.5, True)]
    ['', "'", "'=1+1", "''tis", '-12.5', 'true']
    >>> print(written("a\\x00b", nullable=False))
    '\\a\\u0000b
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return _NAMED.get(str(value), repr(value))
    if isinstance(value, int):
        return str(value)
    return _text(str(value), nullable)


_NAMED = {"nan": "NaN", "inf": "INF", "-inf": "-INF"}
"""As Table Schema names what is no number of a scale."""


def _text(text: str, nullable: bool) -> str:
    if not text:
        return EMPTY if nullable else ""
    if _SPOILS.search(text):
        return _CODED + json.dumps(text)[1:-1]
    return GUARD + text if _GUARDED.match(text) else text


def read(cell: str, kind: CellKind, *, nullable: bool) -> Any:
    """The value that a cell stands for.

    Raises
    ------
    ValueError
        Saying what is wanted, where it stands for none.

    >>> read("'=1+1", CellKind.STRING, nullable=False), read("'", CellKind.STRING, nullable=True)
    ('=1+1', '')
    >>> read("1/2", CellKind.NUMBER, nullable=True)
    Traceback (most recent call last):
    ValueError: a number is wanted, not '1/2'
    """
    if not cell:
        if nullable:
            return None
        if kind is CellKind.STRING:
            return ""
        raise ValueError(f"{_WANTED[kind]} is wanted, and the cell is empty")
    try:
        return _READ[kind](cell)
    except ValueError:
        raise ValueError(f"{_WANTED[kind]} is wanted, not {_quoted(cell)}") from None


def _read_text(cell: str) -> str:
    if cell.startswith(_CODED):
        return str(json.loads(f'"{cell[len(_CODED) :]}"'))
    return cell.removeprefix(GUARD)


def _read_integer(cell: str) -> int:
    if not re.fullmatch(r"-?[0-9]{1,19}", cell):
        raise ValueError
    return int(cell)


def _read_number(cell: str) -> float:
    if not re.fullmatch(r"-?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]{1,3})?|NaN|-?INF", cell):
        raise ValueError
    return float(cell)


def _read_boolean(cell: str) -> bool:
    if cell not in ("true", "false"):
        raise ValueError
    return cell == "true"


def _read_date(cell: str) -> date:
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", cell):
        raise ValueError
    return date.fromisoformat(cell)


_READ = {
    CellKind.STRING: _read_text,
    CellKind.INTEGER: _read_integer,
    CellKind.NUMBER: _read_number,
    CellKind.BOOLEAN: _read_boolean,
    CellKind.DATE: _read_date,
}

_WANTED = {
    CellKind.STRING: "a text, guarded as the package says,",
    CellKind.INTEGER: "a whole number",
    CellKind.NUMBER: "a number",
    CellKind.BOOLEAN: "true or false",
    CellKind.DATE: "a day such as 2026-11-25",
}


def _quoted(cell: str) -> str:
    return repr(cell if len(cell) <= 40 else cell[:37] + "...")
