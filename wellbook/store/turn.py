"""What a writer looks at once it is his turn: the book is the one that was opened, and he knows it.

Between opening and writing another program may have upgraded the book or judged it by newer rules, and
its file may have been moved away. An engine would go on writing: into a schema that this program does
not know, or into a file that nobody finds again.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, text

from wellbook import versions
from wellbook.errors import BookError
from wellbook.store import fault_words

# One row, asked as one question, since every writer asks it.
_STANDS_AT = text(
    "SELECT version_num, (SELECT ledger_fingerprint FROM book) AS mark FROM alembic_version"
)


def check_program(connection: Connection, opened_at: str, name: str) -> None:
    """Refuse to write where the book has gone on without this program.

    Parameters
    ----------
    opened_at
        The schema revision at which the book was opened.
    name
        How the refusal names the book.

    Raises
    ------
    BookError
        If it stands at another revision by now, or was judged by a newer program.
    """
    stands = connection.execute(_STANDS_AT).one_or_none()
    revision = stands.version_num if stands else "nothing"
    if revision != opened_at:
        raise BookError(
            f"another program has brought this book from {opened_at} to {revision} since it was"
            " opened, and nothing was written; start again, with the newer wellbook",
            where=name,
        )
    if stands and newer(stands.mark or ""):
        raise BookError(f"{said_of_newer(stands.mark)}; nothing was written", where=name)


def newer(mark: str) -> bool:
    """Whether a book's mark is that of a later program's replay or rules.

    >>> newer("1-1-0a"), newer("999-1-0a"), newer("1-999-0a"), newer(""), newer("1-0a")
    (False, True, True, False, False)
    """
    replay, rules = _versions_of(mark)
    return replay > int(versions.REPLAY) or rules > int(versions.RULES)


def said_of_newer(mark: str) -> str:
    """What a user is told of a book that a newer program has judged."""
    replay, rules = _versions_of(mark)
    return (
        f"a newer wellbook has judged this book (replay {replay}, rules {rules}; this program has"
        f" {versions.REPLAY} and {versions.RULES}): it can be read as it stands; to write, install the"
        " newer one"
    )


def _versions_of(mark: str) -> tuple[int, int]:
    parts = mark.split("-")
    # Marks of before bore two parts, and their rules cannot be told.
    if len(parts) == 3 and parts[0].isdigit() and parts[1].isdigit():
        return int(parts[0]), int(parts[1])
    return 0, 0


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
