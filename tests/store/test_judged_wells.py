"""Wells as they are judged on a day: each with its own silences and what was said to its own customer."""

from __future__ import annotations

from datetime import date

from wellbook.rules import names
from wellbook.rules.catalogue import the_rule
from wellbook.store.book import Book
from wellbook.store.contacts import Spoken, write_down
from wellbook.store.judged_wells import JudgedWell, judged_wells
from wellbook.store.papers import the_paper
from wellbook.store.sheets import record
from wellbook.store.silences import silence
from wellbook.store.wells import add_well
from wellbook.terms import PaperKind, Said, Severity

TODAY = date(2026, 11, 25)


def two_wells(book: Book) -> tuple[int, int]:
    """Both had a check-up and a sample more than a year ago; bacteria were in that of the second."""
    made = []
    with book.writing() as connection:
        for tag, found in (("A-1", "absent"), ("A-2", "coliform present")):
            number = add_well(connection, "me", tag, {}, today=date(2025, 1, 1))
            sheet = {
                "date": date(2025, 9, 9),
                "reason": "check up",
                "sample": {"bacteria": found, "nitrate_mg_l": 1},
            }
            record(connection, "me", number, sheet, today=TODAY)
            made.append(number)
    return made[0], made[1]


def judged(book: Book, *numbers: int, day: date = TODAY) -> list[JudgedWell]:
    with book.reading() as connection:
        return judged_wells(connection, numbers, day)


def rules_of(well: JudgedWell) -> set[str]:
    return {finding.rule for finding in well.findings}


def test_wells_come_in_the_order_in_which_they_are_asked_for(book: Book) -> None:
    one, two = two_wells(book)
    assert [w.hole.tag for w in judged(book, two, one)] == ["A-2", "A-1"]
    assert judged(book) == []


def test_a_silence_is_of_its_well_alone(book: Book) -> None:
    one, two = two_wells(book)
    with book.writing() as connection:
        rule = the_rule(names.CHECK_UP)
        silence(connection, "me", one, rule, reason="away", today=TODAY)
    quiet, loud = judged(book, one, two)
    assert quiet.silenced == {names.CHECK_UP: "away"} and names.CHECK_UP not in rules_of(quiet)
    assert loud.silenced == {} and names.CHECK_UP in rules_of(loud)


def test_of_what_was_declined_the_customer_hears_only_what_is_grave(book: Book) -> None:
    _, two = two_wells(book)
    (before,) = judged(book, two)
    about = [(two, finding.occurrence) for finding in before.findings]
    with book.writing() as connection:
        write_down(connection, "me", two, Spoken(Said.DECLINED, TODAY), about, today=TODAY)
    (after,) = judged(book, two)
    assert after.findings == before.findings and len(after.said) == len({o for _, o in about})
    assert after.to_tell and {f.severity for f in after.to_tell} == {Severity.ACT}
    (earlier,) = judged(book, two, day=date(2026, 11, 24))
    assert earlier.said == {} and earlier.to_tell == earlier.findings


def test_the_newest_visit_that_has_a_paper_gives_it(book: Book) -> None:
    one, _ = two_wells(book)
    with book.writing() as connection:
        later = {"date": date(2026, 3, 1), "reason": "water sample", "sample": {"nitrate_mg_l": 2}}
        record(connection, "me", one, later, today=TODAY)
    (well,) = judged(book, one)
    with book.reading() as connection:
        assert the_paper(connection, well.hole, PaperKind.REPORT).visit.start == date(2025, 9, 9)
        sheet = the_paper(connection, well.hole, PaperKind.LABORATORY_SHEET)
    assert sheet.visit.start == date(2026, 3, 1)
