"""Doubles that were joined in one of two books: the other book's changes go where the record went."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from merge_books import TODAY, clock, copy_of, first_book, ledger_is_true, merged, truth
from sqlalchemy import select

from wellbook.errors import WellbookError
from wellbook.store import doubles, wells
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.decided import decisions
from wellbook.store.forgetting import forget
from wellbook.store.forgotten import NOBODY
from wellbook.store.sheets import record
from wellbook.terms import PairOf

Two = tuple[Book, Book]
BY_PERSON = PairOf.CUSTOMER


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Two]:
    """A book in which customers 1 and 2 and wells 1 and 2 may be one, and a copy."""
    with clock():
        here = first_book(tmp_path / "here.book")
        there = copy_of(here, tmp_path / "there.book")
        yield here, there
        here.close()
        there.close()


def notes(book: Book) -> str:
    with book.reading() as connection:
        return str(connection.execute(select(t.customer.c.notes).filter_by(id=1)).scalar())


def apart_from_steps(book: Book) -> dict[str, object]:
    """The truth; how a book comes back from a join is its own."""
    found = truth(book)
    pairs = {tuple(x for x in row if x[0] != "steps") for row in found["decided_pair"]}
    return found | {"decided_pair": pairs}


def ways(book: Book) -> set[str]:
    with book.reading() as connection:
        query = select(t.contact_point.c.value).filter_by(customer_id=1)
        return set(connection.execute(query).scalars())


@pytest.mark.parametrize("joined_here", [True, False])
def test_what_was_changed_of_who_went_is_found_at_who_stayed(two: Two, joined_here: bool) -> None:
    home, away = two
    with home.writing() as connection:
        number, _ = doubles.join(connection, "me", BY_PERSON, 1, 2)
    with away.writing() as connection:
        wells.edit_customer(
            connection, "Ben", 2, values={"notes": "rings twice"}, phones=("555-010-0222",)
        )
    here, there = two if joined_here else two[::-1]
    found = merged(here, there)
    assert not found.conflicts
    assert found.joined == (0 if joined_here else 1)
    assert "rings twice" in notes(here)
    assert ways(here) == {"555-010-0001", "555-010-0002", "555-010-0222"}
    with here.reading() as connection:
        assert ledger_is_true(connection)
        assert not connection.execute(select(t.customer).filter_by(id=2)).first()
    assert not merged(there, here).conflicts
    assert apart_from_steps(here) == apart_from_steps(there)
    for one, other in (two, two[::-1]):
        assert merged(one, other).nothing_new
    with away.writing() as connection:
        # Where her later number was joined too, all of it comes back.
        doubles.back(connection, "me", number)
        told = select(t.contact_point.c.value).filter_by(customer_id=2)
        assert set(connection.execute(told).scalars()) == {"555-010-0002", "555-010-0222"}
    with home.writing() as connection, pytest.raises(WellbookError, match="came to customer 1"):
        doubles.back(connection, "me", number)


def test_both_changed_what_is_one_now(two: Two) -> None:
    here, there = two
    with here.writing() as connection:
        doubles.join(connection, "me", BY_PERSON, 1, 2)
        wells.edit_customer(connection, "me", 1, values={"notes": "at the desk"})
    with there.writing() as connection:
        wells.edit_customer(connection, "Ben", 2, values={"notes": "rings twice"})
    (conflict,) = merged(here, there).conflicts
    assert conflict.field == "notes"
    assert (conflict.here, "rings twice" in conflict.there) == ("at the desk", True)


def test_a_visit_at_the_well_that_went_is_at_the_one_that_stayed(two: Two) -> None:
    here, there = two
    with here.writing() as connection:
        doubles.join(connection, "me", PairOf.WELL, 1, 3)
    with there.writing() as connection:
        data = {"date": "2026-11-02", "reason": "check-up", "notes": "all well"}
        record(connection, "Ben", 3, data, today=TODAY)
    assert not merged(here, there).conflicts
    with here.reading() as connection:
        assert ledger_is_true(connection)
        query = select(t.well.c.tag).join(t.sheet).where(t.sheet.c.notes == "all well")
        assert list(connection.execute(query).scalars()) == ["A-1"]
    assert not merged(there, here).conflicts
    assert apart_from_steps(here) == apart_from_steps(there)


def test_joined_into_somebody_who_is_new(two: Two) -> None:
    here, there = two
    with here.writing() as connection:
        new = wells.add_customer(connection, "me", "Persona Two", phones=("555-010-0002",))
        doubles.join(connection, "me", BY_PERSON, new, 2)
    with there.writing() as connection:
        wells.edit_customer(connection, "Ben", 2, values={}, phones=("555-010-0222",))
    assert not merged(there, here).conflicts
    assert not merged(here, there).conflicts
    assert apart_from_steps(here) == apart_from_steps(there)
    with there.reading() as connection:
        names = set(connection.execute(select(t.customer.c.name)).scalars())
        assert names == {"Person 1", "Persona Two", "Person 3"}


def test_taken_back_in_one_book_it_is_taken_back_in_the_other(two: Two) -> None:
    here, there = two
    before = truth(here)["customer"]
    with here.writing() as connection:
        number, _ = doubles.join(connection, "me", BY_PERSON, 1, 2)
    merged(there, here)
    with here.writing() as connection:
        doubles.back(connection, "me", number)
    assert not merged(there, here).conflicts
    assert truth(here)["customer"] == truth(there)["customer"] == before
    assert merged(here, there).nothing_new


def test_what_was_built_on_stays_joined_in_both(two: Two) -> None:
    here, there = two
    with here.writing() as connection:
        number, _ = doubles.join(connection, "me", BY_PERSON, 1, 2)
    merged(there, here)
    with there.writing() as connection:
        doubles.back(connection, "Ben", number)
    with here.writing() as connection:
        wells.edit_customer(connection, "me", 1, values={}, phones=("555-010-0333",))
    assert not merged(here, there).conflicts
    assert "555-010-0333" in ways(here)
    assert not merged(there, here).conflicts
    assert apart_from_steps(here) == apart_from_steps(there)


def test_taken_back_here_and_forgotten_there(two: Two) -> None:
    here, there = two
    with here.writing() as connection:
        number, _ = doubles.join(connection, "me", BY_PERSON, 1, 2)
    merged(there, here)
    with there.writing() as connection:
        doubles.back(connection, "Ben", number)
    with here.writing() as connection:
        forget(connection, "me", 1)
    for one, other in (two, two[::-1]):
        assert not merged(one, other).conflicts
        with one.reading() as connection:
            names = set(connection.execute(select(t.customer.c.name)).scalars())
            assert names == {NOBODY, "Person 3"}


def test_joined_the_other_way_round_one_line_says_so(two: Two) -> None:
    here, there = two
    with here.writing() as connection:
        doubles.join(connection, "me", BY_PERSON, 1, 2)
    with there.writing() as connection:
        doubles.join(connection, "Ben", BY_PERSON, 2, 1)
    with pytest.raises(WellbookError, match="the other way round"):
        merged(here, there)


@pytest.mark.parametrize("joined_here", [True, False])
def test_joined_in_one_book_and_told_apart_in_the_other_is_for_the_shop_to_say(
    two: Two, joined_here: bool
) -> None:
    one, other = two if joined_here else two[::-1]
    with one.writing() as connection:
        doubles.join(connection, "me", BY_PERSON, 1, 2)
    with other.writing() as connection:
        number = doubles.tell_apart(connection, "Ben", BY_PERSON, 2, 1)
    for pair in (two, two[::-1]):
        with pytest.raises(WellbookError, match=rf"told apart in .*number {number}.* then merge"):
            merged(*pair)
    with other.writing() as connection:
        doubles.back(connection, "Ben", number)
    for pair in (two, two[::-1]):
        assert not merged(*pair).conflicts
    assert "Person 2" in notes(other)


def test_joined_after_all_what_was_told_apart_comes_home(two: Two) -> None:
    here, there = two
    with here.writing() as connection:
        doubles.tell_apart(connection, "me", BY_PERSON, 1, 2)
    merged(there, here)
    with there.writing() as connection:
        doubles.join(connection, "Ben", BY_PERSON, 1, 2)
        (left,) = decisions(connection)
        assert left.names.startswith("customer 1 Person 1 <- ")
    assert not merged(here, there).conflicts
    assert "Person 2" in notes(here)


def test_joined_alike_in_both(two: Two) -> None:
    here, there = two
    for book, order in ((here, (1, 3)), (there, (3, 1))):
        with book.writing() as connection:
            doubles.join(connection, "me", BY_PERSON, 1, 2)
            doubles.tell_apart(connection, "me", BY_PERSON, *order)
    assert not merged(here, there).conflicts
    assert not merged(there, here).conflicts
    assert "Person 2" in notes(here)
    with there.writing() as connection:
        both = decisions(connection)
        assert len(both) == 2
        for one in both:
            doubles.back(connection, "me", one.number)
        assert not decisions(connection)
    assert not merged(here, there).conflicts
    with here.reading() as connection:
        assert not decisions(connection)
        assert len(connection.execute(select(t.customer)).all()) == 3
