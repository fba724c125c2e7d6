"""Whatever was done last is taken back, and the book says what it said before; then it is done again."""

from __future__ import annotations

import random
import re
import tempfile
from collections.abc import Callable
from contextlib import AbstractContextManager, suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, func, select

from tests.exchange.merge_operations import OPERATIONS
from tests.exchange.undoing_books import said, undo
from wellbook.errors import NotFoundError, WellbookError
from wellbook.store import renewal
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book

WEEK = st.lists(st.tuples(st.integers(0, len(OPERATIONS) - 1), st.integers(0, 9999)), max_size=9)
FEW = settings(max_examples=12, suppress_health_check=list(HealthCheck))


def _lines(connection: Connection) -> int:
    return int(connection.execute(select(func.count()).select_from(t.change)).scalar_one())


def _begun(book: Book) -> None:
    with book.writing() as connection:
        renewal.renew_all(connection)
    for which, seed in ((8, 1), (8, 2), (8, 3), (0, 4), (0, 5), (0, 6)):
        with suppress(WellbookError), book.writing() as connection:
            OPERATIONS[which](connection, "Ida", random.Random(seed))


def _try(book: Book, week: list[tuple[int, int]]) -> None:
    _begun(book)
    before: list[dict[str, list[str]]] = []
    for which, seed in week:
        with book.reading() as connection:
            was, lines = said(connection), _lines(connection)
        with suppress(WellbookError), book.writing() as connection:
            OPERATIONS[which](connection, "Ida", random.Random(seed))
        with book.reading() as connection:
            if _lines(connection) > lines:
                before.append(was)
    while before:
        with book.reading() as connection:
            now = said(connection)
        try:
            undo(book)
        except WellbookError as error:
            # What is logged by itself: the outbox, and what was given to a calendar.
            assert re.search("a message went out|(message|calendar entry) hangs on", str(error))
            with book.reading() as connection:
                assert said(connection) == now
            return
        was = before.pop()
        for again, state in ((True, now), (False, was)):
            with book.reading() as connection:
                there = said(connection)
            other = was if again else now
            assert there == other
            undo(book, again=again)
            with book.reading() as connection:
                assert said(connection) == state


@given(WEEK)
@FEW
def test_each_undo_gives_back_what_the_book_said_before(week: list[tuple[int, int]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        _try(make_book(Path(folder) / "shop.book"), week)


@given(WEEK)
@settings(FEW, max_examples=3)
def test_it_does_so_on_a_server(
    new_place: Callable[[], AbstractContextManager[str]], week: list[tuple[int, int]]
) -> None:
    with new_place() as place:
        book = make_book(place)
        try:
            _try(book, week)
        finally:
            book.close()


@pytest.mark.parametrize("which", range(len(OPERATIONS)))
def test_each_kind_of_change_is_taken_back_and_done_again(which: int, tmp_path: Path) -> None:
    _try(make_book(tmp_path / "shop.book"), [(which, seed) for seed in range(4)])


def test_of_an_empty_book_nothing_is_taken_back(book: Book) -> None:
    with pytest.raises(NotFoundError, match="nothing was done"):
        undo(book)
    with pytest.raises(NotFoundError, match="nothing was taken back"):
        undo(book, again=True)
