"""`wellbook checkups`."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.narrowing import one_month
from wellbook.cli.session import (
    JSON,
    read_option,
    screen_width,
    session,
    show,
    show_json,
    write_file,
)
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.engineering.great_circle import Place
    from wellbook.reminders.visit_list import Room

app = typer.Typer(rich_markup_mode=None)
_DEGREES = re.compile(r"\s*([+-]?\d+(?:\.\d+)?)\s*[, ]\s*([+-]?\d+(?:\.\d+)?)\s*")


@app.command("checkups")
def checkups(
    ctx: typer.Context,
    month: str = typer.Option(
        "", "--month", metavar="YYYY-MM", help="Due by the end of a month (default: this one)."
    ),
    town: str = typer.Option("", "--town", help="Only one town."),
    days: int = typer.Option(None, "--days", help="Part them into so many days at most."),
    per_day: int = typer.Option(
        None, "--per-day", help="With --days: so many stops a day at most."
    ),
    start: str = typer.Option(
        "", "--from", metavar="LAT,LON", help="Where the days begin and end, as 40.35,-94.62."
    ),
    csv: str = typer.Option(
        "", "--csv", metavar="FILE", help="Into a CSV file, one row a property; - is the screen."
    ),
    as_json: bool = JSON,
) -> None:
    """Whom to visit for a check-up or a sample, one entry a property, with all that is due there.

    A property is on the list for a check-up, a water test, a sample owed, or what cannot wait; all
    else that is due there is told with it. In driving order from a place, else by town and road.
    """
    from wellbook.present.visit_export import visits_csv, visits_json
    from wellbook.present.visit_lines import visit_lines
    from wellbook.reminders.visit_list import visit_list

    here = session(ctx)
    if csv and as_json:
        raise WellbookError("give one of --csv and --json")
    by = _last_day(month, here.today)
    room, place = _room(days, per_day), _place(start) if start else None
    with here.open().reading() as connection:
        found = visit_list(connection, by, today=here.today, town=town, start=place, room=room)
        if town and not found.stops:
            from wellbook.store.listing import known_town

            known_town(connection, town)
    if as_json:
        show_json(visits_json(found, here.today))
    elif csv == "-":
        print(visits_csv(found, here.today), end="")
    elif csv:
        write_file(Path(csv), visits_csv(found, here.today))
        show([f"{csv}: {len(found.stops) + len(found.left_over)} properties"])
    else:
        show(visit_lines(found, here.today, width=screen_width()))


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


def _place(text: str) -> Place:
    from wellbook.engineering.great_circle import checked_place

    found = _DEGREES.fullmatch(text)
    if not found:
        raise WellbookError(
            f"'{text}' is no place; write latitude and longitude in degrees, as 40.35,-94.62",
            where="--from",
        )
    place = float(found.group(1)), float(found.group(2))
    checked: Place = read_option(lambda: checked_place(place), "--from")
    return checked
