"""How measurements are run, of one size or of several (`--wells 10000,100000,1000000 --folder FOLDER`).

    pip install -e '.[bench]'
    pytest benchmarks

Each group has what the program takes and what a peer takes of the same run; the figures in brackets say
how many times as long as the least of the group. Books are made by `big_book`, with the same wells in
every run, and kept where a folder is named: that of a million wells has some 30 GB and takes half an hour.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from big_book import big_book
from histories import TODAY

from wellbook.__main__ import _OBJECTS_BEFORE_A_LOOK
from wellbook.store.book import Book, open_book


def pytest_addoption(parser: pytest.Parser) -> None:
    """How large the books are, and where they are kept."""
    parser.addoption("--wells", default="10000", help="sizes of books, with commas between")
    parser.addoption("--folder", type=Path, help="where books are kept from run to run")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A measurement that needs a large book is made at each size."""
    if "wells" in metafunc.fixturenames:
        sizes = [int(size) for size in metafunc.config.getoption("--wells").split(",")]
        metafunc.parametrize("wells", sizes, scope="session", ids=lambda size: f"{size:,} wells")


@pytest.fixture(scope="session", autouse=True)
def as_the_program_runs() -> None:
    """The collector of garbage as `wellbook.__main__` sets it; byte code is kept, as that of an installed
    program is."""
    gc.freeze()
    gc.set_threshold(_OBJECTS_BEFORE_A_LOOK)
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["WELLBOOK_TODAY"] = TODAY.isoformat()


@pytest.fixture(scope="session")
def folder(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where books are."""
    return request.config.getoption("--folder") or tmp_path_factory.mktemp("books")


@pytest.fixture(scope="session")
def place(folder: Path, wells: int) -> Path:
    """The file of a large book."""
    found = folder / f"{wells}.book"
    big_book(found, wells).close()
    return found


@pytest.fixture
def book(place: Path) -> Iterator[Book]:
    """A large book, opened."""
    opened = open_book(place)
    yield opened
    opened.close()
