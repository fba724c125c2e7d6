"""The files of wells that come in with a merge: their content goes beside this book before the rows count."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from wellbook.errors import WellbookError
from wellbook.exchange.merging.merged import FileComing
from wellbook.store.attachments import adopt, files_of
from wellbook.store.book import Book

Open = tuple[Book, Connection]
"""A book and the transaction in which it is read or written."""


def bring_files(here: Open, there: Open, coming: Sequence[FileComing], *, write: bool) -> None:
    """See that the content of every file that comes in is there and whole, and copy it.

    What lies beside this book already stays as it is. Where this book's own rows are undone afterwards,
    a file is left that no well names, which `wellbook files` finds.

    Parameters
    ----------
    write
        Whether they are copied; else they are only looked at.

    Raises
    ------
    WellbookError
        If one is gone or is not what it was: it should not come in as a row without its file.
    """
    if not coming:
        return
    mine, its = (files_of(*one) for one in (here, there))
    for one in coming:
        if not mine.wrong(one.sha256):
            continue
        source = its.path(one.sha256)
        if wrong := its.wrong(one.sha256):
            raise WellbookError(
                f"the other book's file '{one.file_name}' of {one.tag} is {wrong}; put it there again"
                " from where the other book was, or take it off its well there: wellbook files off NO",
                where=str(source),
            )
        if write:
            adopt(*here, source, one.sha256)
