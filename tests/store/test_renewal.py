"""What is renewed after a change of a rule: that rule's rows, and no more than differs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import pytest
from sqlalchemy import Connection, delete, func, insert, select, update

from wellbook import versions
from wellbook.hole.hole import Hole
from wellbook.rules import catalogue
from wellbook.store import judging, renewal
from wellbook.store import tables as t
from wellbook.store.book import Book, open_book
from wellbook.store.freshness import freshen
from wellbook.store.holes import holes_to_judge, load_holes
from wellbook.store.ledger import ledger_of
from wellbook.store.mark import Mark, made_by, mark, set_mark
from wellbook.store.settings import settings, with_setting


@pytest.fixture
def book(shop: Path) -> Iterator[Book]:
    made = open_book(shop)
    freshen(made)
    yield made
    made.close()


def is_true(connection: Connection) -> bool:
    """Whether the whole ledger is what the rules say from nothing."""
    numbers, shop = judging.owing_wells(connection), settings(connection)
    holes = zip(numbers, load_holes(connection, numbers), strict=True)
    return all(ledger_of(connection, n) == catalogue.judge(hole, shop) for n, hole in holes)


def spoil(connection: Connection, *rules: str) -> None:
    """Let the rows of some rules say what no rule says."""
    connection.execute(update(t.due).where(t.due.c.rule.in_(rules)).values(reason="spoiled"))


def spoiled(connection: Connection) -> set[str]:
    query = select(t.due.c.rule).where(t.due.c.reason == "spoiled")
    return set(connection.execute(query).scalars())


def bear(
    connection: Connection,
    by_rule: dict[str, str],
    replay: str = versions.REPLAY,
    rules: str = versions.RULES,
) -> None:
    text = str(Mark(replay, rules, by_rule))
    connection.execute(update(t.book).values(ledger_fingerprint=text))


def test_a_mark_reads_back() -> None:
    made = Mark("4", "8", {"pump-age": "1.0a", "season": "1.1b"})
    assert Mark.read(str(made)) == made
    other = Mark("4", "8", {"pump-age": "1.0a", "season": "1.2c", "gone": "1.3d"})
    assert made.old_in(other) == {"season", "gone"}
    assert made.old_in(Mark("3", "8", made.by_rule)) == {"pump-age", "season"}
    assert made.old_in(Mark("4", "7", made.by_rule)) == {"pump-age", "season"}


@pytest.mark.parametrize(
    ("other", "past"),
    [
        (Mark("4", "8", {"season": "2.1b"}), ""),
        (Mark("4", "8", {"season": "2.ff"}), ""),
        (Mark("4", "8", {"season": "1.1b"}), ""),
        (Mark("4", "7", {"season": "9.1b", "gone": "1.00"}), ""),
        (Mark("4", "8", {"season": "3.1b"}), "rule season 3"),
        (Mark("4", "8", {"season": "2.1b", "new": "1.00"}), "rule new 1"),
        (Mark("4", "9", {}), "rules 9"),
        (Mark("5", "", {}), "replay 5"),
        (Mark.read("4-0a1b2c3d4e5f6071"), ""),
        (Mark.read(""), ""),
    ],
    ids=str,
)
def test_a_program_knows_that_it_is_behind(other: Mark, past: str) -> None:
    said = Mark("4", "8", {"season": "2.1b"}).behind(other)
    assert said.startswith(past) and bool(said) == bool(past)


def test_a_changed_number_renews_its_rule_alone(book: Book) -> None:
    with book.writing() as connection:
        spoil(connection, "pump-age", "check-up", "season")
        proposed = with_setting(settings(connection), "pump-age.surely_years", "17")
        renewal.save_settings(connection, "me", proposed)
        assert spoiled(connection) == {"check-up", "season"}
        assert made_by(connection).mark == mark(connection)
        renewal.renew_all(connection)
        assert is_true(connection)


def test_a_rule_of_another_version_is_renewed_as_the_book_is_opened(book: Book) -> None:
    with book.writing() as connection:
        spoil(connection, "pump-age", "lift-limit", "season")
        bear(connection, {**mark(connection).by_rule, "season": "0123abcd"})
    assert freshen(book)
    with book.reading() as connection:
        assert "season" not in spoiled(connection)
        assert "pump-age" in spoiled(connection)
    assert not freshen(book)


def test_what_a_rule_of_another_program_said_goes(book: Book) -> None:
    with book.writing() as connection:
        row = connection.execute(select(t.due)).mappings().first()
        assert row is not None
        connection.execute(insert(t.due).values({**row, "position": 900, "rule": "squeaky-door"}))
        bear(connection, {**mark(connection).by_rule, "squeaky-door": "1.0123abcd"}, rules="1")
    assert freshen(book)
    with book.reading() as connection:
        assert is_true(connection)


@pytest.mark.parametrize("text", ["", "0-4fe1", f"{versions.REPLAY}-4fe19ab277100c3d", "nonsense"])
def test_a_mark_that_says_nothing_of_rules_has_all_renewed(book: Book, text: str) -> None:
    with book.writing() as connection:
        spoil(connection, *versions.OF_RULE)
        connection.execute(update(t.book).values(ledger_fingerprint=text))
    assert freshen(book)
    with book.reading() as connection:
        assert is_true(connection)
        assert made_by(connection).mark == mark(connection)


def test_only_what_differs_is_written(book: Book) -> None:
    with book.writing() as connection:
        raw = connection.connection.driver_connection
        assert raw is not None
        set_mark(connection)
        before = raw.total_changes
        judging.renew(connection, judging.owing_wells(connection))
        assert raw.total_changes == before
        key = list(t.due.primary_key)
        one = connection.execute(select(*key)).first()
        assert one is not None
        here = [column == cell for column, cell in zip(key, one, strict=True)]
        connection.execute(update(t.due).where(*here).values(reason="spoiled"))
        judging.renew(connection, judging.owing_wells(connection))
        # The one that was spoiled, and the one that was put right in its place.
        assert raw.total_changes == before + 2
        assert is_true(connection)


def test_what_came_back_takes_a_free_position(book: Book) -> None:
    with book.writing() as connection:
        number = connection.execute(
            select(t.due.c.well_id).group_by(t.due.c.well_id).having(func.count() > 3)
        ).scalar()
        assert number is not None
        mine = t.due.c.well_id == number
        places = select(t.due.c.rule, t.due.c.position).where(mine)
        before = {tuple(row) for row in connection.execute(places)}
        rule, position = min(before)
        gone = delete(t.due).where(mine, t.due.c.rule == rule, t.due.c.position == position)
        connection.execute(gone)
        judging.renew(connection, [number])
        assert {tuple(row) for row in connection.execute(places)} == before
        assert is_true(connection)


def test_a_well_that_is_no_longer_the_shops_owes_nothing_after_all(book: Book) -> None:
    with book.writing() as connection:
        connection.execute(update(t.well).values(role="reference"))
        renewal.renew_all(connection)
        assert connection.execute(select(func.count()).select_from(t.due)).scalar() == 0


def test_a_hole_that_reads_what_is_looked_at_is_the_same_hole(book: Book) -> None:
    with book.reading() as connection:
        shop = settings(connection)
        numbers = judging.owing_wells(connection)
        whole = load_holes(connection, numbers)
        for asked, hole in zip(holes_to_judge(connection, numbers), whole, strict=True):
            by_rule = [f for r in catalogue.RULES for f in catalogue.judge(asked, shop, [r])]
            assert sorted(by_rule, key=repr) == sorted(catalogue.judge(hole, shop), key=repr)
            opened, other = asked.opened_up(), hole.opened_up()
            for field in (f for f in fields(Hole) if f.init):
                assert getattr(asked, field.name) == getattr(hole, field.name)
                assert getattr(opened, field.name) == getattr(other, field.name)
            assert asked.closed_without_pump == hole.closed_without_pump
