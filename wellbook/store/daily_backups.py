"""Backups that make themselves: one on the first use of a day, so many of them kept.

They stand in a folder beside the book, `shop.book.backups`, named by the day. A book that was not changed
since the last one is not copied again: that one takes the name of today. Files of wells are not copied
day by day: each stands beside the book under the sum of its content, and is never written over.

Only what is asked on every use is loaded with this module: whether there is one of today.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from shutil import rmtree

from wellbook.errors import WellbookError
from wellbook.store.book import Book
from wellbook.whole_files import left_parts, part_of


def backups_folder(book: Path) -> Path:
    """Where the backups of a file's book are.

    >>> backups_folder(Path("shop.book")).name
    'shop.book.backups'
    """
    return book.with_name(f"{book.name}.backups")


def daily_place(book: Path, day: date) -> Path:
    """Where the backup of a day is.

    >>> daily_place(Path("shop.book"), date(2026, 11, 25)).name
    'daily-2026-11-25.zip'
    """
    return backups_folder(book) / f"daily-{day.isoformat()}.zip"


def dailies(book: Path) -> list[Path]:
    """The daily backups that are there, the oldest first."""
    return sorted(backups_folder(book).glob("daily-????-??-??.zip"))


def make_daily(book: Book, day: date, tell: Callable[[str], None] = lambda _: None) -> Path | None:
    """Make the backup of a day, or let the last one stand for it where nothing was changed since.

    The oldest are taken away once the new one is there. What was made by hand is never touched.

    Parameters
    ----------
    tell
        Takes a line where something is wrong in the book that is in the backup too.

    Returns
    -------
    Where it is; None where the shop wants none, there is one, or another program is at it.

    Raises
    ------
    WellbookError
        If it cannot be made.
    """
    from wellbook.store.shop import shop_says

    with book.reading() as connection:
        keep = shop_says(connection).number("daily_backups")
    target = daily_place(book.path, day)
    if not keep or target.exists():
        return None
    try:
        target.parent.mkdir(exist_ok=True)
        with _claimed(target) as mine:
            # Asked after the claim: a program that was faster has the whole of it there by now.
            if not mine or target.exists():
                return None
            if not _still_so(book, target):
                _make(book, target, tell)
            _take_away(book.path, target, keep)
    except OSError as error:
        reason = error.strerror or str(error)
        raise WellbookError(reason.lower(), where=str(target.parent)) from None
    return target


def _make(book: Book, target: Path, tell: Callable[[str], None]) -> None:
    from wellbook.store.backing_up import back_up, lost_words

    made = back_up(book, target, with_files=False)
    if made.links_lost:
        tell(lost_words(made.links_lost))


def _still_so(book: Book, target: Path) -> bool:
    """Let the last backup take the name of today where the book still stands as it did."""
    from wellbook.store.backing_up import how_it_stands
    from wellbook.store.backup_file import opened

    last = max(_up_to(book.path, target), default=None)
    stands = how_it_stands(book)
    if last is None or not stands:
        return False
    try:
        with opened(last) as backup:
            same = backup.manifest.stood == stands
            if same:
                # It was made days ago, and is to be today's: is it whole still?
                backup.check()
    except (WellbookError, OSError):
        return False
    if same:
        last.replace(target)
    return same


def _take_away(book: Path, new: Path, keep: int) -> None:
    for path in _up_to(book, new)[:-keep]:
        path.unlink(missing_ok=True)


def _up_to(book: Path, last: Path) -> list[Path]:
    """Those of no later day: what a clock that ran ahead has named is no newer than today's."""
    return [path for path in dailies(book) if path.name <= last.name]


@contextmanager
def _claimed(target: Path) -> Iterator[bool]:
    """A day, which only one program can claim: whether this one has it."""
    claim = part_of(target)
    for left in left_parts(target.parent, "daily-", time.time()):
        with suppress(FileNotFoundError):
            rmtree(left)
    try:
        claim.mkdir()
    except FileExistsError:
        yield False
        return
    try:
        yield True
    finally:
        rmtree(claim, ignore_errors=True)
