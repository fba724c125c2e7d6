"""A whole book is looked through; what is wrong is found, and what is derived is made right again."""

from __future__ import annotations

import os
import shutil
import sqlite3
import time
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import insert, text

from tests.conftest import TODAY
from tests.store.book_picture import derived, picture
from tests.store.small_shop import FOLDER, small_shop
from wellbook.errors import BookError
from wellbook.exchange.shop_files import load_shop
from wellbook.store import tables as t
from wellbook.store.book import Book, open_book
from wellbook.store.doctor import look_through, mend
from wellbook.store.entries import newest
from wellbook.store.holes import load_hole
from wellbook.store.log_words import told_entries
from wellbook.store.looked_at import Wrong
from wellbook.store.past_sheets import all_versions
from wellbook.store.replaying import clear_derived
from wellbook.store.sheets import correct, withdraw


@pytest.fixture
def small(tmp_path: Path) -> Book:
    return small_shop(tmp_path / "shop.book")


def wrong(book: Book) -> dict[str, Sequence[Wrong]]:
    return {x.name: x.wrong for x in look_through(book) if x.wrong}


def all_of(book: Book) -> object:
    with book.reading() as connection:
        return picture(connection), derived(connection)


def test_on_either_engine_nothing_is_wrong_with_a_book_that_was_just_made(book: Book) -> None:
    load_shop(book, FOLDER / "shop", who="Ida", today=TODAY)
    looked = {x.name: x.many for x in look_through(book)}
    assert not wrong(book)
    # Three wells, four customers with a stay each.
    assert (looked["ledger"], looked["stays"]) == (3, 4)


def test_nothing_is_wrong_with_the_demo(shop: Path) -> None:
    book = open_book(shop)
    before = all_of(book)
    assert not wrong(book)
    assert all_of(book) == before


BROKEN = {
    "ledger": "DELETE FROM due WHERE rule = 'check-up'",
    "sheets": "UPDATE pump SET hp = 7",
    "search": "DELETE FROM search_use WHERE well_id = 1",
    "names": "UPDATE customer SET name_key = 'x' WHERE id = 2",
    "slips": "DELETE FROM search_variant WHERE variant LIKE 'c%'",
}


@pytest.mark.parametrize("name", BROKEN)
def test_what_is_derived_is_found_wrong_and_mended(book: Book, name: str) -> None:
    load_shop(book, FOLDER / "shop", who="Ida", today=TODAY)
    before = all_of(book)
    with book.writing() as connection:
        connection.execute(text(BROKEN[name]))
    found = wrong(book)
    assert name in found
    assert all(w.mends for w in found[name])
    mend(book)
    assert not wrong(book)
    assert all_of(book) == before


TABLES = [
    "due",
    "search_digits",
    "component_claim",
    "pump",
    "pipe",
    "observation",
    "search_variant",
]


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_derived_rows_are_lost_they_come_back(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    room = tmp_path_factory.mktemp("lost")
    book = small_shop(room / "shop.book")
    before = all_of(book)
    with book.writing() as connection:
        for table in data.draw(st.sets(st.sampled_from(TABLES), min_size=1)):
            # What was entered with the well is no derived row.
            which = " WHERE sheet_root_uid IS NOT NULL" if table == "observation" else ""
            key = ", ".join(c.name for c in t.METADATA.tables[table].primary_key)
            query = text(f"SELECT {key} FROM {table}{which} ORDER BY {key}")
            rows = [tuple(row) for row in connection.execute(query)]
            lost = data.draw(st.sets(st.sampled_from(rows))) if rows else ()
            for row in lost:
                values = ", ".join(repr(value) for value in row)
                connection.execute(text(f"DELETE FROM {table} WHERE ({key}) = ({values})"))
    mend(book)
    assert all_of(book) == before
    assert not wrong(book)
    shutil.rmtree(room)


def test_two_customers_at_one_place_are_found(small: Book) -> None:
    with small.writing() as connection:
        connection.execute(
            text(
                "UPDATE occupancy SET until_text = NULL, until_earliest = NULL, until_latest = NULL"
            )
        )
    (one,) = wrong(small)["stays"]
    assert "at the same time" in one.what
    assert one.where == "9 Ösk Lane, Ambelow"
    assert "moved-in" in one.to_do


def test_of_uncertain_days_nothing_is_told(small: Book) -> None:
    """The one left in 2016 or 2017, the other came in 2016: perhaps after that."""
    with small.writing() as connection:
        connection.execute(
            text(
                "UPDATE occupancy SET until_earliest = '2016-01-01',"
                " until_latest = '2017-12-31' WHERE until_text IS NOT NULL"
            )
        )
    assert "stays" not in wrong(small)
    with small.writing() as connection:
        connection.execute(
            text("UPDATE occupancy SET until_earliest = '2017-01-01' WHERE until_text IS NOT NULL")
        )
    assert "stays" in wrong(small)


def test_two_pumps_and_two_pipes_at_one_depth_are_found(small: Book) -> None:
    with small.writing() as connection:
        connection.execute(
            text(
                "UPDATE component SET pulled_text = NULL, pulled_earliest = NULL,"
                " pulled_latest = NULL WHERE kind = 'pump'"
            )
        )
        names = "well_id, position, kind, set_text, set_by, why_pulled, basis, noted_on"
        connection.execute(
            text(
                f"INSERT INTO component (id, uid, {names}) SELECT 900, 'u', {names}"
                " FROM component WHERE kind = 'pipe'"
            )
        )
        connection.execute(
            text(
                "INSERT INTO pipe (component_id, kind, from_ft, to_ft) VALUES (900, 'pipe', 100, 280)"
            )
        )
        connection.execute(text("UPDATE pipe SET from_ft = 0 WHERE component_id <> 900"))
    found = wrong(small)
    assert [w.where for w in found["parts"]] == ["SB-0001"]
    assert "from 100 to 260 ft" in found["sections"][0].what


def test_a_row_that_points_to_nothing_is_found_and_not_built_upon(small: Book) -> None:
    with closing(sqlite3.connect(small.path)) as connection:
        connection.execute("DELETE FROM customer WHERE id = 1")
        connection.commit()
    found = wrong(small)
    assert any("customer" in w.what for w in found["links"])
    with pytest.raises(BookError, match="damaged"):
        mend(small)


def test_a_damaged_page_is_found(small: Book) -> None:
    with closing(sqlite3.connect(small.path)) as connection:
        name = "SELECT rootpage FROM sqlite_master WHERE name = 'ix_change_row_uid'"
        (page,) = connection.execute(name).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    with small.path.open("rb+") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)
    try:
        assert "database" in wrong(small)
    except BookError as error:
        assert "damaged" in str(error)


