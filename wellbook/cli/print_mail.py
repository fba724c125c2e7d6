"""`wellbook print letter`: a customer's letter or card as it would go out now, without its going out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import typer

from wellbook.cli.printing import TO, WELLS, print_wells
from wellbook.cli.session import note, session
from wellbook.errors import NotFoundError

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy import Connection

    from wellbook.paper.letters import Letter, Postcard
    from wellbook.reminders.gathering import Notice


def letter(ctx: typer.Context, wells: list[str] = WELLS, to: str = TO) -> None:
    """A copy of the reminder that would go out now: a letter, or a card if the customer wants cards.

    It is to be looked at, or handed over: nothing is written down as sent. What goes out is made by
    wellbook remind --send
    """
    from wellbook.store.the_well import the_well

    here = session(ctx)
    with here.open().reading() as connection:
        found = list(dict.fromkeys(the_well(connection, words) for words in wells))
        notices = _notices(connection, found, here.today)
        pieces = list(_pieces(connection, notices, here.today))
    tags = [tag for notice in notices for tag in notice.tags]
    print_wells(pieces, "letter-copy", tags, to)


def _notices(connection: Connection, numbers: Sequence[int], today: date) -> list[Notice]:
    """What goes out on paper, one a property; of the other wells it is said why nothing does.

    Raises
    ------
    NotFoundError
        If nothing goes out for any of them.
    """
    from wellbook.reminders.gathering import gather
    from wellbook.store import tables as t
    from wellbook.store.rows import by_id
    from wellbook.store.shop import shop_says

    wells = [by_id(connection, t.well, number) for number in numbers]
    sites = {well["site_id"] for well in wells} - {None}
    by_site: dict[int, list[Notice]] = {}
    for notice in gather(connection, shop_says(connection), today=today, only=sites):
        by_site.setdefault(notice.place.site_id, []).append(notice)
    going: dict[int, Notice] = {}
    silent: list[str] = []
    for well in wells:
        mine = by_site.get(well["site_id"], [])
        goes = next((notice for notice in mine if not _why_not(notice)), None)
        if goes is not None:
            going[well["site_id"]] = goes
        else:
            why = _why_not(mine[-1]) if mine else "nothing is to be told of it now"
            silent.append(f"{well['tag']}: {why} (wellbook contact {well['tag']})")
    if not going:
        raise NotFoundError(*silent)
    for line in silent:
        note(line)
    return list(going.values())


def _why_not(notice: Notice) -> str:
    """Why nothing goes out on paper; empty where something does."""
    from wellbook.reminders.sending import ON_PAPER

    if notice.still_to_call:
        return "the customer stands on a list of calls already"
    if notice.choice.why_not:
        return notice.choice.why_not
    by = notice.choice.by
    return "" if by in ON_PAPER else f"the customer is told by {by.label if by else 'nobody'}"


def _pieces(
    connection: Connection, notices: Sequence[Notice], today: date
) -> Iterator[Letter | Postcard]:
    from wellbook.paper.mail import letter_of, not_kept
    from wellbook.reminders.sending import ready, worded
    from wellbook.reminders.wording import facts_of, words_of_shop
    from wellbook.store.holes import load_holes
    from wellbook.store.shop import shop_says

    shop, words = shop_says(connection), words_of_shop(connection)
    ready(shop, [notice.choice.by for notice in notices if notice.choice.by])
    numbers = sorted({owed.well_id for notice in notices for owed in notice.tells})
    holes = dict(zip(numbers, load_holes(connection, numbers), strict=True))
    for notice in notices:
        message = worded(notice, facts_of(notice, shop, holes, today), words)
        yield letter_of(not_kept(notice, message, today), shop)
