"""Papers marked as sent and taken back, contracts, and the migration that brought them."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Connection, insert, inspect, select, text

from wellbook.dates import When
from wellbook.errors import BookError, NotFoundError, WellbookError
from wellbook.rules import catalogue
from wellbook.store import papers, sheets
from wellbook.store import tables as t
from wellbook.store.book import SCHEMA_REVISION, Book, migrate, stored_revision
from wellbook.store.freshness import freshen
from wellbook.store.holes import load_hole
from wellbook.store.ledger import ledger_of
from wellbook.store.places import book_url
from wellbook.store.settings import settings
from wellbook.store.wells import add_customer, add_site, add_well, edit_customer, edit_well, move_in
from wellbook.terms import PaperKind

TODAY = date(2026, 11, 25)
DAY = date(2026, 11, 20)


@pytest.fixture
def well(book: Book) -> int:
    """A well with one visit that set a pump and took a sample, by its number."""
    with book.writing() as connection:
        number = add_well(connection, "me", "A-1", {"entered_on": date(2020, 1, 1)}, today=TODAY)
        data = {
            "date": DAY,
            "reason": "replacement",
            "set": {"pump": {"hp": 1}},
            "sample": {"bacteria": "absent"},
        }
        sheets.record(connection, "me", number, data, today=TODAY)
    return number


def owed(connection: Connection, day: date = TODAY) -> set[str]:
    return {p.kind.value for p in papers.owed_papers(connection, today=day)}


def is_true(connection: Connection, well: int) -> bool:
    from_nothing = catalogue.judge(load_hole(connection, well), settings(connection))
    return ledger_of(connection, well) == from_nothing


def test_a_paper_that_was_sent_is_owed_no_more_until_it_is_taken_back(
    book: Book, well: int
) -> None:
    everything = {"report", "laboratory_sheet", "pump_report"}
    with book.reading() as connection:
        assert owed(connection) == everything
        assert owed(connection, TODAY + timedelta(days=365)) == everything
    with book.writing() as connection:
        kind = PaperKind.PUMP_REPORT
        papers.mark_sent(connection, "Ida", well, kind, on=TODAY, to=" county ", today=TODAY)
        assert owed(connection) == everything - {"pump_report"}
        assert is_true(connection, well)
        (paper,) = load_hole(connection, well).papers
        assert (paper.sent_on, paper.sent_to, paper.who) == (TODAY, "county", "Ida")
    with book.writing() as connection:
        papers.take_back(connection, "Ida", well, kind)
        assert owed(connection) == everything
        assert is_true(connection, well)
        log = select(t.change.c.action, t.change.c.who).where(t.change.c.what == "paper")
        assert list(connection.execute(log.order_by(t.change.c.id))) == [
            ("add", "Ida"),
            ("remove", "Ida"),
        ]


def test_what_is_sent_again_puts_the_day_right(book: Book, well: int) -> None:
    with book.writing() as connection:
        number = load_hole(connection, well).visits[-1].number
        for on in (DAY, TODAY):
            papers.mark_sent(
                connection, "me", well, PaperKind.REPORT, on=on, number=number, today=TODAY
            )
        assert [p.sent_on for p in load_hole(connection, well).papers] == [TODAY]


def test_a_paper_stays_sent_when_its_sheet_is_corrected(book: Book, well: int) -> None:
    with book.writing() as connection:
        papers.mark_sent(connection, "me", well, PaperKind.REPORT, on=DAY, today=TODAY)
        number = load_hole(connection, well).visits[-1].number
        again = {"date": DAY, "reason": "check up"}
        sheets.correct(connection, "me", number, again, today=TODAY)
        assert owed(connection) == set()
        assert is_true(connection, well)


def test_what_cannot_be_marked_is_refused_with_what_would_be_right(book: Book, well: int) -> None:
    with book.writing() as connection:
        data = {"date": TODAY, "reason": "other"}
        second = sheets.record(connection, "me", well, data, today=TODAY).number
    with book.reading() as connection:
        first = load_hole(connection, well).visits[0].number

    def sent(kind: PaperKind, **more: object) -> None:
        with book.writing() as connection:
            given = {"on": TODAY, "today": TODAY, **more}
            papers.mark_sent(connection, "me", well, kind, **given)  # type: ignore[arg-type]

    with pytest.raises(WellbookError, match=f"2 of them are owed.*{first} of 2026-11-20, {second}"):
        sent(PaperKind.REPORT)
    with pytest.raises(NotFoundError, match=r"no warranty return is owed at A-1; .*--visit"):
        sent(PaperKind.WARRANTY_RETURN)
    with pytest.raises(NotFoundError, match="no pump report at A-1; its papers: report"):
        sent(PaperKind.PUMP_REPORT, number=second)
    with pytest.raises(NotFoundError, match="no visit has the number 999"):
        sent(PaperKind.REPORT, number=999)
    with pytest.raises(WellbookError, match="before the visit of 2026-11-20"):
        sent(PaperKind.PUMP_REPORT, on=DAY - timedelta(days=1))
    with pytest.raises(NotFoundError, match="marked as sent"), book.writing() as connection:
        papers.take_back(connection, "me", well, PaperKind.REPORT)
    with pytest.raises(NotFoundError, match="not marked as sent"), book.writing() as connection:
        papers.take_back(connection, "me", well, PaperKind.REPORT, number=first)


def test_another_wells_visit_is_not_this_ones(book: Book, well: int) -> None:
    with book.writing() as connection:
        other = add_well(connection, "me", "A-2", {}, today=TODAY)
        number = load_hole(connection, well).visits[-1].number
        with pytest.raises(NotFoundError, match="no report at A-2; its papers: none"):
            papers.mark_sent(
                connection, "me", other, PaperKind.REPORT, on=TODAY, number=number, today=TODAY
            )


def test_worst_first(book: Book, well: int) -> None:
    with book.reading() as connection:
        later = papers.owed_papers(connection, today=date(2026, 12, 5))
    # What an authority or a maker waits for comes first; of the rest the one that is late for longest.
    ranks = [p.finding.rank[0] for p in later]
    assert ranks == sorted(ranks)
    assert [p.deadline for p in later] == sorted(p.deadline for p in later)


# -- contracts -------------------------------------------------------------------------------------


def _check_up(connection: Connection, well: int) -> date | None:
    (found,) = (f for f in ledger_of(connection, well) if f.rule == "check-up")
    return found.may_from


def test_a_paper_is_whose_it_was_on_the_day_of_the_job(book: Book, well: int) -> None:
    """Who moved in since gets nobody else's report."""
    with book.writing() as connection:
        site = add_site(connection, "me", {"road": "4 Larkspur Bend", "town": "Nettlewick"})
        edit_well(connection, "me", well, {"site_id": site})
        for name, since in (("Ada Northfold", "2019"), ("Bram Southfold", "2026-11-22")):
            number = add_customer(connection, "me", name, phones=(f"555-{name[:3]}",))
            when = When.parse(since, said_on=TODAY)
            move_in(connection, "me", site, number, when, today=TODAY)
        sheets.record(connection, "me", well, {"date": TODAY, "reason": "check_up"}, today=TODAY)
        owed_now = papers.owed_papers(connection, today=TODAY)
    whose = {(one.item.customer, one.item.phone, one.item.finding.counts_from) for one in owed_now}
    assert sorted((who, phone) for who, phone, _ in whose) == [
        ("Ada Northfold", "555-Ada"),
        ("Bram Southfold", "555-Bra"),
    ]


