"""The hostile book, made once, and a copy of it for each test."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.hostile.hostile_book import hostile_book
from tests.hostile.texts import ALL, TEXTS


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book in which each text stands somewhere, and all of them together elsewhere."""
    room = tmp_path_factory.mktemp("hostile")
    texts = [text for name, text in TEXTS.items() if name != "long"]
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WELLBOOK_TODAY", "2026-11-25")
        book = hostile_book(room / "h.book", room, [ALL, *texts])
    book.close()
    return room


@pytest.fixture
def hostile(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of that book, which the commands then open; the place is a folder of its own."""
    shutil.copytree(made, tmp_path / "h")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / "h" / "h.book"))
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.delenv("WELLBOOK_WHO", raising=False)
    return tmp_path / "h" / "h.book"
