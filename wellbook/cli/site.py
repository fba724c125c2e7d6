"""`wellbook site`."""

from __future__ import annotations

from typing import Any

import typer

from wellbook.cli.session import JSON, session, show, show_json, show_list, taking, uncertain
from wellbook.errors import WellbookError

app = typer.Typer(rich_markup_mode=None, help="Properties: add, show, edit, list; who moved in.")
WHERE = typer.Argument(..., metavar="SITE", help="A number, or words of road and town.")
FIELDS: dict[str, tuple[Any, Any]] = {
    "road": (str, typer.Option("", "--road", help="Number and road.")),
    "town": (str, typer.Option("", "--town", help="The town.")),
    "region": (str, typer.Option("", "--region", help="State or province.")),
    "postcode": (str, typer.Option("", "--postcode", help="The postal code.")),
    "latitude": (float, typer.Option(None, "--latitude", help="In degrees, north above zero.")),
    "longitude": (float, typer.Option(None, "--longitude", help="In degrees, east above zero.")),
    "access": (
        str,
        typer.Option("", "--access", help="Gate code, dog, how to get the truck in."),
    ),
    "well_head": (str, typer.Option("", "--well-head", help="Where the well head is.")),
    "notes": (str, typer.Option("", "--notes", help="What else to know of it.")),
}


@app.command("add")
@taking(FIELDS)
def add(
    ctx: typer.Context,
    customer: str = typer.Option("", "--customer", help="Whose it is: a number, or words."),
    since: str = typer.Option("unknown", "--since", help="Since when, as well as is known."),
    **given: Any,
) -> None:
    """Add a property, and whose it is."""
    from wellbook.store import wells

    here = session(ctx)
    values = {name: value for name, value in given.items() if value not in ("", None)}
    if not values.keys() & {"road", "town", "latitude"}:
        raise WellbookError("a property needs a road, a town or coordinates")
    with here.open().writing() as connection:
        number = wells.add_site(connection, here.who, values)
        if customer:
            person = wells.the_customer(connection, customer)
            when = uncertain(since, "--since", here.today)
            wells.move_in(connection, here.who, number, person, when, today=here.today)
    where = ", ".join(str(values[x]) for x in ("road", "town") if x in values)
    show([f"site {number}: {where or 'at its coordinates'}"])


@app.command("edit")
@taking(FIELDS)
def edit(ctx: typer.Context, site: str = WHERE, **given: Any) -> None:
    """Change what is known of a property."""
    from wellbook.cli.meanwhile import writing_over
    from wellbook.store import wells

    here = session(ctx)
    values = {name: value for name, value in given.items() if value not in ("", None)}
    if not values:
        raise WellbookError("nothing to change; see: wellbook site edit --help")
    with writing_over(here.open()) as connection:
        number = wells.the_site(connection, site)
        wells.edit_site(connection, here.who, number, values)
    show([f"site {number} is changed"])


@app.command("moved-in")
def moved_in(
    ctx: typer.Context,
    site: str = WHERE,
    customer: str = typer.Option(..., "--customer", help="Who: a number, or words of the name."),
    since: str = typer.Option("unknown", "--since", help="Since when, as well as is known."),
) -> None:
    """A property changes hands: who was there leaves, and stays in the history.

    Said again of whoever is there, it puts the day right.
    """
    from wellbook.store import wells
    from wellbook.store.stays import there_now

    here = session(ctx)
    when = uncertain(since, "--since", here.today)
    with here.open().writing() as connection:
        number = wells.the_site(connection, site)
        person = wells.the_customer(connection, customer)
        before = there_now(connection, number)
        new = wells.move_in(connection, here.who, number, person, when, today=here.today)
    said = f"site {number} is customer {person}'s, since {when}"
    # Who takes somebody for gone learns who that is: it may be whom another has just let in.
    gone = [f"customer {other} ({name})" for other, name in before.items() if other != person]
    left = f"; until then it was of {' and '.join(gone)}" if new and gone else ""
    show([f"{said}{left}" if new else f"nothing to change: {said}"])


@app.command("show")
def show_one(ctx: typer.Context, site: str = WHERE, as_json: bool = JSON) -> None:
    """A property: who was there when, its wells, how to get in."""
    from wellbook.present.envelope import envelope
    from wellbook.present.text import span_words
    from wellbook.store import listing, wells

    with session(ctx).open().reading() as connection:
        card = listing.site_card(connection, wells.the_site(connection, site))
    if as_json:
        show_json(envelope("wellbook.site", 1, site=card))
        return
    lines = [f"site {card['number']}: {card['where']}"]
    for name in ("region", "postcode", "latitude", "longitude", "access", "well_head", "notes"):
        if card[name] not in ("", None):
            lines.append(f"  {name.replace('_', ' '):<10} {card[name]}")
    lines += [f"  {o['name']}: {span_words(o['since'], o['until'])}" for o in card["occupants"]]
    show([*lines, *(f"  well {tag}" for tag in card["wells"])])


@app.command("list")
def list_all(
    ctx: typer.Context,
    words: list[str] = typer.Argument(None, metavar="[WORDS...]"),
    as_json: bool = JSON,
) -> None:
    """Properties by town and road."""
    from wellbook.store import listing

    with session(ctx).open().reading() as connection:
        rows = listing.site_list(connection, " ".join(words or []))
    columns = {"no.": "number", "town": "town", "road": "road", "wells": "wells"}
    show_list("sites", rows, columns, as_json=as_json)
