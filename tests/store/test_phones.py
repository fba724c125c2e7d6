"""Telephone numbers as people write them."""

from __future__ import annotations

import phonenumbers
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select, update

from tests.conftest import TODAY
from wellbook.dates import When
from wellbook.store import tables as t
from wellbook.store.book import Book, open_book
from wellbook.store.consents import answers_by_address, say
from wellbook.store.freshness import freshen
from wellbook.store.keys import look_again
from wellbook.store.phones import Numbering, read_phones
from wellbook.store.search import find
from wellbook.store.shop import say_of_shop
from wellbook.store.wells import add_contact, add_customer, add_site, add_well, move_in
from wellbook.terms import Answer, ContactWay

US = Numbering()


@pytest.mark.parametrize(
    "text",
    [
        "207-555-0147", "(207) 555-0147", "207.555.0147", "2075550147", "1-207-555-0147",
        "+1 207 555 0147", "207-555-0147 x12", "207-555-0147 ext. 12", "207-555-0147 (cell)",
        "cell: 207-555-0147", "207/555-0147", "207-555-0147 after 6",
        "Ring Bob 207 555 0147, gate 4417",
    ],
)  # fmt: skip
def test_one_number_however_it_was_written(text: str) -> None:
    (phone,) = read_phones(text, US)
    assert (phone.value, phone.e164, phone.doubt) == (text, "+12075550147", "")


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("207-555-0147 / 0148", ["+12075550147", "+12075550148"]),
        ("207-555-0147, -0148, 0149", ["+12075550147", "+12075550148", "+12075550149"]),
        ("207-555-0147 or 207-555-0188 work", ["+12075550147", "+12075550188"]),
        ("cell 207-555-0147 home 207-555-0188", ["+12075550147", "+12075550188"]),
        ("207-555-0147 & 555-0148", ["+12075550147", ""]),
        ("555-0131 / 555-0132", ["", ""]),
    ],
)
def test_several_numbers_in_one_cell(text: str, numbers: list[str]) -> None:
    assert [p.e164 for p in read_phones(text, US)] == numbers


def test_letters_are_dialled() -> None:
    """The letters of the keys: ITU-T E.161."""
    assert [p.e164 for p in read_phones("1-800-WELLNOW", US)] == ["+18009355669"]


@pytest.mark.parametrize("text", ["555-0147", "123", "207-555-014", "(555) 014-7788", "9/11/2019"])
def test_what_is_no_whole_number_is_kept_and_nothing_invented(text: str) -> None:
    (phone,) = read_phones(text, US)
    assert (phone.value, phone.e164) == (text, "")
    assert "kept as it was written" in phone.doubt


def test_the_area_code_of_the_shop_completes_and_says_so() -> None:
    (phone,) = read_phones("555-0147", Numbering("US", "207"))
    assert (phone.value, phone.e164) == ("555-0147", "+12075550147")
    assert "area code" in phone.doubt
    assert read_phones("020 7946 0958", Numbering("GB"))[0].e164 == "+442079460958"


@given(st.text(max_size=40) | st.text("0123456789 ()+-/x.,&#or", max_size=40))
def test_any_text_is_read_and_only_valid_numbers_are_given(text: str) -> None:
    for phone in read_phones(text, US):
        assert phone.value
        if phone.e164:
            number = phonenumbers.parse(phone.e164)
            assert phonenumbers.is_valid_number(number)
        else:
            assert phone.doubt


def _points(book: Book) -> list[tuple[str, str | None]]:
    point = t.contact_point
    with book.reading() as connection:
        rows = connection.execute(select(point.c.value, point.c.e164).order_by(point.c.id))
        return [(row.value, row.e164) for row in rows]


def test_numbers_of_a_book_from_before_are_read_as_it_is_opened(book: Book, place: str) -> None:
    with book.writing() as connection:
        person = add_customer(connection, "me", "Ada", phones=("207-555-0147", "555-0148"))
        add_contact(connection, "me", person, ContactWay.EMAIL, "ada@mill.example")
        site = add_site(connection, "me", {"road": "12 Mill Ln", "town": "Dravel"})
        move_in(connection, "me", site, person, When.unknown(), today=TODAY)
        add_well(connection, "me", "A-1", {"site_id": site}, today=TODAY)
        for table, column in (
            (t.contact_point, "e164"),
            (t.customer, "name_key"),
            (t.site, "road_key"),
        ):
            connection.execute(update(table).values({column: None}))
    opened = open_book(place)
    freshen(opened)
    assert _points(opened) == [
        ("207-555-0147", "+12075550147"),
        ("555-0148", ""),
        ("ada@mill.example", ""),
    ]
    with opened.reading() as connection:
        assert connection.execute(select(t.customer.c.name_key)).scalar() == "ad"
        assert connection.execute(select(t.site.c.road_key)).scalar() == "12 mil"
    assert not freshen(opened)


def test_another_country_leaves_what_is_a_number(book: Book) -> None:
    with book.writing() as connection:
        add_customer(connection, "me", "Ada", phones=("207-555-0147", "020 7946 0958", "555-0148"))
        say_of_shop(connection, "me", "country", "GB")
        look_again(connection)
    assert [e164 for _, e164 in _points(book)] == ["+12075550147", "+442079460958", ""]
    with book.writing() as connection:
        say_of_shop(connection, "me", "country", "US")
        say_of_shop(connection, "me", "area_code", "207")
    assert [e164 for _, e164 in _points(book)] == ["+12075550147", "+442079460958", "+12075550148"]


def test_a_completed_number_is_found_whole(book: Book) -> None:
    with book.writing() as connection:
        say_of_shop(connection, "me", "area_code", "207")
        person = add_customer(connection, "me", "Ada", phones=("555-0148",))
        site = add_site(connection, "me", {"road": "12 Mill Ln", "town": "Dravel"})
        move_in(connection, "me", site, person, When.unknown(), today=TODAY)
        add_well(connection, "me", "A-1", {"site_id": site}, today=TODAY)
        for asked in ("207-555-0148", "+1 207 555 0148", "555-0148", "0148"):
            assert [m.tag for m in find(connection, asked)] == ["A-1"], asked


def test_a_stop_holds_for_the_number_however_it_was_written(book: Book) -> None:
    """A no that was said on one card counts for another with the same number in other words."""
    with book.writing() as connection:
        one = add_customer(connection, "me", "Ada", phones=("207-555-0147 x12",))
        other = add_customer(connection, "me", "Ben", phones=("+1 (207) 555 0147 cell",))
        say(
            connection, "me", one, ContactWay.PHONE, Answer.NO, on_day=TODAY, how="rang", today=TODAY
        )  # fmt: skip
        said = answers_by_address(connection, [other])
    assert said[other, ContactWay.PHONE].answer is Answer.NO
