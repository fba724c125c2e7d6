"""`wellbook near`: what the recorded wells around a place say of a hole of which nothing is known."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, read_option, screen_width, session, show, show_json
from wellbook.errors import NotFoundError, WellbookError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from wellbook.store.nearby import Nearby, Spot

app = typer.Typer(rich_markup_mode=None)

# Two numbers, one of them with a point or a comma between: house numbers are not taken for degrees.
_DEGREES = re.compile(r"\s*[+-]?\d[\d.]*\s*(?:,|(?<=\.\d)\s|\s(?=[+-]?\d+\.)).*\d\s*", re.ASCII)
_MOST_MI = 100.0


@app.command("near", context_settings={"ignore_unknown_options": True})
def near(
    ctx: typer.Context,
    place: list[str] = typer.Argument(
        ...,
        metavar="WELL|LAT,LON|WORDS",
        help="A tag, a place in degrees as 44.51,-72.40, or words of a well or a property.",
    ),
    within: str = typer.Option(
        "1 mi", "--within", metavar="DISTANCE", help="How far to look: 1mi, 2 km, 3000 ft, 800 m."
    ),
    limit: int = typer.Option(20, "--limit", help="So many lines at most, the nearest first."),
    as_json: bool = JSON,
) -> None:
    """What the neighbours' wells say: depth, level, yield, casing and pumps of those near by.

    From the shop's own book and from public records that were imported. Distances are as the crow
    flies; figures are as recorded, each with its basis and its year.
    """
    from wellbook.store.nearby import wells_near

    here = session(ctx)
    within_mi = read_option(lambda: _distance_mi(within), "--within")
    if limit < 1:
        raise WellbookError(f"{limit} is too few; give one or more", where="--limit")
    words = _words(place)
    with here.open().reading() as connection:
        found = wells_near(connection, _spot(connection, words), within_mi)
    if as_json:
        from wellbook.present.near_json import near_json

        show_json(near_json(found, limit))
        return
    if not found.count:
        raise NotFoundError(_none(found))
    from wellbook.present.near_lines import near_lines

    show(near_lines(found, limit, screen_width()))


def _words(place: list[str]) -> str:
    """The place as one text; a slip in an option, which may look like a place in the south, is one."""
    slip = next((word for word in place if re.match(r"--?[A-Za-z]", word)), None)
    if slip:
        raise WellbookError(f"No such option: {slip} (see: wellbook near --help)")
    return " ".join(place)


def _spot(connection: Connection, words: str) -> Spot:
    from wellbook.engineering.great_circle import read_place
    from wellbook.present.near_texts import place_text
    from wellbook.store.nearby import Spot, spot_of

    if not _DEGREES.fullmatch(words):
        return spot_of(connection, words)
    place = read_option(lambda: read_place(words), "LAT,LON")
    return Spot(place_text(place), place)


def _distance_mi(text: str) -> float:
    """A distance in miles, where none is said: how far one looks round."""
    from wellbook.quantities import read

    miles = read(text, "mi")
    if not 0 < miles <= _MOST_MI:
        raise ValueError(f"'{text}' is no distance to look round in; give up to {_MOST_MI:g} mi")
    return miles


def _none(found: Nearby) -> str:
    from wellbook.present.near_texts import distance_text

    said = f"no well is recorded within {distance_text(found.within_mi)} of {found.spot.name}"
    if found.without_place:
        said += f" ({found.without_place:,} of the book have no coordinates)"
    farther = min(5 * found.within_mi, _MOST_MI)
    return f"{said}; look farther: --within '{farther:.3g} mi'"
