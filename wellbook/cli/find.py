"""`wellbook find`."""

from __future__ import annotations

from dataclasses import asdict

import typer

from wellbook.cli.session import JSON, screen_width, session, show, show_json
from wellbook.errors import NotFoundError

app = typer.Typer(rich_markup_mode=None)


@app.command("find")
def find(
    ctx: typer.Context,
    words: list[str] = typer.Argument(
        ..., metavar="WORDS...", help="Any part of name, phone, road, town, tag, permit."
    ),
    limit: int = typer.Option(20, "--limit", min=1, help="How many to show."),
    as_json: bool = JSON,
) -> None:
    """Find wells by whatever the caller remembers, best match first. A typing slip still finds."""
    from wellbook.store import search

    with session(ctx).open().reading() as connection:
        matches = search.find(connection, " ".join(words), limit=limit)
    if as_json:
        from wellbook.present.envelope import envelope

        shown = [{**asdict(m), "fit": m.fit.name.lower()} for m in matches]
        for one in shown:
            del one["well_id"]
        show_json(envelope("wellbook.find", 1, wells=shown))
        if not matches:
            raise typer.Exit(1)
        return
    if not matches:
        raise NotFoundError(
            f"no well fits '{' '.join(words)}'; try fewer words, or the road instead of the name"
        )
    from wellbook.present.tables import table
    from wellbook.terms import KNOWN_AS

    rows = [
        [
            m.tag,
            m.customer or (f"({KNOWN_AS}{m.known_as})" if m.known_as else "(customer unknown)"),
            m.phone,
            f"{m.road}, {m.town}".strip(", "),
            "" if m.role == "ours" else "reference" if m.status != "sealed" else "sealed",
        ]
        for m in matches
    ]
    show(table(["well", "customer", "phone", "where", ""], rows, screen_width()))
