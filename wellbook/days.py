"""Whole days of the calendar: months and years later, the ends of months, completed years.

`date` alone has no months or years to add; and a book holds no day before 1800 or after 2200.
"""

from __future__ import annotations

import math
from calendar import monthrange
from datetime import date, timedelta

FIRST_YEAR = 1800
LAST_YEAR = 2200

ONE_DAY = timedelta(days=1)

MONTHS = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)


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
    return day_of(year, 1 if month is None else month, 1)


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


def day_of(year: int, month: int, day: int) -> date:
    """A day by its numbers, refused in words that a user understands.

    Raises
    ------
    ValueError
        If the year is outside 1800 to 2200, or there is no such day.

    >>> day_of(2011, 2, 30)
    Traceback (most recent call last):
    ValueError: there is no day 30 in February 2011, which has 28 days
    """
    check_year(year)
    if not 1 <= month <= 12:
        raise ValueError(f"there is no month {month}; months are 1 to 12")
    length = monthrange(year, month)[1]
    if not 1 <= day <= length:
        name = MONTHS[month - 1].capitalize()
        raise ValueError(f"there is no day {day} in {name} {year}, which has {length} days")
    return date(year, month, day)


def check_year(year: int) -> None:
    """Refuse a year that no record of a well can bear.

    Raises
    ------
    ValueError
        If it is outside 1800 to 2200.
    """
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise ValueError(
            f"the year {year} is outside what this book holds, {FIRST_YEAR} to {LAST_YEAR}"
        )
