"""When what comes round again is due: by months, in a fixed month, outside a quiet season.

An interval counts from the day on which the thing was done, never from the day on which it was due:
a check-up that came late is not followed by one that comes early.
"""

from __future__ import annotations

from datetime import date

from wellbook.days import add_months

EARLY_MONTHS = 5
"""How long before a contract's month a check-up is that year's (common practice, no published source)."""


def months_after(done: date, months: int) -> date:
    """The day on which it is due again: the same day of the month, or the month's last.

    Parameters
    ----------
    done
        The day on which it was done.
    months
        Whole months from one to the next.

    Returns
    -------
    The last day of the calendar where it would lie after that.

    >>> months_after(date(2026, 8, 31), 6), months_after(date(2024, 2, 29), 12)
    (datetime.date(2027, 2, 28), datetime.date(2025, 2, 28))
    """
    try:
        return add_months(done, months)
    except ValueError:
        return date.max


def in_contract_month(done: date, months: int, month: int) -> date:
    """The next first of a contract's month, of which the last time was not already the visit.

    A check-up of the five months before a contract's month is that year's, done early; any other was
    late, and the next April stays the next April. So over the years there is one a year, whoever is
    visited late is not visited later still, and a new contract owes nothing for what was just done. A
    contract is a yearly one: where the shop's own
    interval is shorter than a year, a year counts.

    Parameters
    ----------
    done
        The day on which it was done.
    months
        Whole months from one to the next.
    month
        The contract's month, 1 to 12.

    >>> in_contract_month(date(2026, 3, 25), 12, 4), in_contract_month(date(2026, 6, 10), 12, 4)
    (datetime.date(2027, 4, 1), datetime.date(2027, 4, 1))
    >>> in_contract_month(date(2026, 10, 15), 12, 4), in_contract_month(date(2026, 4, 20), 24, 4)
    (datetime.date(2027, 4, 1), datetime.date(2028, 4, 1))
    """
    return next_first(months_after(done, max(months, 12) - 12 + EARLY_MONTHS), month)


def first_in_month(day: date, month: int) -> date:
    """The first day of a month that does not lie before a day; that day, where it is in the month.

    >>> first_in_month(date(2026, 4, 20), 4), first_in_month(date(2026, 5, 1), 4)
    (datetime.date(2026, 4, 20), datetime.date(2027, 4, 1))
    """
    return day if day.month == month else next_first(day, month)


def next_first(day: date, month: int) -> date:
    """The next first of a month after a day.

    >>> next_first(date(2026, 10, 10), 4), next_first(date(2026, 4, 1), 4)
    (datetime.date(2027, 4, 1), datetime.date(2027, 4, 1))
    """
    year = day.year if day.month < month else day.year + 1
    return date(year, month, 1) if year <= date.max.year else date.max


def out_of_season(day: date, from_month: int, to_month: int) -> date:
    """A day, or the first one after the quiet season that it falls into: moved, not lost.

    Parameters
    ----------
    day
        The day on which it would be due.
    from_month, to_month
        The first and the last month of the season, 1 to 12; it may go over New Year (12 to 2). 0 in
        either is no season at all, and so is one that leaves no month of the year.

    >>> out_of_season(date(2027, 1, 31), 12, 2), out_of_season(date(2027, 3, 1), 12, 2)
    (datetime.date(2027, 3, 1), datetime.date(2027, 3, 1))
    """
    if not (from_month and to_month):
        return day
    quiet = {(from_month - 1 + n) % 12 + 1 for n in range((to_month - from_month) % 12 + 1)}
    if day.month not in quiet or len(quiet) == 12:
        return day
    return next_first(day, to_month % 12 + 1)
