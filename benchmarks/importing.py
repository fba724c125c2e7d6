"""A file of many rows brought in, against a plain reader of CSV and `executemany` of the same rows.

    python benchmarks/importing.py [ROWS]

The floor reads the file with `csv` and writes its rows into one table of an embedded database. Ours
checks each row, holds it against the book, writes wells, places and readings, and renews the ledger
and the words by which wells are found. The shares are measured with a clock around each step, in a run
of their own; the peak of memory is that of a process that does nothing else.
"""

from __future__ import annotations

import csv
import json
import resource
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

TODAY = date(2026, 11, 25)
HEAD = [
    "Well No",
    "Customer",
    "Phone",
    "Address",
    "Town",
    "Depth (ft)",
    "Static Level (ft)",
    "Drilled",
]
MAPPING = """\
source = "many"
table = "many"
[columns]
key = "Well No"
{people}road = "Address"
town = "Town"
depth_ft = {{ column = "Depth (ft)", unit = "ft" }}
water_level_ft = {{ column = "Static Level (ft)", unit = "ft" }}
drilled_on = "Drilled"
"""
AREAS = (207, 603, 802, 413, 518, 315, 607, 585, 716, 814)
PEOPLE = 'customer.name = "Customer"\ncustomer.phone = "Phone"\n'


def make_file(path: Path, rows: int) -> None:
    """An invented list."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(HEAD)
        for n in range(rows):
            road = f"{n % 997} {('Mill', 'Elm', 'Larkspur', 'Quince')[n % 4]} Road"
            phone = f"({AREAS[n // 10000 % len(AREAS)]}) 555-{n % 10000:04d}"
            day = f"{1960 + n % 60}-{1 + n % 12:02d}-{1 + n % 28:02d}"
            cells = [f"W{n}", f"Name{n % 5000} Family{n}", phone, road, f"Town {n % 40}"]
            writer.writerow([*cells, 50 + n % 400, 10 + n % 40, day])


def floor(path: Path, place: Path) -> float:
    """Seconds of the plain reader and one table."""
    begun = time.process_time()
    with sqlite3.connect(place) as db, path.open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        names = ", ".join(f'"{name}"' for name in next(rows))
        db.execute(f"CREATE TABLE list ({names})")
        db.executemany(f"INSERT INTO list VALUES ({', '.join('?' * len(HEAD))})", rows)
    db.close()
    return time.process_time() - begun


def ours(path: Path, place: Path, people: bool) -> dict[str, Any]:
    """Seconds and peak memory of an import, in this process."""
    from wellbook.exchange.deciding import Decisions
    from wellbook.exchange.importing import brought_in, prepare
    from wellbook.exchange.mapping_file import from_toml
    from wellbook.store.book import make_book
    from wellbook.terms import Role

    book = make_book(place)
    mapping = from_toml(MAPPING.format(people=PEOPLE if people else ""), "benchmark")
    role = Role.OURS if people else Role.REFERENCE
    begun = time.process_time()
    job = prepare(path, book, mapping=mapping, role=role, today=TODAY)
    with book.writing() as connection:
        bringing = brought_in(connection, job, who="benchmark", today=TODAY, decisions=Decisions())
        with bringing as outcome:
            assert outcome.counts.written == outcome.counts.rows
    seconds = time.process_time() - begun
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"seconds": seconds, "peak_mib": peak}


def shares(path: Path, place: Path, people: bool) -> dict[str, Any]:
    """Seconds of single steps of an import."""
    from wellbook.exchange import in_the_book, well_clerk, well_import

    spent: Counter[str] = Counter()

    def timed(name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def run(*given: Any, **named: Any) -> Any:
            begun = time.process_time()
            try:
                return function(*given, **named)
            finally:
                spent[name] += time.process_time() - begun

        return run

    clerk: Any = well_clerk.Clerk
    clerk.row = timed("validation", clerk.row)
    there: Any = in_the_book.InTheBook
    for name in (
        "same_person",
        "alike",
        "home",
        "wells_near",
        "wells_at",
        "add_person",
        "add_home",
    ):
        setattr(there, name, timed("doubles", getattr(there, name)))
    module: Any = well_import
    module.renew = timed("ledger", module.renew)
    module.index_wells = timed("words for finding", module.index_wells)
    done = ours(path, place, people)
    spent["the rest"] = done["seconds"] - sum(spent.values())
    return {name: round(seconds, 2) for name, seconds in spent.items()}


def _apart(what: str, path: Path, place: Path, people: bool) -> dict[str, Any]:
    command = [sys.executable, __file__, what, str(path), str(place), str(int(people))]
    found: dict[str, Any] = json.loads(subprocess.check_output(command))
    return found


def main(rows: int) -> None:
    """Measure and print."""
    with TemporaryDirectory() as folder:
        for number in (rows // 10, rows):
            path = Path(folder) / f"{number}.csv"
            make_file(path, number)
            plain = min(floor(path, Path(folder) / f"floor-{number}-{n}") for n in range(3))
            for people in (False, True):
                what = "own wells with customers" if people else "reference wells"
                done = _apart("ours", path, Path(folder) / f"{number}-{people}.book", people)
                print(
                    f"{number:,} {what}: {done['seconds']:.1f} s,"
                    f" {done['seconds'] / plain:.0f} times {plain:.2f} s;"
                    f" peak {done['peak_mib']:.0f} MiB"
                )
                if number == rows:
                    steps = _apart("shares", path, Path(folder) / f"s-{people}.book", people)
                    print("   " + ", ".join(f"{name} {s:.1f} s" for name, s in steps.items()))


if __name__ == "__main__":
    if sys.argv[1:2] in (["ours"], ["shares"]):
        work = {"ours": ours, "shares": shares}[sys.argv[1]]
        print(json.dumps(work(Path(sys.argv[2]), Path(sys.argv[3]), sys.argv[4] == "1")))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
