"""A run is taken back whole, or not at all; a run that is killed leaves the book as it was."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from flow_files import ROWS, Answer, listed, truth
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from import_files import TODAY, count, written
from sqlalchemy import select

from wellbook.cli import run
from wellbook.dates import When
from wellbook.errors import WellbookError
from wellbook.exchange.deciding import Decisions
from wellbook.exchange.importing import brought_in, prepare
from wellbook.exchange.mapping_file import from_toml
from wellbook.exchange.undoing import undo
from wellbook.store import contacts, sheets, wells
from wellbook.store import tables as t
from wellbook.store.book import Book, make_book, migrate
from wellbook.terms import Role, Said


def take_back(book: Book, number: int) -> None:
    with book.writing() as connection:
        undo(connection, "me", number)


def derived(book: Book) -> list[set[tuple[Any, ...]]]:
    """The ledger and the words by which wells are found, by tags."""
    with book.reading() as connection:
        due = select(t.well.c.tag, t.due.c.rule, t.due.c.occurrence, t.due.c.from_day).join(
            t.well, t.well.c.id == t.due.c.well_id
        )
        words = (
            select(t.well.c.tag, t.search_word.c.word, t.search_use.c.weight)
            .join(t.search_use, t.search_use.c.word_id == t.search_word.c.id)
            .join(t.well, t.well.c.id == t.search_use.c.well_id)
        )
        parts = select(t.well.c.tag, t.component.c.uid).join(
            t.well, t.well.c.id == t.component.c.well_id
        )
        return [{tuple(row) for row in connection.execute(q)} for q in (due, words, parts)]


def test_a_run_is_taken_back_whole(tmp_path: Path, book: Book, answer: Answer) -> None:
    before = truth(book)
    said = answer(*listed(tmp_path))
    take_back(book, said["run"])
    assert truth(book) == before
    assert derived(book) == [set(), set(), set()]
    # What was taken back can come in again.
    assert answer(*listed(tmp_path))["written"] == 5


CHANGES = [
    ("40 Hill St", "41 Hill St"),
    ("SMITH JOHN & MARY", "Mary Smith"),
    (",310,", ",320,"),
    ("1/2,2019", "3/4,2019"),
    ("no water,Ida", "no water,Zed"),
    ("2021-06-04", "2021-07-04"),
    ("Ann Lee,,", "Ann Lee,555-014-1111,"),
    ("by the barn", "by the shed"),
    (",42,", ",52,"),
    ("Q-4,", "Q-5,"),
    (",Bob Nowell", "Q-7,Bob Nowell"),
]


@pytest.mark.parametrize("change", CHANGES, ids=[new for _, new in CHANGES])
def test_a_run_that_changed_records_gives_the_former_values_back(
    tmp_path: Path, book: Book, answer: Answer, change: tuple[str, str]
) -> None:
    answer(*listed(tmp_path))
    before, follows = truth(book), derived(book)
    said = answer(*listed(tmp_path, ROWS.replace(*change)))
    assert truth(book) != before
    take_back(book, said["run"])
    assert truth(book) == before
    assert derived(book) == follows


CELLS = st.sampled_from(["", "Sutton", "Bend", "100", "90"])
LINE = st.tuples(
    st.sampled_from(["Q-1", "Q-2", "Q-3", ""]),
    st.sampled_from(["", "John Smith", "Smith, John", "Ann Lee"]),
    st.sampled_from(["", "555-014-0001", "555-014-0002"]),
    st.just(""),
    st.sampled_from(["", "1 Elm St", "2 Oak Rd"]),
    st.sampled_from(["", "Sutton", "Bend"]),
    st.sampled_from(["", "100", "90", "0", "-4", "abc"]),
    st.sampled_from(["", "1/2hp 7gpm"]),
    st.sampled_from(["", "1/2", "1", "big"]),
    st.sampled_from(["", "2019-05-03", "2020-06-01", "2021", "2031-01-01"]),
    st.sampled_from(["", "no water", "pump replaced", "decommissioned"]),
    st.sampled_from(["", "Ida", "Ida, Ben"]),
    st.sampled_from(["", "42", "-2", "deep"]),
    st.sampled_from(["", "dry in August"]),
).map(lambda cells: ",".join(f'"{c}"' if "," in c else c for c in cells) + "\n")
FILE = st.lists(LINE, min_size=1, max_size=6).map("".join)


def bring(book: Book, folder: Path, rows: str, decided: str = "") -> int:
    path, _, mapping = listed(folder, rows)
    read = from_toml(mapping.read_text("utf-8"), "m.toml")
    job = prepare(path, book, mapping=read, role=Role.OURS, today=TODAY)
    with book.writing() as connection:
        given: dict[str, str] = {}
        with brought_in(connection, job, who="me", today=TODAY, decisions=Decisions(given)) as o:
            counts = o.counts
            assert counts.rows == o.aside.count("row") == rows.count("\n") - blank_lines(rows)
            outcomes = (counts.written, counts.unchanged, counts.changed, counts.skipped)
            assert sum(outcomes) + counts.refused == counts.rows
    return counts.run


def blank_lines(rows: str) -> int:
    return sum(not line.strip(",") for line in rows.splitlines())


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(one=FILE, two=FILE)
def test_imported_and_refused_are_all_rows_and_undo_brings_back_the_book(
    tmp_path_factory: pytest.TempPathFactory, one: str, two: str
) -> None:
    folder = tmp_path_factory.mktemp("undo")
    book = make_book(folder / "shop.book")
    first = truth(book)
    run_one = bring(book, folder, one)
    second, follows = truth(book), derived(book)
    run_two = bring(book, folder, two)
    take_back(book, run_two)
    assert truth(book) == second
    assert derived(book) == follows
    take_back(book, run_one)
    assert truth(book) == first
    book.close()


# -- what stands in the way --------------------------------------------------------------------


def visit(book: Book) -> None:
    with book.writing() as connection:
        number = wells.well_by_tag(connection, "Q-1")
        assert number is not None
        said = {"date": "2026-11-20", "reason": "check_up", "measured": {"static_level_ft": 40}}
        sheets.record(connection, "me", number, said, today=TODAY)


def edit(book: Book) -> None:
    with book.writing() as connection:
        wells.edit_site(connection, "Ida", wells.the_site(connection, "40 Hill"), {"town": "Toft"})


def phone(book: Book) -> None:
    with book.writing() as connection:
        number = wells.the_customer(connection, "bob")
        wells.edit_customer(connection, "Ida", number, values={}, phones=("555-014-1234",))


def move(book: Book) -> None:
    with book.writing() as connection:
        who = wells.add_customer(connection, "me", "Zoe")
        site = wells.the_site(connection, "40 Hill")
        wells.move_in(connection, "me", site, who, When.on(date(2026, 1, 2)), today=TODAY)


def told(book: Book) -> None:
    with book.writing() as connection:
        number = wells.well_by_tag(connection, "Q-1")
        assert number is not None
        spoken = contacts.Spoken(said=Said.DECLINED, on_day=TODAY)
        contacts.write_down(connection, "me", number, spoken, [(number, "x")], today=TODAY)


def another_well(book: Book) -> None:
    with book.writing() as connection:
        site = wells.the_site(connection, "40 Hill")
        wells.add_well(connection, "me", "Z-1", {"site_id": site}, today=TODAY)


@pytest.mark.parametrize(
    ("later", "words"),
    [
        (visit, "visit"),
        (edit, "property"),
        (phone, "came since"),
        (move, "changed since"),
        (another_well, "well Z-1 came since"),
    ],
)
def test_what_was_built_on_a_run_stands_in_the_way(
    tmp_path: Path, book: Book, answer: Answer, later: Callable[[Book], None], words: str
) -> None:
    said = answer(*listed(tmp_path))
    later(book)
    before = truth(book)
    with pytest.raises(WellbookError, match=rf"cannot be taken back: .*{words}"):
        take_back(book, said["run"])
    assert truth(book) == before


def test_a_later_file_of_the_same_records_stands_in_the_way(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    one = answer(*listed(tmp_path))["run"]
    two = answer(*listed(tmp_path, ROWS.replace(",310,", ",320,")))["run"]
    with pytest.raises(WellbookError, match=rf"run {two} \(list.csv\) brought in the same"):
        take_back(book, one)
    take_back(book, two)
    take_back(book, one)
    assert count(book, t.well) == 0


def test_a_run_is_taken_back_once_and_must_be_there(
    tmp_path: Path, book: Book, capsys: pytest.CaptureFixture[str], answer: Answer
) -> None:
    answer(*listed(tmp_path))
    assert run(["import", "undo", "1"]) == 0
    assert run(["import", "undo", "1"]) == 2
    assert "taken back already" in capsys.readouterr().err
    assert run(["import", "undo", "7"]) != 0
    assert "no import has the number 7" in capsys.readouterr().err


# -- killed ------------------------------------------------------------------------------------

_KILLED = """
import os, signal, sys
from wellbook.cli import run
from wellbook.exchange.well_clerk import Clerk
rows, whole = 0, Clerk.row
def row(self, line):
    global rows
    rows += 1
    if rows == int(sys.argv[1]):
        os.kill(os.getpid(), signal.SIGKILL)
    return whole(self, line)
