"""`wellbook contact`: what a customer was told, and what came of it."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import JSON, one_day, past_day, read_option, session, show, show_json
from wellbook.cli.ways import a_way
from wellbook.errors import NotFoundError, WellbookError
from wellbook.terms import Said

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.store.contacts import Owed, Spoken
    from wellbook.store.lives import Key

app = typer.Typer(rich_markup_mode=None)


@app.command("contact")
def contact(
    ctx: typer.Context,
    well: list[str] = typer.Argument(
        ..., metavar="WELL|WORDS", help="A tag, or any words that single the well out."
    ),
    told: bool = typer.Option(False, "--told", help="The customer was told of what is due."),
    booked: str = typer.Option("", "--booked", metavar="DATE", help="It is booked for a day."),
    at: str = typer.Option("", "--at", metavar="HH:MM", help="With --booked: the hour."),
    crew: str = typer.Option("", "--crew", metavar="NAME", help="With --booked: who goes."),
    declined: bool = typer.Option(False, "--declined", help="Not wanted; nobody asks again."),
    put_off: str = typer.Option(
        "", "--put-off", metavar="DATE", help="Ask again from a day; it comes back by itself."
    ),
    about: list[str] = typer.Option(
        [], "--about", metavar="WHAT", help="Only this, such as check-up; may be given again."
    ),
    by: str = typer.Option("", "--by", metavar="WAY", help="call, letter, postcard or email."),
    on: str = typer.Option("", "--on", metavar="DATE", help="The day of it (default today)."),
    note: str = typer.Option("", "--note", help="In the customer's words."),
    as_json: bool = JSON,
) -> None:
    """What is due at a property and where it stands; write down that it was told, booked, declined.

    Done is not written here: the visit or the sample that satisfies it is. Without --about it is
    about all that is due at the property. Without anything it shows what was said so far.
    """
    here = session(ctx)
    spoken = _spoken(
        told=told,
        booked=booked,
        at=at,
        crew=crew,
        declined=declined,
        put_off=put_off,
        by=by,
        on=on,
        note=note,
        today=here.today,
    )
    words = " ".join(well)
    book = here.open()
    if spoken is None:
        if about:
            raise WellbookError(
                "goes with --told, --booked, --declined or --put-off", where="--about"
            )
        with book.reading() as connection:
            shape, lines = _shown(connection, words, here.today)
    else:
        with book.writing() as connection:
            shape, lines = _written(connection, here.who, words, spoken, about, here.today)
    if as_json:
        from wellbook.present.envelope import envelope

        show_json(envelope("wellbook.contact", 1, **shape))
    else:
        show(lines)


def _spoken(
    *,
    told: bool,
    booked: str,
    at: str,
    crew: str,
    declined: bool,
    put_off: str,
    by: str,
    on: str,
    note: str,
    today: date,
) -> Spoken | None:
    """What came of it; None where nothing is to be written down."""
    from wellbook.store.contacts import Spoken

    chosen = [
        said
        for said, given in (
            (Said.TOLD, told),
            (Said.BOOKED, booked),
            (Said.DECLINED, declined),
            (Said.PUT_OFF, put_off),
        )
        if given
    ]
    if len(chosen) > 1:
        raise WellbookError("give one of --told, --booked, --declined and --put-off")
    if not chosen:
        extra = [
            n for n, v in (("--at", at), ("--crew", crew), ("--by", by), ("--note", note)) if v
        ]
        if extra or on:
            raise WellbookError(
                "goes with --told, --booked, --declined or --put-off",
                where=(extra or ["--on"])[0],
            )
        return None
    if (at or crew) and chosen != [Said.BOOKED]:
        raise WellbookError("goes with --booked", where="--at" if at else "--crew")
    option = "--booked" if booked else "--put-off"
    return Spoken(
        said=chosen[0],
        on_day=past_day(on, today),
        by=a_way(by, "--by") if by else None,
        for_day=one_day(booked or put_off, option, today) if booked or put_off else None,
        for_time=read_option(lambda: _hour(at), "--at") if at else "",
        crew=crew,
        note=note,
    )


def _hour(text: str) -> str:
    """An hour of the day as HH:MM.

    >>> _hour("9:30"), _hour("9"), _hour("2:15 pm")
    ('09:30', '09:00', '14:15')
    """
    found = re.fullmatch(r"\s*(\d{1,2})(?::(\d{2}))?\s*(am|pm)?\s*", text.lower())
    if found:
        hour, minute = int(found.group(1)), int(found.group(2) or 0)
        half = found.group(3)
        if half and 1 <= hour <= 12:
            hour = hour % 12 + (12 if half == "pm" else 0)
        if hour < 24 and minute < 60 and not (half and int(found.group(1)) > 12):
            return f"{hour:02d}:{minute:02d}"
    raise ValueError(f"'{text}' is no hour; write it as 09:30")


def _written(
    connection: Connection, who: str, words: str, spoken: Spoken, about: list[str], today: date
) -> tuple[dict[str, Any], list[str]]:
    from wellbook.store.contacts import write_down
    from wellbook.store.the_well import the_well

    number = the_well(connection, words)
    meant = _meant(connection, number, spoken, about, today)
    write_down(connection, who, number, spoken, meant, today=today)
    shape, lines = _shown(connection, words, today)
    return shape, lines


def _meant(
    connection: Connection, number: int, spoken: Spoken, about: list[str], today: date
) -> list[Key]:
    """What it was about: what is named, else all that is due at the property by then.

    Of what the customer was never told of himself, such as a gap in the record, nobody speaks. A
    visit that is booked for what is not due is moved or called off along with the rest.
    """
    from datetime import timedelta

    from wellbook.store.contacts import booked_besides, owed_at, wells_together
    from wellbook.store.shop import shop_says

    ahead = today + timedelta(days=shop_says(connection).number("together_days"))
    by = max(ahead, spoken.for_day or today)
    wells = wells_together(connection, number)
    owed = owed_at(connection, wells, by=by, today=today)
    if about:
        named = [[o for o in owed if _fits(o, one)] for one in about]
        for one, found in zip(about, named, strict=True):
            if not found:
                known = ", ".join(dict.fromkeys(o.finding.subject for o in owed)) or "nothing"
                raise NotFoundError(
                    f"no '{one}' is due there by {by}; due is: {known}", where="--about"
                )
        return list(dict.fromkeys(o.key for found in named for o in found))
    meant = [o.key for o in owed if o.finding.to_customer]
    told = spoken.said is Said.TOLD
    booked = [] if told else list(booked_besides(connection, wells, owed, today))
    if booked and not meant and spoken.said is Said.PUT_OFF:
        # Nothing in the ledger would bring it back.
        raise WellbookError(
            "nothing is due there, and a visit is booked: move it by --booked, or call it off by"
            " --declined",
            where="--put-off",
        )
    meant += booked
    if not meant and spoken.said is not Said.BOOKED:
        raise NotFoundError(f"nothing is due there by {by} that a customer is told of")
    return meant


def _fits(owed: Owed, words: str) -> bool:
    wanted = words.strip().lower().replace("_", " ").replace("-", " ")
    finding = owed.finding
    return wanted in (
        finding.rule.replace("-", " "),
        finding.subject.lower().replace("-", " "),
        finding.occurrence.lower().replace("-", " "),
    )


def _shown(connection: Connection, words: str, today: date) -> tuple[dict[str, Any], list[str]]:
    from wellbook.present.contact_lines import contact_json, contact_lines
    from wellbook.store.contacts import property_record
    from wellbook.store.the_well import the_well

    record = property_record(connection, the_well(connection, words), today)
    return contact_json(record, today), list(contact_lines(record, today))
