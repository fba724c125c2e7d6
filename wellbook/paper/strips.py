"""Strips across a page that never break, and how they fill pages one after the other."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from wellbook.errors import WellbookError
from wellbook.paper.inks import Ink, moved


class TooLongError(WellbookError):
    """What has one place of one size, and does not fit it: it is refused, and never cut unseen."""


@dataclass(frozen=True, slots=True)
class Strip:
    """What stands side by side, from its own top; one that `keeps` stays with the strip below it."""

    height: float
    inks: tuple[Ink, ...] = ()
    keeps: bool = False


@dataclass(frozen=True, slots=True)
class Stretching:
    """A drawing that takes what is left of a page, between two heights."""

    least: float
    most: float
    inks: Callable[[float], tuple[Ink, ...]]


Band = Strip | Stretching


def paged(bands: Iterable[Band], first: float, others: float) -> Iterator[tuple[Ink, ...]]:
    """Fill pages: the inks of each, from the top of the room.

    Parameters
    ----------
    bands
        Strips and drawings, top down.
    first, others
        How high the first page is and each of the others, in points. What keeps to each other and is
        higher than that is parted all the same: nothing ever runs over the edge.
    """
    page: list[Ink] = []
    used, room = 0.0, first
    for run in _runs(bands):
        high = sum(_least(band) for band in run)
        if used and used + high > room:
            yield tuple(page)
            page, used, room = [], 0.0, others
        for band in run:
            if used and used + _least(band) > room:
                yield tuple(page)
                page, used, room = [], 0.0, others
            if isinstance(band, Stretching):
                height = min(band.most, room - used)
                page += moved(band.inks(height), 0, used)
            else:
                height = band.height
                page += moved(band.inks, 0, used)
            used += height
    if page:
        yield tuple(page)


def _runs(bands: Iterable[Band]) -> Iterator[list[Band]]:
    """What stays together on a page: each strip with those that keep to it."""
    run: list[Band] = []
    for band in bands:
        run.append(band)
        if not (isinstance(band, Strip) and band.keeps):
            yield run
            run = []
    if run:
        yield run


def _least(band: Band) -> float:
    return band.least if isinstance(band, Stretching) else band.height
