"""Dates that may be uncertain: what is not known is part of the record.

A pump is "about 15 years old", a well was drilled "before 1990", a motor is a "2011 model". Each
is kept as the first and the last day it can mean, beside the words it was said in. The written
form is the extended date format of ISO 8601-2.

Conventions of this program where neither the standard nor the trade gives a number:

* "about", "maybe", `~`, `?` and `%` widen a year (or anything longer) by one year on each side, a
  month or a season by one month, a day by one day, and an age by one of the unit it is given in;
* "early", "mid" and "late" in a decade are its years 0 to 3, 3 to 6 and 6 to 9: they overlap,
  because nobody who says "late 1990s" has ruled out 1996; in a year they are its thirds;
* seasons are three whole months in the northern hemisphere, and a winter bears the year it
  begins in: winter 2011 is December 2011 to February 2012;
* "new" is within the year up to the day it is said.
"""

from __future__ import annotations

import math
import re
from calendar import monthrange
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

__all__ = [
    "FIRST_YEAR",
    "LAST_YEAR",
    "When",
    "add_days",
    "add_months",
    "add_years",
    "first_day",
    "last_day",
    "whole_years",
]

FIRST_YEAR = 1800
LAST_YEAR = 2200

_Bounds = tuple[date | None, date | None]
_Span = tuple[date, date]

_ONE_DAY = timedelta(days=1)
_LONGEST = 200

_MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
_MONTH_NUMBERS = {name: i for i, name in enumerate(_MONTHS, 1)}
_MONTH_NUMBERS |= {name[:3]: i for i, name in enumerate(_MONTHS, 1)} | {"sept": 9}

# The numbers 21 to 24 in the place of a month are the seasons of ISO 8601-2.
_SEASON_STARTS = {"spring": 3, "summer": 6, "fall": 9, "autumn": 9, "winter": 12}
_SEASON_NUMBERS = {21: 3, 22: 6, 23: 9, 24: 12}

_PARTS_OF_DECADE = {"early": (0, 3), "mid": (3, 6), "late": (6, 9), None: (0, 9)}
_PARTS_OF_YEAR = {"early": (1, 4), "mid": (5, 8), "late": (9, 12)}

_UNKNOWN = frozenset(
    [
        *("", "?", "??", "-", "unknown", "unk", "not known", "n/a", "na", "none", "date unknown"),
        *("don't know", "dont know", "do not know", "not sure", "unsure", "no idea"),
    ]
)

_EXAMPLES = "2011-05-14, 2011-05, 2011, about 2006, 2005/2009, before 2010, 12 years old or unknown"


# -------------------------------------------------------------------- arithmetic of the calendar


def add_months(day: date, months: int) -> date:
    """The same day of the month so many months later, or the last day where there is none such.

    Parameters
    ----------
    day
        The day to count from.
    months
        Whole months; negative counts back.

    Raises
    ------
    ValueError
        If the result lies outside the calendar (years 1 to 9999).

    >>> add_months(date(2023, 1, 31), 1)
    datetime.date(2023, 2, 28)
    >>> add_months(date(2024, 3, 31), -1)
    datetime.date(2024, 2, 29)
    """
    year, month0 = divmod(day.year * 12 + day.month - 1 + months, 12)
    if not date.min.year <= year <= date.max.year:
        raise ValueError(f"{months} months from {day} is outside the calendar")
    return date(year, month0 + 1, min(day.day, monthrange(year, month0 + 1)[1]))


def add_years(day: date, years: float) -> date:
    """The same day so many years later; 29 February becomes 28 February where it must.

    Parameters
    ----------
    day
        The day to count from.
    years
        Years; a fraction is taken to the nearest whole month. Negative counts back.

    Raises
    ------
    ValueError
        If `years` is not a finite number, or the result lies outside the calendar.

    >>> add_years(date(2012, 2, 29), 1)
    datetime.date(2013, 2, 28)
    >>> add_years(date(2012, 2, 29), 4)
    datetime.date(2016, 2, 29)
    >>> add_years(date(2020, 1, 15), 0.5)
    datetime.date(2020, 7, 15)
    """
    if not math.isfinite(years):
        raise ValueError(f"{years} is not a number of years")
    return add_months(day, round(years * 12))


