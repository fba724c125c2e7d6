"""The words of a sentence for a customer: days and dates as one writes them in a letter.

A rule makes one plain sentence with this well's own dates: letters that name the well, the date and
the pump move people, general ones do not (a published trial: Journal of Water and Health 2020,
wh.2020.059). It has no opinion on the water; a figure is only what a result is "compared with".
"""

from __future__ import annotations

from calendar import monthrange
from datetime import date

from wellbook.dates import When
from wellbook.days import MONTHS

DEPARTMENT = "your health department can advise you on the water"
"""Who says what a result means for a household."""

INFANTS_FIRST = (
    f"{DEPARTMENT}: ask it at once where infants or expectant mothers drink it; boiling does not take"
    " it out"
)
"""The same of nitrate and nitrite, which harm infants first."""


def day_words(day: date) -> str:
    """A day as a letter has it.

    >>> day_words(date(2025, 9, 9))
    'September 9, 2025'
    """
    return f"{month_name(day.month)} {day.day}, {day.year}"


def month_name(month: int) -> str:
    """The name of a month, 1 to 12.

    >>> month_name(4)
    'April'
    """
    return MONTHS[month - 1].capitalize()


def in_words(when: When) -> str:
    """When something was, to stand after a verb, as exact as it is known.

    >>> in_words(When.on(date(2025, 9, 9))), in_words(When.parse("2018-08", said_on=date(2026, 1, 1)))
    ('on September 9, 2025', 'in August 2018')
    >>> told = date(2026, 11, 25)
    >>> [in_words(When.parse(said, said_on=told)) for said in ("about 2006", "before 2009")]
    ['about 2006', 'before 2009']
    >>> [in_words(When.parse(said, said_on=told)) for said in ("2006~", "5 years old", "May 2011")]
    ['between 2005 and 2007', 'between 2020 and 2021', 'in May 2011']
    >>> in_words(When.unknown())
    'on a day that is not on record'
    """
    first, last = when.earliest, when.latest
    if first is None and last is None:
        return "on a day that is not on record"
    if first is None or last is None:
        return _plain(when) or _open(first, last)
    if first == last:
        return f"on {day_words(first)}"
    if first.day == 1 and last == first.replace(day=monthrange(first.year, first.month)[1]):
        return f"in {month_name(first.month)} {first.year}"
    years = (
        f"in {first.year}" if first.year == last.year else f"between {first.year} and {last.year}"
    )
    return _plain(when) or years


_SAID = ("about ", "before ", "after ", "between ")


def _plain(when: When) -> str:
    """The words in which it was said, where a letter can have them: of "5 years old" only years."""
    return when.text if when.text.startswith(_SAID) and "(" not in when.text else ""


def _open(first: date | None, last: date | None) -> str:
    return f"by {day_words(last)}" if last else f"not before {day_words(first or date.min)}"
