"""`wellbook call`."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import JSON, past_day, session, show, show_json
from wellbook.cli.told import in_words, told_tables
from wellbook.errors import NotFoundError, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

app = typer.Typer(rich_markup_mode=None)


@app.command("call")
def call(
    ctx: typer.Context,
    well: list[str] = typer.Argument(
        ..., metavar="WELL|WORDS", help="A tag, or any words that single the well out."
    ),
    symptom: str = typer.Option("", "--symptom", help="What is wrong, in the caller's words."),
    caller: str = typer.Option("", "--caller", help="Who rang, where it is not the customer."),
    phone: str = typer.Option("", "--phone", help="The number to ring back."),
    told: list[str] = typer.Option(
        [],
        "--told",
        metavar="WHAT=VALUE",
        help="What they say of the well: depth_ft=300, pump.hp=1/2, cable.made='10-12 years old'.",
    ),
    promised: str = typer.Option("", "--promised", help="What you promised."),
    outcome: str = typer.Option("", "--outcome", help="What came of it; of the last call, alone."),
    on: str = typer.Option("", "--on", metavar="DATE", help="The day of the call (default today)."),
    new: bool = typer.Option(False, "--new", help="The well is not in the book: start it now."),
    name: str = typer.Option("", "--name", help="With --new: the customer's name."),
    road: str = typer.Option("", "--road", help="With --new: the road and number."),
    town: str = typer.Option("", "--town", help="With --new: the town."),
    as_json: bool = JSON,
) -> None:
    """Write down a call: who rang, the symptom, what they said of the well, what was promised.

    What they say is kept as told, and never outweighs what was measured. For a well that is not in
    the book:  wellbook call smith --new --name "A. Smith" --road "12 Hill Rd" --told depth_ft=300
    """
    from wellbook.store.sheets import CallSaid

    here = session(ctx)
    if not (symptom or caller or phone or told or promised or outcome or new):
        raise WellbookError("nothing to write down; say what with --symptom, --told or --promised")
    day = past_day(on, here.today)
    data = {"date": day.isoformat(), **told_tables(told, "--told")}
    said = CallSaid(caller, phone, symptom, promised, outcome)
    start = {"name": name, "road": road, "town": town, "phone": phone}
    book = here.open()
    with book.writing() as connection:
        number = _well(connection, " ".join(well), start if new else None, here.who, here.today)
        if outcome and not (symptom or caller or phone or told or promised or new):
            shape = _came_of_it(connection, here.who, number, outcome)
        else:
            shape = _record(connection, here.who, number, data, said, here.today)
    if as_json:
        from wellbook.present.envelope import envelope

        show_json(envelope("wellbook.call", 1, **shape))
    else:
        show([f"{shape['well']}: {shape['done']}", f"Next: wellbook hole {shape['well']}"])


def _well(
    connection: Connection, words: str, start: dict[str, str] | None, who: str, today: date
) -> int:
    from wellbook.store.the_well import the_well

    if start is not None:
        return _start(connection, words, start, who, today)
    try:
        return the_well(connection, words)
    except NotFoundError as error:
        raise NotFoundError(
            f"{error.message}; if the well is not in the book, add --new to start it"
        ) from None


def _start(connection: Connection, words: str, start: dict[str, str], who: str, today: date) -> int:
    """A well of which nothing is known but what the caller says."""
    from wellbook.dates import When
    from wellbook.store import wells

    _not_there_yet(connection, " ".join(w for w in (start["name"] or words, start["road"]) if w))
    site = wells.add_site(connection, who, {"road": start["road"], "town": start["town"]})
    phones = (start["phone"],) if start["phone"] else ()
    customer = wells.add_customer(connection, who, start["name"] or words, phones=phones)
    wells.move_in(connection, who, site, customer, When.unknown(), today=today)
    tag = wells.next_tag(connection)
    return wells.add_well(connection, who, tag, {"site_id": site}, today=today)


def _not_there_yet(connection: Connection, words: str) -> None:
    """Refuse to start a well twice: the second call about it belongs to the first."""
    from wellbook.store.search import Fit, find

    same = [m for m in find(connection, words) if m.fit is Fit.WHOLE]
    if same:
        one = ", ".join(x for x in (same[0].tag, same[0].customer, same[0].road) if x)
        raise WellbookError(
            f"'{words}' is in the book already: {one}; leave out --new and name it by its tag,"
            " or tell the new one apart by --name and --road"
        )


def _record(
    connection: Connection, who: str, number: int, data: dict[str, Any], said: Any, today: date
) -> dict[str, Any]:
    from wellbook.hole.sheet import SheetError
    from wellbook.store.sheets import record
    from wellbook.terms import SheetKind

    try:
        made = record(connection, who, number, data, today=today, kind=SheetKind.CALL, call=said)
    except SheetError as error:
        raise in_words(error, "--told") from None
    return {"well": made.after.tag, "call": made.number, "done": f"call {made.number} is recorded"}


def _came_of_it(connection: Connection, who: str, number: int, outcome: str) -> dict[str, Any]:
    """Put what came of it to the last call."""
    from sqlalchemy import select, update

    from wellbook.store import tables as t
    from wellbook.store.holes import load_hole
    from wellbook.store.rows import by_id, log
    from wellbook.terms import SheetKind

    hole = load_hole(connection, number)
    calls = hole.visited(SheetKind.CALL)
    if not calls:
        raise NotFoundError(f"no call about {hole.tag} is on record")
    last = calls[-1]
    old = connection.execute(
        select(t.call.c.outcome).where(t.call.c.sheet_id == last.number)
    ).scalar()
    connection.execute(
        update(t.call).where(t.call.c.sheet_id == last.number).values(outcome=outcome)
    )
    uid = by_id(connection, t.sheet, last.number)["uid"]
    log(connection, who, "change", "call", uid, old={"outcome": old}, new={"outcome": outcome})
    return {
        "well": hole.tag,
        "call": last.number,
        "done": f"what came of the call of {last.start} is recorded",
    }
