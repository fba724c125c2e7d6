"""Figures and dates as the rules compare them, and as a reason shows them.

A reader must see in the words which of two numbers is more, and which day is meant.
"""

from __future__ import annotations

import re

from wellbook.dates import When

_COUNTED_BACK = re.compile(
    r"\b(old|ago|age|new|years?|yrs?|months?|weeks?|days?|last|this|today|yesterday)\b",
    re.IGNORECASE,
)


def over(value: float, limit: float) -> float:
    """How far a value lies above a limit, to a thousandth; below zero where it lies under it.

    Feet in tenths do not subtract exactly, and neither do feet that were metres: 91.44 m is 300 ft.

    >>> over(91.44 / 0.3048, 300), over(304.8 / 0.3048, 1000), over(369.11 * 0.4335, 160)
    (0.0, 0.0, 0.009)
    """
    return round(value - limit, 3) + 0.0


def figure(value: float) -> str:
    """A recorded number as it is compared, to a thousandth.

    >>> figure(312.5), figure(304.801 / 0.3048), figure(304.8 / 0.3048)
    ('312.5', '1000.003', '1000')
    """
    return f"{round(value, 3):.10g}"


def shown(value: float, limit: float) -> str:
    """A worked-out value in so many digits that one sees on which side of a limit it lies.

    >>> shown(160.395, 160), shown(160.009185, 160), shown(200.0, 160)
    ('160.4', '160.01', '200')
    """
    texts = [f"{value:.{digits}f}" for digits in range(4)]
    return next((t for t in texts if _side(float(t), limit) == _side(value, limit)), texts[-1])


def _side(value: float, limit: float) -> int:
    """1 above a limit, -1 below it, 0 on it."""
    distance = over(value, limit)
    return (distance > 0) - (distance < 0)


def dated(when: When) -> str:
    """A date in the words in which it was told, with its days where those count from a day.

    >>> from datetime import date
    >>> day = date(2020, 6, 1)
    >>> for told in ("about 2006", "10-12 years old", "../2015", "since 2010-05-01"):
    ...     print(dated(When.parse(told, said_on=day)))
    about 2006
    2007-06-02 to 2010-06-01 (told as 10-12 years old)
    by 2015
    since 2010-05-01
    """
    if when.text and "/" not in when.text and not _COUNTED_BACK.search(when.text):
        return when.text
    first, _, last = when.edtf().partition("/")
    if first == "..":
        days = f"by {last}"
    elif last == "..":
        days = f"{first} or later"
    else:
        days = f"{first} to {last}" if last else first
    return f"{days} (told as {when.text})" if _COUNTED_BACK.search(when.text) else days or "unknown"
