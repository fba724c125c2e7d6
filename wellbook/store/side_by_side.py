"""Wells judged by several processes at once, where the whole ledger is renewed.

What rules ask of a well costs a hundred times what it costs to write down that they say the same as
before. So each process reads the book by itself and gives back only by what the ledger differs; the one
that began writes it. A processor more is nearly so many wells more a second.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Collection, Generator, Sequence
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection as Pipe
from typing import Any

from wellbook.rules.finding import Settings
from wellbook.store.book import open_book
from wellbook.store.due_rows import Changes
from wellbook.store.judging import changes

Lots = Sequence[Sequence[int]]
"""The numbers of wells, some hundreds in a lot."""

_MOST = 8
"""So many processes at most: each has some 60 MiB, and one that writes keeps no more of them busy."""


def changes_side_by_side(
    place: str, shop: Settings, names: Collection[str] | None, lots: Lots
) -> Generator[Changes | None, None, None]:
    """By what the ledger of each lot differs, in the order of the lots.

    Each process opens the book and sees what is kept in it, which must not change meanwhile: the caller is the
    one that writes, and has written nothing that rules look at.

    Parameters
    ----------
    place
        The book's path or URL, with its password.

    Yields
    ------
    None in place of a lot whose process has ended before its time: the caller has to judge it.
    """
    processes = min(_processors(), len(lots))
    pipes = [_started(place, shop, names, lots[n::processes]) for n in range(processes)]
    try:
        for n in range(len(lots)):
            yield _received(pipes[n % processes])
    finally:
        # One that still has to give something finds nobody who takes it, and ends.
        for pipe in pipes:
            pipe.close()


def _processors() -> int:
    here: Callable[[int], Any] | None = getattr(os, "sched_getaffinity", None)
    return min(len(here(0)) if here else os.cpu_count() or 1, _MOST)


def _started(place: str, shop: Settings, names: Collection[str] | None, lots: Lots) -> Pipe:
    # Not a fork: what is open here, files and servers, is no business of the other process.
    ways = get_context("spawn")
    ours, theirs = ways.Pipe(duplex=False)
    with theirs:
        given = (theirs, place, dict(shop.changed), names, lots)
        with suppress(OSError):
            ways.Process(target=_judge, args=given, daemon=True).start()
    return ours


def _received(pipe: Pipe) -> Changes | None:
    try:
        found = pipe.recv()
    except (EOFError, OSError):
        return None
    return found if isinstance(found, Changes) else None


def _judge(
    pipe: Pipe,
    place: str,
    changed: dict[str, float | str],
    names: Collection[str] | None,
    lots: Lots,
) -> None:
    """What the other process does: judge its lots one after another, and say by what each differs."""
    # Who stops the command at the keyboard stops the one that writes, and with it this one.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    shop = Settings(changed)
    # Whatever goes wrong here goes wrong in the caller too, where the user is told of it.
    with suppress(Exception):
        book = open_book(place)
        with book.reading() as connection:
            for lot in lots:
                pipe.send(changes(connection, lot, shop, names))
