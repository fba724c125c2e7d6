"""What is in the cells of plain rows: days, uncertain dates, words, yes and no.

One engine gives days as text and yes as 1, the other gives what is meant. Most values come again
and again, in well after well: what was read once is kept, and so the same date is the same object.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from functools import cache, lru_cache
from typing import Any, TypeVar

from wellbook.dates import When

W = TypeVar("W", bound=StrEnum)


@lru_cache(maxsize=2**15)
def day(cell: str | date) -> date:
    """A day that is always there."""
    return date.fromisoformat(cell) if isinstance(cell, str) else cell


@lru_cache(maxsize=2**15)
def maybe_day(cell: str | date | None) -> date | None:
    """A day that may be missing."""
    return None if cell is None else day(cell)


@lru_cache(maxsize=2**15)
def when(earliest: str | date | None, latest: str | date | None, text: str) -> When:
    """An uncertain date from its three cells."""
    return When(maybe_day(earliest), maybe_day(latest), text)


def maybe_when(
    earliest: str | date | None, latest: str | date | None, text: str | None
) -> When | None:
    """The same where there may be none at all: then it has no text."""
    return None if text is None else when(earliest, latest, text)


@cache
def words(kind: type[W]) -> Mapping[Any, W]:
    """The words of a kind by their texts: to look one up costs a tenth of calling the kind."""
    return {word.value: word for word in kind}


@cache
def maybe_words(kind: type[W]) -> Mapping[Any, W | None]:
    """The same, and None for an empty cell."""
    return {None: None, **words(kind)}


def yes(cell: bool | int) -> bool:
    """Yes or no."""
    return bool(cell)


def maybe_yes(cell: bool | int | None) -> bool | None:
    """Yes, no, or nobody knows."""
    return None if cell is None else bool(cell)
