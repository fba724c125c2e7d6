"""A former list does not bring back who was forgotten on his wish, and imports keep nothing of him.

Nothing is compared with a published figure here: what has to hold is that his words are nowhere.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from sqlalchemy import select

from tests.exchange.import_files import count, written
from wellbook.store import forgetting, wells
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.kept import kept_tables

Answer = Callable[..., dict[str, Any]]
HEAD = "Customer,Phone,E-mail,Address,Town,Depth (ft)\n"
IVO = '"Thrupp, Ivo",555-201-0143,ivo@thrupp.example,12 Cold Spring Rd,Sutton,'
ANN = "Ann Lee,555-201-0155,,1 Oak St,Sutton,120\n"
HIS = ("Thrupp", "555-201-0143", "5552010143", "ivo@")


def texts(book: Book) -> str:
    with book.reading() as connection:
        tables = [kept.table for kept in kept_tables()]
        return "\n".join(
            repr(tuple(row)) for table in tables for row in connection.execute(select(table))
        )


def forget(book: Book) -> None:
    with book.writing() as connection:
        forgetting.forget(connection, "Ida", wells.the_customer(connection, "Thrupp"))


def test_who_was_forgotten_is_left_out_and_his_well_comes_in(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = written(tmp_path / "a.csv", f"{HEAD}{IVO}310\n{ANN}")
    answer(path)
    forget(book)
    # The same records from another source, and from the same one with a changed tail.
    other = written(tmp_path / "b.csv", f"{HEAD}{IVO}310\n{ANN}")
    found = answer(other, "--source", "another")
    assert (found["forgotten"], found["written"]) == (1, 2)
    written(path, f"{HEAD}{IVO}312\n{ANN}")
    assert answer(path)["forgotten"] == 1
    assert answer(path)["unchanged"] == 2
    assert not any(word in texts(book) for word in HIS)


def test_of_a_list_of_customers_his_row_is_skipped(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    text = 'Name,Phone\n"Thrupp, Ivo",555-201-0143\nAnn Lee,555-201-0155\n'
    answer(written(tmp_path / "a.csv", text))
    forget(book)
    found = answer(written(tmp_path / "b.csv", text), "--source", "another")
    assert (found["skipped"], found["written"]) == (1, 1)
    assert count(book, t.customer) == 2
    assert not any(word in texts(book) for word in HIS)


def test_what_runs_keep_to_be_taken_back_has_nothing_of_him(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = written(tmp_path / "a.csv", f"{HEAD}{IVO}310\n{ANN}".replace("Ivo", "Ivor"))
    mapping = tmp_path / "m.toml"
    mapping.write_text(
        'source = "a"\ntable = "a"\n[columns]\nkey = "No"\ncustomer.name = "Customer"\n'
        'customer.phone = "Phone"\ncustomer.notes = "Memo"\ndepth_ft = { column = "D", unit = "ft" }\n'
        'notes = "Notes"\n',
        "utf-8",
    )
    head = "No,Customer,Phone,Memo,D,Notes\n"
    written(path, f"{head}1,Ivor Thrupp,555-201-0143,pays late,310,call Ivor Thrupp first\n")
    answer(path, "--mapping", mapping)
    written(path, f"{head}1,Ivo Thrupp,555-201-0143,pays,312,call Ivo Thrupp first\n")
    assert answer(path, "--mapping", mapping)["changed"] == 1
    assert "Ivor Thrupp" in texts(book)
    forget(book)
    with book.reading() as connection:
        kept = [row.old or "" for row in connection.execute(select(t.import_change))]
        said = [row.said for row in connection.execute(select(t.imported_row))]
    assert [x for x in kept if "Ivo" in x or "pays" in x] == []
    assert not any("customer.name" in text for text in [*kept, *said])
