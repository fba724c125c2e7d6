"""One field of a sheet or a part, read from what a user wrote: by its type, and by its unit.

`read_field` reads a sheet's fields when it comes in, and a book's own texts when a hole is loaded.
"""

from __future__ import annotations

import types
import typing
from dataclasses import fields
from datetime import date, datetime
from enum import StrEnum
from functools import cache
from typing import Any, TypeVar

from wellbook.dates import When
from wellbook.hole.materials import read_material
from wellbook.quantities import read, show, split_suffix

E = TypeVar("E", bound=StrEnum)


def word(kind: type[E], value: object) -> E:
    """Read a word of the trade, in any case, with spaces or hyphens.

    >>> from wellbook.terms import Reason
    >>> word(Reason, "No water").value
    'no_water'
    """
    text = str(value).strip().lower().replace("'", "")
    text = text.replace(" ", "_").replace("-", "_")
    try:
        return kind(text)
    except ValueError:
        known = ", ".join(k.value.replace("_", " ") for k in kind)
        raise ValueError(f"'{value}' is not one of: {known}") from None


def _yes_no(value: object) -> bool:
    if isinstance(value, bool):
        return value
    text = str(value).strip().lower()
    if text in ("yes", "y", "true"):
        return True
    if text in ("no", "n", "false"):
        return False
    raise ValueError(f"'{value}' is neither yes nor no")


def _whole(value: object) -> int:
    text = str(value).strip().lstrip("#")
    if isinstance(value, bool) or not text.isdigit():
        raise ValueError(f"'{value}' is not a whole number")
    return int(text)


def _text(value: object) -> str:
    if isinstance(value, (dict, list)):
        raise ValueError("a line of text belongs here")
    return str(value).strip()


def read_when(
    value: object, said_on: date, *, today: date | None = None, past: bool = True
) -> When:
    """Read a date as uncertain as it is; refuse one that lies wholly in the future.

    A TOML date may stand without quotes. With `today`, it may lie after the day it was said.
    """
    if isinstance(value, datetime):
        value = value.date()
    when = When.parse(value.isoformat() if isinstance(value, date) else str(value), said_on=said_on)
    if past and today is not None and when.is_after(today):
        raise ValueError(f"'{value}' lies after {today}, today")
    if past and today is None and when.is_after(said_on):
        raise ValueError(f"'{value}' lies after {said_on}, the day of this sheet")
    return when


def field_types(owner: type[Any]) -> dict[str, type]:
    """Field name -> type without `| None`, for a dataclass."""
    return _field_types(owner)  # type: ignore[arg-type,unused-ignore]


@cache
def _field_types(owner: Any) -> dict[str, type]:
    hints = typing.get_type_hints(owner)
    plain: dict[str, type] = {}
    for field in fields(owner):
        hint = hints[field.name]
        if isinstance(hint, types.UnionType):
            hint = next(a for a in typing.get_args(hint) if a is not type(None))
        plain[field.name] = hint
    return plain


def read_field(
    owner: type[object], name: str, value: object, said_on: date, today: date | None = None
) -> object:
    """Read one field of a dataclass by its type, and by the unit at the end of its name.

    A model year may lie after the day of its sheet, though not after `today`: next year's models
    are sold in autumn, and what is doubtful about it is asked, not refused.
    """
    hint = field_types(owner)[name]
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    if name == "nominal_in" and not isinstance(value, str):
        return show(read(typing.cast(float, value), "in"), "in").removesuffix(" in")
    if name == "nominal_in":
        return str(value).strip().removesuffix('"').removesuffix("in").strip().replace(" ", "-")
    if name == "material":
        return read_material(_text(value))
    if hint is When:
        latest = today if name == "model_year" else None
        return read_when(value, said_on, today=latest, past=name != "warranty_until")
    if issubclass(hint, StrEnum):
        return word(hint, value)
    if hint is float:
        return not_negative(read(typing.cast(float, value), split_suffix(name)[1]), name)
    readers: dict[type, typing.Callable[[object], object]] = {
        bool: _yes_no,
        int: _whole,
        str: _text,
    }
    return readers[hint](value)


def not_negative(value: float, name: str) -> float:
    """A value that has no meaning below zero, refused where it is.

    Raises
    ------
    ValueError
        Naming the field.
    """
    if value < 0:
        raise ValueError(f"{split_suffix(name)[0]} cannot be less than nothing ({value:g})")
    return value
