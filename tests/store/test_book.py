"""Opening, making, upgrading and refusing books; writers wait for each other."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import pytest
from sqlalchemy import insert, inspect, select, text, update

from wellbook.errors import BookError
from wellbook.store import tables as t
from wellbook.store.book import (
    SCHEMA_REVISION,
    Book,
    alembic_config,
    make_book,
    migrate,
    migrations_folder,
    open_book,
    stored_revision,
)


def test_a_new_book_stands_at_the_newest_revision(book: Book) -> None:
    from alembic.script import ScriptDirectory

    assert stored_revision(book) == SCHEMA_REVISION
    assert ScriptDirectory.from_config(alembic_config()).get_current_head() == SCHEMA_REVISION


def test_the_migrations_make_what_the_tables_say(book: Book) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with book.reading() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, t.Base.metadata) == []


def test_down_to_nothing_and_up_again(book: Book) -> None:
    migrate(book, "base")
    with book.reading() as connection:
        assert set(inspect(connection).get_table_names()) <= {"alembic_version"}
    migrate(book)
    assert stored_revision(book) == SCHEMA_REVISION


def test_a_place_with_no_book_is_refused_with_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(BookError, match="wellbook init"):
        open_book(tmp_path / "none.book")


def test_a_file_that_is_no_book_is_refused_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "letter.txt"
    file.write_text("Dear Sir, " * 500)
    with pytest.raises(BookError, match="not a book"):
        open_book(file)
    with pytest.raises(BookError, match="already"):
        make_book(file)
    assert file.read_text().startswith("Dear Sir")


def test_another_database_is_not_taken_for_a_book(tmp_path: Path) -> None:
    file = tmp_path / "other.db"
    with sqlite3.connect(file) as connection:
        connection.execute("CREATE TABLE album (id integer)")
    connection.close()
    with pytest.raises(BookError, match="holds no book"):
        open_book(file)


def test_a_newer_book_is_refused_and_named(book: Book, place: str) -> None:
    with book.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(BookError, match="newer"):
        open_book(place)


def test_an_older_file_is_copied_before_it_is_upgraded(tmp_path: Path) -> None:
    place = tmp_path / "shop.book"
    book = make_book(place)
    migrate(book, "base")
    with book.writing() as connection:
        connection.execute(text("INSERT INTO alembic_version VALUES ('0000')"))
        connection.execute(text("DELETE FROM alembic_version"))
        connection.execute(text("INSERT INTO alembic_version VALUES ('0000')"))
    said: list[str] = []
    # There is no 0000 to upgrade from: the copy is made first and the failure then loses nothing.
    with pytest.raises(Exception, match="0000"):
        open_book(place, tell=said.append)
    assert len(list(tmp_path.glob("shop.book.before-0000-*"))) == 1
    assert "a copy is at" in said[0]


def test_an_older_server_book_waits_to_be_told(book: Book, place: str) -> None:
    if book.is_file:
        pytest.skip("a file's book upgrades itself")
    with book.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '0000'"))
    with pytest.raises(BookError, match="wellbook upgrade"):
        open_book(place)


def test_a_folder_that_cannot_be_made_is_said_in_plain_words() -> None:
    with pytest.raises(BookError, match="No such file"):
        make_book("/proc/none/shop.book")


def test_a_second_writer_waits_and_no_update_is_lost(book: Book) -> None:
    """Read, add one, write: 4 writers x 25. The driver's own transactions would lose some."""
    with book.writing() as connection:
        connection.execute(insert(t.Setting).values(name="count", value="0"))

    def add_many() -> None:
        done = 0
        while done < 25:
            try:
                with book.writing() as connection:
                    query = select(t.Setting.value)
                    if not book.is_file:
                        query = query.with_for_update()
                    value = int(connection.execute(query).scalar_one())
                    connection.execute(update(t.Setting).values(value=str(value + 1)))
                done += 1
            except BookError:
                # A server says that another came first; the shop's program tries again.
                assert not book.is_file

    threads = [threading.Thread(target=add_many) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with book.reading() as connection:
        assert connection.execute(select(t.Setting.value)).scalar_one() == "100"


def test_a_transaction_that_fails_leaves_nothing(book: Book) -> None:
    with pytest.raises(RuntimeError), book.writing() as connection:
        connection.execute(insert(t.Setting).values(name="half", value="1"))
        raise RuntimeError
    with book.reading() as connection:
        assert connection.execute(select(t.Setting.name)).all() == []


def test_foreign_keys_and_words_are_enforced(book: Book) -> None:
    with pytest.raises(BookError), book.writing() as connection:
        connection.execute(
            insert(t.ContactPoint).values(
                uid="x", customer_id=999, way="phone", value="1", digits="1", may_use="yes"
            )
        )
    with pytest.raises(BookError), book.writing() as connection:
        connection.execute(insert(t.Customer).values(id=1, uid="c", name="A", notes=""))
        connection.execute(
            insert(t.ContactPoint).values(
                uid="x", customer_id=1, way="pigeon", value="1", digits="1", may_use="yes"
            )
        )


def test_the_migrations_are_found() -> None:
    """In the tree here; .ci/run makes a book with the built wheel alone."""
    assert (migrations_folder() / "env.py").is_file()
