"""One date as it is written or said: a day, a month, a season, a year, a decade.

Conventions of this program where neither ISO 8601-2 nor the trade gives a number:

* "early", "mid" and "late" in a decade are its years 0 to 3, 3 to 6 and 6 to 9: they overlap,
  because nobody who says "late 1990s" has ruled out 1996; in a year they are its thirds;
* seasons are three whole months in the northern hemisphere, and a winter bears the year it
  begins in: winter 2011 is December 2011 to February 2012.
"""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date

from wellbook.days import MONTHS, ONE_DAY, add_months, add_years, day_of, first_day, last_day

Span = tuple[date, date]

_MONTH_NUMBERS = {name: i for i, name in enumerate(MONTHS, 1)}
_MONTH_NUMBERS |= {name[:3]: i for i, name in enumerate(MONTHS, 1)} | {"sept": 9}

# The numbers 21 to 24 in the place of a month are the seasons of ISO 8601-2.
_SEASON_STARTS = {"spring": 3, "summer": 6, "fall": 9, "autumn": 9, "winter": 12}
_SEASON_NUMBERS = {21: 3, 22: 6, 23: 9, 24: 12}

_PARTS_OF_DECADE = {"early": (0, 3), "mid": (3, 6), "late": (6, 9), None: (0, 9)}
_PARTS_OF_YEAR = {"early": (1, 4), "mid": (5, 8), "late": (9, 12)}


def span(words: str, said_on: date) -> Span | None:
    """The first and last day of one date: a day, a month, a season, a year, a decade."""
    for reader in (iso, _masked, _numeric, _month_name, _season, _part):
        found = reader(words)
        if found is not None:
            return found
    return _short_decade(words, said_on) or _relative(words, said_on)


def iso(words: str) -> Span | None:
    """A day, month, season or year in the numbers of ISO 8601-2; None where it is none of these.

    >>> iso("2011-05")
    (datetime.date(2011, 5, 1), datetime.date(2011, 5, 31))
    """
    found = re.fullmatch(r"([0-9]{4})(?:-([0-9]{1,2}))?(?:-([0-9]{1,2}))?", words)
    if found is None:
        return None
    year, month, day = (int(part) if part else None for part in found.groups())
    if year is None or month is None:
        return first_day(int(found[1])), last_day(int(found[1]))
    if day is not None:
        return _one(day_of(year, month, day))
    if month in _SEASON_NUMBERS:
        return _quarter(year, _SEASON_NUMBERS[month])
    if month > 12:
        raise ValueError(
            f"there is no month {month}; a range of years is written"
            f" {year}/{year // 100 * 100 + month}"
        )
    return first_day(year, month), last_day(year, month)


def _masked(words: str) -> Span | None:
    """`201X`, `19XX`, `2011-XX`, `2011-05-XX`: digits that are not known."""
    found = re.fullmatch(r"([0-9]{2}(?:[0-9]x|xx)|[0-9]{4}(?=-))(-xx|-[0-9]{2}(?=-))?(-xx)?", words)
    if found is None or ("x" in found[1] and found[2]):
        return None
    if found[2] and "x" not in found[2]:
        year, month = int(found[1]), int(found[2][1:])
        return first_day(year, month), last_day(year, month)
    return first_day(int(found[1].replace("x", "0"))), last_day(int(found[1].replace("x", "9")))


def _numeric(words: str) -> Span | None:
    """Dates in numbers alone that are not the standard's: `5/14/2011`, `5/2011`, `2011/05/14`."""
    if found := re.fullmatch(r"([0-9]{4})([/.])([0-9]{1,2})\2([0-9]{1,2})", words):
        return _one(day_of(int(found[1]), int(found[3]), int(found[4])))
    if found := re.fullmatch(r"([0-9]{1,2})[/.-]([0-9]{4})", words):
        year, month = int(found[2]), int(found[1])
        return first_day(year, month), last_day(year, month)
    found = re.fullmatch(r"([0-9]{1,2})([/.-])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})", words)
    if found is None:
        return None
    if len(found[4]) == 2:
        raise ValueError("a year of two digits can be two years; write it like 2011-05-14")
    return _one(_slash_day(int(found[1]), int(found[3]), int(found[4])))


