"""A book in which all has happened comes back equal, on each engine, and can be worked on as before."""

from __future__ import annotations

import random
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from frictionless import validate
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, delete, insert, select

from tests.exchange.equal_books import all_rows
from tests.exchange.lived_in import live
from tests.exchange.merge_books import clock, first_book
from tests.exchange.merge_operations import OPERATIONS, work
from wellbook.exchange.package_in import read_package
from wellbook.exchange.package_out import write_package
from wellbook.exchange.package_tables import DESCRIPTION
from wellbook.exchange.undoing import undo
from wellbook.store import doubles
from wellbook.store import tables as t
from wellbook.store.attachments import verify
from wellbook.store.book import Book, make_book
from wellbook.store.decided import decisions
from wellbook.store.forgetting import forget
from wellbook.store.keys import fill_keys
from wellbook.terms import PairDecision

TODAY = date(2026, 11, 25)


def _files_in(book: Book, folder: Path) -> None:
    """A server's book needs a folder for its files; where it is, is no matter of what a book holds."""
    if not book.is_file:
        folder.mkdir(exist_ok=True)
        with book.writing() as connection:
            connection.execute(delete(t.shop_fact).where(t.shop_fact.c.name == "files"))
            connection.execute(insert(t.shop_fact).values(name="files", value=str(folder)))


def _rows(book: Book) -> dict[str, Any]:
    with book.writing() as connection:
        # As each opening does.
        fill_keys(connection)
    rows = all_rows(book)
    return {**rows, "shop_fact": [r for r in rows["shop_fact"] if ("name", "'files'") not in r]}


def _equal(one: Book, two: Book) -> None:
    copy = _rows(two)
    for name, rows in _rows(one).items():
        assert copy[name] == rows, name


@pytest.fixture
def lived(place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    """The book, on each engine in turn."""
    monkeypatch.setenv("WELLBOOK_TODAY", TODAY.isoformat())
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    made = make_book(place, shop_name="Fen Pumps")
    live(made, tmp_path)
    yield made
    made.close()


def test_a_book_in_which_all_has_happened_comes_back_equal(
    lived: Book, new_place: Callable[[], AbstractContextManager[str]], tmp_path: Path
) -> None:
    """Also on the other engine; what was done in it is then taken back, in both alike."""
    package = tmp_path / "package"
    write_package(lived, package, TODAY)
    assert validate(str(package / DESCRIPTION)).valid
    with new_place() as server:
        for number, to in enumerate((str(tmp_path / "copy.book"), server)):
            copy = make_book(to)
            _files_in(copy, tmp_path / f"files {number}")
            told: list[str] = []
            read_package(copy, package, told.append)
            assert told == []
            _equal(lived, copy)
            assert verify(copy).whole == 1 and not verify(copy).wrong
            with copy.writing() as connection:
                _take_back(connection)
            copy.close()
    with lived.writing() as connection:
        _take_back(connection)


def _take_back(connection: Connection) -> None:
    """What was joined, brought in, kept: all of it can be taken back, as in the book it was done in."""
    (joined,) = (d.number for d in decisions(connection) if d.decision is PairDecision.JOINED)
    names = select(t.customer.c.name)
    assert "F. Oakes" not in set(connection.execute(names).scalars())
    doubles.back(connection, "Ida", joined)
    assert "F. Oakes" in set(connection.execute(names).scalars())
    undo(connection, "Ida", max(connection.execute(select(t.import_run.c.id)).scalars()))
    assert not connection.execute(select(t.well).filter_by(role="reference")).first()
    (corvin,) = connection.execute(
        select(t.customer.c.id).where(t.customer.c.name.contains("Mossiter"))
    ).scalars()
    forget(connection, "Ida", corvin)
    assert not connection.execute(names.where(t.customer.c.name.contains("Mossiter"))).first()


@pytest.fixture
def folder() -> Iterator[Path]:
    made = Path(tempfile.mkdtemp())
    yield made
    shutil.rmtree(made)


STEPS = st.lists(st.tuples(st.integers(0, len(OPERATIONS)), st.integers(0, 10**6)), max_size=25)


@settings(
    max_examples=6,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.generate),
)
@given(week=STEPS, seed=st.integers(0, 1000))
def test_whatever_a_shop_does_leaves_and_comes_back(
    folder: Path, week: list[tuple[int, int]], seed: int
) -> None:
    name = f"{len(list(folder.iterdir()))}"
    with clock():
        book, copy = first_book(folder / f"{name}.book"), make_book(folder / f"{name}c.book")
        work(book, "Ida", week)
        with book.writing() as connection:
            people = list(connection.execute(select(t.customer.c.id)).scalars())
            forget(connection, "Ida", random.Random(seed).choice(people))
        write_package(book, folder / name, TODAY)
        told: list[str] = []
        read_package(copy, folder / name, told.append)
    assert told == []
    _equal(book, copy)
