"""What several lists are narrowed by: a month."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from wellbook.cli.session import read_option
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    pass


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
