"""What a book costs that is a hundred times larger, against SQL written by hand and measured in the same run.

    pytest benchmarks/bench_at_size.py --wells 10000,100000,1000000

- `hole`: a whole process against `by_hand`, which imports the same modules and reads the same rows.
- finding: 200 questions with a typing slip in one word, whose right answer is known, and the same with
  the number of the house; inside the process, first with no page of the file in memory, then once more.
- what is due in a month: inside the process against the SQL of `by_hand`.
- a visit: a sheet recorded, replayed, judged and committed to the disk, inside the process, at a well of
  which no page is in memory.
"""

from __future__ import annotations

import os
import random
import sqlite3
import string
import sys
from collections.abc import Iterator
from datetime import date
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import by_hand
import pytest
from histories import SEED, TODAY, households
from processes import processor_seconds, run

from wellbook.store import sheets
from wellbook.store.book import Book
from wellbook.store.due_list import Asked, due
from wellbook.store.search import find

HERE = Path(__file__).parent
SLIPS, PROCESSES, VISITS, MONTHS = 200, 9, 40, 50
LISTING = """
import sys
from wellbook.__main__ import main
try:
    main()
finally:
    with open({!r}, "w") as file:
        print(*sys.modules, sep="\\n", file=file)
"""
"""A run of the program that says which modules it has loaded."""


def tag_of(number: int) -> str:
    """The tag of a well of `big_book`."""
    return f"LB-{number + 1:07d}"


# -- a whole process ---------------------------------------------------------------------------


