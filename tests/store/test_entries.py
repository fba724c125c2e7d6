"""Lines of the change log as entries: however many lines there are, and whatever numbers are missing."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import delete, event, insert

from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.entries import _farthest, entry_of, newest
from wellbook.store.identity import another_moment, new_uid
from wellbook.store.log_about import first_line_since
from wellbook.store.rows import log, moment


@given(st.sets(st.integers(1, 300), min_size=1), st.data())
def test_the_end_of_an_entry_is_found_whatever_numbers_are_missing(
    numbers: set[int], data: st.DataObject
) -> None:
    there = sorted(numbers)
    first, last = sorted(data.draw(st.integers(0, len(there) - 1)) for _ in range(2))
    mine = there[first : last + 1]
    known = data.draw(st.sampled_from(mine))

    def back(n: int) -> int | None:
        near = next((x for x in there if x >= n), None)
        return near if near in mine else None

    def ahead(n: int) -> int | None:
        near = next((x for x in reversed(there) if x <= n), None)
        return near if near in mine else None

    assert _farthest(known, 0, back) == mine[0]
    assert _farthest(known, there[-1], ahead) == mine[-1]


def test_each_transaction_has_a_moment_of_its_own(book: Book) -> None:
    moments = []
    for _ in range(20):
        with book.writing() as connection:
            log(connection, "Ida", "change", "well", "x", old={}, new={})
            with connection.begin_nested():
                log(connection, "Ida", "change", "well", "y", old={}, new={})
            moments.append(moment(connection))
    assert len(set(moments)) == 20
    with book.reading() as connection:
        found = list(newest(connection))
        assert [e.last - e.number for e in found] == [1] * 20
        assert [e.at for e in found] == moments[::-1]


def test_a_moment_is_unlike_the_one_before() -> None:
    before = another_moment("")
    assert all(another_moment(before) != before for _ in range(100))


@pytest.fixture
def long_log(book: Book) -> Book:
    """Entries of up to three lines, some lines missing, and one of five thousand."""
    lines = []
    for n in range(300):
        at = datetime(2020, 1, 1 + n // 30, n // 3 % 10, n % 60, n % 7, 5, UTC).isoformat()
        for _ in range(5000 if n == 150 else 1 + n % 3):
            line = {
                "at": at,
                "who": f"w{n}",
                "action": "change",
                "what": "well",
                "row_uid": f"r{n % 9}",
            }
            lines.append({**line, "uid": new_uid(), "old": None, "new": "{}"})
    with book.writing() as connection:
        connection.execute(insert(t.change), lines)
        connection.execute(delete(t.change).where(t.change.c.id % 11 == 3))
    return book


def test_all_entries_are_found_each_once(long_log: Book) -> None:
    with long_log.reading() as connection:
        found = list(newest(connection))
        assert 270 < len(found) <= 300
        assert len({e.who for e in found}) == len(found)
        numbers = [n for e in found for n in (e.last, e.number)]
        assert numbers == sorted(numbers, reverse=True)
        some = list(newest(connection, about={"r3"}))
        assert {e.uid for e in some} == {e.uid for e in found if int(e.who[1:]) % 9 == 3}
        middle = found[len(found) // 2]
        assert entry_of(connection, middle.last) == middle
        assert next(newest(connection, before=middle.number)) == found[len(found) // 2 + 1]


def test_days_are_found_by_halving(long_log: Book) -> None:
    with long_log.reading() as connection:
        for day in range(1, 12):
            begins = datetime(2020, 1, day, tzinfo=UTC)
            first = first_line_since(connection, begins)
            since = list(newest(connection, from_line=first))
            assert len(since) == sum(e.at >= begins.isoformat() for e in newest(connection))


def test_of_a_long_log_little_is_read(long_log: Book) -> None:
    """Each query goes by an index or by the lines' numbers, and few are asked."""
    asked: list[str] = []
    with long_log.reading() as connection:
        event.listen(connection, "before_cursor_execute", lambda *a: asked.append(a[2]))
        for found in (newest(connection), newest(connection, about={"r3", "r4"})):
            next(found)
        first_line_since(connection, datetime(2020, 1, 5, tzinfo=UTC))
    assert len(asked) < 80
