"""A large book of invented wells with realistic histories, the same in every run.

    python benchmarks/big_book.py PLACE WELLS

Some two thousand wells are recorded by the program itself (`histories.history`). All others have the
history of one of these, with identities of their own, and a household of their own: their rows are
copied inside the engine, table by table. The words by which they are found are made by the program.

"""

from __future__ import annotations

import argparse
import random
import sqlite3
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from histories import SEED, TODAY, Household, history, households
from sqlalchemy import Connection, Table

from wellbook.likeness.names import name_key
from wellbook.likeness.roads import road_key
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book, open_book
from wellbook.store.in_bulk import put_rows
from wellbook.store.judging import renew
from wellbook.store.mark import set_mark
from wellbook.store.replaying import rebuild
from wellbook.store.sheets import Entry, enter_many
from wellbook.store.shop import say_of_shop
from wellbook.store.word_index import index_wells
from wellbook.terms import ContactWay

ORIGINALS = 2_000
"""How many wells have a history of their own."""

_COPIED = (
    t.sheet, t.crew, t.component, *t.PART_TABLES.values(), t.component_claim, t.observation,
    t.bore_interval, t.cable_inspection, t.found, t.water_sample, t.water_result, t.due,
)  # fmt: skip
_BY_NUMBER = {"well_id", "sheet_id", "component_id", "sample_id"}
_UIDS = {
    "uid", "root_uid", "sheet_root_uid", "component_uid", "set_by", "pulled_by", "row_uid",
    "occurrence", "counts_from",
}  # fmt: skip
_UID_LENGTH = 32


def big_book(place: Path, wells: int) -> Book:
    """A book of so many wells, which are a multiple of those that have a history of their own; a
    book that is there already is opened."""
    if wells % ORIGINALS:
        raise SystemExit(f"the wells have to be a multiple of {ORIGINALS:,}")
    if place.exists():
        return open_book(place)
    making = place.with_suffix(".making")
    making.unlink(missing_ok=True)
    book = make_book(making, shop_name="Large, an invented shop")
    with book.engine.connect() as connection:
        file: Any = connection.connection.dbapi_connection
        for line in (
            "synchronous = OFF",
            "journal_mode = OFF",
            "cache_size = -4000000",
            "temp_store = MEMORY",
            "foreign_keys = OFF",
        ):
            file.execute(f"PRAGMA {line}")  # fmt: skip
        _fill(connection, file, wells)
        connection.commit()
        file.execute("PRAGMA optimize")
        file.execute("PRAGMA journal_mode = WAL")
    book.close()
    making.rename(place)
    return open_book(place)


