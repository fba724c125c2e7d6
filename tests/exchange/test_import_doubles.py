"""Wells that were joined are found by the next import of either row."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from sqlalchemy import select

from tests.exchange.import_files import count, written
from wellbook.store import doubles
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.wells import well_by_tag
from wellbook.terms import PairOf

HEAD = "id,town,drilled,well_depth_ft,static_ft\n"


def test_both_rows_find_the_well_that_stayed(
    tmp_path: Path, book: Book, answer: Callable[..., dict[str, Any]]
) -> None:
    path = written(tmp_path / "a.csv", f"{HEAD}7,Sutton,2011,100,20\n8,Sutton,2011,102,\n")
    assert answer(path, "--as", "ours")["written"] == 2
    with book.writing() as connection:
        keep, gone = well_by_tag(connection, "7"), well_by_tag(connection, "8")
        assert keep and gone
        number, _ = doubles.join(connection, "me", PairOf.WELL, keep, gone)
    assert answer(path, "--as", "ours")["unchanged"] == 2
    written(path, f"{HEAD}7,Sutton,2011,100,20\n8,Sutton,2011,103,\n")
    assert answer(path, "--as", "ours")["changed"] == 1
    assert count(book, t.well) == 1
    with book.reading() as connection:
        values = connection.execute(select(t.observation.c.value).order_by(t.observation.c.value))
        assert list(values.scalars()) == [20, 100, 103]
    with book.writing() as connection:
        doubles.back(connection, "me", number)
        well = select(t.well.c.tag, t.observation.c.value).join(
            t.observation, t.observation.c.well_id == t.well.c.id
        )
        rows = sorted(tuple(row) for row in connection.execute(well))
    assert rows == [("7", 20), ("7", 100), ("8", 103)]
