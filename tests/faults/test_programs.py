"""Two programs of different versions at one book: a clear line each, nothing lost, no tug of war."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from sqlalchemy import insert, select, text

from tests.faults.fault_table import as_shown, the_line
from wellbook import cli, versions
from wellbook.errors import BookError
from wellbook.store import book as books
from wellbook.store import tables as t
from wellbook.store.book import SCHEMA_REVISION, Book, make_book, migrations_folder, open_book
from wellbook.store.freshness import freshen
from wellbook.store.mark import made_by, mark

NEXT = """
revision = "9001"
down_revision = "{before}"

import sqlalchemy as sa
from alembic import op


def upgrade():
    op.add_column("customer", sa.Column("colour", sa.Text, nullable=False, server_default="blue"))
    op.alter_column("setting", "value", new_column_name="said")
"""


def _shown(error: BookError, book: Book) -> str:
    return as_shown(str(error), book.name)


@pytest.fixture
def newer_program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """A program of the next year, in whose context its migrations are this program's."""
    folder = tmp_path / "migrations"
    shutil.copytree(migrations_folder(), folder, ignore=shutil.ignore_patterns("__pycache__"))
    script = NEXT.format(before=SCHEMA_REVISION)
    (folder / "versions" / "9001_next_year.py").write_text(script)
    return monkeypatch


def _upgrade(program: pytest.MonkeyPatch, tmp_path: Path, place: str) -> None:
    with program.context() as there:
        there.setattr(books, "migrations_folder", lambda: tmp_path / "migrations")
        there.setattr(books, "SCHEMA_REVISION", "9001")
        open_book(place, upgrade=True).close()


def test_a_newer_book_is_refused(
    newer_program: pytest.MonkeyPatch, tmp_path: Path, place: str
) -> None:
    book = make_book(place)
    _upgrade(newer_program, tmp_path, place)
    with pytest.raises(BookError) as caught:
        open_book(place)
    assert _shown(caught.value, book) == the_line("newer book")


def test_an_older_program_writes_nothing_into_an_upgraded_book(
    newer_program: pytest.MonkeyPatch, tmp_path: Path, place: str
) -> None:
    make_book(place).close()
    older = open_book(place)
    with older.writing() as connection:
        connection.execute(insert(t.setting).values(name="x", value="1"))
    _upgrade(newer_program, tmp_path, place)
    with pytest.raises(BookError) as caught, older.writing() as connection:
        connection.execute(insert(t.customer).values(uid="c", name="Ada", notes=""))
    assert _shown(caught.value, older) == the_line("upgraded meanwhile")
    with older.reading() as connection:
        assert connection.execute(select(t.customer.c.name)).all() == []
        assert connection.execute(text("SELECT name, said FROM setting")).all() == [("x", "1")]
    # What it reads is said too, where it is no longer there.
    with (
        pytest.raises(BookError, match="has upgraded this book") as caught,
        older.reading() as connection,
    ):
        connection.execute(select(t.setting.c.value)).all()
    assert "\n" not in str(caught.value)
    older.close()


def test_a_server_that_goes_away_in_an_upgrade_leaves_the_old_tables(
    tmp_path: Path, place: str, newer_program: pytest.MonkeyPatch
) -> None:
    if "://" not in place:
        pytest.skip("a file has no server")
    make_book(place).close()
    script = tmp_path / "migrations" / "versions" / "9001_next_year.py"
    lost = '    op.execute("SELECT pg_terminate_backend(pg_backend_pid())")\n'
    script.write_text(script.read_text() + lost)
    with pytest.raises(BookError, match="was undone: the connection to the server was lost"):
        _upgrade(newer_program, tmp_path, place)
    book = open_book(place)
    with book.writing() as connection:
        connection.execute(insert(t.customer).values(uid="c", name="Ada", notes=""))
        connection.execute(insert(t.setting).values(name="x", value="1"))
    book.close()


def test_an_upgrade_by_itself_is_no_other_program(
    newer_program: pytest.MonkeyPatch, tmp_path: Path, place: str
) -> None:
    make_book(place).close()
    with newer_program.context() as there:
        there.setattr(books, "migrations_folder", lambda: tmp_path / "migrations")
        there.setattr(books, "SCHEMA_REVISION", "9001")
        book = open_book(place, upgrade=True)
        with book.writing() as connection:
            connection.execute(text("INSERT INTO setting (name, said) VALUES ('x', '1')"))
        book.close()


def test_a_ledger_of_newer_rules_is_shown_and_left_alone(
    place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_book(place).close()
    book = open_book(place)
    with monkeypatch.context() as newer:
        newer.setattr(versions, "RULES", "999")
        assert freshen(book)
        with book.reading() as connection:
            theirs = mark(connection)
    said: list[str] = []
    assert not freshen(book, tell=said.append)
    assert len(said) == 1
    with pytest.raises(BookError) as caught, book.writing() as connection:
        connection.execute(insert(t.setting).values(name="x", value="1"))
    assert _shown(caught.value, book) == the_line("newer rules")
    assert said[0] in str(caught.value)
    with book.reading() as connection:
        assert made_by(connection).mark == theirs
        assert connection.execute(select(t.setting)).all() == []
    book.close()


@pytest.mark.parametrize("what", ["REPLAY", "WORDS"])
def test_what_a_newer_program_has_worked_out_is_left_alone(
    place: str, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    make_book(place).close()
    book = open_book(place)
    with monkeypatch.context() as newer:
        newer.setattr(versions, what, "999")
        freshen(book)
    assert not freshen(book)
    with pytest.raises(BookError, match=f"{what.lower()} 999"), book.writing():
        pytest.fail("it is not written to")
    book.close()


def test_a_ledger_of_older_rules_is_made_anew(place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    make_book(place).close()
    book = open_book(place)
    with monkeypatch.context() as older:
        older.setattr(versions, "RULES", "1")
        assert freshen(book)
    assert freshen(book)
    with book.reading() as connection:
        assert made_by(connection).mark == mark(connection)
    book.close()


def test_the_page_is_shown_and_a_visit_refused_where_rules_are_newer(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    place = folder / "shop.book"
    with monkeypatch.context() as newer:
        newer.setattr(versions, "RULES", "999")
        freshen(open_book(place))
    assert cli.run(["--book", str(place), "hole", "A-1"]) == 0
    said = capsys.readouterr()
    assert "A-1" in said.out
    assert said.err.count("\n") == 1
    assert "a newer wellbook has worked this book out" in said.err
    sheet = str(folder / "sheet-1.toml")
    assert cli.run(["--book", str(place), "visit", "A-1", "--from", sheet]) == 2
    assert as_shown(capsys.readouterr().err.splitlines()[-1], place) == the_line("newer rules")
