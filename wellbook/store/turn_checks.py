"""What a writer looks at once it is his turn: the book is the one that was opened, and he knows it.

Between opening and writing another program may have upgraded the book or worked it out by newer rules, and
its file may have been moved away. An engine would go on writing: into a schema that this program does
not know, or into a file that nobody finds again.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, RootTransaction, text
from sqlalchemy.exc import DBAPIError

from wellbook import versions
from wellbook.errors import BookError
from wellbook.store import fault_words
from wellbook.store.mark import MadeBy, made_by, own_versions


def check_revision(connection: Connection, opened_at: str, name: str) -> None:
    """Refuse to write into tables that another program has changed since the book was opened.

    Parameters
    ----------
    opened_at
        The schema revision at which the book was opened.
    name
        How the refusal names the book.

    Raises
    ------
    BookError
        If it stands at another revision by now.
    """
    stands_at = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    if stands_at != opened_at:
        raise BookError(
            f"another program has brought this book from {opened_at} to {stands_at or 'nothing'} since"
            " it was opened, and nothing was written; start again, with the newer wellbook",
            where=name,
        )


def check_versions(connection: Connection, name: str) -> None:
    """Refuse to write what follows from a record by older rules between what follows by newer ones.

    Parameters
    ----------
    name
        How the refusal names the book.

    Raises
    ------
    BookError
        If a newer program has worked the book out.
    """
    if newer := made_by_newer(made_by(connection)):
        raise BookError(f"{newer}; nothing was written", where=name)


def made_by_newer(made: MadeBy) -> str:
    """What a user is told of a book that a newer program has worked out; "" where none has."""
    past = own_versions().behind(made.mark)
    if not past and made.words.isdigit() and int(made.words) > int(versions.WORDS):
        past = f"words {made.words}; this program has {versions.WORDS}"
    if not past:
        return ""
    return (
        f"a newer wellbook has worked this book out ({past}): it can be read as it stands; to write,"
        " install the newer one"
    )


def place_of(path: Path) -> tuple[int, int] | None:
    """Which file is at a path, by its disk and its number there; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def check_place(path: Path, was: tuple[int, int] | None) -> None:
    """Refuse to go on where the book's file is no longer the one that is written.

    Raises
    ------
    BookError
        If it was taken away, or another was put in its place.
    """
    now = place_of(path)
    if now is None or was is None:
        raise BookError(fault_words.GONE, where=str(path))
    if now != was:
        raise BookError(fault_words.REPLACED, where=str(path))


def commit(transaction: RootTransaction, name: str) -> None:
    """Keep what was written.

    Raises
    ------
    BookError
        If a server was lost meanwhile, so that nobody can say whether it is kept.
    """
    try:
        transaction.commit()
    except DBAPIError as error:
        if fault_words.was_lost(error.orig):
            raise BookError(fault_words.LOST_AS_IT_WAS_KEPT, where=name) from error
        raise
