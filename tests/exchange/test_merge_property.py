"""Two laptops go their own ways and come home: whichever takes in the other, both say the same."""

from __future__ import annotations

import tempfile
from contextlib import ExitStack
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from merge_books import clock, copy_of, derived, first_book, ledger_is_true, merged, truth
from merge_operations import OPERATIONS, work

from wellbook.errors import ReplayError
from wellbook.store.book import Book

WEEK = st.lists(st.tuples(st.integers(0, len(OPERATIONS) - 1), st.integers(0, 10_000)), max_size=5)
CASES = settings(max_examples=15, suppress_health_check=list(HealthCheck))


class Shelf:
    """Copies of a book in a folder that is gone afterwards."""

    def __init__(self, stack: ExitStack) -> None:
        self.folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        self.stack = stack
        stack.enter_context(clock())
        self.count = 0

    def first(self) -> Book:
        return self._closing(first_book(self.folder / "first.book"))

    def copy(self, book: Book) -> Book:
        self.count += 1
        return self._closing(copy_of(book, self.folder / f"{self.count}.book"))

    def _closing(self, book: Book) -> Book:
        self.stack.callback(book.close)
        return book


def agree(one: Book, other: Book) -> None:
    first, second = truth(one), truth(other)
    for table, rows in first.items():
        assert rows == second[table], table
    assert derived(one) == derived(other)
    for book in (one, other):
        with book.reading() as connection:
            assert ledger_is_true(connection)


@given(before=WEEK, mine=WEEK, its=WEEK)
@CASES
def test_either_direction_comes_to_the_same(
    before: list[tuple[int, int]], mine: list[tuple[int, int]], its: list[tuple[int, int]]
) -> None:
    with ExitStack() as stack:
        shelf = Shelf(stack)
        here = shelf.first()
        work(here, "Ida", before)
        there = shelf.copy(here)
        work(here, "Ida", mine)
        work(there, "Bo", its)
        here_first, there_first = shelf.copy(here), shelf.copy(there)
        try:
            found = merged(here_first, there), merged(there_first, here)
        except ReplayError:
            return
        assert len(found[0].conflicts) == len(found[1].conflicts)
        for book in (here_first, there_first):
            with book.reading() as connection:
                assert ledger_is_true(connection)
        if not found[0].conflicts:
            agree(here_first, there_first)
        # What came in once does not come in again, decided or not.
        before_again = truth(here_first)
        assert merged(here_first, there).nothing_new
        assert truth(here_first) == before_again


@given(weeks=st.lists(WEEK, min_size=3, max_size=3))
@CASES
def test_three_laptops_come_home_in_any_order(weeks: list[list[tuple[int, int]]]) -> None:
    with ExitStack() as stack:
        shelf = Shelf(stack)
        first = shelf.first()
        laptops = [shelf.copy(first) for _ in weeks]
        for n, week in enumerate(weeks):
            work(laptops[n], f"Who{n}", week)
        one, two, three = laptops
        left, pair, right = shelf.copy(one), shelf.copy(two), shelf.copy(one)
        try:
            found = [merged(left, two), merged(left, three), merged(pair, three)]
            found.append(merged(right, pair))
        except ReplayError:
            return
        if not any(one.conflicts for one in found):
            agree(left, right)
