"""`wellbook calendar`: bookings and open reminders as a calendar file."""

from __future__ import annotations

from pathlib import Path

import typer

from wellbook.cli.session import session, show, write_bytes
from wellbook.errors import WellbookError

app = typer.Typer(rich_markup_mode=None)


@app.command("calendar")
def calendar(
    ctx: typer.Context,
    file: str = typer.Argument("wellbook.ics", metavar="[FILE]", help="The file to write."),
    crew: str = typer.Option("", "--crew", metavar="NAME", help="Only one person's bookings."),
) -> None:
    """Bookings as events and what is due as to-dos, for any calendar (RFC 5545).

    Bring it in again whenever it was written anew: entries are updated, never doubled, and what was
    called off or done is taken off.
    """
    from wellbook.present.text import plural
    from wellbook.reminders.agenda import agenda
    from wellbook.reminders.calendar import ics
    from wellbook.store.shop import shop_says

    here = session(ctx)
    path = Path(file)
    if file == "-" or path.is_dir():
        said = "is no file to write; name one such as wellbook.ics"
        raise WellbookError(said, where=file or "FILE")
    with here.open().writing() as connection:
        shop = shop_says(connection)
        bookings, todos = agenda(connection, shop, today=here.today, crew=crew)
        timed = [b for b in bookings if hasattr(b.start, "hour")]
        if timed and not shop["time_zone"]:
            raise WellbookError(
                "a visit is booked for an hour; say the shop's time zone first:"
                " wellbook shop set time_zone America/Chicago"
            )
        name = crew or shop["name"] or "wells"
        # Within the transaction: what the book remembers is what the file says.
        write_bytes(path, ics(bookings, todos, zone=shop["time_zone"] or "UTC", name=name))
    show([f"{plural(len(bookings), 'visit')}, {plural(len(todos), 'to-do')}: {path}"])