def _slash_day(one: int, two: int, year: int) -> date:
    """Month first where that can be, day first where it must be; refused where both can be."""
    if one > 12:
        return day_of(year, two, one)
    if two > 12 or one == two:
        return day_of(year, one, two)
    us, other = day_of(year, one, two), day_of(year, two, one)
    raise ValueError(
        f"it can be two days; write {us} for {us.day} {MONTHS[us.month - 1].capitalize()}"
        f" or {other} for {other.day} {MONTHS[other.month - 1].capitalize()}"
    )


def _month_name(words: str) -> Span | None:
    """A month by its name: "May 2011", "May 14, 2011", "14th of May 2011"."""
    tokens = [t for t in re.split(r"[ .,-]+", words) if t not in ("", "of", "the")]
    months = [_MONTH_NUMBERS[t] for t in tokens if t in _MONTH_NUMBERS]
    years = [int(t) for t in tokens if re.fullmatch("[0-9]{4}", t)]
    days = [
        int(found[1]) for t in tokens if (found := re.fullmatch("([0-9]{1,2})(?:st|nd|rd|th)?", t))
    ]
    if len(months) != 1 or len(years) > 1 or 1 + len(years) + len(days) != len(tokens):
        return None
    if not years:
        raise ValueError(_yearless(months[0], days))
    if len(days) > 1:
        return None
    if days:
        return _one(day_of(years[0], months[0], days[0]))
    return first_day(years[0], months[0]), last_day(years[0], months[0])


def _yearless(month: int, days: list[int]) -> str:
    """What is wrong with a month, and maybe a day, that has no year of four digits."""
    name = MONTHS[month - 1].capitalize()
    longest = monthrange(2000, month)[1]
    if len(days) == 1 and not 1 <= days[0] <= longest:
        return f"there is no day {days[0]} in {name}, and no year; write it like 2011-05-14"
    return "it has no year of four digits; write it like 14 May 2011 or 2011-05-14"


def _season(words: str) -> Span | None:
    found = re.fullmatch(r"(spring|summer|fall|autumn|winter)(?: of)? ([0-9]{4})", words)
    return _quarter(int(found[2]), _SEASON_STARTS[found[1]]) if found else None


def _part(words: str) -> Span | None:
    """A decade, or a part of one or of a year: "late 1990s", "1990s", "early 2011"."""
    found = re.fullmatch(r"(?:(early|mid|late)[ -](?:the )?)?([0-9]{4})('?s)?", words)
    if found is None:
        return None
    part, year, plural = found[1], int(found[2]), found[3]
    if plural:
        return _decade(year, part)
    first, last = _PARTS_OF_YEAR[part]
    return first_day(year, first), last_day(year, last)


def _short_decade(words: str, said_on: date) -> Span | None:
    """A decade without its century, "the 90s": the last that had begun when it was said."""
    found = re.fullmatch(r"(?:(early|mid|late)[ -](?:the )?)?'?([0-9])0'?s", words)
    if found is None:
        return None
    year = said_on.year // 100 * 100 + int(found[2]) * 10
    return _decade(year if year <= said_on.year else year - 100, found[1])


def _decade(year: int, part: str | None) -> Span:
    if year % 10:
        raise ValueError(f"a decade begins with a year ending in 0; write {year // 10 * 10}s")
    if year in (1800, 1900):
        raise ValueError(
            f"it can be ten years or a hundred; write {year}/{year + 9} or {year // 100}XX"
        )
    first, last = _PARTS_OF_DECADE[part]
    return first_day(year + first), last_day(year + last)


def _relative(words: str, said_on: date) -> Span | None:
    year, month = said_on.year, said_on.month
    if words in ("new", "brand new"):
        return add_years(said_on, -1), said_on
    if words in ("today", "yesterday"):
        return _one(said_on if words == "today" else said_on - ONE_DAY)
    if words in ("this year", "last year"):
        year -= words == "last year"
        return first_day(year), last_day(year)
    if words in ("this month", "last month"):
        first = add_months(first_day(year, month), -1 if words == "last month" else 0)
        return first, last_day(first.year, first.month)
    return None


def _one(day: date) -> Span:
    return day, day


def _quarter(year: int, month: int) -> Span:
    """The three months from this one."""
    first = first_day(year, month)
    return first, add_months(first, 3) - ONE_DAY
