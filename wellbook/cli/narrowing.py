"""What several lists are narrowed by: a month, a town."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from wellbook.cli.session import read_option
from wellbook.errors import NotFoundError, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection


def one_month(text: str, today: date) -> tuple[date, date]:
    """The first and the last day of the month that `--month` says.

    >>> one_month("2027-02", date(2026, 11, 25))
    (datetime.date(2027, 2, 1), datetime.date(2027, 2, 28))
    """
    from wellbook.dates import When

    if not re.fullmatch(r"\d{4}-\d{1,2}", text.strip()):
        raise WellbookError(f"'{text}' is no month; write it as 2027-03", where="--month")
    year, month = text.strip().split("-")
    when = read_option(lambda: When.parse(f"{year}-{month:0>2}", said_on=today), "--month")
    return when.earliest, when.latest


def known_town(connection: Connection, town: str) -> None:
    """Refuse a town where no well is: that nothing is due there would be no answer."""
    from wellbook.store.listing import towns

    known = towns(connection)
    if town.casefold() not in {one.casefold() for one in known}:
        raise NotFoundError(f"no well is in '{town}'; there are: {', '.join(known)}")
