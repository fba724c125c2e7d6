"""Samples in a book: recorded, loaded again, corrected, withdrawn; old sheets stay as they are."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest
from sqlalchemy import Connection, func, select, text

from wellbook.engineering.analytes import Result
from wellbook.store import tables as t
from wellbook.store.book import Book, migrate, open_book
from wellbook.store.freshness import freshen
from wellbook.store.holes import load_hole
from wellbook.store.mark import made_by, mark
from wellbook.store.sheets import correct, record, withdraw
from wellbook.store.wells import add_well

TODAY = date(2026, 11, 25)


def sheet(day: str = "2026-11-20", **sample: Any) -> dict[str, Any]:
    return {"date": day, "reason": "water sample", "sample": [sample]}


def well(connection: Connection) -> int:
    return add_well(connection, "test", "A-1", {}, today=TODAY)


def test_results_are_loaded_as_they_were_recorded(book: Book) -> None:
    with book.writing() as connection:
        number = well(connection)
        said = sheet(iron_mg_l="< 0.05", nitrate_mg_l="ND", lead_mg_l="12 ppb", bacteria="absent")
        made = record(connection, "test", number, said, today=TODAY)
        record(connection, "test", number, sheet("2026-11-21", laboratory="L"), today=TODAY)
    with book.reading() as connection:
        one, two = load_hole(connection, number).samples
    assert one == made.after.samples[0]
    assert list(one.results.items()) == [
        ("nitrate_mg_l", Result(None, True)),
        ("lead_mg_l", Result(0.012)),
        ("iron_mg_l", Result(0.05, True)),
    ]
    assert two.results == {}


def test_a_correction_and_a_withdrawal_leave_no_result_behind(book: Book) -> None:
    with book.writing() as connection:
        number = well(connection)
        first = record(connection, "test", number, sheet(ph=6.1, iron_mg_l=1), today=TODAY)
        second = correct(connection, "test", first.number, sheet(ph=7.1), today=TODAY)
        assert dict(second.after.samples[0].results) == {"ph": Result(7.1)}
        assert second.after.samples[0].uid == first.after.samples[0].uid
        withdraw(connection, "test", second.number, today=TODAY)
        assert connection.execute(select(func.count()).select_from(t.water_result)).scalar() == 0


def test_results_of_other_wells_are_not_mixed_up(book: Book) -> None:
    with book.writing() as connection:
        numbers = [add_well(connection, "t", f"A-{n}", {}, today=TODAY) for n in range(3)]
        for n, number in enumerate(numbers):
            record(connection, "t", number, sheet(nitrate_mg_l=n), today=TODAY)
        for n, number in enumerate(numbers):
            (sample,) = load_hole(connection, number).samples
            assert dict(sample.results) == {"nitrate_mg_l": Result(n)}


@pytest.mark.parametrize("said", ["coliform present", "coliform_present"])
def test_a_book_of_the_revision_before_is_brought_up_with_its_sheets(
    book: Book, place: str, said: str
) -> None:
    """Documents are never changed: the replay reads the old sheet, the migration keeps the rest."""
    with book.writing() as connection:
        number = well(connection)
        old = sheet(bacteria=said, nitrate_mg_l=12.5, arsenic_mg_l="0.02 mg/L")
        record(connection, "test", number, old, today=TODAY)
        document = connection.execute(select(t.sheet.c.document)).scalar_one()
    migrate(book, "0002")
    with book.writing() as connection:
        connection.execute(text("UPDATE book SET ledger_fingerprint = '3-older'"))
    again = open_book(place, upgrade=True)
    assert freshen(again)
    with again.reading() as connection:
        assert made_by(connection).mark == mark(connection)
        assert connection.execute(select(t.sheet.c.document)).scalar_one() == document
        assert json.loads(document)["sample"][0]["nitrate_mg_l"] == 12.5
        (sample,) = load_hole(connection, number).samples
        rules = set(connection.execute(select(t.due.c.rule)).scalars())
    assert dict(sample.results) == {"nitrate_mg_l": Result(12.5), "arsenic_mg_l": Result(0.02)}
    assert {"samples-owed", "water-figures"} <= rules
    again.close()
