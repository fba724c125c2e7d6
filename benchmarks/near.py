"""Wells near a place in books of many reference wells, against the same asked by hand.

    python benchmarks/near.py 10000 100000 1000000

Each book has its wells spread over the same land, so that ten times the wells are ten times the
neighbours. Our side is all that `wellbook near` does after the book is open: the box, the exact
distances, what counts in each well (best basis, newest, what a deepening ended) and how it lies. The
other side is Python's own sqlite3 with hand-written SQL that fetches the same figures, takes any
value where there are several, and knows neither basis nor date.
"""

from __future__ import annotations

import argparse
import math
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from wellbook.engineering.great_circle import boxes_around
from wellbook.hole.neighbours import FIGURES, spread_of
from wellbook.store.book import Book, make_book
from wellbook.store.nearby import MOST_WELLS, Spot, wells_near

SEED = 20261125
SOUTH, WEST, TALL, WIDE = 42.0, -102.0, 1.5, 2.0
WITHIN_MI = 1.0

# Points that fill a rectangle evenly and never fall on each other: multiples of 1/g and 1/g^2,
# with g the root of x^3 = x + 1 (M. Roberts, "The Unreasonable Effectiveness of Quasirandom
# Sequences", from memory).
FIRST, SECOND = 0.7548776662466927, 0.5698402909980532
ROWS = (
    "INSERT INTO water_system (id, uid, name) SELECT i, 'y' || i, '' FROM n",
    f"""INSERT INTO site (id, uid, road, town, region, postcode, latitude, longitude, access,
        well_head, notes)
        SELECT i, 's' || i, '', '', '', '',
        {SOUTH} + {TALL} * ((i + {SEED % 1000}) * {FIRST} - floor((i + {SEED % 1000}) * {FIRST})),
        {WEST} + {WIDE} * ((i + {SEED % 1000}) * {SECOND} - floor((i + {SEED % 1000}) * {SECOND})),
        '', '', '' FROM n""",
    """INSERT INTO well (id, uid, tag, permit_no, system_id, site_id, role, use, status,
        construction, driller, drilled_earliest, drilled_latest, drilled_text, entered_on, notes)
        SELECT i, 'w' || i, 'R-' || i, '', i, i, 'reference', '', 'in_use', 'drilled', '',
        (1950 + i % 70) || '-01-01', (1950 + i % 70) || '-12-31', 1950 + i % 70, '2026-01-01', ''
        FROM n""",
    *(
        f"""INSERT INTO observation (uid, well_id, quantity, value, when_earliest, when_latest,
            when_text, basis, point, state, method)
            SELECT '{quantity}' || i, i, '{quantity}', {value}, (1950 + i % 70) || '-01-01',
            (1950 + i % 70) || '-12-31', 1950 + i % 70, 'drillers_log', {point}, {state}, ''
            FROM n WHERE i % 10 < {tenths}"""
        for quantity, value, point, state, tenths in (
            ("depth_ft", "80.0 + i * 37 % 500", "NULL", "NULL", 10),
            ("water_level_ft", "5.0 + i * 13 % 90", "'ground'", "'static'", 8),
            ("yield_gpm", "0.5 + i * 7 % 40", "NULL", "NULL", 7),
        )
    ),
    """INSERT INTO bore_interval (uid, well_id, kind, from_ft, to_ft, diameter_in, material, basis,
        when_earliest, when_latest, when_text)
        SELECT 'c' || i, i, 'casing', 0, 20.0 + i * 11 % 80, 6, '', 'drillers_log', NULL, NULL, ''
        FROM n WHERE i % 10 < 8""",
)


def filled(place: Path, wells: int) -> Book:
    """A book of so many reference wells, made by plain SQL: the same in every run."""
    book = make_book(place)
    with sqlite3.connect(place) as file:
        file.execute("PRAGMA synchronous = OFF")
        file.execute("CREATE TEMP TABLE n (i INTEGER PRIMARY KEY)")
        file.execute(
            "INSERT INTO n WITH RECURSIVE r(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM r"
            " WHERE i < ?) SELECT i FROM r",
            (wells,),
        )
        for statement in ROWS:
            file.execute(statement)
    file.close()
    return book


