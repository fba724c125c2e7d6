"""A file of many rows brought in, against a plain reader of CSV and `executemany` of the same rows.

    python benchmarks/importing.py [ROWS]

The floor reads the file with `csv` and writes its rows into one table of an embedded database. Ours
checks each row, holds it against the book, writes wells, places and readings, plays sheets of what
hangs in the wells, and renews the ledger and the words by which wells are found. Processor time, so
that what else the machine does counts for little. The shares are measured with a clock around each
step, in a run of their own; the peak of memory is that of a process that does nothing else.
"""

from __future__ import annotations

import csv
import json
import resource
import sqlite3
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
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
    "Pump hp",
    "Pump Set (ft)",
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
{pumps}"""
AREAS = (207, 603, 802, 413, 518, 315, 607, 585, 716, 814)
PEOPLE = 'customer.name = "Customer"\ncustomer.phone = "Phone"\n'
PUMPS = """\
pump.hp = { column = "Pump hp", unit = "hp" }
pump.set_depth_ft = { column = "Pump Set (ft)", unit = "ft" }
"""
KINDS = {
    "reference wells": {"people": "", "pumps": ""},
    "own wells with customers": {"people": PEOPLE, "pumps": ""},
    "own wells with customers and pumps": {"people": PEOPLE, "pumps": PUMPS},
}


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
            pump = [("1/2", "3/4", "1")[n % 3], 45 + n % 400]
            writer.writerow([*cells, 50 + n % 400, 10 + n % 40, day, *pump])


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


def ours(path: Path, place: Path, kind: str) -> dict[str, Any]:
    """Seconds and peak memory of an import, in this process."""
    from wellbook.exchange.deciding import Decisions
    from wellbook.exchange.importing import brought_in, prepare
    from wellbook.exchange.mapping_file import from_toml
    from wellbook.store.book import make_book
    from wellbook.terms import Role

    book = make_book(place)
    mapping = from_toml(MAPPING.format(**KINDS[kind]), "benchmark")
    role = Role.OURS if KINDS[kind]["people"] else Role.REFERENCE
    begun = time.process_time()
    job = prepare(path, book, mapping=mapping, role=role, today=TODAY)
    with book.writing() as connection:
        bringing = brought_in(connection, job, who="benchmark", today=TODAY, decisions=Decisions())
        with bringing as outcome:
            assert outcome.counts.written == outcome.counts.rows
    seconds = time.process_time() - begun
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"seconds": seconds, "peak_mib": peak}


class Clock:
    """The time of steps; a step within another is of the outer one."""

    def __init__(self) -> None:
        self.spent: defaultdict[str, float] = defaultdict(float)
        self.running = False

    def around(self, step: str, owner: Any, *names: str) -> None:
        """Put a clock around functions of a module or a class."""
        for name in names:
            setattr(owner, name, self._timed(step, getattr(owner, name)))

    def _timed(self, step: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def run(*given: Any, **named: Any) -> Any:
            if self.running:
                return function(*given, **named)
            self.running, begun = True, time.process_time()
            try:
                made = function(*given, **named)
                # What is made one by one would be made when nobody looks at the clock.
                return list(made) if isinstance(made, Iterator) else made
            finally:
                self.spent[step] += time.process_time() - begun
                self.running = False

        return run


def shares(path: Path, place: Path, kind: str) -> dict[str, Any]:
    """Seconds of single steps of an import."""
    from wellbook.exchange import people_writing, replaying_records, well_writing, writing_records
    from wellbook.exchange.asking import Asking
    from wellbook.exchange.import_sheets import SheetsOfTable
    from wellbook.exchange.in_the_book import InTheBook
    from wellbook.exchange.rows_aside import RowsAside
    from wellbook.exchange.trace import Trace
    from wellbook.exchange.well_clerk import Clerk

    clock = Clock()
    clock.around("reading", RowsAside, "put")
    clock.around("validation", Clerk, "row")
    clock.around("doubles", Asking, "about_wells", "about_people")
    clock.around("doubles", InTheBook, "__init__", "same_person", "alike", "home")
    clock.around("doubles", InTheBook, "wells_near", "well_at", "add_person", "add_home")
    clock.around("sheets and replay", SheetsOfTable, "enter", "known", "renew")
    clock.around("sheets and replay", replaying_records, "rebuild")
    clock.around("ledger", writing_records, "renew")
    clock.around("words", writing_records, "index_wells")
    clock.around("writing", writing_records, "put_rows")
    clock.around("writing", people_writing, "put_rows", "added")
    clock.around("writing", well_writing, "put_rows", "added")
    clock.around("writing", Trace, "write")
    whole = ours(path, place, kind)["seconds"]
    steps = dict(clock.spent)
    return {**steps, "the rest": whole - sum(steps.values())}


def _apart(what: str, path: Path, place: Path, kind: str) -> dict[str, Any]:
    command = [sys.executable, __file__, what, str(path), str(place), kind]
    found: dict[str, Any] = json.loads(subprocess.check_output(command))
    return found


def main(rows: int) -> None:
    """Measure and print."""
    with TemporaryDirectory() as folder:
        for number in (rows // 10, rows):
            path = Path(folder) / f"{number}.csv"
            make_file(path, number)
            plain = min(floor(path, Path(folder) / f"floor-{number}-{n}") for n in range(3))
            for n, kind in enumerate(KINDS):
                done = _apart("ours", path, Path(folder) / f"{number}-{n}.book", kind)
                seconds = done["seconds"]
                print(
                    f"{number:,} {kind}: {seconds:.1f} s, {number / seconds:,.0f} rows a second,"
                    f" {seconds / plain:.0f} times {plain:.2f} s; peak {done['peak_mib']:.0f} MiB"
                )
                if number == rows:
                    steps = _apart("shares", path, Path(folder) / f"s-{n}.book", kind)
                    whole = sum(steps.values())
                    said = (f"{name} {s / whole:.0%}" for name, s in steps.items())
                    print("   " + ", ".join(said), flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] in (["ours"], ["shares"]):
        work = {"ours": ours, "shares": shares}[sys.argv[1]]
        print(json.dumps(work(Path(sys.argv[2]), Path(sys.argv[3]), sys.argv[4])))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
