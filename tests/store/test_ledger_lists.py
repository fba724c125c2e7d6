"""What a list leaves out while a rule is silent, and which numbers a shop may give a rule."""

from __future__ import annotations

import tomllib
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wellbook.errors import WellbookError
from wellbook.rules import catalogue
from wellbook.rules.finding import Settings
from wellbook.store import due_list, judging, renewal, sheets, silences
from wellbook.store.book import Book, make_book
from wellbook.store.due_list import Asked
from wellbook.store.settings import with_setting
from wellbook.store.wells import add_well

TODAY = date(2026, 11, 25)
CHECKED = 'date = 2026-03-10\nreason = "check up"'
CHECK_UP = catalogue.the_rule("check-up")
DUE = date(2027, 3, 10)
"""A year after the check-up."""


def well_with_a_check_up(book: Book) -> int:
    with book.writing() as connection:
        number = add_well(connection, "me", "A-1", {}, today=TODAY)
        sheets.record(connection, "me", number, tomllib.loads(CHECKED), today=TODAY)
    return number


def silence(book: Book, number: int, until: date | None) -> None:
    with book.writing() as connection:
        silences.silence(
            connection, "me", number, CHECK_UP, reason="abroad", today=TODAY, until=until
        )


def listed(book: Book, by: date, start: date | None = None, today: date = TODAY) -> bool:
    with book.reading() as connection:
        asked = Asked(by=by, start=start, rule="check-up")
        return bool(due_list.due(connection, asked, today=today))


# -- silences ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("until", "there"),
    [
        (date(2026, 12, 31), True),
        (date(2027, 3, 31), True),
        (date(2027, 4, 1), False),
        (None, False),
    ],
    ids=["over long before", "over on the last day", "over the day after", "for good"],
)
def test_a_list_up_to_a_day_has_what_is_silent_no_longer_on_it(
    book: Book, until: date | None, there: bool
) -> None:
    number = well_with_a_check_up(book)
    silence(book, number, until)
    assert listed(book, date(2027, 3, 31)) is there
    assert listed(book, date(2027, 3, 31), date(2027, 3, 1)) is there


def test_what_a_silence_held_back_comes_due_in_the_month_in_which_it_ends(book: Book) -> None:
    number = well_with_a_check_up(book)
    silence(book, number, date(2027, 6, 10))
    months = [(date(2027, month, 1), date(2027, month, 28)) for month in (3, 5, 6, 7)]
    assert [listed(book, last, first) for first, last in months] == [False, False, True, False]


def test_a_list_of_the_past_leaves_out_what_nobody_wants_to_see_today(book: Book) -> None:
    number = well_with_a_check_up(book)
    silence(book, number, date(2028, 1, 1))
    later = date(2027, 6, 1)
    assert not listed(book, DUE, today=later)
    with book.writing() as connection:
        silences.unsilence(connection, "me", number, CHECK_UP, today=later)
    assert listed(book, DUE, today=later)


def test_a_rule_was_not_silent_before_it_was_silenced(book: Book) -> None:
    number = well_with_a_check_up(book)
    silence(book, number, None)
    with book.reading() as connection:
        before, then = (
            silences.silences(connection, [number], day) for day in (TODAY - timedelta(1), TODAY)
        )
    assert (before, then) == ({}, {(number, "check-up"): "abroad"})


AHEAD = st.integers(1, 400).map(lambda days: TODAY + timedelta(days=days))


@settings(max_examples=40)
@given(until=AHEAD, by=AHEAD, start=st.none() | AHEAD)
def test_a_silence_hides_a_finding_on_just_the_days_that_it_has(
    tmp_path_factory: pytest.TempPathFactory, until: date, by: date, start: date | None
) -> None:
    book = make_book(tmp_path_factory.mktemp("silent") / "shop.book")
    silence(book, well_with_a_check_up(book), until)
    speaks_from = max(DUE, until)
    first = start or date.min
    assert listed(book, by, start) is (first <= speaks_from <= by or first <= DUE <= by >= until)
    book.close()


# -- numbers -------------------------------------------------------------------------------------