def _fill(connection: Connection, file: sqlite3.Connection, wells: int) -> None:
    originals = ORIGINALS
    for n, some in enumerate(_thousands(wells)):
        _places(connection, n * 1000, some)
    _record(connection, originals)
    strides = {table.name: _highest(file, table) for table in (t.sheet, t.component, t.observation,
               t.bore_interval, t.cable_inspection, t.found, t.water_sample, t.change)}  # fmt: skip
    strides |= {"well": originals}
    for table in (*_COPIED, t.change):
        _copy(file, table, strides, wells // originals - 1)
    index_wells(connection, range(1, wells + 1))
    # Else the first look of a day would be followed by a backup, which is not what is measured.
    say_of_shop(connection, "Marit", "daily_backups", "0")


def _thousands(wells: int) -> Iterator[list[Household]]:
    some: list[Household] = []
    for home in households(wells):
        some.append(home)
        if len(some) == 1000:
            yield some
            some = []
    if some:
        yield some


def _places(connection: Connection, start: int, homes: list[Household]) -> None:
    """A customer with a telephone, his property, a water system and a well for each household; all
    have the same number."""
    numbered = list(enumerate(homes, start=start + 1))
    uids = {name: _uids(name, start, len(homes)) for name in
            ("customer", "contact_point", "site", "water_system", "occupancy")}  # fmt: skip
    # What a well owes names it by its identity, which is therefore made as those of its rows are.
    first = _uids("well", start % ORIGINALS, len(homes))
    uids["well"] = [f"{uid[:-8]}{start // ORIGINALS:08x}" for uid in first]

    def put(table: Table, rows: list[dict[str, Any]]) -> None:
        if table.name in uids:
            rows = [{"uid": uid, **row} for uid, row in zip(uids[table.name], rows, strict=True)]
        put_rows(connection, table, rows)

    put(t.customer, [{"id": n, "name": h.name, "name_key": name_key(h.name), "notes": ""}
                     for n, h in numbered])  # fmt: skip
    put(t.contact_point, [{"id": n, "customer_id": n, "way": ContactWay.PHONE.value,
                           "value": f"({h.phone[:3]}) {h.phone[3:6]}-{h.phone[6:]}",
                           "digits": h.phone, "e164": f"+1{h.phone}"} for n, h in numbered])  # fmt: skip
    put(t.site, [{"id": n, "road": h.road, "road_key": road_key(h.road, h.town), "town": h.town,
                  "region": "", "postcode": "", "latitude": h.latitude, "longitude": h.longitude,
                  "access": "", "well_head": "Behind the house", "notes": ""}
                 for n, h in numbered])  # fmt: skip
    put(t.water_system, [{"id": n, "name": "", "rise_to_tank_ft": None} for n, _ in numbered])
    put(t.system_site, [{"system_id": n, "site_id": n} for n, _ in numbered])
    put(t.occupancy, [{"id": n, "customer_id": n, "site_id": n, "since_text": "2001",
                       "since_earliest": TODAY.replace(2001, 1, 1),
                       "since_latest": TODAY.replace(2001, 12, 31)} for n, _ in numbered])  # fmt: skip
    put(t.well, [{"id": n, "tag": f"LB-{n:07d}", "permit_no": f"{n * 7919 % 10**7:07d}",
                  "system_id": n, "site_id": n, "role": "ours", "use": "domestic",
                  "status": "in_use", "construction": "drilled", "driller": "",
                  "drilled_text": "unknown", "entered_on": TODAY, "notes": ""}
                 for n, _ in numbered])  # fmt: skip


def _uids(name: str, start: int, many: int) -> list[str]:
    chance = random.Random(f"{SEED} {name} {start}")
    # Those of copies end otherwise, which must not be how one of these ends by chance.
    return [f"{chance.getrandbits(96):024x}{0:08x}" for _ in range(many)]


def _record(connection: Connection, originals: int) -> None:
    """Histories by the program's own way: sheets checked and written, replayed, judged."""
    chance = random.Random(SEED)
    for start in range(1, originals + 1, 200):
        numbers = range(start, min(start + 200, originals + 1))
        entries = [
            Entry(uid, root, number, kind, data)
            for number in numbers
            for n, (kind, data) in enumerate(history(chance))
            for uid, root in [_uids("sheet", number * 100 + n, 2)]
        ]
        enter_many(connection, "Marit", entries, today=TODAY)
        rebuild(connection, *numbers)
    renew(connection, range(1, originals + 1))
    set_mark(connection)


def _highest(file: sqlite3.Connection, table: Table) -> int:
    return int(file.execute(f"SELECT max(id) FROM {table.name}").fetchone()[0])


def _copy(file: sqlite3.Connection, table: Table, strides: dict[str, int], copies: int) -> None:
    """Every row of the originals again for each copy, with its numbers moved and its identities
    ending otherwise."""
    names = [c.name for c in table.columns]
    shown = ", ".join(_moved(table.name, name, strides) for name in names)
    file.execute("CREATE TEMP TABLE IF NOT EXISTS n (i INTEGER PRIMARY KEY)")
    file.execute("DELETE FROM n")
    file.executemany("INSERT INTO n VALUES (?)", ((i,) for i in range(1, copies + 1)))
    file.execute(f"CREATE TEMP TABLE first AS SELECT * FROM {table.name}")
    file.execute(
        f"INSERT INTO {table.name} ({', '.join(names)}) SELECT {shown} FROM n CROSS JOIN first"
    )
    file.execute("DROP TABLE first")


def _moved(table: str, name: str, strides: dict[str, int]) -> str:
    if name == "id":
        return f"id + n.i * {strides[table]}"
    if name in _BY_NUMBER:
        to = {"well_id": "well", "sheet_id": "sheet", "component_id": "component",
              "sample_id": "water_sample"}[name]  # fmt: skip
        return f"{name} + n.i * {strides[to]}"
    if name in _UIDS:
        moved = f"substr({name}, 1, length({name}) - 8) || printf('%08x', n.i)"
        return f"CASE WHEN length({name}) >= {_UID_LENGTH} THEN {moved} ELSE {name} END"
    return f"first.{name}"


def main() -> None:
    """Make one."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("place", type=Path)
    parser.add_argument("wells", type=int)
    given = parser.parse_args()
    begun = time.perf_counter()
    book = big_book(given.place, given.wells)
    size = given.place.stat().st_size / 2**20
    print(f"{given.wells:,} wells, {size:,.0f} MiB, {time.perf_counter() - begun:.0f} s")
    book.close()


if __name__ == "__main__":
    main()
