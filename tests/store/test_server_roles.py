"""A server's book by the roles of docs/shared_book.md: its GRANT lines are what is run here."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.engine import make_url

from tests.cli.commands import Commands
from tests.exchange.lived_in import live
from wellbook.errors import BookError
from wellbook.store import tables as t
from wellbook.store.book import open_book, same_place
from wellbook.store.copying import copy_book, summed
from wellbook.store.rows import add

PAGE = Path(__file__).parents[2] / "docs" / "shared_book.md"
TODAY = date(2026, 11, 25)


def lines(name: str, *, mark: str) -> list[str]:
    """The statements of a block of the page, with roles of this test alone."""
    page = PAGE.read_text("utf-8")
    block = re.search(rf"<!-- grants: {name} -->\n```sql\n(.*?)```\n<!-- end -->", page, re.DOTALL)
    assert block is not None
    own = re.sub(r"\b(shop_\w+|shop|marit|workshop)\b", rf"\1_{mark}", block[1])
    return [line for line in own.split(";\n") if line.strip()]


@dataclass(frozen=True)
class Roles:
    """The book's URL of each kind of person."""

    owner: str
    writer: str
    reader: str


@pytest.fixture
def roles(server_url: str) -> Iterator[Roles]:
    """A database and its roles as the page makes them; the book is made, and its rights given."""
    mark = f"t{os.getpid()}"
    admin = create_engine(server_url, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        # One who may not do all, as a managed service gives it.
        connection.execute(text(f"CREATE ROLE managed_{mark} LOGIN CREATEROLE CREATEDB"))
    managed = create_engine(
        make_url(server_url).set(username=f"managed_{mark}"), isolation_level="AUTOCOMMIT"
    )
    with managed.connect() as connection:
        for line in lines("administrator", mark=mark):
            connection.execute(text(line))
    database = make_url(server_url).set(database=f"shop_{mark}")

    def of(name: str) -> str:
        return database.set(username=f"{name}_{mark}").render_as_string(hide_password=False)

    from wellbook.store.book import make_book

    found = Roles(of("shop_owner"), of("marit"), of("workshop"))
    try:
        make_book(found.owner, shop_name="Fen Pumps").close()
        owner = create_engine(found.owner, isolation_level="AUTOCOMMIT")
        with owner.connect() as connection:
            for line in lines("owner", mark=mark):
                connection.execute(text(line))
        owner.dispose()
        with managed.connect() as connection:
            for line in lines("people", mark=mark):
                connection.execute(text(line))
        yield found
    finally:
        managed.dispose()
        with admin.connect() as connection:
            connection.execute(text(f"DROP DATABASE shop_{mark} WITH (FORCE)"))
            for name in (
                "marit",
                "workshop",
                "shop_writers",
                "shop_readers",
                "shop_owner",
                "managed",
            ):
                connection.execute(text(f"DROP ROLE IF EXISTS {name}_{mark}"))
        admin.dispose()


def test_each_role_can_do_what_it_is_for_and_no_more(
    roles: Roles,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("WELLBOOK_TODAY", TODAY.isoformat())
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    # A writer does all that happens in a shop: imports, undoing, doubles, a merge, forgetting, files.
    writer = open_book(roles.writer)
    live(writer, tmp_path)
    run = Commands(capsys, "--book", roles.writer)
    run.fine("rules", "set", "check-up.months", "14", "--yes")
    # A reader looks, and copies.
    look = Commands(capsys, "--book", roles.reader)
    assert "Q-1" in look.fine("find", "Q-1")
    for command in (("hole", "Q-1"), ("due",), ("history", "Q-1"), ("files", "list")):
        look.fine(*command)
    copied = copy_book(open_book(roles.reader), tmp_path / "copy.book")
    with writer.reading() as connection:
        assert summed(connection) == copied.tables
    # Neither can do more.
    assert "permission denied" in look.refused("well", "edit", "Q-1", "--notes", "mine")
    for url in (roles.writer, roles.reader):
        for statement in (
            "DROP TABLE well",
            "CREATE TABLE mine (id integer)",
            "ALTER TABLE well ADD COLUMN mine integer",
            "UPDATE alembic_version SET version_num = '9999'",
        ):
            with pytest.raises(BookError), open_book(url).reading() as connection:
                connection.execute(text(statement))
    # Of a table that a later version adds the rights are there already.
    owner = create_engine(roles.owner, isolation_level="AUTOCOMMIT")
    with owner.connect() as connection:
        connection.execute(text("CREATE TABLE later (id serial PRIMARY KEY)"))
    owner.dispose()
    with writer.writing() as connection:
        connection.execute(text("INSERT INTO later DEFAULT VALUES"))
        connection.execute(text("DELETE FROM later"))


def test_who_is_of_no_role_of_the_book_does_not_get_in(roles: Roles, server_url: str) -> None:
    other = f"stranger_t{os.getpid()}"
    admin = create_engine(server_url, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(f"CREATE ROLE {other} LOGIN"))
    try:
        with pytest.raises(BookError, match="does not let this user into that database"):
            open_book(make_url(roles.reader).set(username=other).render_as_string())
    finally:
        with admin.connect() as connection:
            connection.execute(text(f"DROP ROLE {other}"))
        admin.dispose()


def test_what_the_servers_own_tools_saved_is_the_book_with_its_rights(
    roles: Roles, tmp_path: Path, server_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the page says it: dumped by a reader, brought back by the owner into a new database."""
    dump, restore = (shutil.which(name) for name in ("pg_dump", "pg_restore"))
    if dump is None or restore is None:
        pytest.skip("the server's own tools are not on this machine")
    monkeypatch.setenv("WELLBOOK_TODAY", TODAY.isoformat())
    live(open_book(roles.writer), tmp_path)
    with open_book(roles.reader).reading() as connection:
        start = summed(connection)
    file = str(tmp_path / "shop.dump")
    said = [dump, "--format=custom", f"--file={file}", _for_tools(roles.reader)]
    subprocess.run(said, check=True, capture_output=True)
    url = make_url(roles.owner)
    back = f"{url.database}_2"
    admin = create_engine(server_url, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {back} OWNER {url.username}"))
    try:
        to = f"--dbname={_for_tools(roles.owner, back)}"
        said = [restore, "--exit-on-error", "--no-owner", to, file]
        subprocess.run(said, check=True, capture_output=True)
        again = open_book(make_url(roles.writer).set(database=back).render_as_string())
        with again.reading() as connection:
            assert summed(connection) == start
        with again.writing() as connection:
            add(connection, "me", t.customer, {"name": "Ada", "notes": ""})
    finally:
        with admin.connect() as connection:
            connection.execute(text(f"DROP DATABASE {back} WITH (FORCE)"))
        admin.dispose()


def _for_tools(url: str, database: str | None = None) -> str:
    """A URL as the server's tools take it, which know of no driver."""
    said = make_url(url).set(drivername="postgresql", database=database or make_url(url).database)
    return said.render_as_string(hide_password=False)


def test_a_book_is_named_by_a_service_and_no_password_stands_anywhere(
    roles: Roles, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """PostgreSQL manual, "The Connection Service File"."""
    url = make_url(roles.writer)
    said = {"host": url.host, "port": url.port, "dbname": url.database, "user": url.username}
    file = tmp_path / "services.conf"
    of_both = [f"[{name}]\n" + "".join(f"{k}={v}\n" for k, v in said.items()) for name in "ab"]
    file.write_text("\n".join(of_both), "utf-8")
    monkeypatch.setenv("PGSERVICEFILE", str(file))
    book = open_book("postgresql+psycopg:///?service=a")
    with book.reading() as connection:
        assert connection.execute(text("SELECT shop_name FROM book")).scalar() == "Fen Pumps"
    assert same_place(book, open_book("postgresql+psycopg:///?service=a"))
    assert not same_place(book, open_book("postgresql+psycopg:///?service=b"))