def changed(name: str, value: str, **before: float) -> Settings:
    shop = Settings({f"{name.partition('.')[0]}.{n}": v for n, v in before.items()})
    return with_setting(shop, name, value)


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        (
            "pump-age.may_years",
            "9000",
            "pump-age.may_years: 9000 is out of range; give a number from 1 to 100",
        ),
        ("pump-age.may_years", "1e5", "1e5 is out of range; give a number from 1 to 100"),
        ("pump-age.may_years", "nan", "nan is out of range; give a number from 1 to 100"),
        ("pump-age.may_years", "-1", "-1 is out of range; give a number from 1 to 100"),
        ("pump-age.may_years", "ten", "'ten' is not a number; give a number from 1 to 100"),
        (
            "check-up.months",
            "900000",
            "check-up.months: 900000 is out of range; give a whole number from 1 to 240",
        ),
        ("check-up.months", "12.5", "12.5 is no whole number; give a whole number from 1 to 240"),
        ("samples-owed.clean", "three", "'three' is not one of: one, two_in_a_row"),
    ],
)
def test_a_number_that_makes_no_sense_is_refused_in_one_line(
    name: str, value: str, message: str
) -> None:
    with pytest.raises(WellbookError) as error:
        changed(name, value)
    shown = f"{error.value.where}: {error.value}"
    assert message in shown
    assert "\n" not in shown


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        (
            "pump-age.surely_years",
            "3",
            "3 would be less than pump-age.may_years, which is 8; change that one first",
        ),
        (
            "cable-wear.splices_plan",
            "9",
            "9 would be more than cable-wear.splices_act, which is 5; change that one first",
        ),
        ("cable-age.may_years", "21", "more than cable-age.surely_years, which is 20"),
        ("pump-depth.act_off_bottom_ft", "11", "more than pump-depth.plan_off_bottom_ft"),
    ],
)
def test_two_numbers_that_contradict_each_other_are_refused(
    name: str, value: str, message: str
) -> None:
    with pytest.raises(WellbookError) as error:
        changed(name, value)
    assert message in str(error.value)


def test_equal_numbers_are_in_order_and_the_other_first_is_a_way() -> None:
    assert changed("pump-age.surely_years", "8").changed == {"pump-age.surely_years": 8.0}
    shop = with_setting(Settings(), "pump-age.surely_years", "25")
    assert with_setting(shop, "pump-age.may_years", "20").changed == {
        "pump-age.may_years": 20.0,
        "pump-age.surely_years": 25.0,
    }


def test_the_default_is_held_to_the_same_order() -> None:
    with pytest.raises(WellbookError, match="15 would be less than pump-age"):
        changed("pump-age.surely_years", "default", may_years=20.0, surely_years=25.0)
    assert changed("pump-age.may_years", "default", may_years=5.0).changed == {}


def test_a_pair_out_of_order_from_an_older_book_bars_no_other_number() -> None:
    assert changed("pump-age.deep_from_ft", "250", surely_years=3.0).changed == {
        "pump-age.surely_years": 3.0,
        "pump-age.deep_from_ft": 250.0,
    }


ENDS = [
    (f"{rule.name}.{t.name}", f"{end:g}")
    for rule in catalogue.RULES
    for t in rule.thresholds
    if not t.choices
    for end in (t.least, t.most)
]


@pytest.mark.parametrize("number", [3, 900_000, 999_999])
def test_a_book_with_an_odd_number_from_before_still_takes_sheets(
    tmp_path: Path, number: int
) -> None:
    """It was written when no limit was kept; what it puts off, it puts off to the last day."""
    book = make_book(tmp_path / "shop.book")
    odd = [
        f"{rule.name}.{t.name}" for rule in catalogue.RULES for t in rule.thresholds if t.most > 0
    ]
    with book.writing() as connection:
        renewal.save_settings(connection, "me", Settings(dict.fromkeys(odd, float(number))))
    well_with_a_check_up(book)
    with book.writing() as connection:
        sheet = {
            "date": "2020-01-01",
            "reason": "replacement",
            "set": {"pump": {"set_depth_ft": 400}, "cable": {"awg": 10}},
            "sample": {"bacteria": "coliform present", "nitrate_mg_l": 3},
        }
        sheets.record(connection, "me", 1, sheet, today=TODAY)
        assert judging.preview(connection, Settings(), on=TODAY)
    book.close()


@pytest.mark.parametrize(("name", "value"), ENDS)
def test_the_ends_of_each_range_are_taken_or_refused_for_their_order_alone(
    name: str, value: str
) -> None:
    try:
        with_setting(Settings(), name, value)
    except WellbookError as error:
        assert "change that one first" in str(error)
