"""A backup is what the book was at one moment, or there is none."""

from __future__ import annotations

import errno
import sqlite3
import threading
from contextlib import closing
from pathlib import Path
from zipfile import ZipFile

import pytest
from sqlalchemy import text

from tests.conftest import TODAY
from tests.store.book_picture import derived, picture
from wellbook.errors import BookError, WellbookError
from wellbook.store import backing_up, backup_file
from wellbook.store.attachments import attach, files_of
from wellbook.store.backing_up import back_up, how_it_stands
from wellbook.store.backup_file import opened
from wellbook.store.book import Book, open_book
from wellbook.store.kept_files import KeptFiles
from wellbook.store.places import book_url


@pytest.fixture
def book(shop: Path) -> Book:
    return open_book(shop)


def brought(book: Book, path: Path) -> str:
    """Attach a file to the first well; its sum."""
    with book.reading() as connection:
        files = files_of(book, connection)
    with files.copied(path) as copied, book.writing() as connection:
        attach(connection, "Ida", files, 1, copied, name=path.name, today=TODAY)
        return copied.sha256


def taken_out(path: Path, target: Path) -> Book:
    with opened(path) as backup:
        backup.take_out(target)
    return Book(book_url(target))


def test_what_is_in_it_is_what_was_in_the_book(book: Book, tmp_path: Path) -> None:
    made = back_up(book, tmp_path / "copy.zip")
    copy = taken_out(made.path, tmp_path / "copy.book")
    with book.reading() as its, copy.reading() as mine:
        assert picture(mine) == picture(its)
        assert derived(mine) == derived(its)
        lines = "SELECT count(*), max(id) FROM change"
        assert mine.execute(text(lines)).all() == its.execute(text(lines)).all()
    assert made.manifest.rows["well"] == 93
    # No journal of its own: the one file is the whole database.
    assert sorted(ZipFile(made.path).namelist()) == ["backup.json", "book.sqlite"]


def test_writers_go_on_and_it_holds_one_moment(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A writer always writes two rows together; he is at it at every step of the copy."""
    monkeypatch.setattr(backing_up, "_PAGES", 20)
    with book.writing() as connection:
        connection.execute(text("CREATE TABLE pairs (n INTEGER)"))
    go_on, at_it, written = True, threading.Event(), []

    def write() -> None:
        while go_on:
            with book.writing() as connection:
                for _ in range(2):
                    connection.execute(text("INSERT INTO pairs VALUES (1)"))
            written.append(2)
            at_it.set()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        at_it.wait()
        made = [back_up(book, tmp_path / f"{n}.zip").manifest.rows["pairs"] for n in range(3)]
        before = len(written)
    finally:
        go_on = False
        writer.join()
    assert before > 3
    assert all(rows > 0 and rows % 2 == 0 for rows in made)
    assert made == sorted(made)


def test_files_of_wells_are_in_it_and_what_is_missing_is_said(book: Book, tmp_path: Path) -> None:
    sums = []
    for name in ("one", "two", "three"):
        path = tmp_path / f"{name}.jpg"
        path.write_bytes(b"\xff\xd8\xff" + name.encode())
        sums.append(brought(book, path))
    files = KeptFiles(book.path.with_name("shop.book.files"))
    files.path(sums[1]).unlink()
    files.path(sums[2]).write_bytes(b"not what it was")
    made = back_up(book, tmp_path / "copy.zip")
    assert made.files == 1
    assert dict(made.manifest.missing) == {sums[1]: "gone", sums[2]: "changed"}
    with opened(made.path) as backup:
        assert backup.files == [sums[0]]
        backup.take_file(sums[0], tmp_path / "again")
    assert (tmp_path / "again").read_bytes() == b"\xff\xd8\xffone"
    assert back_up(book, tmp_path / "daily.zip", with_files=False).files == 0


def test_a_name_that_is_taken_stays(book: Book, tmp_path: Path) -> None:
    taken = tmp_path / "copy.zip"
    taken.write_text("mine")
    with pytest.raises(WellbookError, match="name another"):
        back_up(book, taken)
    assert taken.read_text() == "mine"


def nothing_left(folder: Path, *names: str) -> bool:
    return sorted(path.name for path in folder.iterdir()) == sorted(names)


def test_a_full_disk_leaves_nothing(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> str:
        raise OSError(errno.ENOSPC, "No space left on device")

    (tmp_path / "usb").mkdir()
    monkeypatch.setattr(backup_file.NewBackup, "put_database", full)
    with pytest.raises(WellbookError, match="No space left"):
        back_up(book, tmp_path / "usb" / "copy.zip")
    assert nothing_left(tmp_path / "usb")


@pytest.mark.usefixtures("full_disk")
def test_where_the_disk_of_the_backup_is_full_the_book_is_not_blamed(
    book: Book, tmp_path: Path
) -> None:
    (tmp_path / "usb").mkdir()
    with pytest.raises(WellbookError) as raised:
        back_up(book, tmp_path / "usb" / "copy.zip")
    assert raised.value.where == str(tmp_path / "usb" / "copy.zip")
    assert "No space left" in raised.value.message
    assert nothing_left(tmp_path / "usb")


def test_what_reads_back_otherwise_is_no_backup(
    book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stick that gives back other bytes than it was given."""
    real = backing_up.verify

    def rotten(path: Path, of: Book) -> tuple[int, int]:
        data = bytearray(path.read_bytes())
        data[len(data) // 2] ^= 1
        path.write_bytes(data)
        return real(path, of)

    (tmp_path / "usb").mkdir()
    monkeypatch.setattr(backing_up, "verify", rotten)
    with pytest.raises(
        BookError, match="not what was written; try again, or to another disk"
    ) as said:
        back_up(book, tmp_path / "usb" / "copy.zip")
    assert said.value.where == str(tmp_path / "usb" / "copy.zip")
    assert nothing_left(tmp_path / "usb")


def test_a_damaged_book_is_not_taken_for_a_backup(book: Book, tmp_path: Path) -> None:
    (tmp_path / "usb").mkdir()
    with closing(sqlite3.connect(book.path)) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'due'"
        ).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    with book.path.open("rb+") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)
    with pytest.raises(BookError, match="damaged"):
        back_up(book, tmp_path / "usb" / "copy.zip")
    assert nothing_left(tmp_path / "usb")


def test_how_a_book_stands_changes_with_any_change(book: Book) -> None:
    before = how_it_stands(book)
    with book.reading() as connection:
        connection.execute(text("SELECT count(*) FROM well")).all()
    assert before and how_it_stands(book) == before
    with book.writing() as connection:
        connection.execute(text("UPDATE customer SET notes = 'x' WHERE id = 1"))
    assert how_it_stands(book) != before
