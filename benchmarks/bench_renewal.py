"""Renewing the ledger after a rule changed: how many wells a second, all in, and the memory that it takes.

    pytest benchmarks/bench_renewal.py --wells 10000,100000

Each book has its ledger as it should be. Then a rule changes: so that it says the same as before (its version was
raised for another case), or so that each of its rows is another; and the book is opened, which renews it:
by one process, and by as many as there are processors. By the clock, with all that is written.

The floor are the larger part of the rows of the same wells, fetched by Python's own sqlite3 and made into
nothing. The whole list of rules is another matter than one rule: each bears a version of its own, so that a
change asks its rule alone. Memory is the peak of a process that does nothing but renew one rule.
"""

from __future__ import annotations

import math
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import func, select, update

from wellbook.rules import catalogue
from wellbook.store import renewal
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.freshness import freshen
from wellbook.store.mark import Mark, mark

RULES = {
    **{name: [name] for name in ("pump-age", "check-up", "lift-limit")},
    "all rules": list(catalogue.by_name()),
}
"""A cheap one that finds something at nearly each well, one that needs the visits, the dearest; all."""
FETCHED = ("component", "observation", "sheet", "bore_interval", "water_sample")
AT_ONCE = 500


@pytest.mark.parametrize("how", ["one process", "several"])
@pytest.mark.parametrize("said", ["says the same", "each row new"])
@pytest.mark.parametrize("rules", list(RULES))
def test_renewal(
    benchmark: Any,
    book: Book,
    wells: int,
    rules: str,
    said: str,
    how: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The book is opened after its rules have changed."""
    monkeypatch.setattr(renewal, "_WORTH_S", 0.0 if how == "several" else math.inf)

    def change() -> None:
        with book.writing() as connection:
            mine = mark(connection)
            old = {**mine.by_rule, **dict.fromkeys(RULES[rules], "0.")}
            text = str(Mark(mine.replay, mine.rules, old))
            connection.execute(update(t.book).values(ledger_fingerprint=text))
            if said == "each row new":
                of_these = t.due.c.rule.in_(RULES[rules])
                connection.execute(update(t.due).where(of_these).values(reason=""))

    benchmark.group = f"renewal of {rules}: {said}, {wells:,} wells"
    benchmark.pedantic(freshen, args=(book,), setup=change, rounds=3)
    with book.reading() as connection:
        new = select(func.count()).where(t.due.c.reason == "")
        assert not connection.execute(new).scalar()
    with capsys.disabled():
        a_second = wells / benchmark.stats.stats.median
        print(f"\n{benchmark.group}, {how}: {a_second:,.0f} wells a second")


def test_floor(benchmark: Any, place: Path, wells: int) -> None:
    """The rows alone, by hand."""
    benchmark.group = f"the rows alone, {wells:,} wells"
    benchmark.pedantic(_fetch, args=(place, wells), rounds=3)


def _fetch(place: Path, wells: int) -> None:
    file = sqlite3.connect(place)
    for start in range(1, wells + 1, AT_ONCE):
        for table in FETCHED:
            query = f"SELECT * FROM {table} WHERE well_id BETWEEN ? AND ?"
            file.execute(query, (start, start + AT_ONCE - 1)).fetchall()
    file.close()


MEMORY = """
import math, sys
from sqlalchemy import update
from wellbook.store import renewal, tables as t
from wellbook.store.book import open_book
from wellbook.store.freshness import freshen
from wellbook.store.mark import Mark, mark

renewal._WORTH_S = math.inf
book = open_book(sys.argv[1])
with book.writing() as connection:
    mine = mark(connection)
    text = str(Mark(mine.replay, mine.rules, {**mine.by_rule, "pump-age": "0."}))
    connection.execute(update(t.book).values(ledger_fingerprint=text))
    connection.execute(update(t.due).where(t.due.c.rule == "pump-age").values(reason=""))
freshen(book)
# Not what `resource` says: there a process begins with the peak of the one that started it.
print(next(x for x in open("/proc/self/status") if x.startswith("VmHWM")).split()[1])
"""


def test_memory(place: Path, wells: int, capsys: pytest.CaptureFixture[str]) -> None:
    """The peak of a process that renews one rule."""
    command = [sys.executable, "-c", MEMORY, str(place)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    with capsys.disabled():
        print(f"\nmemory of a process that renews pump-age, {wells:,} wells:", end=" ")
        print(f"{int(done.stdout) / 1024:.0f} MiB at its peak")
