"""Whoever is forgotten leaves no word in the book: not in runs, decisions on doubles or files' names."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import TODAY
from flow_files import HEAD, Answer, listed
from merge_books import copy_of, merged
from sqlalchemy import func, select

from wellbook.errors import WellbookError
from wellbook.exchange.undoing import undo
from wellbook.store import doubles, wells
from wellbook.store import tables as t
from wellbook.store.attachments import attach, attachments, files_of
from wellbook.store.book import Book, open_book
from wellbook.store.forgetting import forget
from wellbook.store.forgotten import NOBODY
from wellbook.terms import PairOf

ROWS = (
    "Z-1,Orla Venterick,(207) 555-0147,orla@venterick.example,12 Mill Road,Sutton,310,,,,,,,"
    "gate code from Orla Venterick\n"
    "Z-2,Otto Brandt,(207) 555-0188,,40 Hill St,Sutton,200,,,,,,,\n"
)
WORDS = (
    "orla",
    "venterick",
    "quenby",
    "5550147",
    "555-0147",
    "555.0147",
    "5550199",
    "+12075550147",
)


def words_left(book: Book) -> list[str]:
    """Where any of the words stands: in any text of any row, and in the bytes of a file's book."""
    found = []
    with book.reading() as connection:
        for table in t.METADATA.sorted_tables:
            for row in connection.execute(select(table)).mappings():
                for name, value in row.items():
                    text = str(value).lower()
                    found += [f"{table.name}.{name}: {text}" for w in WORDS if w in text]
    if book.is_file:
        book.close()
        with sqlite3.connect(book.path) as plain:
            plain.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        plain.close()
        whole = book.path.read_bytes().lower()
        found += [f"bytes: {w}" for w in WORDS if w.encode() in whole]
    return found


@pytest.fixture
def told(tmp_path: Path, book: Book, answer: Answer) -> Iterator[tuple[Book, int, int]]:
    """A book that has one person by every way: two files of one source, a join, a file; her number."""
    path, *more = listed(tmp_path, ROWS)
    path = path.rename(tmp_path / "Orla_Venterick.csv")
    answer(path, *more)
    path.write_text(HEAD + ROWS.replace(",310,", ",320,").replace("gate code", "key"), "utf-8")
    changed = answer(path, *more)
    assert changed["changed"] == 1
    book = open_book(book.url.render_as_string(hide_password=False)) if not book.is_file else book
    with book.writing() as connection:
        (orla,) = connection.execute(
            select(t.customer.c.id).where(t.customer.c.name == "Orla Venterick")
        ).scalars()
        other = wells.add_customer(
            connection, "me", "Quenby Marlow", phones=("207.555.0199", "207.555.0147")
        )
        doubles.join(connection, "me", PairOf.CUSTOMER, orla, other)
        (otto,) = connection.execute(
            select(t.customer.c.id).where(t.customer.c.name == "Otto Brandt")
        ).scalars()
        doubles.tell_apart(connection, "me", PairOf.CUSTOMER, otto, orla)
        well = wells.well_by_tag(connection, "Z-1")
        assert well is not None
        photo = tmp_path / "venterick, orla 1.txt"
        photo.write_text("a pump house")
        files = files_of(book, connection) if book.is_file else None
        if files is not None:
            with files.copied(photo) as incoming:
                attach(
                    connection,
                    "me",
                    files,
                    well,
                    incoming,
                    name=photo.name,
                    note="from Orla Venterick",
                    today=TODAY,
                )
    yield book, orla, changed["run"]


def test_no_word_is_left_and_nothing_brings_her_back(
    tmp_path: Path, told: tuple[Book, int, int], answer: Answer
) -> None:
    book, orla, run = told
    assert words_left(book)
    with book.writing() as connection:
        done = forget(connection, "me", orla)
    assert words_left(book) == []
    assert done.files == (1 if book.is_file else 0)
    with book.reading() as connection:
        if book.is_file:
            (file,) = attachments(connection)
            assert (file.file.name, file.file.note) == (f"{NOBODY} 1.txt", f"from {NOBODY}")
        names = set(connection.execute(select(t.decided_pair.c.names)).scalars())
        assert {name.split(" ", 1)[0] for name in names} == {NOBODY.split()[0], "customer"}
        (joined,) = connection.execute(
            select(t.decided_pair.c.id).where(t.decided_pair.c.decision == "joined")
        ).scalars()
    with (
        book.writing() as connection,
        pytest.raises(WellbookError, match="was forgotten on a wish"),
    ):
        doubles.back(connection, "me", joined)
    if book.is_file:
        with book.writing() as connection, pytest.raises(WellbookError, match="a file of a well"):
            undo(connection, "me", run)
    else:
        with book.writing() as connection:
            # It changed her well alone.
            undo(connection, "me", run)
    with book.writing() as connection, pytest.raises(WellbookError, match="run 1 cannot be taken"):
        undo(connection, "me", 1)
    assert words_left(book) == []
    # Another file that still has her, and the same one once more with another number.
    rows = ROWS.replace("gate code from Orla Venterick", "gate").replace(",310,", ",330,")
    path, *more = listed(tmp_path, rows.replace("Z-1", "Z-9"))
    said = answer(path, *more)
    assert said["refused"] == 0
    assert said["forgotten"] == 1
    path.write_text(HEAD + rows.replace("555-0147", "555-0199"), "utf-8")
    answer(path, *more)
    assert words_left(book) == []


def test_whoever_was_joined_into_her_elsewhere_is_she(
    tmp_path: Path, told: tuple[Book, int, int]
) -> None:
    """Forgotten in one book; in the other her record went into another one meanwhile."""
    book, orla, _ = told
    if not book.is_file:
        pytest.skip("the copy is made of a file")
    away = copy_of(book, tmp_path / "away.book")
    with away.writing() as connection:
        other = wells.add_customer(connection, "me", "O. Venterick", phones=("207 555 0147",))
        doubles.join(connection, "me", PairOf.CUSTOMER, other, orla)
    with book.writing() as connection:
        forget(connection, "me", orla)
    assert not merged(book, away).conflicts
    assert words_left(book) == []
    assert not merged(away, book).conflicts
    assert words_left(away) == []
    for one in (book, away):
        with one.reading() as connection:
            query = select(func.count()).where(t.customer.c.name != NOBODY)
            assert connection.execute(query).scalar() == 1
        one.close()
