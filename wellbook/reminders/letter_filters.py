"""How a template writes what is not plain text: a day in words, several in a row, a text cut short."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, NamedTuple

from wellbook.errors import WellbookError
from wellbook.rules.customer_words import day_words, month_name


def _known(day: date | None) -> date:
    if day is None:
        raise WellbookError("this day is not always known: put {% if ... %} around it")
    return day


def _day(day: date | None) -> str:
    return day_words(_known(day))


def _month(day: date | None) -> str:
    known = _known(day)
    return f"{month_name(known.month)} {known.year}"


def _listed(words: tuple[str, ...]) -> str:
    return " and ".join(x for x in (", ".join(words[:-1]), *words[-1:]) if x)


def _short(text: str, most: object = 60) -> str:
    if not isinstance(most, int) or most < 1:
        raise WellbookError("short wants the number of signs: short(60)")
    if len(text) <= most:
        return text
    return text[:most].rsplit(" ", 1)[0][: most - 1].rstrip(" ,;:.") + "…"


class LetterFilter(NamedTuple):
    """What a filter takes, gives and does; `example` is shown in docs."""

    takes: type
    gives: type
    run: Callable[..., Any]
    means: str


FILTERS: Mapping[str, LetterFilter] = {
    "day": LetterFilter(date, str, _day, "a day in words: December 2, 2026"),
    "month": LetterFilter(date, str, _month, "its month: December 2026"),
    "listed": LetterFilter(tuple, str, _listed, "several in a row: one, two and three"),
    "length": LetterFilter(tuple, int, len, "how many there are"),
    "short": LetterFilter(str, str, _short, "cut between words to so many signs: short(60)"),
    "upper": LetterFilter(str, str, str.upper, "in capitals"),
    "lower": LetterFilter(str, str, str.lower, "in small letters"),
    "capitalize": LetterFilter(
        str, str, lambda text: text[:1].upper() + text[1:], "with a capital at the start"
    ),
}
