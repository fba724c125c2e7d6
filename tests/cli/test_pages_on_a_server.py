"""The pages of docs say the same on a server: each is played there on a copy of the demo book."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from sqlalchemy import func, select

from tests.pages import BLOCK, WEEK, as_shown
from wellbook.store import tables as t
from wellbook.store.book import open_book
from wellbook.store.copying import copy_book


@pytest.mark.parametrize("page", WEEK, ids=lambda p: p.stem)
def test_a_page_says_the_same_on_a_server(
    page: Path,
    shop: Path,
    new_place: Callable[[], AbstractContextManager[str]],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    """What each page shows is what the book in a file says (`tests/test_readme.py` holds it to that)."""
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_WHO", "Marit")
    monkeypatch.chdir(tmp_path)
    text = page.read_text("utf-8")
    with new_place() as place:
        copy_book(open_book(shop), place)
        monkeypatch.setenv("WELLBOOK_BOOK", place)
        for kind, name, shown in BLOCK.findall(text):
            if kind == "file":
                Path(name).write_text(shown, "utf-8")
                continue
            _number_on(place)
            assert as_shown(name, capsys) == shown


def _number_on(place: str) -> None:
    """A look that is undone uses numbers up on a server: no fault, but others than on the page."""
    with open_book(place).writing() as connection:
        for table in t.METADATA.sorted_tables:
            if "id" in table.c:
                last = select(func.coalesce(func.max(table.c.id), 0) + 1).scalar_subquery()
                counter = func.pg_get_serial_sequence(table.name, "id")
                connection.execute(select(func.setval(counter, last, False)))
