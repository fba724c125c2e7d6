"""`wellbook log`: the change log for people."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta, tzinfo
from itertools import islice
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, Session, read_option, session, show, show_json
from wellbook.errors import NotFoundError, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.store.entries import Entry

app = typer.Typer(rich_markup_mode=None)
_LINES = 8
"""How many lines of one entry stand in a list."""


@app.command("log")
def log(
    ctx: typer.Context,
    number: int = typer.Argument(
        None, metavar="[NUMBER]", min=1, help="One entry, with all that it changed, in full."
    ),
    well: str = typer.Option("", "--well", help="Only about a well: its tag, or words in quotes."),
    customer: str = typer.Option("", "--customer", help="Only about a customer: number or name."),
    who: str = typer.Option("", "--who", help="Only what one person did, as the log names him."),
    since: str = typer.Option("", "--since", metavar="DATE", help="Only from this day on."),
    until: str = typer.Option("", "--until", metavar="DATE", help="Only up to this day."),
    before: int = typer.Option(
        None, "--before", metavar="NUMBER", min=1, help="Only older than this entry: to go on."
    ),
    limit: int = typer.Option(20, "--limit", min=1, max=1000, help="How many entries to show."),
    as_json: bool = JSON,
) -> None:
    """What was changed in the book, newest first: when, by whom, what it was and what it became.

    What one command did is one entry, under one number. Of a person who was forgotten on his wish
    nothing is shown but that there was something.

    JSON is wellbook.log, version 1: entries, each with number, at (universal time), who, taken_back,
    takes_back (the number of an entry) and lines; a line has number, action, of (which table), row (its
    identity), name, done and fields, each with field, old and new. more_lines are those not shown.
    """
    from wellbook.present.log_lines import log_json, log_lines
    from wellbook.store.entries import entry_of
    from wellbook.store.log_words import told_entries
    from wellbook.store.time_zones import time_zone

    here = session(ctx)
    narrowed = any((well, customer, who, since, until, before))
    if number is not None and narrowed:
        raise WellbookError("one entry is shown whole: give its number alone", where="NUMBER")
    with here.open().reading() as connection:
        zone = time_zone(connection)
        about: set[str] | None = None
        if number is not None:
            one = entry_of(connection, number)
            if one is None:
                raise NotFoundError(f"the change log has no entry {number}", where="NUMBER")
            found, more = [one], False
        else:
            about = _about(connection, well, customer)
            days = _days(here, since, until)
            some = list(islice(_found(connection, about, who, days, zone, before), limit + 1))
            found, more = some[:limit], len(some) > limit
        most = None if number is not None else _LINES
        told = told_entries(connection, found, most=most, about=about or ())
    if as_json:
        show_json(log_json(told))
        return
    if not told:
        raise NotFoundError(
            "no change fits that" if narrowed else "nothing was changed in this book yet"
        )
    lines = list(log_lines(told, zone, whole=number is not None))
    if more:
        lines.append(f"older ones: wellbook log --before {found[-1].number}")
    show(lines)


def _about(connection: Connection, well: str, customer: str) -> set[str] | None:
    """The rows that are asked for; None where all are."""
    from wellbook.store import log_about
    from wellbook.store.the_well import the_well
    from wellbook.store.wells import the_customer

    found = []
    if well:
        found.append(log_about.rows_of_well(connection, the_well(connection, well)))
    if customer:
        found.append(log_about.rows_of_customer(connection, the_customer(connection, customer)))
    return set.intersection(*found) if found else None


def _days(here: Session, since: str, until: str) -> tuple[date | None, date | None]:
    from wellbook.dates import When

    first = last = None
    if since:
        when = read_option(lambda: When.parse(since, said_on=here.today), "--since")
        first = when.earliest
    if until:
        when = read_option(lambda: When.parse(until, said_on=here.today), "--until")
        last = when.latest
    for text, day, option in ((since, first, "--since"), (until, last, "--until")):
        if text and day is None:
            raise WellbookError(f"'{text}' is no day to count from", where=option)
    if first and last and first > last:
        raise WellbookError(f"{last} is before {first}", where="--until")
    return first, last


def _found(
    connection: Connection,
    about: set[str] | None,
    who: str,
    days: tuple[date | None, date | None],
    zone: tzinfo | None,
    before: int | None,
) -> Iterator[Entry]:
    from wellbook.store.entries import newest
    from wellbook.store.log_about import first_line_since

    def begins(day: date) -> int:
        midnight = datetime(day.year, day.month, day.day, tzinfo=zone)
        return first_line_since(connection, midnight.astimezone(UTC))

    since, until = days
    first = begins(since) if since else 0
    if until and until < date.max:
        end = begins(until + timedelta(days=1))
        before = end if before is None else min(before, end)
    return newest(connection, before=before, from_line=first, about=about, who=who)
