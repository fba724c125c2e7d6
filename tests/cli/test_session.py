"""The day is the shop's, wherever the machine stands."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from wellbook.cli import session as module
from wellbook.cli.session import Session
from wellbook.store.book import Book
from wellbook.store.places import book_url
from wellbook.store.shop import say_of_shop


@pytest.fixture
def new_year(monkeypatch: pytest.MonkeyPatch) -> None:
    """03:30 in universal time on the first of January."""

    class Clock(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> Any:
            return datetime(2027, 1, 1, 3, 30, tzinfo=UTC).astimezone(tz or UTC)

    monkeypatch.delenv("WELLBOOK_TODAY", raising=False)
    monkeypatch.setattr(module, "datetime", Clock)


@pytest.mark.parametrize(
    ("zone", "day"),
    [("America/Denver", date(2026, 12, 31)), ("Pacific/Auckland", date(2027, 1, 1))],
)
def test_today_is_the_shops_day(shop: Path, new_year: None, zone: str, day: date) -> None:
    book = Book(book_url(shop))
    with book.writing() as connection:
        say_of_shop(connection, "me", "time_zone", zone)
    book.close()
    assert Session(str(shop)).today == day


def test_where_there_is_no_book_yet_it_is_the_machines(tmp_path: Path, new_year: None) -> None:
    assert Session(str(tmp_path / "none.book")).today == date(2027, 1, 1)
    assert not list(tmp_path.iterdir())
