"""Renewing the ledger after a rule changed: wells a second, and the memory that it takes.

    python benchmarks/renewal.py 10000 100000

Each book is a large one of invented wells (`big_book`), with its ledger as it should be. Then a rule
changes: first so that it says the same as before (its version was raised for another case), then so
that each of its rows is another. The floor beside them are the same rows, fetched by Python's own sqlite3
and made into nothing. The whole list of rules is another matter than one rule: each bears a version of
its own, so that a change asks its rule alone. Last the book is opened after such a change, by the clock:
by one process, and by as many as there are processors. All other figures are processor time.

Memory is the peak of a process that does nothing but renew one rule, at each size: it should not grow.
"""

from __future__ import annotations

import argparse
import math
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Collection, Sequence
from pathlib import Path

from big_book import big_book
from sqlalchemy import Connection, update

from wellbook.rules import catalogue
from wellbook.store import renewal
from wellbook.store import tables as t
from wellbook.store.book import Book, open_book
from wellbook.store.freshness import freshen
from wellbook.store.holes import load_holes
from wellbook.store.judging import owing_wells, renew
from wellbook.store.mark import Mark, mark

RULES = ("pump-age", "check-up", "lift-limit")
"""A cheap one that finds something at nearly each well, one that needs the visits, and the dearest."""
MOST_WELLS = 10_000
"""How many wells of a book are timed: what one costs does not hang on how many there are."""
FETCHED = ("component", "observation", "sheet", "bore_interval", "water_sample")


def wells_a_second(what: str, wells: int, do: Callable[..., object], *given: object) -> None:
    """Do it with what is given, and say how many wells a second that was."""
    began = time.process_time()
    do(*given)
    seconds = time.process_time() - began
    print(f"  {what:<40} {wells / seconds:>9,.0f} wells/s {seconds / wells * 1e6:>8,.0f} us a well")


def measure(place: Path) -> None:
    """Time one book."""
    book = open_book(place)
    with book.writing() as connection:
        numbers = owing_wells(connection)[:MOST_WELLS]
        count, here = len(numbers), (connection, numbers)
        renew(*here)
        wells_a_second("floor: the rows, by sqlite3", count, fetch, place, numbers)
        wells_a_second("loading whole wells", count, load, *here)
        for rule in RULES:
            wells_a_second(f"{rule}, says the same", count, renew, *here, {rule})
            connection.execute(update(t.due).where(t.due.c.rule == rule).values(reason=""))
            wells_a_second(f"{rule}, each row new", count, renew, *here, {rule})
        wells_a_second("all rules, say the same", count, renew, *here)
    book.close()


def opened_after_a_change(place: Path, rules: Collection[str], said: str) -> None:
    """How long the book's renewal takes, all in, by one process and by several."""
    book = open_book(place)
    for how, worth_s in (("one process", math.inf), ("several", 0.0)):
        renewal._WORTH_S = worth_s
        with book.writing() as connection:
            wells, mine = len(owing_wells(connection)), mark(connection)
            old = {**mine.by_rule, **dict.fromkeys(rules, "0.")}
            text = str(Mark(mine.replay, mine.rules, old))
            connection.execute(update(t.book).values(ledger_fingerprint=text))
            if said == "each row new":
                connection.execute(update(t.due).where(t.due.c.rule.in_(rules)).values(reason=""))
        began = time.perf_counter()
        freshen(book)
        seconds = time.perf_counter() - began
        what = f"{next(iter(rules)) if len(rules) == 1 else 'all rules'}, {said}, {how}"
        print(f"  {what:<40} {wells / seconds:>9,.0f} wells/s by the clock")
    book.close()


def load(connection: Connection, numbers: Sequence[int]) -> None:
    """Load wells, and keep none."""
    for _ in load_holes(connection, numbers):
        pass


def fetch(place: Path, numbers: Sequence[int]) -> None:
    """The larger part of the rows of some wells, by hand."""
    engine = sqlite3.connect(place)
    for start in range(0, len(numbers), 500):
        some = numbers[start : start + 500]
        marks = ", ".join("?" * len(some))
        for table in FETCHED:
            engine.execute(f"SELECT * FROM {table} WHERE well_id IN ({marks})", some).fetchall()
    engine.close()


def memory(place: Path) -> None:
    """Renew one rule in all wells of a book, and say the peak of memory."""
    book: Book = open_book(place)
    with book.writing() as connection:
        numbers = owing_wells(connection)
        connection.execute(update(t.due).where(t.due.c.rule == RULES[0]).values(reason=""))
        for start in range(0, len(numbers), 500):
            renew(connection, numbers[start : start + 500], {RULES[0]})
    book.close()
    # Not what `resource` says: there a process begins with the peak of the one that started it.
    status = Path("/proc/self/status").read_text("ascii", "replace")
    peak_kib = int(next(x for x in status.splitlines() if x.startswith("VmHWM")).split()[1])
    print(f"  memory of a process that renews {RULES[0]}: {peak_kib / 1024:.0f} MiB at its peak")


def main() -> None:
    """Measure books of the sizes asked for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("wells", nargs="*", type=int, default=[10_000, 100_000])
    parser.add_argument("--memory", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.memory:
        memory(asked.memory)
        return
    with tempfile.TemporaryDirectory() as folder:
        for wells in asked.wells:
            place = Path(folder) / f"{wells}.book"
            big_book(place, wells).close()
            print(f"{wells:,} wells")
            measure(place)
            for rules in ({RULES[0]}, {RULES[2]}, catalogue.by_name().keys()):
                for said in ("says the same", "each row new"):
                    opened_after_a_change(place, rules, said)
            sys.stdout.flush()
            subprocess.run([sys.executable, __file__, "--memory", str(place)], check=True)


if __name__ == "__main__":
    main()
