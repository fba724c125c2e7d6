"""Two records that are one are joined, and what was joined is taken back as it was."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, select

from tests.conftest import TODAY
from tests.store.book_picture import derived, picture
from wellbook.dates import When
from wellbook.errors import NotFoundError, WellbookError
from wellbook.store import doubles
from wellbook.store import tables as t
from wellbook.store.book import Book, open_book
from wellbook.store.consents import answers, say
from wellbook.store.likely import MOST, likely_customer_pairs, likely_well_pairs
from wellbook.store.rows import by_id
from wellbook.store.search import find
from wellbook.store.sheets import record
from wellbook.store.stays import residents
from wellbook.store.the_well import the_well
from wellbook.store.wells import (
    add_contact,
    add_customer,
    add_site,
    add_well,
    join_systems,
    move_in,
    the_customer,
    well_by_tag,
)
from wellbook.terms import Answer, ContactWay, PairOf, Role, SheetKind


def _place(connection: Connection, tag: str, name: str, **well: Any) -> tuple[int, int, int]:
    """A customer at a property with a well: their numbers."""
    person = add_customer(connection, "me", name, phones=well.pop("phones", ()))
    site = add_site(connection, "me", {"road": well.pop("road", "12 Mill Ln"), "town": "Dravel"})
    move_in(connection, "me", site, person, When.parse("2010", said_on=TODAY), today=TODAY)
    made = add_well(connection, "me", tag, {"site_id": site, **well}, today=TODAY)
    return person, site, made


def _told(connection: Connection, well: int, day: str, **data: Any) -> int:
    kind = SheetKind.OPENING if "down" in data else SheetKind.VISIT
    sheet = {"date": day, **data}
    return record(connection, "me", well, sheet, today=TODAY, kind=kind).number


def test_likely_pairs_are_listed_with_reasons_and_not_once_told_apart(book: Book) -> None:
    with book.writing() as connection:
        one, _, well = _place(connection, "A-1", "John Smith", permit_no="99-0284")
        other, _, again = _place(
            connection, "B-1", "Smith, Jon", permit_no="99 0284", road="12 Mill Lane"
        )
        _place(connection, "C-1", "Ada Brook", road="90 Chapel Rd")
        (pair,) = likely_customer_pairs(connection)
        assert (pair.one, pair.other) == (one, other)
        words = [reason.words for reason in pair.likeness.reasons]
        assert "same name: John Smith / Smith, Jon" in words or any("name" in w for w in words)
        (wells,) = likely_well_pairs(connection)
        assert (wells.one, wells.other) == (well, again)
        number = doubles.tell_apart(connection, "me", PairOf.CUSTOMER, other, one)
        assert not list(likely_customer_pairs(connection))
        with pytest.raises(WellbookError, match="told apart already"):
            doubles.tell_apart(connection, "me", PairOf.CUSTOMER, one, other)
        doubles.back(connection, "me", number)
        assert len(list(likely_customer_pairs(connection))) == 1


def test_of_many_who_share_a_key_those_are_found_who_share_another(book: Book) -> None:
    """An office's number, one house number and road in many towns, the commonest of names."""
    office, numbers = "207-555-0100", []
    words = """Abbott Brook Corder Dalton Everly Fisk Grove Hollis Innis Jarvis Kemp Lowell Munson Norris
        Oakes Pratt Quimby Rowan Sturgis Tanner Upton Vance Wexford Yates""".split()
    assert len(words) == 2 * MOST
    with book.writing() as connection:
        for word in words:
            numbers.append(add_customer(connection, "me", f"Ada {word}", phones=(office,)))
        for n, town in enumerate(words):
            person = add_customer(connection, "me", "John Smith")
            site = add_site(connection, "me", {"road": f"{n} Elm St", "town": town})
            move_in(connection, "me", site, person, When.parse("2010", said_on=TODAY), today=TODAY)
        assert not list(likely_customer_pairs(connection))
        again = add_customer(connection, "me", "Borok, Ada", phones=(office,))
        moved = add_customer(connection, "me", "Smith, John")
        site = add_site(connection, "me", {"road": "90 Mill Rd", "town": town})
        move_in(connection, "me", site, moved, When.parse("2010", said_on=TODAY), today=TODAY)
        found = {(pair.one, pair.other) for pair in likely_customer_pairs(connection)}
        assert found == {(numbers[1], again), (person, moved)}


