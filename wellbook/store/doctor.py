"""A book looked through whole, and put right where the program can do so by itself.

What can be mended is what is derived: it is made again from what was written. What people wrote is never
guessed at; there the look says where it is wrong and with which command it is put right.
"""

from __future__ import annotations

from wellbook.errors import BookError
from wellbook.store.book import Book
from wellbook.store.doctor_derived import look_at_derived
from wellbook.store.doctor_engine import look_at_engine, mend_engine
from wellbook.store.doctor_files import look_at_files, mend_files
from wellbook.store.doctor_keys import look_at_keys, mend_keys
from wellbook.store.doctor_spans import look_at_spans
from wellbook.store.looked_at import Looked


def look_through(book: Book) -> list[Looked]:
    """All that was looked at. Where the file itself is damaged, nothing else is asked of it."""
    with book.reading() as connection:
        found = list(look_at_engine(book, connection))
        if any(not w.mends for looked in found for w in looked.wrong):
            return found
        found += look_at_spans(connection)
        found += look_at_keys(connection)
    found += look_at_derived(book)
    found += look_at_files(book)
    return found


def mend(book: Book) -> None:
    """Make what is derived anew where it is wrong, and take away what was left.

    Raises
    ------
    BookError
        If the file itself is damaged: what is in it is not to be built upon.
    """
    with book.reading() as connection:
        if any(not w.mends for x in look_at_engine(book, connection) for w in x.wrong):
            raise BookError("the file itself is damaged; see: wellbook doctor", where=book.name)
    mend_engine(book)
    with book.writing() as connection:
        mend_keys(connection)
    list(look_at_derived(book, mend=True))
    mend_files(book)
