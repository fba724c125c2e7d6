"""Many rows written at once are what the library writes one by one, and say which number is whose."""

from __future__ import annotations

import uuid
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, event, insert, select

from wellbook.dates import When
from wellbook.hole.story import derived_uid
from wellbook.store import tables as t
from wellbook.store.book import Book, open_book
from wellbook.store.identity import new_uid
from wellbook.store.in_bulk import added, put_rows
from wellbook.store.rows import AT_ONCE, records
from wellbook.store.search import find
from wellbook.store.wells import (
    add_customer,
    add_site,
    add_well,
    edit_site,
    edit_well,
    move_in,
    wells_at,
)
from wellbook.store.word_index import index_wells, wells_of

TODAY = date(2026, 11, 25)


def finding(well_id: int, position: int, **other: Any) -> dict[str, Any]:
    words = ("rule", "subject", "occurrence", "severity", "occasion", "reason", "action", "source")
    row = {**dict.fromkeys(words, "it's 100 % \u201cso\u201d :x %(y)s ?"), "severity": "ask"}
    days = {"from_day": date.min, "may_from": None, "surely_from": date.max, "until": TODAY}
    more = {"occasion": "now", "counts_from": "", "numbers": "{}", "to_customer": ""}
    return {**row, **days, **more, "well_id": well_id, "position": position, **other}


def test_rows_in_bulk_are_as_the_library_writes_them_one_by_one(book: Book) -> None:
    with book.writing() as connection:
        well = add_well(connection, "me", "W-1", {}, today=TODAY)
        connection.execute(t.due.delete())
        rows = [finding(well, 0), finding(well, 1, until=None, may_from=date(2024, 2, 29))]
        query = select(t.due).order_by(t.due.c.position)
        for row in rows:
            connection.execute(insert(t.due).values(**row))
        one_by_one = [dict(row) for row in records(connection, query)]
        connection.execute(t.due.delete())
        put_rows(connection, t.due, iter(rows))
        put_rows(connection, t.due, [])
        assert [dict(row) for row in records(connection, query)] == one_by_one
        assert [row["until"] for row in one_by_one] == [TODAY, None]


def test_numbers_are_given_in_the_order_of_the_rows(book: Book) -> None:
    with book.writing() as connection:
        rows = [
            {"uid": new_uid(), "name": f"system {n}", "rise_to_tank_ft": n / 2}
            for n in range(2 * AT_ONCE + 1)
        ]
        numbers = added(connection, t.water_system, rows)
        query = select(t.water_system.c.id, t.water_system.c.name)
        names = {row.id: row.name for row in connection.execute(query)}
        assert [names[number] for number in numbers] == [row["name"] for row in rows]
        assert added(connection, t.water_system, []) == []


def test_an_identity_is_a_name_based_uuid() -> None:
    """RFC 9562, section 5.5, as Python's own module makes it."""
    space = uuid.UUID("5f0c4f0e-6f0b-5c55-9d0e-6a1f3b1d7c11")
    for path in (("a", "set", 0), ("Muñoz", "ü/…"), ("", *range(40))):
        text = "/".join(map(str, path))
        assert derived_uid(*path) == uuid.uuid5(space, text).hex  # type: ignore[arg-type]
        assert uuid.UUID(derived_uid(*path)).version == 5  # type: ignore[arg-type]


def test_a_well_is_found_by_its_words_without_a_look_at_all_wells(shop: Path) -> None:
    """What an edit costs does not grow with the book: no query goes through all of a table."""
    asked: list[tuple[str, Any]] = []
    book = open_book(str(shop))

    def note(connection: Connection, _cursor: Any, text: str, values: Any, *_: Any) -> None:
        if text.startswith("SELECT"):
            asked.append((text, values))

    with book.writing() as connection:
        event.listen(connection, "before_cursor_execute", note)
        index_wells(connection, [3])
        event.remove(connection, "before_cursor_execute", note)
        assert len(asked) >= 3
        for text, values in asked:
            plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {text}", values)
            steps = [row[3] for row in plan]
            scans = [s for s in steps if s.startswith("SCAN ") and "anon_" not in s]
            assert scans == [], text
    book.close()


def test_a_place_is_found_of_all_wells_that_it_draws_on(book: Book) -> None:
    with book.writing() as connection:
        site = add_site(connection, "me", {"road": "4 Larkspur Bend", "town": "Nettlewick"})
        who = add_customer(connection, "me", "Orla Venterick")
        move_in(connection, "me", site, who, When.unknown(), today=TODAY)
        on_it = add_well(connection, "me", "W-1", {"site_id": site}, today=TODAY)
        far = add_well(connection, "me", "W-2", {}, today=TODAY)
        system = connection.execute(select(t.well.c.system_id).where(t.well.c.id == far))
        pair = {"system_id": system.scalar_one(), "site_id": site}
        put_rows(connection, t.system_site, [pair])
        index_wells(connection, [far])
        assert sorted(wells_at(connection, site)) == sorted(wells_of(connection, [who]))
        assert sorted(wells_at(connection, site)) == [on_it, far]
        edit_site(connection, "me", site, {"road": "4 Quince Road"})
        assert [m.well_id for m in find(connection, "quince")] == [on_it, far]
        edit_well(connection, "me", far, {"notes": "known as Old Ned"})
        assert [m.well_id for m in find(connection, "ned")] == [far]
