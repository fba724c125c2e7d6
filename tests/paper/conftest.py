"""Wells of the demo shop on paper, and printed pages read back by programs that had no part in them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from printed_pages import DAY

from wellbook.paper.hole_on_paper import HoleOnPaper, hole_on_paper
from wellbook.store.book import Book, open_book
from wellbook.store.judged_wells import judged_wells
from wellbook.store.the_well import the_well


@pytest.fixture(scope="session")
def demo(loaded_shop: Path) -> Iterator[Book]:
    """The demo shop's book, to be read."""
    book = open_book(loaded_shop)
    yield book
    book.close()


@pytest.fixture
def well(demo: Book) -> Callable[[str], HoleOnPaper]:
    """Gives a well of the demo shop by its tag."""

    def found(tag: str) -> HoleOnPaper:
        with demo.reading() as connection:
            (judged,) = judged_wells(connection, [the_well(connection, tag)], DAY)
        return hole_on_paper(judged)

    return found
