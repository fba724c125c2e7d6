"""What several columns say of one thing, as one cell would say it."""

from __future__ import annotations

from collections.abc import Sequence

from wellbook.exchange.cell_kinds import is_blank
from wellbook.exchange.mapping import is_date, unit_of

LISTED = (
    *("notes", "customer.notes", "visit.notes", "equipment", "access", "visit.crew"),
    *("customer.phone", "customer.phone_2", "customer.phone_3"),
    *("customer.email", "customer.email_2"),
)
"""Of these each column says something of its own."""


def cell_text(cells: Sequence[str], places: Sequence[int], target: str) -> str:
    """The cells of a target on one line; "" where they say nothing.

    Of a date in several columns the first is the year, then month and day; of a number the second is
    its unit. Either is nothing without the first.

    >>> cell_text(["12", "Mill Rd"], (0, 1), "road"), cell_text(["7", "gpm"], (0, 1), "yield_gpm")
    ('12 Mill Rd', '7 gpm')
    >>> cell_text(["3", "2011"], (1, 0), "drilled_on"), cell_text(["Mar", "2011"], (1, 0), "drilled_on")
    ('2011-03', 'Mar 2011')
    >>> cell_text(["gate 12", "pays cash"], (0, 1), "notes"), cell_text(["", "gpm"], (0, 1), "yield_gpm")
    ('gate 12; pays cash', '')
    """
    if len(places) == 1:
        return _said(cells[places[0]]) if places[0] < len(cells) else ""
    said = [_said(cells[n]) if n < len(cells) else "" for n in places]
    some = [text for text in said if text]
    if not said[0] and (is_date(target) or unit_of(target)):
        return ""
    if is_date(target):
        return _date(said)
    return ("; " if target in LISTED else " ").join(some)


def _said(cell: str) -> str:
    text = " ".join(cell.replace("\x00", "").split())
    return "" if is_blank(text) else text


def _date(said: Sequence[str]) -> str:
    year, month, *day = said
    # A day without a month tells no more than the year.
    known = [year, *(text for text in (month, *day) if text and month)]
    if all(text.isdigit() for text in known):
        return "-".join(f"{text:0>2}" for text in known)
    return " ".join(reversed(known))
