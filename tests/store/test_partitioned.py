"""The tables that docs/growth.md would partition, parted by its own lines: the program runs on them as it is."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from sqlalchemy import create_engine

from tests.cli.commands import Commands
from wellbook.store.book import open_book
from wellbook.store.copying import copy_book, summed

PAGE = Path(__file__).parents[2] / "docs" / "growth.md"
SHEET = """\
date = "2026-11-20"
reason = "check up"
[measured]
static_level_ft = 171
"""


def _lines() -> str:
    block = re.search(
        r"<!-- partitions -->\n```sql\n(.*?)```\n<!-- end -->", PAGE.read_text("utf-8"), re.DOTALL
    )
    assert block is not None
    return block[1]


def test_the_ledger_and_the_log_may_be_parted(
    shop: Path,
    new_place: Callable[[], AbstractContextManager[str]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(SHEET, "utf-8")
    with new_place() as place:
        copied = copy_book(open_book(shop), place)
        engine = create_engine(place)
        with engine.begin() as connection:
            # By the driver itself, which takes several statements, each % as it stands.
            connection.connection.driver_connection.execute(_lines())  # type: ignore[union-attr]
        with engine.connect() as connection:
            assert summed(connection) == copied.tables
            for table in ("due", "change"):
                kind = f"SELECT relkind FROM pg_class WHERE oid = '{table}'::regclass"
                assert connection.exec_driver_sql(kind).scalar() == "p", table
        engine.dispose()
        here = Commands(capsys, "--book", place)
        there = Commands(capsys, "--book", str(shop))
        assert here.fine("due", "--json") == there.fine("due", "--json")
        for words in (
            ("visit", "TF-0031", "--from", str(sheet), "--yes"),
            ("rules", "set", "check-up.months", "14", "--yes"),
            ("well", "edit", "TF-0031", "--notes", "mine"),
            ("undo", "--yes"),
        ):
            here.fine(*words)
        assert "Nothing is wrong." in here.fine("doctor")
        away = copy_book(open_book(place), tmp_path / "whole.book")
        with open_book(tmp_path / "whole.book").reading() as connection:
            assert summed(connection) == away.tables