def test_wells_meet_by_permit_place_and_name(book: Book) -> None:
    with book.writing() as connection:
        public = {"role": Role.REFERENCE}

        def well(tag: str, at: float | None = None, **said: Any) -> int:
            spot = {"latitude": at, "longitude": None if at is None else -72.0}
            site = add_site(connection, "me", {"road": "", "town": "", **spot})
            return add_well(connection, "me", tag, {"site_id": site, **said}, today=TODAY)

        by_permit = well("A-1", permit_no="WP 99-0284"), well("R-1", permit_no="wp990284", **public)
        by_place = well("A-2", 44.25), well("R-2", 44.2501, **public)
        by_name = well("A-3", notes="known as R-3"), well("R-3", **public)
        well("R-4", permit_no="12-3456", **public), well("R-5", permit_no="12-3456", **public)
        well("R-6", 44.3, **public), well("R-7", 44.3, **public)
        for n in range(2 * MOST):
            well(f"N-{n}", permit_no="none")
        found = {(pair.one, pair.other) for pair in likely_well_pairs(connection)}
        assert found == {by_permit, by_place, by_name}


def test_joined_customers_have_what_both_had(book: Book) -> None:
    with book.writing() as connection:
        one, _, well = _place(connection, "A-1", "John Smith", phones=("207-555-0147",))
        other = add_customer(
            connection, "me", "Smith, Jack", notes="two dogs",
            phones=("+1 207 555 0147", "207-555-0188 barn"), contract_month=5,
        )  # fmt: skip
        add_contact(connection, "me", other, ContactWay.EMAIL, "jack@mill.example")
        say(
            connection, "me", other, ContactWay.PHONE, Answer.NO, on_day=TODAY, how="rang", today=TODAY
        )  # fmt: skip
        before = picture(connection)
        number, differed = doubles.join(connection, "me", PairOf.CUSTOMER, one, other)
        point = t.contact_point
        ways = select(point.c.value).where(point.c.customer_id == one).order_by(point.c.id)
        assert list(connection.execute(ways).scalars()) == [
            "207-555-0147", "207-555-0188 barn", "jack@mill.example",
        ]  # fmt: skip
        row = by_id(connection, t.customer, one)
        assert row["contract_month"] == 5
        assert row["notes"].splitlines() == ["two dogs", "known as Smith, Jack"]
        assert differed == ["known as Smith, Jack"]
        assert answers(connection, [one])[one, ContactWay.PHONE].answer is Answer.NO
        assert [m.well_id for m in find(connection, "jack")] == [well]
        with pytest.raises(NotFoundError):
            the_customer(connection, str(other))
        doubles.back(connection, "me", number)
        assert picture(connection) == before
        with pytest.raises(WellbookError, match="taken back already"):
            doubles.back(connection, "me", number)


def test_joined_wells_are_one_string_and_found_by_both_names(book: Book) -> None:
    with book.writing() as connection:
        _, _, well = _place(connection, "A-1", "John Smith", permit_no="99-0284")
        _, site, gone = _place(
            connection, "B-1", "John Smith", permit_no="7731", driller="Ostrel Rotary"
        )
        _told(connection, well, "2011-05-02", down={"tank": {"volume_gal": 62}})
        _told(
            connection,
            gone,
            "2019-06-03",
            reason="replacement",
            set={"pump": {"hp": 1, "set_depth_ft": 260}},
        )
        before, worked_out = picture(connection), derived(connection)
        number, _ = doubles.join(connection, "me", PairOf.WELL, well, gone)
        assert well_by_tag(connection, "B-1") is None
        for words in ("B-1", "b-1", "7731", "99-0284", "A-1"):
            assert the_well(connection, words) == well
        pumps = select(t.component.c.kind).where(t.component.c.well_id == well)
        assert "pump" in set(connection.execute(pumps).scalars())
        assert by_id(connection, t.well, well)["driller"] == "Ostrel Rotary"
        assert connection.execute(select(t.site.c.id).where(t.site.c.id == site)).first() is None
        doubles.back(connection, "me", number)
        assert (picture(connection), derived(connection)) == (before, worked_out)


def test_sheets_that_do_not_fit_each_other_are_refused_with_the_visit(book: Book) -> None:
    with book.writing() as connection:
        _, _, well = _place(connection, "A-1", "John Smith")
        _, _, gone = _place(connection, "B-1", "John Smith")
        hung = {"pump": {"hp": 1, "set_depth_ft": 260}}
        _told(connection, well, "2020-06-03", reason="replacement", set=hung)
        _told(connection, gone, "2019-06-03", reason="decommissioning")
    before = _picture_of(book)
    with (
        pytest.raises(WellbookError, match=r"A-1 and B-1 do not fit.*20(19|20)-06-03"),
        book.writing() as connection,
    ):
        doubles.join(connection, "me", PairOf.WELL, well, gone)
    assert _picture_of(book) == before


def _picture_of(book: Book) -> dict[str, list[str]]:
    with book.reading() as connection:
        return picture(connection)


