"""The one place where the files of wells go into a package and come out of it: `files/`, by their sums."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection

from wellbook.errors import WellbookError
from wellbook.store.attachments import adopt, contents, files_of
from wellbook.store.book import Book

FOLDER = "files"
"""Where they are in a package; each is named by the SHA-256 sum of its content."""


def copy_out(book: Book, connection: Connection, package: Path) -> int:
    """Copy every file that a well names into a package.

    Returns
    -------
    How many contents they are: what several wells name is there once.

    Raises
    ------
    WellbookError
        If some are gone, or one is not what it was.
    OSError
        If one cannot be written.
    """
    sums = contents(book, connection)
    if sums:
        (package / FOLDER).mkdir()
        files = files_of(book, connection)
        gone = [path for path in sums.values() if not path.is_file()]
        if gone:
            raise WellbookError(
                f"{len(gone):,} of {len(sums):,} files of wells are gone, and a package holds all; wellbook"
                " files check names them: put them back from a copy, attach them again, or take each off"
                " its well: wellbook files off NO",
                where=str(files.folder),
            )
        for sha256 in sums:
            try:
                files.copy_out(sha256, package / FOLDER / sha256)
            except WellbookError as error:
                # What cannot be written is said of the whole package, which then is not there.
                raise error.__cause__ or error from None
    return len(sums)


def take_in(book: Book, connection: Connection, package: Path) -> int:
    """Take the files of a package into a book whose rows name them.

    Where the book's own rows are undone afterwards, a file is left that no well names, which
    `wellbook files` finds.

    Raises
    ------
    WellbookError
        If one is not in the package or is not what its row says.
    """
    sums = contents(book, connection)
    for sha256 in sums:
        source = package / FOLDER / sha256
        if not source.is_file():
            raise WellbookError(
                "a row of attachment names it, and it is not there", where=str(source)
            )
        adopt(book, connection, source, sha256)
    return len(sums)