def test_files_that_are_gone_and_parts_that_were_left_are_found(
    small: Book, tmp_path: Path
) -> None:
    with small.writing() as connection:
        row = {
            "uid": "u", "well_id": 1, "sha256": "ab" + 62 * "0", "file_name": "lid.jpg", "note": "",
            "media_type": "image/jpeg", "size_bytes": 4, "added_on": TODAY, "who": "Ida",
        }  # fmt: skip
        connection.execute(insert(t.attachment).values(row))
    left = tmp_path / ".shop.book.k3j.part"
    left.mkdir()
    os.utime(left, (time.time() - 4000,) * 2)
    found = wrong(small)
    assert [(w.where, w.what) for w in found["files"]] == [("SB-0001 lid.jpg", "gone")]
    assert [w.where for w in found["left-overs"]] == [str(left)]
    mend(small)
    assert not left.exists()
    assert set(wrong(small)) == {"files"}


def test_a_book_left_in_another_mode_is_put_right(small: Book) -> None:
    with closing(sqlite3.connect(small.path)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    assert set(wrong(small)) == {"database"}
    mend(small)
    assert not wrong(small)


def test_sheets_that_no_longer_fit_are_told_and_the_rest_is_mended(small: Book) -> None:
    """A sheet that takes out what nobody set, written by another hand than the program's."""
    with small.writing() as connection:
        connection.execute(
            text(
                "UPDATE sheet SET document = replace(document, '\"motor to ground\"',"
                ' \'"motor to ground", "maker": "Nobody"\') WHERE kind = \'visit\''
            )
        )
        clear_derived(connection, [2])
    found = wrong(small)["sheets"]
    assert any(w.where == "SB-0002" and w.mends for w in found)


@pytest.mark.parametrize("document", ['{"reason": 1', "[]", '{"maesured": {}}', '{"set": 5}'])
def test_a_sheet_that_something_else_has_changed_is_named_and_the_rest_is_mended(
    small: Book, document: str
) -> None:
    with small.writing() as connection:
        change = text("UPDATE sheet SET document = :it WHERE id = 1")
        connection.execute(change, {"it": document})
        well = connection.execute(text("SELECT well_id FROM sheet WHERE id = 1")).scalar_one()
        connection.execute(text("DELETE FROM due WHERE well_id <> :well"), {"well": well})
    found = wrong(small)
    (sheet,) = found["sheets"]
    assert "sheet 1 cannot be read any more" in sheet.what
    assert len(sheet.what) < 250
    assert not sheet.mends
    mend(small)
    assert set(wrong(small)) == {"sheets"}


def test_a_text_that_something_else_has_changed_is_one_line_elsewhere(small: Book) -> None:
    with small.writing() as connection:
        connection.execute(text("UPDATE change SET new = '{' WHERE id = 1"))
    with pytest.raises(BookError, match="wellbook doctor"), small.reading() as connection:
        told_entries(connection, list(newest(connection)))


@pytest.mark.parametrize("document", ['{"basis": 1', "[]", '{"maesured": {}}', '{"set": 5}'])
@pytest.mark.parametrize("by", ["withdraw", "correct"])
def test_a_sheet_that_cannot_be_read_is_taken_out_or_put_right(
    small: Book, document: str, by: str
) -> None:
    with small.reading() as connection:
        row = connection.execute(text("SELECT id, well_id FROM sheet ORDER BY id DESC")).first()
        assert row is not None
        other = load_hole(connection, row.well_id).visits[-1].start
    with small.writing() as connection:
        change = text("UPDATE sheet SET document = :it WHERE id = :id")
        connection.execute(change, {"it": document, "id": row.id})
    with small.writing() as connection:
        if by == "withdraw":
            done = withdraw(connection, "Ida", row.id, today=TODAY)
        else:
            sheet = {"date": str(other), "reason": "check_up"}
            done = correct(connection, "Ida", row.id, sheet, today=TODAY)
    assert done.sheet.start == other
    assert not wrong(small)
    with small.reading() as connection:
        assert all_versions(connection, row.well_id)
        assert told_entries(connection, list(newest(connection)))