def add_days(day: date, days: int) -> date:
    """The day so many days later; negative counts back.

    Raises
    ------
    ValueError
        If the result lies outside the calendar (years 1 to 9999).

    >>> add_days(date(2023, 12, 31), 1)
    datetime.date(2024, 1, 1)
    """
    try:
        return day + timedelta(days=days)
    except OverflowError:
        raise ValueError(f"{days} days from {day} is outside the calendar") from None


def whole_years(start: date, on: date) -> int:
    """Completed years from `start` to `on`, never less than 0.

    It agrees with `add_years`: a year is complete on the day `add_years(start, 1)`.

    >>> whole_years(date(2011, 5, 14), date(2023, 5, 13))
    11
    >>> whole_years(date(2012, 2, 29), date(2013, 2, 28))
    1
    """
    years = on.year - start.year
    # A start after `on` counts as 0, and is left out of the arithmetic.
    if years <= 0:
        return 0
    return years if add_years(start, years) <= on else years - 1


def first_day(year: int, month: int | None = None) -> date:
    """The first day of a year, or of a month of it.

    Raises
    ------
    ValueError
        If the year is outside 1800 to 2200, or there is no such month.

    >>> first_day(2011), first_day(2011, 5)
    (datetime.date(2011, 1, 1), datetime.date(2011, 5, 1))
    """
    return _day(year, 1 if month is None else month, 1)


def last_day(year: int, month: int | None = None) -> date:
    """The last day of a year, or of a month of it.

    Raises
    ------
    ValueError
        If the year is outside 1800 to 2200, or there is no such month.

    >>> last_day(2011), last_day(2012, 2)
    (datetime.date(2011, 12, 31), datetime.date(2012, 2, 29))
    """
    first = first_day(year, 12 if month is None else month)
    return first.replace(day=monthrange(first.year, first.month)[1])


def _day(year: int, month: int, day: int) -> date:
    _check_year(year)
    if not 1 <= month <= 12:
        raise ValueError(f"there is no month {month}; months are 1 to 12")
    length = monthrange(year, month)[1]
    if not 1 <= day <= length:
        name = _MONTHS[month - 1].capitalize()
        raise ValueError(f"there is no day {day} in {name} {year}, which has {length} days")
    return date(year, month, day)


def _check_year(year: int) -> None:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise ValueError(
            f"the year {year} is outside what this book holds, {FIRST_YEAR} to {LAST_YEAR}"
        )


# ------------------------------------------------------------------------------- the record


