"""Files of wells against their sums, and what runs that were killed have left beside a book."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from pathlib import Path

from wellbook.errors import WellbookError
from wellbook.store.attachments import verify
from wellbook.store.backups_there import parts_of, second_names
from wellbook.store.book import Book
from wellbook.store.looked_at import Looked, Wrong

_PUT_BACK = "put it back from a backup (wellbook restore), or attach the same file again"


def look_at_files(book: Book) -> Iterator[Looked]:
    """Every file read; left-over parts counted."""
    try:
        seen = verify(book)
    except WellbookError as error:
        wrong = [Wrong(error.where or "files of wells", error.message, "see that it is reached")]
        yield Looked("files", 0, "file", "", wrong)
        return
    wrong = [Wrong(f"{a.tag} {a.file.name}", why, _PUT_BACK) for a, why in seen.wrong]
    yield Looked("files", seen.whole + len(wrong), "file", "whole", wrong)
    left = [*seen.underway, *_left(book)]
    wrong = [Wrong(str(path), "left by a run that was broken off") for path in left]
    yield Looked("left-overs", len(left), "part", "none", wrong)


def _left(book: Book) -> list[Path]:
    if not book.is_file:
        return []
    return [*parts_of(book.path, time.time()), *second_names(book.path)]


def mend_files(book: Book) -> None:
    """Take away what was left. What is of no well is left to `wellbook files check --sweep`."""
    with book.writing():
        # Nobody settles a file meanwhile.
        for path in [*verify(book).underway, *_left(book)]:
            if path.is_dir():
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink(missing_ok=True)
