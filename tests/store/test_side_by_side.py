"""Several processes judge for one: the same ledger, whatever becomes of them."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from functools import partial
from multiprocessing import active_children
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, select, update

from wellbook import versions
from wellbook.rules import catalogue
from wellbook.store import judging, renewal, side_by_side
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.freshness import freshen
from wellbook.store.holes import load_holes
from wellbook.store.ledger import ledger_of
from wellbook.store.mark import Mark, made_by, mark
from wellbook.store.rows import batches
from wellbook.store.settings import settings, with_setting

LOT = 10
"""Wells in a lot: the invented shop has some eighty."""


@pytest.fixture
def shop_book(shop_anywhere: Book) -> Book:
    """A book with a ledger that says what no rule says."""
    book = shop_anywhere
    freshen(book)
    with book.writing() as connection:
        connection.execute(update(t.due).values(reason="spoiled"))
        _bear_old_rules(connection)
    return book


def _bear_old_rules(connection: Connection) -> None:
    old = {**mark(connection).by_rule, **dict.fromkeys(_SPOILED, "0.")}
    text = str(Mark(versions.REPLAY, versions.RULES, old))
    connection.execute(update(t.book).values(ledger_fingerprint=text))
    connection.execute(update(t.due).where(t.due.c.rule.not_in(_SPOILED)).values(reason="kept"))


_SPOILED = sorted({rule.name for rule in catalogue.RULES} - {"check-up"})


@pytest.fixture
def small_lots(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Other processes are asked for so small a book too; for how many lots each time."""
    asked: list[int] = []

    def seen(place: str, shop: Any, names: Any, lots: side_by_side.Lots) -> Any:
        asked.append(len(lots))
        return side_by_side.changes_side_by_side(place, shop, names, lots)

    monkeypatch.setattr(renewal, "batches", partial(batches, size=LOT))
    monkeypatch.setattr(renewal, "_WORTH_S", 0.0)
    monkeypatch.setattr(renewal, "changes_side_by_side", seen)
    monkeypatch.setattr(side_by_side, "_processors", lambda: 3)
    return asked


def _is_true(book: Book) -> bool:
    """Whether what the changed rules say stands there, and what the other one said was left alone."""
    with book.reading() as connection:
        numbers, shop = judging.owing_wells(connection), settings(connection)
        assert made_by(connection).mark == mark(connection)
        left = select(t.due.c.rule).where(t.due.c.reason == "kept").distinct()
        assert list(connection.execute(left).scalars()) == ["check-up"]
        for n, hole in zip(numbers, load_holes(connection, numbers), strict=True):
            stands = [f for f in ledger_of(connection, n) if f.rule != "check-up"]
            if stands != [f for f in catalogue.judge(hole, shop) if f.rule != "check-up"]:
                return False
    return True


def test_the_ledger_is_what_one_process_would_make(shop_book: Book, small_lots: list[int]) -> None:
    done: list[tuple[int, int]] = []
    assert freshen(shop_book, lambda n, of: done.append((n, of)))
    assert _is_true(shop_book)
    wells = done[-1][1]
    assert done == [(min(n, wells), wells) for n in range(LOT, wells + LOT, LOT)]
    assert small_lots == [len(done) - 1]
    assert not active_children()


def test_numbers_that_are_not_kept_yet_count(shop_book: Book, small_lots: list[int]) -> None:
    freshen(shop_book)
    with shop_book.writing() as connection:
        proposed = with_setting(settings(connection), "pump-age.surely_years", "17")
        renewal.save_settings(connection, "Ida", proposed, as_kept=True)
    assert len(small_lots) == 2
    assert _is_true(shop_book)


def test_what_others_cannot_see_yet_is_judged_by_one(
    shop_book: Book, small_lots: list[int]
) -> None:
    with shop_book.writing() as connection:
        text = str(Mark("0", versions.RULES, mark(connection).by_rule))
        connection.execute(update(t.book).values(ledger_fingerprint=text))
    assert freshen(shop_book)
    with shop_book.reading() as connection:
        assert made_by(connection).mark == mark(connection)
    assert not small_lots


def test_a_file_without_a_write_ahead_log_is_judged_by_one(
    shop_book: Book, small_lots: list[int]
) -> None:
    if shop_book.is_file:
        with shop_book.engine.connect() as connection:
            connection.exec_driver_sql("COMMIT")
            connection.exec_driver_sql("PRAGMA journal_mode = DELETE")
    assert freshen(shop_book)
    assert _is_true(shop_book)
    assert bool(small_lots) != shop_book.is_file


def test_what_a_process_leaves_undone_is_done_here(
    shop_book: Book, small_lots: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    received, killed = side_by_side._received, 0

    def killing(pipe: Any) -> Any:
        nonlocal killed
        for process in active_children()[:1] if not killed else []:
            process.kill()
            process.join()
            killed += 1
        return received(pipe)

    monkeypatch.setattr(side_by_side, "_received", killing)
    assert freshen(shop_book)
    assert killed == 1 and small_lots
    assert _is_true(shop_book)


def test_where_no_process_can_begin_one_does_it_all(
    shop_book: Book, small_lots: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_given: Any, **_named: Any) -> Any:
        raise OSError("no more processes")

    ways = side_by_side.get_context("spawn")
    monkeypatch.setattr(type(ways), "Process", refused)
    assert freshen(shop_book)
    assert small_lots and _is_true(shop_book)


ENDLESS = """
import sys, time
from multiprocessing import active_children
from wellbook.rules.finding import Settings
from wellbook.store import side_by_side

if __name__ == "__main__":
    found = side_by_side.changes_side_by_side(sys.argv[1], Settings(), None, [[1, 2, 3]] * 1_000_000)
    next(found)
    print(*(process.pid for process in active_children()), flush=True)
    time.sleep(600)
"""


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="looks into /proc, which is not here")
def test_they_end_with_the_one_they_judge_for(shop: Path, tmp_path: Path) -> None:
    script = tmp_path / "endless.py"
    script.write_text(ENDLESS)
    with subprocess.Popen(
        [sys.executable, str(script), str(shop)], stdout=subprocess.PIPE, text=True
    ) as parent:
        assert parent.stdout is not None
        others = [int(word) for word in parent.stdout.readline().split()]
        os.kill(parent.pid, signal.SIGKILL)
    assert others
    for _ in range(600):
        if not any(_runs(pid) for pid in others):
            break
        time.sleep(0.05)
    assert not [pid for pid in others if _runs(pid)]


def _runs(pid: int) -> bool:
    try:
        stat = Path(f"/proc/{pid}/stat").read_text()
    except OSError:
        return False
    return stat.rsplit(")", 1)[1].split()[0] != "Z"