@dataclass(frozen=True, slots=True)
class When:
    """A day known as well as it is known.

    Parameters
    ----------
    earliest
        The first day it can be; None where that end is open.
    latest
        The last day it can be; None where that end is open.
    text
        The words it was entered in; empty where there were none.

    Raises
    ------
    ValueError
        If the bounds run backwards or lie outside the years 1800 to 2200.
    """

    earliest: date | None
    latest: date | None
    text: str = ""

    def __post_init__(self) -> None:
        for bound in (self.earliest, self.latest):
            if bound is not None:
                _check_year(bound.year)
        if self.earliest and self.latest and self.earliest > self.latest:
            raise ValueError(
                f"the range runs backwards: its first day, {self.earliest}, is after its last,"
                f" {self.latest}"
            )

    @classmethod
    def parse(cls, text: str, *, said_on: date) -> When:
        """Read a date as it is written by the standard or said in the trade.

        Parameters
        ----------
        text
            ISO 8601-2 (`2011-05`, `2006~`, `2005/2009`, `../2009`, `201X`) or words ("2011 model",
            "before 2010", "late 1990s", "spring 2011", "10-12 years old", "unknown").
        said_on
            The day it was said, from which ages and "last year" are counted.

        Returns
        -------
        When
            With the wording as entered, apart from blanks around it; what means another day on
            another day ("10 years old", "last year") bears the day it was said, and reads back
            with it. It may lie in the future.

        Raises
        ------
        ValueError
            If it cannot be read, can mean two things, or is no day of the calendar.

        >>> day = date(2023, 6, 1)
        >>> When.parse("10-12 years old", said_on=day).edtf()
        '2010-06-02/2013-06-01'
        >>> When.parse("before 2010", said_on=day).edtf()
        '../2009'
        >>> When.parse("new", said_on=day).text
        'new (said 2023-06-01)'
        >>> When.parse("03/04/2011", said_on=day)
        Traceback (most recent call last):
        ValueError: cannot read the date '03/04/2011': it can be two days; write 2011-03-04 for
        4 March or 2011-04-03 for 3 April
        """
        stripped = text.strip()
        try:
            if len(stripped) > _LONGEST:
                raise ValueError(f"it is longer than {_LONGEST} characters; write {_EXAMPLES}")
            words, day = _said(stripped, said_on)
            bounds = _read(_plain(words), day)
            moves = bounds != _read(_plain(words), add_years(day, -1))
            return cls(*bounds, f"{words} (said {day})" if moves else stripped)
        except ValueError as wrong:
            raise ValueError(f"cannot read the date {_quoted(stripped)}: {wrong}") from None

    @classmethod
    def on(cls, day: date) -> When:
        """A day known exactly.

        >>> When.on(date(2011, 5, 14)).text
        '2011-05-14'
        """
        return cls(day, day, day.isoformat())

    @classmethod
    def unknown(cls) -> When:
        """A day of which nothing is known.

        >>> When.unknown().known
        False
        """
        return cls(None, None, "unknown")

    @classmethod
    def between(cls, earliest: date | None, latest: date | None, text: str = "") -> When:
        """A day from `earliest` to `latest`, both included; None leaves an end open.

        >>> When.between(None, date(2009, 12, 31)).edtf()
        '../2009'
        """
        return cls(earliest, latest, text)

    @property
    def known(self) -> bool:
        """Whether anything is known of it."""
        return self.earliest is not None or self.latest is not None

    @property
    def exact(self) -> bool:
        """Whether it is one certain day."""
        return self.earliest is not None and self.earliest == self.latest

    def edtf(self) -> str:
        """The canonical form by ISO 8601-2, the shortest with the same bounds; "" when unknown.

        >>> When.between(date(2005, 1, 1), date(2009, 12, 31)).edtf()
        '2005/2009'
        >>> When.between(date(2011, 5, 1), date(2011, 5, 31)).edtf()
        '2011-05'
        >>> When.between(date(2005, 3, 2), None).edtf()
        '2005-03-02/..'
        """
        if not self.known:
            return ""
        length = _grain(self.earliest, self.latest)
        first, last = (
            ".." if bound is None else bound.isoformat()[:length]
            for bound in (self.earliest, self.latest)
        )
        return first if first == last else f"{first}/{last}"

    def is_after(self, day: date) -> bool:
        """Whether it lies wholly after `day`; False where that is not certain.

        >>> When.on(date(2024, 1, 2)).is_after(date(2024, 1, 1))
        True
        >>> When.between(date(2023, 1, 1), date(2024, 12, 31)).is_after(date(2024, 1, 1))
        False
        """
        return self.earliest is not None and self.earliest > day

    def age_years(self, on: date) -> tuple[int | None, int | None]:
        """The age on a day: at least and at most so many completed years.

        None where that end is open; never below 0.

        >>> When.parse("2011", said_on=date(2023, 6, 1)).age_years(date(2023, 6, 1))
        (11, 12)
        """
        return (
            None if self.latest is None else whole_years(self.latest, on),
            None if self.earliest is None else whole_years(self.earliest, on),
        )

    def age_text(self, on: date) -> str:
        """The age on a day in words.

        >>> day = date(2023, 6, 1)
        >>> for said in ("10-12 years old", "12 years old", "before 2006", "since 2020", "new"):
        ...     print(When.parse(said, said_on=day).age_text(day))
        10 to 12 years
        12 years
        at least 17 years
        at most 3 years
        at most 1 year
        >>> When.unknown().age_text(day)
        'age unknown'
        """
        least, most = self.age_years(on)
        if most == 0:
            return "under a year"
        if most is None:
            # "At least 0 years" would say nothing in more words.
            return f"at least {_years(least)}" if least else "age unknown"
        if not least:
            return f"at most {_years(most)}"
        return _years(most) if least == most else f"{least} to {_years(most)}"

    def plus_years(self, years: float) -> When:
        """The same so many years later, as a warranty ends; both bounds move, the words do not.

        Raises
        ------
        ValueError
            If a bound would leave the years 1800 to 2200.

        >>> When.parse("2011", said_on=date(2023, 6, 1)).plus_years(5).edtf()
        '2016'
        """
        return When(
            None if self.earliest is None else add_years(self.earliest, years),
            None if self.latest is None else add_years(self.latest, years),
        )

    def within(self, other: When) -> bool:
        """Whether every day it can be is also a day that `other` can be.

        >>> year = When.between(date(2011, 1, 1), date(2011, 12, 31))
        >>> When.on(date(2011, 5, 14)).within(year), year.within(When.on(date(2011, 5, 14)))
        (True, False)
        """
        starts = other.earliest is None or (
            self.earliest is not None and self.earliest >= other.earliest
        )
        ends = other.latest is None or (self.latest is not None and self.latest <= other.latest)
        return starts and ends

    def overlaps(self, other: When) -> bool:
        """Whether the two can be the same day.

        >>> When.between(None, date(2011, 5, 14)).overlaps(When.on(date(2011, 5, 14)))
        True
        """
        return not (
            (self.latest is not None and other.is_after(self.latest))
            or (other.latest is not None and self.is_after(other.latest))
        )

    def __str__(self) -> str:
        """In the words it was said in; else by its bounds, in words. Either reads back.

        >>> print(When.parse("10-12 years old", said_on=date(2023, 6, 1)))
        "10-12 years old" (said 2023-06-01)
        >>> print(When.between(None, date(2019, 6, 3)))
        by 2019-06-03
        """
        if self.text:
            return _SAID.sub(r'"\1" (said \2)', self.text)
        if self.latest is None:
            return "unknown" if self.earliest is None else f"since {self.earliest}"
        return f"by {self.latest}" if self.earliest is None else self.edtf()