def test_what_was_built_on_a_join_keeps_it(book: Book) -> None:
    with book.writing() as connection:
        one, _, well = _place(connection, "A-1", "John Smith")
        other, _, gone = _place(connection, "B-1", "Jack Smith")
        third = add_customer(connection, "me", "J. Smith")
        wells, _ = doubles.join(connection, "me", PairOf.WELL, well, gone)
        people, _ = doubles.join(connection, "me", PairOf.CUSTOMER, one, other)
        more, _ = doubles.join(connection, "me", PairOf.CUSTOMER, third, one)
        with pytest.raises(
            WellbookError, match=f"joined on in number {more}; take that back first"
        ):
            doubles.back(connection, "me", people)
        doubles.back(connection, "me", more)
        add_contact(connection, "me", one, ContactWay.PHONE, "207-555-0147")
        with pytest.raises(WellbookError, match="1 contact point came to customer"):
            doubles.back(connection, "me", people)
        _told(connection, well, "2019-06-03", reason="check_up")
        with pytest.raises(WellbookError, match="1 sheet came to A-1 since"):
            doubles.back(connection, "me", wells)


def test_a_tag_that_another_well_took_is_said(book: Book) -> None:
    with book.writing() as connection:
        _, _, well = _place(connection, "A-1", "John Smith")
        _, _, gone = _place(connection, "B-1", "Jack Smith")
        number, _ = doubles.join(connection, "me", PairOf.WELL, well, gone)
        add_well(connection, "me", "B-1", {}, today=TODAY)
        with pytest.raises(WellbookError, match="another well has B-1 by now"):
            doubles.back(connection, "me", number)


def test_a_sealed_double_seals_and_opens_again(book: Book) -> None:
    with book.writing() as connection:
        _, _, well = _place(connection, "A-1", "John Smith")
        _, _, gone = _place(connection, "B-1", "John Smith")
        _told(connection, gone, "2019-06-03", reason="decommissioning")
        before = picture(connection)
        assert by_id(connection, t.well, gone)["status"] == "sealed"
        number, _ = doubles.join(connection, "me", PairOf.WELL, well, gone)
        assert by_id(connection, t.well, well)["status"] == "sealed"
        doubles.back(connection, "me", number)
        assert picture(connection) == before


def test_two_customers_of_one_house_are_one_stay(book: Book) -> None:
    with book.writing() as connection:
        one, site, well = _place(connection, "A-1", "John Smith")
        other, _, gone = _place(connection, "B-1", "Smith, John")
        doubles.join(connection, "me", PairOf.WELL, well, gone)
        doubles.join(connection, "me", PairOf.CUSTOMER, one, other)
        assert residents(connection, [site], TODAY) == {site: one}
        stays = select(t.occupancy.c.id).where(t.occupancy.c.site_id == site)
        assert len(connection.execute(stays).all()) == 1


def test_one_record_is_no_pair(book: Book) -> None:
    with book.writing() as connection:
        person = add_customer(connection, "me", "Ada")
        with pytest.raises(WellbookError, match="one record already"):
            doubles.join(connection, "me", PairOf.CUSTOMER, person, person)
        with pytest.raises(NotFoundError, match="number 7"):
            doubles.back(connection, "me", 7)


@pytest.fixture(scope="module")
def shared_shop(loaded_shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The demo shop with two wells on one tank; each case's transaction is undone."""
    place = Path(shutil.copy(loaded_shop, tmp_path_factory.mktemp("doubles") / "shop.book"))
    book = open_book(place)
    with book.writing() as connection:
        join_systems(connection, "me", 3, 7)
    return book


class _UndoError(Exception):
    pass


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(pairs=st.lists(
    st.tuples(st.sampled_from(list(PairOf)), st.integers(1, 90), st.integers(1, 90)),
    min_size=1, max_size=3,
))  # fmt: skip
def test_joins_taken_back_give_an_equal_book(
    shared_shop: Book, pairs: list[tuple[PairOf, int, int]]
) -> None:
    """Of any records of the demo shop, in any order; sheets that do not fit are refused whole."""
    with pytest.raises(_UndoError), shared_shop.writing() as connection:
        before, worked_out = picture(connection), derived(connection)
        made: list[int] = []
        for what, keep, gone in pairs:
            table = doubles.TABLES[what]
            ids = set(connection.execute(select(table.c.id)).scalars())
            if keep == gone or not {keep, gone} <= ids:
                continue
            try:
                with connection.begin_nested():
                    made.append(doubles.join(connection, "me", what, keep, gone)[0])
            except WellbookError as error:
                assert "do not fit each other" in str(error)
        for number in reversed(made):
            doubles.back(connection, "me", number)
        after = picture(connection)
        for name, rows in before.items():
            assert after[name] == rows, name
        assert derived(connection) == worked_out
        raise _UndoError
