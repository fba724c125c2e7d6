"""Files to import and what became of them, for the tests."""

from datetime import date
from pathlib import Path

from sqlalchemy import Table, func, select

from wellbook.exchange.proposing import propose
from wellbook.exchange.reading import data_rows, header_of, look
from wellbook.exchange.surveying import survey
from wellbook.exchange.well_clerk import Clerk
from wellbook.exchange.well_record import Row
from wellbook.hole.hole import Hole
from wellbook.rules import catalogue
from wellbook.store import ledger
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.settings import settings
from wellbook.store.the_well import the_well

TODAY = date(2026, 11, 25)


def written(path: Path, text: str, encoding: str = "utf-8") -> Path:
    path.write_bytes(text.encode(encoding))
    return path


def read(path: Path, unit: str = "") -> list[Row]:
    mapping = propose(look(path), "s")
    mapping = mapping.with_unit(unit) if unit else mapping
    header = header_of(path, mapping)
    mapping = survey(path, mapping, header)
    mapping.check()
    clerk = Clerk(mapping, header, TODAY)
    return [clerk.row(row) for row in data_rows(path, mapping)]


def count(book: Book, table: Table) -> int:
    with book.reading() as connection:
        return connection.execute(select(func.count()).select_from(table)).scalar_one()


def well(book: Book, words: str) -> tuple[int, Hole]:
    """A well's number and its hole; its ledger is then what the rules say from nothing."""
    with book.reading() as connection:
        number = the_well(connection, words)
        hole = load_hole(connection, number)
        findings = catalogue.judge(hole, settings(connection))
        assert ledger.ledger_of(connection, number) == findings
    return number, hole
