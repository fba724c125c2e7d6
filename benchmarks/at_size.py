"""What a book costs that is a hundred times larger, against SQL written by hand and measured in the same run.

    python benchmarks/at_size.py [--folder FOLDER] [10000 100000 1000000]

Books are made by `big_book`, with the same wells in every run, and kept where a folder is named: the
largest has some 28 GiB and takes a quarter of an hour.

- `hole`: a whole process against `by_hand`, which imports the same modules and reads the same rows;
  processor time, so that what else the machine does counts for little.
- `find`: 200 questions with a typing slip in one word, whose right answer is known, and the same with the number
  of the house; inside the process, first with no page of the file in memory, then once more.
- `due --month`: inside the process against the SQL of `by_hand`.
- `visit`: a sheet recorded, replayed, judged and committed to the disk, inside the process, at a well of which no
  page is in memory; another look at the book is open, so that the log of the engine is not put into the
  file each time.
"""

from __future__ import annotations

import argparse
import gc
import os
import random
import resource
import sqlite3
import statistics
import string
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import date
from itertools import islice
from pathlib import Path

import by_hand
from big_book import big_book
from histories import SEED, TODAY, households

from wellbook.__main__ import _OBJECTS_BEFORE_A_LOOK
from wellbook.store import sheets
from wellbook.store.book import Book
from wellbook.store.due_list import Asked, due
from wellbook.store.search import find

HERE = Path(__file__).parent
SLIPS, ROUNDS, VISITS, MONTHS = 200, 9, 40, 5
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


# -- a whole process ---------------------------------------------------------------------------


def processor_seconds(command: Sequence[str]) -> float:
    """How much processor time a command takes as a process of its own."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def hole(place: Path, wells: int) -> tuple[float, float]:
    """Median seconds of `wellbook hole` and of the same by hand, of the same wells in turn."""
    chance, mine, hand = random.Random(SEED), [], []
    with tempfile.TemporaryDirectory() as folder:
        modules = Path(folder) / "modules"
        os.environ |= {"WELLBOOK_BOOK": str(place), "WELLBOOK_TODAY": TODAY.isoformat()}
        os.environ["PYTHONPYCACHEPREFIX"] = str(Path(folder) / "byte-code")
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        first = [sys.executable, "-c", LISTING.format(str(modules)), "hole", tag_of(1)]
        processor_seconds(first)
        for n in range(-1, ROUNDS):
            tag = tag_of(chance.randrange(wells))
            ours = processor_seconds([sys.executable, "-m", "wellbook", "hole", tag])
            peer = processor_seconds(
                [sys.executable, str(HERE / "by_hand.py"), str(place), tag, str(modules)]
            )
            if n >= 0:  # once before, that all byte code is there
                mine.append(ours)
                hand.append(peer)
    return statistics.median(mine), statistics.median(hand)


def tag_of(number: int) -> str:
    """The tag of a well of `big_book`."""
    return f"LB-{number + 1:07d}"


# -- inside the process ------------------------------------------------------------------------


def as_the_program_runs() -> None:
    """With the collector of garbage as `wellbook.__main__` sets it."""
    gc.freeze()
    gc.set_threshold(_OBJECTS_BEFORE_A_LOOK)


def median_ms(work: Callable[[], object], times: int) -> float:
    """The median time of some work, after one time that does not count."""
    work()
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return statistics.median(took) * 1000


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
            continue  # of so short a word no slip is looked for, and the page says so
        said = [family, road]
        which = chance.randrange(2)
        said[which] = slipped(said[which], chance)
        if with_number:
            said.insert(1, home.road.split()[0])
        found.append((" ".join(said), tag_of(n)))
    return found[:SLIPS]


def finding(book: Book, wells: int, *, with_number: bool) -> dict[str, float]:
    """Times and hits of the questions, first with no page of the book in memory, then once more; of a
    tie, which the words do not tell apart, each counts."""
    first = five = 0
    asked = questions(wells, with_number=with_number)
    let_go(book.path)
    with book.reading() as connection:
        begun = time.perf_counter()
        find(connection, asked[0][0])
        opening = time.perf_counter() - begun
        rounds: list[list[float]] = []
        for _ in range(2):
            took, first, five = [], 0, 0
            for said, tag in asked:
                begun = time.perf_counter()
                matches = find(connection, said)
                took.append(time.perf_counter() - begun)
                tags = [m.tag for m in matches]
                first += tags[:1] == [tag]
                five += tag in tags[:5]
            rounds.append(sorted(took))
    cold, warm = rounds
    return {
        "opening": opening * 1000,
        "cold": statistics.median(cold) * 1000,
        "cold_worst": cold[-1] * 1000,
        "cold_late": sum(seconds > 0.02 for seconds in cold),
        "warm": statistics.median(warm) * 1000,
        "warm_worst": warm[-1] * 1000,
        "warm_late": sum(seconds > 0.02 for seconds in warm),
        "first": first / len(asked),
        "five": five / len(asked),
        "asked": len(asked),
    }


def listing(book: Book) -> tuple[float, float, int]:
    """Milliseconds of a month's list, ours and by hand, and how long it is."""
    file = sqlite3.connect(book.path)
    start, by = date(2026, 12, 1), date(2026, 12, 31)
    days = {"start": start.isoformat(), "by": by.isoformat()}
    with book.reading() as connection:
        asked = Asked(by=by, start=start)
        listed = due(connection, asked, today=TODAY)
        rows = by_hand.due(file, **days)
        same = [(i.tag, i.finding.occurrence) for i in listed]
        assert sorted(same) == sorted((row[0], row[3]) for row in rows)
        mine = median_ms(lambda: due(connection, asked, today=TODAY), MONTHS)
        hand = median_ms(lambda: by_hand.due(file, **days), MONTHS)
    file.close()
    return mine, hand, len(listed)