_SAID = re.compile(r'"?([^"]+)"? \(said ([0-9]{4}-[0-9]{2}-[0-9]{2})\)')


def _said(text: str, said_on: date) -> tuple[str, date]:
    """The words, and the day from which they count: their own, where they bear one."""
    found = _SAID.fullmatch(text)
    return (found[1], date.fromisoformat(found[2])) if found else (text, said_on)


def _years(count: int | None) -> str:
    return "1 year" if count == 1 else f"{count} years"


def _grain(earliest: date | None, latest: date | None) -> int:
    """How many characters of an ISO date say these bounds: 4 whole years, 7 whole months, 10."""
    if earliest is not None and earliest.day != 1:
        return 10
    if latest is not None and (latest + _ONE_DAY).day != 1:
        return 10
    starts_year = earliest is None or earliest.month == 1
    ends_year = latest is None or latest.month == 12
    return 4 if starts_year and ends_year else 7


# ------------------------------------------------------------------------------- reading


def _quoted(text: str) -> str:
    return repr(text if len(text) <= 60 else text[:57] + "...")


_LOOKALIKES = str.maketrans({"\u2013": "-", "\u2014": "-", "\u2212": "-", "\u2019": "'"})


def _plain(text: str) -> str:
    """One spelling for what looks the same: case, blanks, dashes, a full stop at the end."""
    folded = " ".join(text.translate(_LOOKALIKES).lower().split())
    # Two dots at an end are the open end of an interval.
    return folded if folded.endswith("..") else folded.removesuffix(".")


def _read(plain: str, said_on: date) -> _Bounds:
    if plain in _UNKNOWN:
        return None, None
    # The standard's own forms come first: they are what a book mostly holds, and the quickest.
    exact = _iso(plain)
    if exact is not None:
        return exact
    for reader in (_reading, _interval, _open_ended):
        bounds = reader(plain, said_on)
        if bounds is not None:
            return bounds
    if re.fullmatch(r"'?[0-9]{1,3}", plain):
        raise ValueError("it can be a year or an age; write 2015 or 15 years old")
    raise ValueError(f"it is not a wording known here; write {_EXAMPLES}")


def _reading(plain: str, said_on: date) -> _Bounds | None:
    """One date or age, exact or "about"."""
    words, fuzzy = _peel(plain)
    aged = _age(words, said_on, blur=1 if fuzzy else 0)
    if aged is not None:
        return aged
    span = _span(words, said_on)
    return _widened(span, span) if span is not None and fuzzy else span


