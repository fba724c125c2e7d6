"""A package that an older program wrote comes back, by the book's own migrations; a newer one is refused."""

from __future__ import annotations

import csv
import hashlib
import json
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import MetaData

from tests.exchange.equal_books import all_rows
from wellbook.errors import WellbookError
from wellbook.exchange import package_description
from wellbook.exchange.package_in import read_package
from wellbook.exchange.package_out import write_package
from wellbook.exchange.package_tables import DESCRIPTION, package_tables
from wellbook.store.book import SCHEMA_REVISION, Book, book_url, make_book, migrate

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