def recording(book: Book, wells: int) -> float:
    """Milliseconds to record a visit, until it is committed, at a well that nobody has looked at lately.

    What the engine's system keeps of the file in memory is let go before, and other visits come first, so
    that the tops of the trees are there again, as they are in a shop, and the well's own pages are not.
    Each well had a visit by the program itself once: those that `big_book` has copied bear other
    identities than the program gives, and their first visit writes all of them anew.
    """
    numbers = random.Random(SEED + 2).sample(range(wells), VISITS * 2)
    chance = random.Random()

    def record(number: int) -> float:
        data = {
            "date": TODAY.isoformat(),
            "reason": "check_up",
            "measured": {"static_level_ft": chance.randrange(20, 200), "flow_gpm": 6},
        }
        begun = time.perf_counter()
        with book.writing() as connection:
            sheets.record(connection, "Marit", number + 1, data, today=TODAY)
        return time.perf_counter() - begun

    for number in numbers:
        record(number)
    let_go(book.path)
    with book.reading():
        took = [record(number) for number in numbers]
    return statistics.median(took[VISITS:]) * 1000


def let_go(path: Path) -> None:
    """Have no page of a file in memory."""
    file = sqlite3.connect(path)
    file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    file.close()
    with path.open("rb") as pages:
        os.fsync(pages.fileno())
        os.posix_fadvise(pages.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def main() -> None:
    """Print a block for each size."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", type=int, nargs="*", default=[10_000, 100_000, 1_000_000])
    parser.add_argument("--folder", type=Path)
    given = parser.parse_args()
    as_the_program_runs()
    smallest = 0.0
    with tempfile.TemporaryDirectory() as temporary:
        folder = given.folder or Path(temporary)
        for wells in given.sizes:
            place = folder / f"{wells}.book"
            book = big_book(place, wells)
            size = place.stat().st_size / 2**20
            print(f"{wells:,} wells, {size:,.0f} MiB")
            mine, hand = hole(place, wells)
            smallest = smallest or mine
            print(
                f"  hole        {mine * 1000:6.0f} ms, {mine / hand:.2f} times by hand,"
                f" {mine / smallest:.2f} times as of the first size"
            )
            for with_number in (False, True):
                found = finding(book, wells, with_number=with_number)
                print(
                    f"  find        {found['warm']:.1f} ms, worst {found['warm_worst']:.1f}, {found['warm_late']}"
                    f" above 20; nothing in memory {found['cold']:.1f}, worst {found['cold_worst']:.1f},"
                    f" {found['cold_late']} above 20, the very first {found['opening']:.1f};"
                    f" of {found['asked']} slips {found['first']:.1%} first, {found['five']:.1%}"
                    f" among five{' (with the house number)' if with_number else ''}"
                )
            ours, peer, many = listing(book)
            print(f"  due --month {ours:6.1f} ms, {ours / peer:.2f} times by hand, {many:,} listed")
            print(f"  visit       {recording(book, wells):6.1f} ms", flush=True)
            book.close()


if __name__ == "__main__":
    main()
