"""Dates that may be uncertain: what is not known is part of the record.

A pump is "about 15 years old", a well was drilled "before 1990", a motor is a "2011 model". Each
is kept as the first and the last day it can mean, beside the words it was said in. The written
form is the extended date format of ISO 8601-2; `date_words` reads it, and the words.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from wellbook.date_words import read_bounds
from wellbook.days import ONE_DAY, add_years, check_year, whole_years


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
                check_year(bound.year)
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
            words, day = _said(stripped, said_on)
            bounds = read_bounds(words, day)
            moves = bounds != read_bounds(words, add_years(day, -1))
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
        >>> print(When.between(None, date(2019, 6, 3), "unknown"))
        unknown, by 2019-06-03
        """
        if self.text == "unknown" and self.known:
            return f"unknown, {When(self.earliest, self.latest)}"
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
    if latest is not None and (latest + ONE_DAY).day != 1:
        return 10
    starts_year = earliest is None or earliest.month == 1
    ends_year = latest is None or latest.month == 12
    return 4 if starts_year and ends_year else 7


def _quoted(text: str) -> str:
    return repr(text if len(text) <= 60 else text[:57] + "...")
