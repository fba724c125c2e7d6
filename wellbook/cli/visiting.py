"""Who is to be visited: the options of a list, and the list, alike on screen and on paper."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.narrowing import one_month
from wellbook.cli.session import Session, read_option
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.engineering.great_circle import Place
    from wellbook.reminders.visit_list import Room, VisitList

OPTIONS: Mapping[str, tuple[Any, Any]] = {
    "month": (
        str,
        typer.Option(
            "",
            "--month",
            metavar="YYYY-MM",
            help="Due by the end of a month (default: this one).",
        ),
    ),
    "town": (str, typer.Option("", "--town", help="Only one town.")),
    "days": (int, typer.Option(None, "--days", help="Part them into so many days at most.")),
    "per_day": (
        int,
        typer.Option(None, "--per-day", help="With --days: so many stops a day at most."),
    ),
    "start": (
        str,
        typer.Option(
            "",
            "--from",
            metavar="LAT,LON",
            help="Where the days begin and end, as 40.35,-94.62 (default: the shop's place).",
        ),
    ),
}
"""Which list is wanted."""


class Wanted:
    """The list that the options ask for, refused before anything is read where it cannot be."""

    def __init__(self, here: Session, given: Mapping[str, Any]) -> None:
        self.today = here.today
        self.by = _last_day(given["month"], here.today)
        self._town: str = given["town"]
        self._room = _room(given["days"], given["per_day"])
        self._start: Place | None = None
        if given["start"]:
            from wellbook.engineering.great_circle import read_place

            self._start = read_option(lambda: read_place(given["start"]), "--from")

    def read(self, connection: Connection) -> VisitList:
        """The list; its days begin at the shop's own place where no other is given."""
        from wellbook.reminders.visit_list import visit_list
        from wellbook.store.shop import shop_says

        found = visit_list(
            connection,
            self.by,
            today=self.today,
            town=self._town,
            start=self._start or shop_says(connection).place,
            room=self._room,
        )
        if self._town and not found.stops:
            from wellbook.store.listing import known_town

            known_town(connection, self._town)
        return found


def _last_day(month: str, today: date) -> date:
    """The last day of the month, which is not over yet."""
    _, last = one_month(month or f"{today:%Y-%m}", today)
    if last < today:
        raise WellbookError(
            f"{month} is over; the list looks ahead, and has what is overdue", where="--month"
        )
    return last


def _room(days: int | None, per_day: int | None) -> Room | None:
    from wellbook.engineering.routes import MOST_STOPS
    from wellbook.reminders.visit_list import Room

    if days is None and per_day is None:
        return None
    if days is None or per_day is None:
        raise WellbookError(
            "--days and --per-day go together, such as --days 3 --per-day 6",
            where="--days" if per_day is None else "--per-day",
        )
    for option, number in (("--days", days), ("--per-day", per_day)):
        if number < 1:
            raise WellbookError(f"{number} is too few; give one or more", where=option)
    if days * per_day > MOST_STOPS:
        raise WellbookError(
            f"{days} days of {per_day} stops are more than {MOST_STOPS} stops; give fewer",
            where="--days",
        )
    return Room(days, per_day)