Clerk.row = row
run(["import", sys.argv[2], "--write", "--unit", "ft"])
"""


@pytest.mark.skipif(os.name == "nt", reason="no such signal")
@pytest.mark.parametrize("at", [1, 499, 501, 1200])
def test_killed_at_any_row_the_book_is_as_before(tmp_path: Path, file_book: Book, at: int) -> None:
    path = tmp_path / "a.csv"
    lines = [f"{n},100,Sutton\n" for n in range(1200)]
    written(path, "id,depth,town\n" + "".join(lines))
    before = truth(file_book)
    env = {**os.environ, "WELLBOOK_BOOK": file_book.name, "WELLBOOK_TODAY": TODAY.isoformat()}
    done = subprocess.run([sys.executable, "-c", _KILLED, str(at), str(path)], env=env, check=False)
    assert done.returncode == -signal.SIGKILL
    assert truth(file_book) == before and count(file_book, t.import_run) == 0
    job = prepare(path, file_book, unit="ft", today=TODAY)
    with (
        file_book.writing() as connection,
        brought_in(connection, job, who="me", today=TODAY, decisions=Decisions()) as outcome,
    ):
        assert outcome.counts.written == 1200


def test_runs_go_up_and_down_with_the_book(tmp_path: Path, book: Book, answer: Answer) -> None:
    """0007: what became a well stays known; what became a customer alone is forgotten."""
    answer(*listed(tmp_path))
    known = count(book, t.imported_row)
    migrate(book, "0006")
    migrate(book)
    assert count(book, t.imported_row) == known - 1
    with book.reading() as connection:
        kept = connection.execute(select(t.imported_row)).mappings().all()
        assert all(row["well_id"] and row["customer_id"] is None for row in kept)
    with pytest.raises(WellbookError, match="does not hold what it did"):
        take_back(book, 1)
