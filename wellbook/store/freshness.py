"""What follows from the sheets and the rules, worked out anew where the program has changed since.

A book bears a mark of how its derived rows were made: by which version of the replay, and of each rule
by which version and with which of the shop's own numbers. What differs from what this program would
make is not believed before it has been made again; what other rules said stays. A book that a newer
program has judged is left as it is: two programs would else make it anew in turn, each for itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from sqlalchemy import Connection, select

from wellbook import versions
from wellbook.errors import ReplayError
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.mark import MadeBy, made_by, mark
from wellbook.store.missing import some_missing
from wellbook.store.rows import batches
from wellbook.store.turn_checks import made_by_newer

_AT_ONCE = 100


@dataclass(frozen=True, slots=True)
class Freshness:
    """How what follows in a book stands to this program.

    Parameters
    ----------
    made
        By which program it was worked out.
    right
        Whether the ledger is what this program would make, by the shop's numbers.
    missing
        Whether names, roads or telephone numbers lack what they are compared by.
    """

    made: MadeBy
    right: bool
    missing: bool


def freshness(connection: Connection) -> Freshness:
    """How what follows in a book stands to this program."""
    made = made_by(connection)
    return Freshness(made, made.mark == mark(connection), some_missing(connection))


def freshen(
    book: Book,
    progress: Callable[[int, int], None] = lambda _done, _of: None,
    tell: Callable[[str], None] = lambda _line: None,
    *,
    found: Freshness | None = None,
) -> bool:
    """Replay the sheets and renew the ledger where the book's mark is not this program's.

    Parameters
    ----------
    progress
        Takes how many wells of how many have been judged.
    tell
        Takes a line of a system whose sheets the replay now refuses: what stood there stays; and one
        that says that a newer program has judged the book.
    found
        How it stands, where that has been looked at.

    Returns
    -------
    Whether anything had to be made again.
    """
    if found is None:
        with book.reading() as connection:
            found = freshness(connection)
    if newer := made_by_newer(found.made):
        tell(newer)
        return False
    old_words = found.made.words != versions.WORDS
    if found.missing or old_words:
        from wellbook.store.keys import fill_keys
        from wellbook.store.word_index import index_all

        with book.writing() as connection:
            fill_keys(connection)
            if old_words:
                index_all(connection)
    if found.right:
        return found.missing or old_words
    # Rules and replay are loaded only now: most books, most of the time, bear the right mark.
    from wellbook.store.renewal import renew_old

    with book.writing() as connection:
        as_kept = made_by(connection).mark.replay == versions.REPLAY
        if not as_kept:
            for line in _replay_all(connection):
                tell(line)
        renew_old(connection, progress, as_kept=as_kept)
    return True


def derive_anew(connection: Connection) -> Iterator[str]:
    """Make all that is derived, in a book whose rows came in by themselves.

    Gives a line for each water system whose sheets the replay refuses.
    """
    from wellbook.store.renewal import renew_all
    from wellbook.store.word_index import index_all

    yield from _replay_all(connection)
    index_all(connection)
    renew_all(connection)


def _replay_all(connection: Connection) -> Iterator[str]:
    """Replay each water system; gives a line for each whose sheets no longer fit each other."""
    from wellbook.store.replaying import rebuild

    systems = list(
        connection.execute(select(t.water_system.c.id).order_by(t.water_system.c.id)).scalars()
    )
    for some in batches(systems, _AT_ONCE):
        try:
            rebuild(connection, *some)
        except ReplayError:
            for system_id in some:
                try:
                    rebuild(connection, system_id)
                except ReplayError as error:
                    yield _refused(connection, system_id, error)


def _refused(connection: Connection, system_id: int, error: ReplayError) -> str:
    tags = connection.execute(select(t.well.c.tag).where(t.well.c.system_id == system_id)).scalars()
    return (
        f"{', '.join(tags)}: its sheets no longer fit each other, so its string stays as it was:"
        f" {error}; put it right with: wellbook correct"
    )
