"""What the engine itself can say of a book: whether its file is whole, and where rows point to nothing."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection, func, select

from wellbook.store import tables as t
from wellbook.store.book import Book, use_write_ahead_log
from wellbook.store.fault_words import translated
from wellbook.store.looked_at import Looked, Wrong

_MOST = 20
_RESTORE = "put a backup in its place: wellbook backup --list, then wellbook restore FILE"


def look_at_engine(book: Book, connection: Connection) -> Iterator[Looked]:
    """Pages, indexes and CHECKs; then keys. A server looks after its own, so its rows are counted."""
    rows = sum(
        connection.execute(select(func.count()).select_from(table)).scalar_one()
        for table in t.METADATA.sorted_tables
    )
    if not book.is_file:
        yield Looked("rows", rows, "row", "the server keeps them whole, and what points to what")
        return
    said = connection.exec_driver_sql(f"PRAGMA integrity_check({_MOST})").scalars().all()
    wrong = [Wrong("the file", line, _RESTORE) for line in said if line != "ok"]
    (mode,) = connection.exec_driver_sql("PRAGMA journal_mode").one()
    if mode != "wal":
        what = f"readers wait for writers (its mode is {mode})"
        wrong.append(Wrong("the file", what))
    yield Looked("database", rows, "row", "whole", wrong)
    keys = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    many = sum(len(table.foreign_keys) for table in t.METADATA.sorted_tables)
    wrong = [
        Wrong(f"{table} row {number}", f"points to a row of {to} that is not there", _RESTORE)
        for table, number, to, _ in keys
    ]
    yield Looked("links", many, "key", "all lead to a row", wrong)


def mend_engine(book: Book) -> None:
    """Let readers and a writer be at the file at once again."""
    if book.is_file:
        with translated(book.name):
            use_write_ahead_log(book)
