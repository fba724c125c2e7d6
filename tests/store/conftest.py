"""What several tests of the store need."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from wellbook.store import backing_up


@pytest.fixture
def full_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk on which a backup is made is full after some pages."""
    real = backing_up._scratch

    def small(path: Path) -> sqlite3.Connection:
        connection = real(path)
        connection.execute("PRAGMA max_page_count = 5")
        return connection

    monkeypatch.setattr(backing_up, "_scratch", small)
