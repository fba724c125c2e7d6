"""What the tests of imports share: a book on each engine, and the command as a program calls it."""

import json
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from wellbook.cli import run
from wellbook.store.book import Book

TODAY = date(2026, 11, 25)


@pytest.fixture
def book(book: Book, place: str, monkeypatch: pytest.MonkeyPatch) -> Book:
    """A new book on each engine in turn, which commands then use."""
    monkeypatch.setenv("WELLBOOK_BOOK", place)
    monkeypatch.setenv("WELLBOOK_TODAY", TODAY.isoformat())
    return book


@pytest.fixture
def answer(capsys: pytest.CaptureFixture[str]) -> Callable[..., dict[str, Any]]:
    def ask(*words: object) -> dict[str, Any]:
        looking = [w for w in words if w != "--look"]
        write = ["--write"] if len(looking) == len(words) else []
        status = run(["import", *map(str, looking), *write, "--json"])
        said: dict[str, Any] = json.loads(capsys.readouterr().out)
        assert status == (2 if "error" in said else 0)
        if "error" not in said:
            (said,) = said["files"]
            parts = (said[k] for k in ("written", "unchanged", "changed", "skipped", "refused"))
            assert said["rows"] == sum(parts)
        return said

    return ask
