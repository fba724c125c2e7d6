"""The words in which people say when something was: "about 2006", "before 2010", "12 years old".

They are read into the first and the last day that they can mean.

Conventions of this program where neither ISO 8601-2 nor the trade gives a number:

* "about", "maybe", `~`, `?` and `%` widen a year (or anything longer) by one year on each side, a
  month or a season by one month, a day by one day, and an age by one of the unit it is given in;
* "new" is within the year up to the day it is said.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from wellbook.days import FIRST_YEAR, LAST_YEAR, ONE_DAY, add_days, add_months
from wellbook.single_dates import Span, iso, span

Bounds = tuple[date | None, date | None]

_LONGEST = 200

_UNKNOWN = frozenset(
    [
        *("", "?", "??", "-", "unknown", "unk", "not known", "n/a", "na", "none", "date unknown"),
        *("don't know", "dont know", "do not know", "not sure", "unsure", "no idea"),
    ]
)

_EXAMPLES = "2011-05-14, 2011-05, 2011, about 2006, 2005/2009, before 2010, 12 years old or unknown"

_LOOKALIKES = str.maketrans({"\u2013": "-", "\u2014": "-", "\u2212": "-", "\u2019": "'"})


def read_bounds(text: str, said_on: date) -> Bounds:
    """The first and the last day that some words can mean; None where that end is open.

    Parameters
    ----------
    text
        As entered, without blanks around it.
    said_on
        The day it was said, from which ages and "last year" are counted.

    Raises
    ------
    ValueError
        If it cannot be read, can mean two things, or is no day of the calendar.

    >>> read_bounds("before 2010", date(2023, 6, 1))
    (None, datetime.date(2009, 12, 31))
    """
    if len(text) > _LONGEST:
        raise ValueError(f"it is longer than {_LONGEST} characters; write {_EXAMPLES}")
    return _read(_plain(text), said_on)


def _plain(text: str) -> str:
    """One spelling for what looks the same: case, blanks, dashes, a full stop at the end."""
    folded = " ".join(text.translate(_LOOKALIKES).lower().split())
    # Two dots at an end are the open end of an interval.
    return folded if folded.endswith("..") else folded.removesuffix(".")


def _read(plain: str, said_on: date) -> Bounds:
    if plain in _UNKNOWN:
        return None, None
    # The standard's own forms come first: they are what a book mostly holds, and the quickest.
    exact = iso(plain)
    if exact is not None:
        return exact
    for reader in (_reading, _interval, _open_ended):
        bounds = reader(plain, said_on)
        if bounds is not None:
            return bounds
    if re.fullmatch(r"'?[0-9]{1,3}", plain):
        raise ValueError("it can be a year or an age; write 2015 or 15 years old")
    raise ValueError(f"it is not a wording known here; write {_EXAMPLES}")


def _reading(plain: str, said_on: date) -> Bounds | None:
    """One date or age, exact or "about"."""
    words, fuzzy = _peel(plain)
    aged = _age(words, said_on, blur=1 if fuzzy else 0)
    if aged is not None:
        return aged
    one = span(words, said_on)
    return _widened(one, one) if one is not None and fuzzy else one


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


def _widened(bounds: Bounds, like: Span) -> Bounds:
    """Bounds moved apart by what "about" means for a span of the length of `like`."""
    days = (like[1] - like[0]).days + 1
    months = 12 if days > 92 else 1
    first, last = bounds
    if first is not None:
        first = first - ONE_DAY if days == 1 else add_months(first, -months)
        first = max(first, date(FIRST_YEAR, 1, 1))
    if last is not None:
        # By way of the day after, so that the end of a month stays the end of a month.
        last = last + ONE_DAY if days == 1 else add_months(last + ONE_DAY, months) - ONE_DAY
        last = min(last, date(LAST_YEAR, 12, 31))
    return first, last


_BEFORE = r"(before|prior to|pre|after|post|since|from|no earlier than|by|until|till|no later than)"
_BOUND_BY: dict[str, Callable[[Span], Bounds]] = {
    **dict.fromkeys(("before", "prior to", "pre"), lambda one: (None, one[0] - ONE_DAY)),
    **dict.fromkeys(("after", "post"), lambda one: (one[1] + ONE_DAY, None)),
    **dict.fromkeys(
        ("since", "from", "no earlier than", "or later", "or newer"), lambda one: (one[0], None)
    ),
    **dict.fromkeys(
        ("by", "until", "till", "no later than", "or earlier", "or older"),
        lambda one: (None, one[1]),
    ),
}


def _open_ended(plain: str, said_on: date) -> Bounds | None:
    """Known on one side: "before 2010", "since 2010", "2010 or later"."""
    if found := re.fullmatch(_BEFORE + r"[ -](.+)", plain):
        relation, rest = found.groups()
    elif found := re.fullmatch(r"(.+) (or (?:later|newer|earlier|older))", plain):
        rest, relation = found.groups()
    else:
        return None
    words, fuzzy = _peel(rest)
    first, last = _age(words, said_on) or span(words, said_on) or (None, None)
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


def _interval(plain: str, said_on: date) -> Bounds | None:
    """Two ends: "2005/2009", "between 2005 and 2009", "2005 to 2009", "../2009"."""
    for pattern in _INTERVALS:
        found = re.fullmatch(pattern, plain)
        if found is None or not any(found.groups()):
            continue
        first, last = (_end(end, said_on) for end in found.groups())
        if first is not None and last is not None:
            return first[0], last[1]
    return None


def _end(words: str, said_on: date) -> Bounds | None:
    words = words.strip()
    return (None, None) if words in ("", "..") else _reading(words, said_on)


# -- ages --------------------------------------------------------------------------------------

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


def _age(words: str, said_on: date, blur: int = 0) -> Bounds | None:
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
    earliest = _latest_of_age(said_on, high + blur + 1, unit) + ONE_DAY
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
    while add_months(day + ONE_DAY, months) <= said_on:
        day += ONE_DAY
    return day
