"""Files to import and what became of them, for the tests."""

from pathlib import Path

from sqlalchemy import func, select

from wellbook.hole.hole import Hole
from wellbook.rules import catalogue
from wellbook.store import ledger
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.holes import load_hole
from wellbook.store.rows import table_of
from wellbook.store.search import the_well


def written(path: Path, text: str, encoding: str = "utf-8") -> Path:
    path.write_bytes(text.encode(encoding))
    return path


def count(book: Book, model: type[t.Base]) -> int:
    with book.reading() as connection:
        return connection.execute(select(func.count()).select_from(table_of(model))).scalar_one()


def well(book: Book, words: str) -> tuple[int, Hole]:
    """A well's number and its hole; its ledger is then what the rules say from nothing."""
    with book.reading() as connection:
        number = the_well(connection, words)
        hole = load_hole(connection, number)
        findings = catalogue.judge(hole, ledger.settings(connection))
        assert ledger.ledger_of(connection, number) == findings
    return number, hole
