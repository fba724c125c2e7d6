"""The one well that somebody means by a tag or by any words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from wellbook.errors import NotFoundError, WellbookError
from wellbook.store.tagged import TAG, tagged

if TYPE_CHECKING:
    from wellbook.store.search import Match


def the_well(connection: Connection, words: str) -> int:
    """The one well that a tag, or any words, single out.

    A word that looks like a tag ("TF-31", "tf31") is held against tags and permits alone: its digits
    may be somebody's telephone. Of other words, each has to fit as it stands; a well that is only a
    slip away is named, but never taken.

    Raises
    ------
    NotFoundError
        If none fits.
    WellbookError
        If several do: they are listed, never guessed between.
    """
    words = words.strip()
    of_the_tag = tagged(connection, words)
    if len(of_the_tag) == 1:
        return of_the_tag[0]
    # Most say the tag: how wells are found by words is loaded for the others only.
    from wellbook.store.search import Fit, find

    tag_shaped = TAG.fullmatch(words) and " " not in words
    found = [] if tag_shaped else find(connection, words)
    fits = [m for m in found if m.fit is not Fit.NEAR]
    whole = [m for m in fits if m.fit is Fit.WHOLE]
    for some in (whole, fits):
        if len(some) == 1:
            return some[0].well_id
    if fits:
        raise WellbookError(
            f"'{words}' fits several wells: {_named(whole or fits)}; name one by its tag"
        )
    if tag_shaped:
        raise NotFoundError(f"no well has the tag or permit '{words}'", where="WELL")
    near = f"; near to it: {_named(found)}; name one by its tag" if found else ""
    raise NotFoundError(f"no well fits '{words}'{near}", where="WELL")


def _named(matches: Sequence[Match]) -> str:
    some = "; ".join(
        ", ".join(
            x for x in (m.tag, m.known_as, m.customer or "customer unknown", m.road, m.town) if x
        )
        for m in matches[:6]
    )
    return some + (f" and {len(matches) - 6} more" if len(matches) > 6 else "")
