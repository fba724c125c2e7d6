"""Files that were brought in on one side, or on both, before or after two books parted."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from merge_books import TODAY, clock, copy_of, first_book, ledger_is_true, merged, truth
from sqlalchemy import delete, func, select

from wellbook import cli
from wellbook.errors import WellbookError
from wellbook.exchange.undoing import undo
from wellbook.likeness.names import name_key
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.sheets import record
from wellbook.store.wells import add_customer, edit_customer

HEAD = "id,depth_ft,date_measured,static_level_ft,town,pump_hp,pump_depth_ft\n"
OLD = HEAD + "L-1,300,2001-05-03,40,Ambelow,1,200\nL-2,310,2002-05-03,50,Ambelow,,\n"
NEW = HEAD + "L-1,300,2001-05-03,45,Ambelow,2,220\nL-2,310,2002-05-03,50,Ambelow,,\n"

BringIn = Callable[[Book, str], None]


@pytest.fixture
def bring_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BringIn:
    monkeypatch.setenv("WELLBOOK_TODAY", TODAY.isoformat())

    def bring(book: Book, text: str) -> None:
        path = tmp_path / "list.csv"
        path.write_text(text, "utf-8")
        words = ["--book", str(book.path), "import", str(path), "--as", "ours", "--write"]
        assert cli.run(words) == 0

    return bring


@pytest.fixture
def books(tmp_path: Path) -> Iterator[Callable[[Book | None], Book]]:
    made: list[Book] = []

    def make(of: Book | None) -> Book:
        place = tmp_path / f"{len(made)}.book"
        made.append(copy_of(of, place) if of else first_book(place))
        return made[-1]

    with clock():
        yield make
    for book in made:
        book.close()


def count(book: Book, table: str) -> int:
    with book.reading() as connection:
        rows = select(func.count()).select_from(t.METADATA.tables[table])
        return int(connection.execute(rows).scalar_one())


def level(book: Book, tag: str) -> list[float | None]:
    o = t.observation
    query = select(o.c.value).join(t.well, t.well.c.id == o.c.well_id)
    with book.reading() as connection:
        assert ledger_is_true(connection)
        mine = query.where(t.well.c.tag == tag, o.c.quantity == "water_level_ft")
        return list(connection.execute(mine).scalars())


Books = Callable[[Book | None], Book]


def test_a_file_brought_in_away_comes_home(books: Books, bring_in: BringIn) -> None:
    here = books(None)
    there = books(here)
    bring_in(there, OLD)
    assert not merged(here, there).conflicts
    assert level(here, "L-1") == [40]
    assert truth(here)["well"] == truth(there)["well"]
    assert merged(here, there).nothing_new


def test_a_newer_file_on_one_side_counts(books: Books, bring_in: BringIn) -> None:
    here = books(None)
    bring_in(here, OLD)
    there = books(here)
    bring_in(there, NEW)
    # The same wells, known by their identity.
    assert not merged(here, there).conflicts
    assert level(here, "L-1") == [45]
    assert merged(here, there).nothing_new
    # And where this side has the newer one, it stays.
    again = books(here)
    old = books(None)
    assert merged(old, there, unrelated=True).counts
    assert not merged(there, again).conflicts
    assert level(there, "L-1") == [45]


def test_one_file_on_both_sides_after_they_parted_is_one_well_a_row(
    books: Books, bring_in: BringIn
) -> None:
    here = books(None)
    there = books(here)
    bring_in(here, OLD)
    bring_in(there, OLD)
    with there.writing() as connection:
        number = connection.execute(select(t.well.c.id).where(t.well.c.tag == "L-2")).scalar_one()
        seen = {"date": "2026-11-20", "reason": "check up", "measured": {"static_level_ft": 61}}
        record(connection, "Bo", number, seen, today=TODAY)
    found = merged(here, there)
    assert not found.conflicts
    assert count(here, "well") == 5
    assert level(here, "L-1") == [40]
    assert sorted(x or 0 for x in level(here, "L-2")) == [50, 61]
    assert merged(here, there).nothing_new
    # The file is known again: nothing of it is news.
    bring_in(here, OLD)
    assert count(here, "well") == 5


def test_two_states_of_one_file_are_decided(books: Books, bring_in: BringIn) -> None:
    here = books(None)
    there = books(here)
    bring_in(here, OLD)
    bring_in(there, NEW)
    looked = books(here)
    found = merged(looked, there)
    assert sorted((one.field, one.here, one.there) for one in found.conflicts) == [
        (
            "the sheet",
            "down.pump.hp 1 hp; down.pump.set_depth_ft 200 ft",
            "down.pump.hp 2 hp; down.pump.set_depth_ft 220 ft",
        ),
        ("value", "40.0", "45.0"),
    ]
    decided = dict.fromkeys(range(1, len(found.conflicts) + 1), "there")
    merged(here, there, decisions=decided)
    assert level(here, "L-1") == [45]
    assert merged(here, there).nothing_new


def test_an_import_that_was_taken_back_here_stays_so(books: Books, bring_in: BringIn) -> None:
    here = books(None)
    bring_in(here, OLD)
    there = books(here)
    with here.writing() as connection:
        wells = select(t.well.c.id).where(t.well.c.tag.startswith("L-"))
        numbers = list(connection.execute(wells).scalars())
        from wellbook.exchange.merging.writing import take_out

        take_out(connection, t.well, numbers)
        connection.execute(delete(t.imported_row))
    assert not merged(here, there).conflicts
    assert count(here, "well") == 3
    # There it is taken back too, unless something was built on it.
    other = books(there)
    assert not merged(other, here).conflicts
    assert count(other, "well") == 3
    with there.writing() as connection:
        number = connection.execute(select(t.well.c.id).where(t.well.c.tag == "L-2")).scalar_one()
        record(connection, "Bo", number, {"date": "2026-11-20", "reason": "check up"}, today=TODAY)
    away, back = books(here), books(here)
    found = merged(away, there, decisions={1: "here"})
    assert [(one.here, one.there) for one in found.conflicts] == [("taken out", "has new rows")]
    assert count(away, "well") == 3
    merged(back, there, decisions={1: "there"})
    assert count(back, "well") == 4
    for book in (away, back):
        with book.reading() as connection:
            assert ledger_is_true(connection)


LIST = (
    "tag,customer,phone,address,town,depth_ft\n"
    "P-1,Ann Lee,207-555-0111,4 Larkspur Bend,Ambelow,150\n"
    "P-2,Bob Nowell,207-555-0112,9 Hill St,Ambelow,260\n"
)


def undone(book: Book, number: int) -> None:
    with book.writing() as connection:
        undo(connection, "me", number)


def people(book: Book) -> list[str]:
    with book.reading() as connection:
        return sorted(connection.execute(select(t.customer.c.name)).scalars())


def test_a_run_that_was_taken_back_on_one_side_leaves_nothing_of_itself(
    books: Books, bring_in: BringIn
) -> None:
    here = books(None)
    before = truth(here)
    bring_in(here, LIST)
    there = books(here)
    undone(here, 1)
    assert not merged(here, there).conflicts
    assert people(here) == ["Person 1", "Person 2", "Person 3"]
    assert not merged(there, here).conflicts
    apart = {"import_run"}
    for book in (here, there):
        now = truth(book)
        assert {n for n in now if now[n] != before[n]} <= apart
        assert count(book, "import_change") == count(book, "import_answer") == 0
    for book in (here, there):
        with pytest.raises(WellbookError, match="taken back already"):
            undone(book, 1)


def test_a_run_of_the_other_book_is_not_taken_back_by_its_numbers(
    books: Books, bring_in: BringIn
) -> None:
    here = books(None)
    there = books(here)
    bring_in(there, LIST)
    with here.writing() as connection:
        add_customer(connection, "me", "Zed Early")
    assert not merged(here, there).conflicts
    now = truth(here)
    with pytest.raises(WellbookError, match="run 1 cannot be taken back"):
        undone(here, 1)
    assert truth(here) == now
    # Where it was made it still is.
    undone(there, 1)
    assert "Ann Lee" not in people(there)


def test_one_list_on_both_sides_names_nobody_twice(books: Books, bring_in: BringIn) -> None:
    here = books(None)
    there = books(here)
    bring_in(here, LIST)
    bring_in(there, LIST)
    assert not merged(here, there).conflicts
    assert people(here) == ["Ann Lee", "Bob Nowell", "Person 1", "Person 2", "Person 3"]
    assert count(here, "occupancy") == 5
    assert count(here, "contact_point") == 5


def test_what_follows_from_a_name_is_no_matter_of_its_own(books: Books) -> None:
    here = books(None)
    there = books(here)
    for book, name in ((here, "Anna Lee"), (there, "Ann Lee")):
        with book.writing() as connection:
            edit_customer(connection, "me", 1, values={"name": name})
    found = merged(books(here), there)
    assert [one.field for one in found.conflicts] == ["name"]
    merged(here, there, decisions={1: "there"})
    with here.reading() as connection:
        row = connection.execute(select(t.customer).filter_by(id=1)).one()
        assert (row.name, row.name_key) == ("Ann Lee", name_key("Ann Lee"))