def test_a_contract_moves_the_check_up_and_goes_with_its_customer(book: Book) -> None:
    with book.writing() as connection:
        site = add_site(connection, "me", {"road": "1 Mill Ln"})
        well = add_well(connection, "me", "A-1", {"site_id": site}, today=date(2020, 1, 1))
        ada = add_customer(connection, "me", "Ada")
        bo = add_customer(connection, "me", "Bo", contract_month=9)
        move_in(connection, "me", site, ada, When.on(date(2020, 1, 1)), today=TODAY)
        data = {"date": date(2026, 6, 10), "reason": "check up"}
        sheets.record(connection, "me", well, data, today=TODAY)
        assert _check_up(connection, well) == date(2027, 6, 10)
        edit_customer(connection, "me", ada, values={"contract_month": 4})
        assert _check_up(connection, well) == date(2027, 4, 1)
        assert is_true(connection, well)
        edit_customer(connection, "me", ada, values={"contract_month": None})
        assert _check_up(connection, well) == date(2027, 6, 10)
        edit_customer(connection, "me", ada, values={"contract_month": 4})
        move_in(connection, "me", site, bo, When.on(date(2026, 7, 1)), today=TODAY)
        assert _check_up(connection, well) == date(2027, 9, 1)
        assert is_true(connection, well)


@pytest.mark.parametrize("month", [0, 13])
def test_a_month_that_is_none_is_refused_by_the_book_itself(book: Book, month: int) -> None:
    with pytest.raises(BookError), book.writing() as connection:
        connection.execute(
            insert(t.customer).values(uid="c", name="A", notes="", contract_month=month)
        )


# -- the migration ---------------------------------------------------------------------------------


def test_a_filled_book_goes_down_and_up_and_keeps_the_rest(book: Book, well: int) -> None:
    with book.writing() as connection:
        papers.mark_sent(connection, "me", well, PaperKind.REPORT, on=DAY, today=TODAY)
        customer = add_customer(connection, "me", "Ada", phones=("555-0101",), contract_month=4)
        before = ledger_of(connection, well)
    migrate(book, "0003")
    assert stored_revision(book) == "0003"
    with book.reading() as connection:
        assert "paper" not in inspect(connection).get_table_names()
        assert "to_customer" not in {c["name"] for c in inspect(connection).get_columns("due")}
        names = {c["name"] for c in inspect(connection).get_columns("customer")}
        assert names == {"id", "uid", "name", "notes"}
        assert connection.execute(text("SELECT name FROM customer")).scalar() == "Ada"
    migrate(book)
    assert stored_revision(book) == SCHEMA_REVISION
    with book.writing() as connection:
        connection.execute(text("UPDATE book SET ledger_fingerprint = ''"))
        edit_customer(connection, "me", customer, values={"contract_month": 12})
        assert connection.execute(text("SELECT value FROM contact_point")).scalar() == "555-0101"
    freshen(book)
    with book.reading() as connection:
        # What was sent is lost, and owed again.
        after = ledger_of(connection, well)
        assert {f.occurrence for f in after} > {f.occurrence for f in before}
        assert is_true(connection, well)


def test_what_the_check_of_a_contract_is_called_on_both_engines(book: Book) -> None:
    with book.reading() as connection:
        if book.is_file:
            made = connection.execute(
                text("SELECT sql FROM sqlite_master WHERE name = 'customer'")
            ).scalar()
            assert "CONSTRAINT ck_customer_contract_month CHECK" in str(made)
        else:
            checks = inspect(connection).get_check_constraints("customer")
            assert "ck_customer_contract_month" in {c["name"] for c in checks}


def test_the_demo_book_has_papers_that_were_sent_and_few_that_are_owed(loaded_shop: Path) -> None:
    book = Book(book_url(loaded_shop))
    with book.reading() as connection:
        assert connection.execute(select(t.paper.c.id)).first()
        assert {p.item.tag for p in papers.owed_papers(connection, today=TODAY)} == {
            "TF-0048",
            "TF-0092",
        }
    book.close()