@pytest.fixture(scope="session")
def modules(place: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with the names of all modules that the command loads."""
    listed = tmp_path_factory.mktemp("modules") / "modules"
    os.environ["WELLBOOK_BOOK"] = str(place)
    run([sys.executable, "-c", LISTING.format(str(listed)), "hole", tag_of(1)])
    return listed


@pytest.mark.parametrize("who", ["wellbook", "by hand"])
@pytest.mark.benchmark(timer=processor_seconds)
def test_hole(benchmark: Any, place: Path, wells: int, modules: Path, who: str) -> None:
    """What's down that hole, asked of wells by chance, the same for both."""
    chance = random.Random(SEED)
    tags = [tag_of(chance.randrange(wells)) for _ in range(PROCESSES + 1)]
    if who == "wellbook":
        commands = iter([sys.executable, "-m", "wellbook", "hole", tag] for tag in tags)
    else:
        peer = [sys.executable, str(HERE / "by_hand.py"), str(place)]
        commands = iter([*peer, tag, str(modules)] for tag in tags)
    os.environ["WELLBOOK_BOOK"] = str(place)
    # Once before, that all byte code is there.
    run(next(commands))
    benchmark.group = f"hole, a process, {wells:,} wells"
    benchmark.pedantic(run, setup=lambda: ((next(commands),), {}), rounds=PROCESSES)


# -- inside the process ------------------------------------------------------------------------


def slipped(word: str, chance: random.Random) -> str:
    """A word with one letter left out, doubled, changed to another, or two swapped."""
    n = chance.randrange(1, len(word) - 1)
    kind = chance.randrange(4)
    if kind == 0:
        return word[:n] + word[n + 1 :]
    if kind == 1:
        return word[:n] + word[n] + word[n:]
    if kind == 2:
        return word[:n] + chance.choice(string.ascii_lowercase) + word[n + 1 :]
    return word[:n] + word[n + 1] + word[n] + word[n + 2 :]


@cache
def questions(wells: int, *, with_number: bool) -> list[tuple[str, str]]:
    """(What a caller says, the tag that he means): family name and road, with the number of the house or
    without, a slip in one of the names."""
    chance = random.Random(SEED + 1)
    numbers = sorted(chance.sample(range(wells), SLIPS * 2))
    wanted, found = set(numbers), []
    for n, home in enumerate(islice(households(wells), numbers[-1] + 1)):
        if n not in wanted:
            continue
        family, road = home.name.split()[-1].lower(), home.road.split()[1].lower()
        if min(len(family), len(road)) < 4:
            continue  # of so short a word no slip is looked for
        said = [family, road]
        which = chance.randrange(2)
        said[which] = slipped(said[which], chance)
        if with_number:
            said.insert(1, home.road.split()[0])
        found.append((" ".join(said), tag_of(n)))
    return found[:SLIPS]


@pytest.mark.parametrize("memory", ["nothing in memory", "in memory"])
@pytest.mark.parametrize("asked", ["name and road", "with the house number"])
def test_find(
    benchmark: Any,
    book: Book,
    wells: int,
    asked: str,
    memory: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Each question once; of a tie, which the words do not tell apart, each counts as wrong but one."""
    all_of_them = questions(wells, with_number=asked == "with the house number")
    ranks: list[int | None] = []

    def ask(said: str, tag: str) -> None:
        tags = [match.tag for match in find(connection, said)]
        ranks.append(tags.index(tag) if tag in tags else None)

    benchmark.group = f"find with a slip, {wells:,} wells"
    let_go(book.path)
    with book.reading() as connection:
        if memory == "in memory":
            for said, tag in all_of_them:
                ask(said, tag)
            ranks.clear()
        each: Iterator[tuple[str, str]] = iter(all_of_them)
        benchmark.pedantic(ask, setup=lambda: (next(each), {}), rounds=len(all_of_them))
    took = benchmark.stats.stats.data
    late = sum(seconds > 0.02 for seconds in took)
    first, five = (sum(r is not None and r < n for r in ranks) for n in (1, 5))
    with capsys.disabled():
        print(
            f"\n{benchmark.group}, {asked}, {memory}: {first / len(ranks):.1%} first,"
            f" {five / len(ranks):.1%} among five, {late} above 20 ms,"
            f" the very first {took[0] * 1000:.1f} ms"
        )


@pytest.mark.parametrize("who", ["wellbook", "by hand", "by hand, with pages checked"])
def test_due(benchmark: Any, book: Book, wells: int, who: str) -> None:
    """What comes due in a month; all list the same. The program has each page checked as it is read."""
    start, by = date(2026, 12, 1), date(2026, 12, 31)
    days = {"start": start.isoformat(), "by": by.isoformat()}
    file = sqlite3.connect(book.path)
    if who == "by hand, with pages checked":
        file.execute("PRAGMA cell_size_check = ON")
    with book.reading() as connection:

        def ours() -> list[tuple[object, object]]:
            listed = due(connection, Asked(by=by, start=start), today=TODAY)
            return [(item.tag, item.finding.occurrence) for item in listed]

        rows = by_hand.due(file, **days)
        assert sorted(ours()) == sorted((row[0], row[3]) for row in rows)
        benchmark.group = f"due in a month, {wells:,} wells, {len(rows):,} lines"
        work = ours if who == "wellbook" else (lambda: by_hand.due(file, **days))
        benchmark.pedantic(work, rounds=MONTHS, warmup_rounds=1)
    file.close()


def test_visit(benchmark: Any, book: Book, wells: int) -> None:
    """A visit recorded, until it is committed, at a well that nobody has looked at lately.

    What the engine's system keeps of the file in memory is let go before, and other visits come first, so
    that the tops of the trees are there again, as they are in a shop, and the well's own pages are not.
    Each well had a visit by the program itself once: those that `big_book` has copied bear other
    identities than the program gives, and their first visit writes all of them anew. Another look at the
    book is open, so that the log of the engine is not put into the file each time.
    """
    numbers = random.Random(SEED + 2).sample(range(wells), VISITS * 2)
    chance = random.Random()

    def record(number: int) -> None:
        data = {
            "date": TODAY.isoformat(),
            "reason": "check_up",
            "measured": {"static_level_ft": chance.randrange(20, 200), "flow_gpm": 6},
        }
        with book.writing() as connection:
            sheets.record(connection, "Marit", number + 1, data, today=TODAY)

    for number in numbers:
        record(number)
    let_go(book.path)
    with book.reading():
        for number in numbers[:VISITS]:
            record(number)
        left = iter(numbers[VISITS:])
        benchmark.group = f"a visit recorded, {wells:,} wells"
        benchmark.pedantic(record, setup=lambda: ((next(left),), {}), rounds=VISITS)


def let_go(path: Path) -> None:
    """Have no page of a file in memory."""
    file = sqlite3.connect(path)
    file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    file.close()
    with path.open("rb") as pages:
        os.fsync(pages.fileno())
        os.posix_fadvise(pages.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
