"""A notice as the facts of a letter."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from reminder_book import TODAY, FakeMailer, begin, customer, notices, send

from wellbook.reminders.wording import facts_of
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.sheets import record
from wellbook.store.shop import shop_says


def test_a_sentence_that_two_rules_say_is_written_once_and_both_are_told(
    book: Book, tmp_path: Path
) -> None:
    begin(book)
    well = customer(book, "Ada Northfold", "A-1", last_check_up=None)
    sheet = {
        "date": date(2025, 9, 9),
        "reason": "water sample",
        "sample": {"bacteria": "absent", "nitrate_mg_l": 2},
    }
    with book.writing() as connection:
        record(connection, "me", well, sheet, today=TODAY)
    (notice,) = notices(book)
    assert [owed.finding.subject for owed in notice.tells] == ["bacteria test", "nitrate test"]
    with book.reading() as connection:
        holes = {well: load_hole(connection, well)}
        facts = facts_of(notice, shop_says(connection), holes, TODAY)
    (told,) = facts.told
    assert "for bacteria and nitrate was on September 9, 2025" in told.sentence
    send(book, tmp_path, FakeMailer())
    assert notices(book) == []
