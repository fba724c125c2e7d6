"""`wellbook site`."""

from __future__ import annotations

from typing import Any

import typer

from wellbook.cli.session import JSON, session, show, show_json, uncertain
from wellbook.errors import WellbookError

app = typer.Typer(rich_markup_mode=None, help="Properties: add, show, edit, list; who moved in.")
WHERE = typer.Argument(..., metavar="SITE", help="A number, or words of road and town.")
ROAD = typer.Option("", "--road", help="Number and road.")
TOWN = typer.Option("", "--town")
REGION = typer.Option("", "--region", help="State or province.")
POSTCODE = typer.Option("", "--postcode")
LATITUDE = typer.Option(None, "--latitude", help="In degrees, north above zero.")
LONGITUDE = typer.Option(None, "--longitude", help="In degrees, east above zero.")
ACCESS = typer.Option("", "--access", help="Gate code, dog, how to get the truck in.")
HEAD = typer.Option("", "--well-head", help="Where the well head is.")
NOTES = typer.Option("", "--notes")


@app.command("add")
def add(
    ctx: typer.Context,
    road: str = ROAD,
    town: str = TOWN,
    region: str = REGION,
    postcode: str = POSTCODE,
    latitude: float = LATITUDE,
    longitude: float = LONGITUDE,
    access: str = ACCESS,
    well_head: str = HEAD,
    notes: str = NOTES,
    customer: str = typer.Option("", "--customer", help="Whose it is: a number, or words."),
    since: str = typer.Option("unknown", "--since", help="Since when, as well as is known."),
) -> None:
    """Add a property, and whose it is."""
    from wellbook.store import wells

    here = session(ctx)
    values = _given(locals())
    if not (road or town or latitude is not None):
        raise WellbookError("a property needs a road, a town or coordinates")
    with here.open().writing() as connection:
        number = wells.add_site(connection, here.who, values)
        if customer:
            person = wells.the_customer(connection, customer)
            when = uncertain(since, "--since", here.today)
            wells.move_in(connection, here.who, number, person, when, today=here.today)
    show([f"site {number}: {', '.join(x for x in (road, town) if x)}"])


@app.command("edit")
def edit(
    ctx: typer.Context,
    site: str = WHERE,
    road: str = ROAD,
    town: str = TOWN,
    region: str = REGION,
    postcode: str = POSTCODE,
    latitude: float = LATITUDE,
    longitude: float = LONGITUDE,
    access: str = ACCESS,
    well_head: str = HEAD,
    notes: str = NOTES,
) -> None:
    """Change what is known of a property."""
    from wellbook.store import wells

    here = session(ctx)
    values = _given(locals())
    if not values:
        raise WellbookError("nothing to change; see: wellbook site edit --help")
    with here.open().writing() as connection:
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
    """A property changes hands: who was there leaves, and stays in the history."""
    from wellbook.store import wells

    here = session(ctx)
    when = uncertain(since, "--since", here.today)
    with here.open().writing() as connection:
        number = wells.the_site(connection, site)
        person = wells.the_customer(connection, customer)
        wells.move_in(connection, here.who, number, person, when, today=here.today)
    show([f"site {number} is customer {person}'s, since {when}"])


@app.command("show")
def show_one(ctx: typer.Context, site: str = WHERE, as_json: bool = JSON) -> None:
    """A property: who was there when, its wells, how to get in."""
    from wellbook.present.json_shapes import envelope
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
    lines += [f"  {o['name']}: {o['span']}" for o in card["occupants"]]
    show([*lines, *(f"  well {tag}" for tag in card["wells"])])


@app.command("list")
def list_all(
    ctx: typer.Context,
    words: list[str] = typer.Argument(None, metavar="[WORDS...]"),
    as_json: bool = JSON,
) -> None:
    """Properties by town and road."""
    from wellbook.present.json_shapes import envelope
    from wellbook.present.tables import table
    from wellbook.store import listing

    with session(ctx).open().reading() as connection:
        rows = listing.site_list(connection, " ".join(words or []))
    if as_json:
        show_json(envelope("wellbook.sites", 1, sites=rows))
        return
    listed = [[str(r["number"]), r["town"], r["road"], r["wells"]] for r in rows]
    show(table(["no.", "town", "road", "wells"], listed))


def _given(options: dict[str, Any]) -> dict[str, Any]:
    """The fields of a property that were given."""
    names = "road town region postcode latitude longitude access well_head notes".split()
    return {n: options[n] for n in names if options[n] not in ("", None)}
