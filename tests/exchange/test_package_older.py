"""A package that an older program wrote comes back, by the book's own migrations; a newer one is refused."""

from __future__ import annotations

import csv
import hashlib
import json
import shutil
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from frictionless import validate
from sqlalchemy import MetaData, insert, select

from tests.exchange.equal_books import all_rows
from wellbook.errors import BookError, WellbookError
from wellbook.exchange import package_description, package_older, package_out
from wellbook.exchange.package_in import read_package
from wellbook.exchange.package_out import write_package
from wellbook.exchange.package_tables import DESCRIPTION, package_tables
from wellbook.exchange.undoing import undo
from wellbook.store import book as books
from wellbook.store import doubles
from wellbook.store import tables as t
from wellbook.store.attachments import verify
from wellbook.store.book import SCHEMA_REVISION, Book, make_book, migrate
from wellbook.store.places import book_url

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def package(loaded_shop: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book as a package of today."""
    folder = tmp_path_factory.mktemp("package") / "all"
    write_package(Book(book_url(loaded_shop)), folder, TODAY)
    return folder


@pytest.fixture
def empty(place: str) -> Iterator[Book]:
    """An empty book on each engine in turn."""
    made = make_book(place)
    yield made
    made.close()


# -- as if there had been packages before the first ones -----------------------------------------


def _aged(package: Path, revision: str, room: Path) -> Path:
    """What a package of these rows would have been at an older revision: its tables, its columns."""
    book = Book(book_url(room / "aged.book"))
    migrate(book, revision)
    metadata = MetaData()
    with book.reading() as connection:
        metadata.reflect(connection, only=lambda name, _: name != "alembic_version")
    book.close()
    tables = {table.name: table for table in package_tables(metadata)}
    folder = Path(shutil.copytree(package, room / "aged"))
    said = json.loads((folder / DESCRIPTION).read_text("utf-8"))
    kept = []
    for resource in said["resources"]:
        table = tables.get(resource["name"])
        if table is None:
            (folder / resource["path"]).unlink()
            continue
        there = {field.name for field in table.fields}
        names = [f["name"] for f in resource["schema"]["fields"] if f["name"] in there]
        _narrowed(folder / resource["path"], names)
        digest = hashlib.sha256((folder / resource["path"]).read_bytes()).hexdigest()
        fields = {f["name"]: f for f in resource["schema"]["fields"]}
        resource |= {"hash": f"sha256:{digest}", "schema": {"fields": [fields[n] for n in names]}}
        kept.append(resource)
    said["resources"] = kept
    said["wellbook"]["schema_revision"] = revision
    (folder / DESCRIPTION).write_text(json.dumps(said), "utf-8")
    return folder


def _narrowed(file: Path, names: list[str]) -> None:
    with file.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    with file.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, names, extrasaction="ignore", lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(rows)


@pytest.mark.parametrize("revision", ["0006", "0008"])
def test_a_package_of_an_older_revision_comes_back_equal(
    loaded_shop: Path,
    package: Path,
    empty: Book,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    revision: str,
) -> None:
    """The migrations that there are, from before some tables and columns were there."""
    monkeypatch.setattr(package_description, "FIRST_REVISION", revision)
    folder = _aged(package, revision, tmp_path)
    with pytest.raises(WellbookError, match="it has no table"):
        package_description.read_description(folder).of(package_tables())
    told: list[str] = []
    read_package(empty, folder, told.append)
    assert told == [
        f"this package is of an older program: upgrading from {revision} to {SCHEMA_REVISION}"
    ]
    source, copy = all_rows(Book(book_url(loaded_shop))), all_rows(empty)
    for name, rows in source.items():
        assert copy[name] == rows, name


# -- packages that older programs wrote ------------------------------------------------------------

KEPT = Path(__file__).with_name("packages")
"""What programs of a revision wrote of `lived_in`, each in a folder of its name; none is ever changed."""


@pytest.fixture(params=sorted(p.name for p in KEPT.iterdir()))
def kept(request: pytest.FixtureRequest) -> Path:
    return KEPT / str(request.param)


def _files_here(book: Book, folder: Path) -> None:
    """A server's book needs a folder for its files."""
    if not book.is_file:
        folder.mkdir()
        with book.writing() as connection:
            connection.execute(insert(t.shop_fact).values(name="files", value=str(folder)))


def test_a_kept_package_has_rows_in_every_table(kept: Path) -> None:
    said = json.loads((kept / DESCRIPTION).read_text("utf-8"))
    assert said["wellbook"]["schema_revision"] == kept.name
    tables = [r for r in said["resources"] if not r.get("wellbook")]
    assert all(r["rows"] for r in tables), [r["name"] for r in tables if not r["rows"]]


def test_a_kept_package_is_read_by_every_later_program(
    kept: Path, empty: Book, tmp_path: Path
) -> None:
    _files_here(empty, tmp_path / "server files")
    told: list[str] = []
    read_package(empty, kept, told.append)
    assert len(told) == (kept.name < SCHEMA_REVISION)
    assert verify(empty).whole == 1 and not verify(empty).wrong
    with empty.writing() as connection:

        def all_of(column: Any, **which: object) -> list[Any]:
            query = select(column).filter_by(**which)
            return list(connection.execute(query.order_by(column)).scalars())

        assert all_of(t.book.c.shop_name) == ["Fen Pumps"]
        assert all_of(t.well.c.tag) == ["L-1", "Q-1", "Q-2", "Q-3", "R-900", "R-901"]
        assert set(all_of(t.customer.c.name)) >= {"Hob Tamsley", 'Corvin "Ox" Mossiter'}
        assert set(all_of(t.site.c.longitude, latitude=0.0)) == {-180.0}
        assert set(all_of(t.sheet.c.status)) == {"valid", "superseded", "withdrawn"}
        assert all_of(t.sheet.c.notes, status="superseded") == [
            '+ "all" of it,\r\nin two lines \N{WATER WAVE}'
        ]
        assert "spring 2020" in all_of(t.occupancy.c.since_text)
        assert all_of(t.attachment.c.file_name)[0] == "lid.jpg"
        assert all_of(t.component.c.kind, set_earliest=TODAY) == ["pipe", "pump"]
        assert set(all_of(t.forgotten.c.what)) == {"customer", "contact_point", "call"}
        # What was decided and brought in can still be taken back.
        joined = select(t.decided_pair.c.id).filter_by(decision="joined", taken_back_at=None)
        doubles.back(connection, "Ida", connection.execute(joined).scalar_one())
        assert "F. Oakes" in all_of(t.customer.c.name)
        undo(connection, "Ida", max(all_of(t.import_run.c.id)))
        assert all_of(t.well.c.tag, role="reference") == []


def test_a_kept_package_leaves_again_and_is_equal(
    kept: Path,
    empty: Book,
    tmp_path: Path,
) -> None:
    first = make_book(tmp_path / "first.book")
    read_package(first, kept)
    write_package(first, tmp_path / "again", TODAY)
    assert validate(str(tmp_path / "again" / DESCRIPTION)).valid
    _files_here(empty, tmp_path / "server files")
    read_package(empty, tmp_path / "again")
    copy = all_rows(empty)
    if not empty.is_file:
        copy["shop_fact"] = [r for r in copy["shop_fact"] if ("name", "'files'") not in r]
    for name, rows in all_rows(first).items():
        assert copy[name] == rows, name


# -- the next revision, made up ----------------------------------------------------------------

NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "{next}"
down_revision = "{now}"


def upgrade():
    op.add_column("well", sa.Column("made_up", sa.Text(), nullable=False, server_default="none"))
    op.execute("UPDATE well SET made_up = tag")
    op.execute("UPDATE well SET use = 'was ' || use")
    op.execute({more!r})


def downgrade():
    pass
"""


def _next_program(monkeypatch: pytest.MonkeyPatch, folder: Path, more: str = "SELECT 1") -> str:
    """From now on the program is the next one: it has a revision more."""
    revision = f"{int(SCHEMA_REVISION) + 1:04}"
    shutil.copytree(books.migrations_folder(), folder, ignore=shutil.ignore_patterns("__pycache__"))
    text = NEXT.format(next=revision, now=SCHEMA_REVISION, more=more)
    (folder / "versions" / f"{revision}_made_up.py").write_text(text, "utf-8")
    monkeypatch.setattr(books, "migrations_folder", lambda: folder)
    for module in (books, package_description, package_older, package_out):
        monkeypatch.setattr(module, "SCHEMA_REVISION", revision)
    return revision


def test_a_package_of_today_is_read_by_the_next_program(
    package: Path,
    new_place: Callable[[], AbstractContextManager[str]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """So the next migration breaks no export: its own statements bring the rows up."""
    _next_program(monkeypatch, tmp_path / "migrations")
    with new_place() as server:
        for place in (str(tmp_path / "next.book"), server):
            book = make_book(place)
            told: list[str] = []
            assert read_package(book, package, told.append).rows["well"] == 93
            assert len(told) == 1
            with book.reading() as connection:
                uses = set(connection.execute(select(t.well.c.use)).scalars())
            assert all(use.startswith("was ") for use in uses)
            book.close()


def test_an_upgrade_that_does_not_work_out_is_one_line_and_writes_nothing(
    package: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    revision = _next_program(monkeypatch, tmp_path / "migrations", "DELETE FROM nowhere")
    monkeypatch.undo()
    book = make_book(tmp_path / "shop.book")
    before = all_rows(book)
    for module in (package_description, package_older):
        monkeypatch.setattr(module, "SCHEMA_REVISION", revision)
    monkeypatch.setattr(books, "migrations_folder", lambda: tmp_path / "migrations")
    with pytest.raises(WellbookError, match="did not work out, nothing was written") as caught:
        read_package(book, package)
    assert not isinstance(caught.value, BookError)
    assert caught.value.where == str(package)
    assert "\n" not in str(caught.value)
    assert all_rows(book) == before


def test_a_package_of_the_next_program_is_refused(
    package: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, file_book: Book
) -> None:
    with monkeypatch.context() as there:
        _next_program(there, tmp_path / "migrations")
        book = make_book(tmp_path / "next.book")
        write_package(book, tmp_path / "next", TODAY)
    with pytest.raises(WellbookError, match="install the newer wellbook") as caught:
        read_package(file_book, tmp_path / "next")
    assert "\n" not in str(caught.value)


def test_what_is_wrong_with_an_older_package_is_named(
    package: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, file_book: Book
) -> None:
    mine = Path(shutil.copytree(package, tmp_path / "mine"))
    well = mine / "tables" / "well.csv"
    well.write_bytes(well.read_bytes().replace(b"TF-0031", b"TF-0032", 1))
    before = all_rows(file_book)
    _next_program(monkeypatch, tmp_path / "migrations")
    with pytest.raises(WellbookError) as caught:
        read_package(file_book, mine)
    assert caught.value.where.startswith("tables/well.csv")
    assert "\n" not in str(caught.value)
    assert all_rows(file_book) == before


def test_nothing_is_left_of_the_upgrade(
    package: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What it writes on the way holds names and addresses."""
    room = tmp_path / "room"
    room.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(room))
    _next_program(monkeypatch, tmp_path / "migrations")
    read_package(make_book(tmp_path / "next.book"), package)
    assert list(room.iterdir()) == []
