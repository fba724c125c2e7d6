"""What the list of likely doubles costs as the book grows, and how many of the known doubles it has.

    python benchmarks/doubles.py 4000 20000 100000

Each book is invented: given names and families of which some are common and most are rare, towns and roads
that grow in number with the book, one telephone number for most, an office's number for some. Every
fiftieth customer is in it twice, the second time with slips in the name, a road shortened, and another
number, or none, for one in two; so is his well, with his permit for one in two. Seconds are processor time.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import insert

from wellbook.likeness.names import name_key
from wellbook.likeness.roads import road_key
from wellbook.store import tables as t
from wellbook.store.book import make_book, open_book

SEED = 20261128
EVERY = 50
STARTS = "B Br C D Dr F G H J K L M N P R S St T V W".split()
MIDDLES = "a e i o u ai ea ou".split()
ENDS = "d l ll m n nd r rd s t th x".split()
GIVEN, FAMILIES = 200, 5000


def words(random: Random, count: int, syllables: int) -> list[str]:
    """Invented words, each once."""
    found: dict[str, None] = {}
    while len(found) < count:
        parts = (random.choice(STARTS).lower() + random.choice(MIDDLES) for _ in range(syllables))
        found["".join(parts).capitalize() + random.choice(ENDS)] = None
    return list(found)


def people(count: int) -> Iterator[dict[str, Any]]:
    """Who there is, doubles right after the one they are of."""
    random = Random(SEED)
    given, families = words(random, GIVEN, 1), words(random, FAMILIES, 2)
    rare = [1 / (n + 10) for n in range(FAMILIES)]
    towns = words(random, 5 + count // 500, 2)
    roads = words(random, 50 + count // 50, 2)
    for n in range(count - count // EVERY):
        one: dict[str, Any] = {
            "given": random.choices(given, rare[:GIVEN])[0],
            "family": random.choices(families, rare)[0],
            "number": random.randint(1, 900),
            "road": random.choice(roads),
            "kind": random.choice(["Road", "Lane", "Street"]),
            "town": random.choice(towns),
            "phone": f"+1207{n + 2_000_000:07d}" if random.random() < 0.9 else "",
            "permit": f"WP-{n + 10_000}" if random.random() < 0.5 else "",
        }
        if random.random() < 0.01:
            one["phone"] = f"+1603{random.randint(0, count // 2000) + 2_000_000:07d}"
        yield one
        if n % EVERY == 0:
            again = {**one, "kind": one["kind"][:2], "family": slip(random, one["family"])}
            if random.random() < 0.5:
                again["phone"] = random.choice(["", f"+1802{n + 2_000_000:07d}"])
            if random.random() < 0.5:
                again["permit"] = ""
            yield again | {"of": True}


def slip(random: Random, word: str) -> str:
    """A word with two letters swapped, or one left out."""
    n = random.randrange(1, len(word) - 1)
    if random.random() < 0.5:
        return word[:n] + word[n + 1 :]
    return word[:n] + word[n + 1] + word[n] + word[n + 2 :]


def fill(place: Path, count: int) -> list[int]:
    """Write the book; the numbers of the doubles, each of the one before it."""
    doubles: list[int] = []
    rows: dict[Any, list[dict[str, Any]]] = {
        table: []
        for table in (t.customer, t.contact_point, t.site, t.occupancy, t.water_system, t.well)
    }
    for n, one in enumerate(people(count), 1):
        if "of" in one:
            doubles.append(n)
        name, road = (
            f"{one['given']} {one['family']}",
            f"{one['number']} {one['road']} {one['kind']}",
        )
        uid = {"id": n, "uid": str(n)}
        rows[t.customer].append({**uid, "name": name, "name_key": name_key(name), "notes": ""})
        site = dict.fromkeys(("region", "postcode", "access", "well_head", "notes"), "")
        site |= {"road": road, "road_key": road_key(road, one["town"]), "town": one["town"]}
        rows[t.site].append({**uid, **site})
        rows[t.occupancy].append({**uid, "customer_id": n, "site_id": n, "since_text": "2001"})
        if one["phone"]:
            point = {"way": "phone", "value": one["phone"], "e164": one["phone"]}
            digits = one["phone"][1:]
            rows[t.contact_point].append({**uid, "customer_id": n, **point, "digits": digits})
        rows[t.water_system].append({**uid, "name": ""})
        well = dict.fromkeys(("use", "driller", "drilled_text", "notes"), "")
        well |= {"role": "ours", "status": "in_use", "construction": "drilled"}
        at = {"tag": f"W-{n}", "permit_no": one["permit"], "system_id": n, "site_id": n}
        rows[t.well].append({**uid, **well, **at, "entered_on": date(2026, 11, 28)})
    book = make_book(place)
    with book.writing() as connection:
        for table, some in rows.items():
            connection.execute(insert(table), some)
    book.close()
    return doubles


def listed(place: Path) -> dict[str, Any]:
    """Seconds, pairs and peak memory of both lists, in this process."""
    from wellbook.store.likely import likely_customer_pairs, likely_well_pairs

    found: dict[str, Any] = {}
    with open_book(place).reading() as connection:
        for name, source in (("customers", likely_customer_pairs), ("wells", likely_well_pairs)):
            begun = time.process_time()
            pairs = [(pair.one, pair.other) for pair in source(connection)]
            found[name] = {"seconds": time.process_time() - begun, "pairs": pairs}
    found["peak_mib"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return found


def _apart(*what: object) -> Any:
    """In a process of its own, whose peak memory is its own."""
    return json.loads(subprocess.check_output([sys.executable, __file__, *map(str, what)]))


def main(sizes: list[int]) -> None:
    """Measure and print."""
    for count in sizes:
        with TemporaryDirectory() as folder:
            place = Path(folder) / "many.book"
            true = {(n - 1, n) for n in _apart("fill", place, str(count))}
            done = _apart("listed", place)
        for name in ("customers", "wells"):
            pairs = {(one, other) for one, other in done[name]["pairs"]}
            right = len(pairs & true) / len(true)
            print(
                f"{count:>9,} {name:<9} {done[name]['seconds']:6.1f} s  {len(pairs):>7,} pairs,"
                f" {right:.1%} of {len(true):,} doubles"
            )
        print(f"{'':>9} peak {done['peak_mib']:.0f} MiB", flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["fill"]:
        print(json.dumps(fill(Path(sys.argv[2]), int(sys.argv[3]))))
    elif sys.argv[1:2] == ["listed"]:
        print(json.dumps(listed(Path(sys.argv[2]))))
    else:
        main([int(text) for text in sys.argv[1:]] or [4_000, 20_000, 100_000])