def ours(book: Book, place: tuple[float, float]) -> int:
    """As the command does it."""
    with book.reading() as connection:
        found = wells_near(connection, Spot("here", place), WITHIN_MI)
    for name in FIGURES:
        spread_of(found.wells, name)
    return found.count


def by_hand(file: sqlite3.Connection, place: tuple[float, float]) -> int:
    """The same wells and figures, by hand-written SQL."""
    latitude, longitude = map(math.radians, place)
    (box,) = boxes_around(place, WITHIN_MI)
    found = []
    for number, there, across in file.execute(
        "SELECT w.id, s.latitude, s.longitude FROM site s JOIN well w ON w.site_id = s.id"
        " WHERE s.latitude BETWEEN ? AND ? AND s.longitude BETWEEN ? AND ?",
        (box.south, box.north, box.west, box.east),
    ):
        one, other = math.radians(there), math.radians(across)
        half = math.sin((one - latitude) / 2) ** 2
        half += math.cos(latitude) * math.cos(one) * math.sin((other - longitude) / 2) ** 2
        away = 2 * 3958.7613 * math.asin(math.sqrt(half))
        if away <= WITHIN_MI:
            found.append((away, number))
    found.sort()
    values: dict[str, list[float]] = {}
    numbers = [number for _, number in found[:MOST_WELLS]]
    for start in range(0, len(numbers), 500):
        some = numbers[start : start + 500]
        marks = ",".join("?" * len(some))
        for quantity, value in file.execute(
            f"SELECT quantity, value FROM observation WHERE well_id IN ({marks})"
            f" UNION ALL SELECT 'casing', max(to_ft) FROM bore_interval WHERE well_id IN ({marks})"
            " AND kind = 'casing' GROUP BY well_id"
            f" UNION ALL SELECT 'pump', p.set_depth_ft FROM component c JOIN pump p"
            f" ON p.component_id = c.id WHERE c.well_id IN ({marks})"
            " AND c.pulled_text IS NULL",
            some * 3,
        ):
            values.setdefault(quantity, []).append(value)
    for one_kind in values.values():
        statistics.median(one_kind)
    return len(found)


def seconds(work: Callable[[tuple[float, float]], int], times: int) -> tuple[float, float]:
    """The median time of asking at several places, and how many wells were found on the average."""
    took, counts = [], []
    for n in range(times):
        place = (
            SOUTH + TALL * (0.2 + 0.6 * (n * FIRST % 1)),
            WEST + WIDE * (0.2 + 0.6 * (n * SECOND % 1)),
        )
        begun = time.perf_counter()
        counts.append(work(place))
        took.append(time.perf_counter() - begun)
    return statistics.median(took), statistics.mean(counts)


def main() -> None:
    """Print a line for each size."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sizes", type=int, nargs="*", default=[10_000, 100_000, 1_000_000])
    parser.add_argument("--times", type=int, default=25)
    given = parser.parse_args()
    print(f"{'wells':>9}  {'found':>6}  {'ours ms':>8}  {'by hand ms':>10}  {'ratio':>6}")
    for wells in given.sizes:
        with tempfile.TemporaryDirectory() as folder:
            place = Path(folder) / "many.book"
            book = filled(place, wells)
            file = sqlite3.connect(place)
            for _ in range(2):  # once so that both read from memory
                mine, found = seconds(lambda at, b=book: ours(b, at), given.times)
                hand, same = seconds(lambda at, f=file: by_hand(f, at), given.times)
            assert found == same, (found, same)
            file.close()
            book.close()
        ms = 1000
        print(
            f"{wells:>9,}  {found:>6.1f}  {mine * ms:>8.2f}  {hand * ms:>10.2f}  {mine / hand:>6.1f}"
        )


if __name__ == "__main__":
    main()
