"""What customers said of being reached: every answer is kept, the last one by its day counts."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from wellbook.errors import WellbookError
from wellbook.store import wells
from wellbook.store.book import Book
from wellbook.store.consents import answers, history, permission, say
from wellbook.terms import Answer, ContactWay, Permission

TODAY = date(2026, 11, 25)


def _customer(book: Book) -> int:
    with book.writing() as connection:
        return wells.add_customer(connection, "me", "Ada")


def _say(book: Book, number: int, answer: Answer, **how: Any) -> None:
    said = {"on_day": TODAY, "how": "on the phone", "today": TODAY, **how}
    way = said.pop("way", ContactWay.EMAIL)
    with book.writing() as connection:
        say(connection, "me", number, way, answer, **said)


def _permission(book: Book, number: int, way: ContactWay = ContactWay.EMAIL) -> Permission:
    with book.reading() as connection:
        return permission(answers(connection, [number]), number, way)


def test_nothing_said_is_unknown_and_each_way_stands_alone(book: Book) -> None:
    number = _customer(book)
    assert _permission(book, number) is Permission.UNKNOWN
    _say(book, number, Answer.YES)
    assert _permission(book, number) is Permission.YES
    assert _permission(book, number, ContactWay.PHONE) is Permission.UNKNOWN


def test_a_stop_counts_at_once_and_all_answers_stay_on_record(book: Book) -> None:
    # 47 CFR 64.1200(d)(3) and 15 U.S.C. 7704(a)(4) leave 10 business days; here it is the same day.
    number = _customer(book)
    _say(book, number, Answer.YES, on_day=date(2026, 3, 1), how="ticked it on the sheet")
    _say(book, number, Answer.NO)
    assert _permission(book, number) is Permission.NO
    with book.reading() as connection:
        kept = [(r["answer"], r["on_day"], r["how"], r["who"]) for r in history(connection, number)]
    assert kept == [
        ("yes", date(2026, 3, 1), "ticked it on the sheet", "me"),
        ("no", TODAY, "on the phone", "me"),
    ]


def test_what_is_written_down_late_counts_by_its_day(book: Book) -> None:
    number = _customer(book)
    _say(book, number, Answer.NO, on_day=date(2026, 11, 20))
    _say(book, number, Answer.YES, on_day=date(2026, 3, 1), how="a sheet found in the glovebox")
    assert _permission(book, number) is Permission.NO


def test_of_two_answers_of_one_day_the_later_counts(book: Book) -> None:
    number = _customer(book)
    _say(book, number, Answer.NO)
    _say(book, number, Answer.YES)
    assert _permission(book, number) is Permission.YES


@pytest.mark.parametrize(
    ("how", "says"),
    [({"how": "  "}, "how it was given"), ({"on_day": date(2026, 11, 26)}, "lies ahead")],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    book: Book, how: dict[str, Any], says: str
) -> None:
    number = _customer(book)
    with pytest.raises(WellbookError, match=says):
        _say(book, number, Answer.YES, **how)
    with book.reading() as connection:
        assert not history(connection, number)


def test_a_no_needs_no_reason(book: Book) -> None:
    number = _customer(book)
    _say(book, number, Answer.NO, how="")
    assert _permission(book, number) is Permission.NO


def test_a_yes_of_a_wrong_clock_does_not_outlast_a_stop(book: Book) -> None:
    number = _customer(book)
    later = date(2027, 6, 1)
    _say(book, number, Answer.YES, on_day=later, today=later)
    _say(book, number, Answer.NO)
    assert _permission(book, number) is Permission.NO
    with book.reading() as connection:
        assert [r["on_day"] for r in history(connection, number)] == [TODAY, TODAY]