_FILLER = r"(?:(?:in|on|the|year|model(?: year)?) )+"
_ABOUT = (
    r"(?:(?:about|around|roughly|approximately|approx|circa|ca|abt|maybe|perhaps|probably|possibly"
    r"|sometime)\b\.?|c\.|[~?%]) ?"
)
_ABOUT_AFTER = r"(?: ?[~?%]|,? or so|,? maybe|,? i think|-?ish)$"


def _peel(plain: str) -> tuple[str, bool]:
    """The words without what only fills them, and whether they were "about"."""
    words = re.sub(f"^{_FILLER}", "", plain)
    bare = re.sub(_ABOUT_AFTER, "", re.sub(f"^{_ABOUT}", "", words))
    fuzzy = bare != words
    bare = re.sub(f"^{_FILLER}", "", bare)
    return re.sub(r" model(?: year)?$", "", bare), fuzzy


def _widened(bounds: _Bounds, like: _Span) -> _Bounds:
    """Bounds moved apart by what "about" means for a span of the length of `like`."""
    days = (like[1] - like[0]).days + 1
    months = 12 if days > 92 else 1
    first, last = bounds
    if first is not None:
        first = first - _ONE_DAY if days == 1 else add_months(first, -months)
        first = max(first, date(FIRST_YEAR, 1, 1))
    if last is not None:
        # By way of the day after, so that the end of a month stays the end of a month.
        last = last + _ONE_DAY if days == 1 else add_months(last + _ONE_DAY, months) - _ONE_DAY
        last = min(last, date(LAST_YEAR, 12, 31))
    return first, last


_BEFORE = r"(before|prior to|pre|after|post|since|from|no earlier than|by|until|till|no later than)"
_BOUND_BY: dict[str, Callable[[_Span], _Bounds]] = {
    **dict.fromkeys(("before", "prior to", "pre"), lambda span: (None, span[0] - _ONE_DAY)),
    **dict.fromkeys(("after", "post"), lambda span: (span[1] + _ONE_DAY, None)),
    **dict.fromkeys(
        ("since", "from", "no earlier than", "or later", "or newer"), lambda span: (span[0], None)
    ),
    **dict.fromkeys(
        ("by", "until", "till", "no later than", "or earlier", "or older"),
        lambda span: (None, span[1]),
    ),
}


def _open_ended(plain: str, said_on: date) -> _Bounds | None:
    """Known on one side: "before 2010", "since 2010", "2010 or later"."""
    if found := re.fullmatch(_BEFORE + r"[ -](.+)", plain):
        relation, rest = found.groups()
    elif found := re.fullmatch(r"(.+) (or (?:later|newer|earlier|older))", plain):
        rest, relation = found.groups()
    else:
        return None
    words, fuzzy = _peel(rest)
    first, last = _age(words, said_on) or _span(words, said_on) or (None, None)
    if first is None or last is None:
        return None
    bounds = _BOUND_BY[relation]((first, last))
    return _widened(bounds, (first, last)) if fuzzy else bounds


_INTERVALS = (
    r"([^/]*)/([^/]*)",
    r"([0-9]{4})-([0-9]{4})",
    r"between (.+) and (.+)",
    r"(?:from )?(.+?)(?: (?:to|-|through|thru|until) |,? or maybe |,? or |, maybe )(.+)",
)


def _interval(plain: str, said_on: date) -> _Bounds | None:
    """Two ends: "2005/2009", "between 2005 and 2009", "2005 to 2009", "../2009"."""
    for pattern in _INTERVALS:
        found = re.fullmatch(pattern, plain)
        if found is None or not any(found.groups()):
            continue
        first, last = (_end(end, said_on) for end in found.groups())
        if first is not None and last is not None:
            return first[0], last[1]
    return None


def _end(words: str, said_on: date) -> _Bounds | None:
    words = words.strip()
    return (None, None) if words in ("", "..") else _reading(words, said_on)


# ------------------------------------------------------------------------------- ages

