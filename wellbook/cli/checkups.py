"""`wellbook checkups`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import typer

from wellbook.cli.session import (
    JSON,
    screen_width,
    session,
    show,
    show_json,
    show_whole,
    taking,
    write_file,
)
from wellbook.cli.visiting import OPTIONS, Wanted
from wellbook.errors import WellbookError

app = typer.Typer(rich_markup_mode=None)


@app.command("checkups")
@taking(OPTIONS)
def checkups(
    ctx: typer.Context,
    csv: str = typer.Option(
        "", "--csv", metavar="FILE", help="Into a CSV file, one row a property; - is the screen."
    ),
    as_json: bool = JSON,
    **given: Any,
) -> None:
    """Whom to visit for a check-up or a sample, one entry a property, with all that is due there.

    A property is on the list for a check-up, a water test, a sample owed, or what cannot wait; all
    else that is due there is told with it. In driving order from the shop's place or another, else
    by town and road. On paper, with a page for each property: wellbook print list
    """
    from wellbook.present.visit_export import visits_csv, visits_json
    from wellbook.present.visit_lines import visit_lines

    here = session(ctx)
    if csv and as_json:
        raise WellbookError("give one of --csv and --json")
    wanted = Wanted(here, given)
    with here.open().reading() as connection:
        found = wanted.read(connection)
    if as_json:
        show_json(visits_json(found, here.today))
    elif csv == "-":
        show_whole(visits_csv(found, here.today))
    elif csv:
        write_file(Path(csv), visits_csv(found, here.today))
        show([f"{csv}: {len(found.stops) + len(found.left_over)} properties"])
    else:
        show(visit_lines(found, here.today, width=screen_width()))