_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TEENS = (
    *("ten", "eleven", "twelve", "thirteen", "fourteen"),
    *("fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_COUNTS = {name: i for i, name in enumerate((*_ONES, *_TEENS, "twenty"), 1)}
_COUNTS |= {f"twenty{mark}{name}": 20 + i for i, name in enumerate(_ONES, 1) for mark in "- "}
_COUNTS |= {"thirty": 30, "a": 1, "an": 1, "dozen": 12, "a dozen": 12}
_COUNTS |= dict.fromkeys(("couple", "couple of", "a couple", "a couple of"), 2)

_COUNT = "([0-9]{1,3}|" + "|".join(sorted(_COUNTS, key=len, reverse=True)) + ")"
_UNIT = r"(years?|yrs?|y/?o|y|months?|mos?|weeks?|wks?|days?)\.?"
_OLD = r"(?:[ -](?:old|ago|of age))?"
_AGE = (
    r"(?:between )?(?:(over|more than|at least|under|less than|at most|no more than|up to) )?"
    rf"{_COUNT}(\+)?(?:[ -]?{_UNIT}{_OLD})?"
    rf"(?:(?: ?- ?| to | or |,? ?(?:or )?maybe | and ){_COUNT}(?:[ -]?{_UNIT}{_OLD})?)?"
    r"( or (?:more|older))?"
)
# By the first letter of the unit: the calendar's months, or days, in one of it.
_AGE_MONTHS = {"y": 12, "m": 1}
_AGE_DAYS = {"w": 7, "d": 1}


def _age(words: str, said_on: date, blur: int = 0) -> _Bounds | None:
    """The days on which a thing of this age on the day `said_on` can date from.

    "12 years old" is 12 completed years and less than 13.
    """
    found = re.fullmatch(_AGE, words)
    if found is None:
        return None
    limit, one, plus, unit_one, two, unit_two, more = found.groups()
    units = {unit[0] for unit in (unit_one, unit_two) if unit}
    if len(units) != 1:
        return None
    unit = units.pop()
    low = _count(one)
    high = low if two is None else _count(two)
    if high < low:
        raise ValueError(f"the range runs backwards; write {high} to {low}")
    if plus or more or limit in ("over", "more than", "at least"):
        return None, _latest_of_age(said_on, max(0, low - blur), unit)
    if limit is not None:
        low, high = 0, high - 1 if limit in ("under", "less than") else high
    earliest = _latest_of_age(said_on, high + blur + 1, unit) + _ONE_DAY
    return earliest, _latest_of_age(said_on, max(0, low - blur), unit)


def _count(words: str) -> int:
    return _COUNTS[words] if words in _COUNTS else int(words)


def _latest_of_age(said_on: date, count: int, unit: str) -> date:
    """The last day that lies at least `count` units back."""
    if unit in _AGE_DAYS:
        return add_days(said_on, -count * _AGE_DAYS[unit])
    months = count * _AGE_MONTHS[unit]
    day = add_months(said_on, -months)
    # Said on 28 February, a thing of 29 February is a year old too: see `add_years`.
    while add_months(day + _ONE_DAY, months) <= said_on:
        day += _ONE_DAY
    return day


# ------------------------------------------------------------------------------- single dates


def _span(words: str, said_on: date) -> _Span | None:
    """The first and last day of one date: a day, a month, a season, a year, a decade."""
    for reader in (_iso, _masked, _numeric, _month_name, _season, _part):
        span = reader(words)
        if span is not None:
            return span
    return _short_decade(words, said_on) or _relative(words, said_on)


def _iso(words: str) -> _Span | None:
    found = re.fullmatch(r"([0-9]{4})(?:-([0-9]{1,2}))?(?:-([0-9]{1,2}))?", words)
    if found is None:
        return None
    year, month, day = (int(part) if part else None for part in found.groups())
    if year is None or month is None:
        return first_day(int(found[1])), last_day(int(found[1]))
    if day is not None:
        return _one(_day(year, month, day))
    if month in _SEASON_NUMBERS:
        return _quarter(year, _SEASON_NUMBERS[month])
    if month > 12:
        raise ValueError(
            f"there is no month {month}; a range of years is written"
            f" {year}/{year // 100 * 100 + month}"
        )
    return first_day(year, month), last_day(year, month)


def _masked(words: str) -> _Span | None:
    """`201X`, `19XX`, `2011-XX`, `2011-05-XX`: digits that are not known."""
    found = re.fullmatch(r"([0-9]{2}(?:[0-9]x|xx)|[0-9]{4}(?=-))(-xx|-[0-9]{2}(?=-))?(-xx)?", words)
    if found is None or ("x" in found[1] and found[2]):
        return None
    if found[2] and "x" not in found[2]:
        year, month = int(found[1]), int(found[2][1:])
        return first_day(year, month), last_day(year, month)
    return first_day(int(found[1].replace("x", "0"))), last_day(int(found[1].replace("x", "9")))


def _numeric(words: str) -> _Span | None:
    """Dates in numbers alone that are not the standard's: `5/14/2011`, `5/2011`, `2011/05/14`."""
    if found := re.fullmatch(r"([0-9]{4})([/.])([0-9]{1,2})\2([0-9]{1,2})", words):
        return _one(_day(int(found[1]), int(found[3]), int(found[4])))
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
        return _day(year, two, one)
    if two > 12 or one == two:
        return _day(year, one, two)
    us, other = _day(year, one, two), _day(year, two, one)
    raise ValueError(
        f"it can be two days; write {us} for {us.day} {_MONTHS[us.month - 1].capitalize()}"
        f" or {other} for {other.day} {_MONTHS[other.month - 1].capitalize()}"
    )


def _month_name(words: str) -> _Span | None:
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
        return _one(_day(years[0], months[0], days[0]))
    return first_day(years[0], months[0]), last_day(years[0], months[0])


def _yearless(month: int, days: list[int]) -> str:
    """What is wrong with a month, and maybe a day, that has no year of four digits."""
    name = _MONTHS[month - 1].capitalize()
    longest = monthrange(2000, month)[1]
    if len(days) == 1 and not 1 <= days[0] <= longest:
        return f"there is no day {days[0]} in {name}, and no year; write it like 2011-05-14"
    return "it has no year of four digits; write it like 14 May 2011 or 2011-05-14"


def _season(words: str) -> _Span | None:
    found = re.fullmatch(r"(spring|summer|fall|autumn|winter)(?: of)? ([0-9]{4})", words)
    return _quarter(int(found[2]), _SEASON_STARTS[found[1]]) if found else None


def _part(words: str) -> _Span | None:
    """A decade, or a part of one or of a year: "late 1990s", "1990s", "early 2011"."""
    found = re.fullmatch(r"(?:(early|mid|late)[ -](?:the )?)?([0-9]{4})('?s)?", words)
    if found is None:
        return None
    part, year, plural = found[1], int(found[2]), found[3]
    if plural:
        return _decade(year, part)
    first, last = _PARTS_OF_YEAR[part]
    return first_day(year, first), last_day(year, last)


def _short_decade(words: str, said_on: date) -> _Span | None:
    """A decade without its century, "the 90s": the last that had begun when it was said."""
    found = re.fullmatch(r"(?:(early|mid|late)[ -](?:the )?)?'?([0-9])0'?s", words)
    if found is None:
        return None
    year = said_on.year // 100 * 100 + int(found[2]) * 10
    return _decade(year if year <= said_on.year else year - 100, found[1])


def _decade(year: int, part: str | None) -> _Span:
    if year % 10:
        raise ValueError(f"a decade begins with a year ending in 0; write {year // 10 * 10}s")
    if year in (1800, 1900):
        raise ValueError(
            f"it can be ten years or a hundred; write {year}/{year + 9} or {year // 100}XX"
        )
    first, last = _PARTS_OF_DECADE[part]
    return first_day(year + first), last_day(year + last)


def _relative(words: str, said_on: date) -> _Span | None:
    year, month = said_on.year, said_on.month
    if words in ("new", "brand new"):
        return add_years(said_on, -1), said_on
    if words in ("today", "yesterday"):
        return _one(said_on if words == "today" else said_on - _ONE_DAY)
    if words in ("this year", "last year"):
        year -= words == "last year"
        return first_day(year), last_day(year)
    if words in ("this month", "last month"):
        first = add_months(first_day(year, month), -1 if words == "last month" else 0)
        return first, last_day(first.year, first.month)
    return None


def _one(day: date) -> _Span:
    return day, day


def _quarter(year: int, month: int) -> _Span:
    """The three months from this one."""
    first = first_day(year, month)
    return first, add_months(first, 3) - _ONE_DAY
