"""What was backed up comes back, of every revision; and whatever is wrong, the book there stays as it is."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import AbstractContextManager, closing
from datetime import date
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from zipfile import ZipFile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select, text

from tests.store.book_picture import derived, picture
from tests.store.small_shop import FOLDER, NAME, small_shop
from wellbook.errors import BookError, WellbookError
from wellbook.exchange.shop_files import load_shop
from wellbook.hole.parts import Pump
from wellbook.store import restoring
from wellbook.store import tables as t
from wellbook.store.attachments import attach, files_of
from wellbook.store.backing_up import back_up
from wellbook.store.book import SCHEMA_REVISION, Book, make_book, open_book, safety_copy
from wellbook.store.daily_backups import backups_folder
from wellbook.store.doctor import look_through
from wellbook.store.fault_words import GONE, REPLACED, in_plain_words
from wellbook.store.forgetting import forget
from wellbook.store.forgotten import marks_kept
from wellbook.store.holes import load_hole
from wellbook.store.places import book_url
from wellbook.store.restoring import restore, restore_to_server
from wellbook.store.search import find
from wellbook.store.shop import say_of_shop
from wellbook.store.wells import add_customer

TODAY = date(2026, 11, 25)
REVISIONS = sorted(FOLDER.glob("*.zip"))


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return small_shop(tmp_path / "shop.book")


@pytest.fixture
def backup(book: Book, tmp_path: Path) -> Path:
    return back_up(book, tmp_path / "copy.zip").path


def names(book: Book) -> set[str]:
    with book.reading() as connection:
        return set(connection.execute(select(t.customer.c.name)).scalars())


def kept(folder: Path) -> list[Path]:
    return sorted(folder.glob("shop.book.replaced-*"))


# -- every revision ----------------------------------------------------------------------------


def test_there_is_one_of_each_revision() -> None:
    assert [path.stem for path in REVISIONS] == [
        f"{n:04d}" for n in range(1, int(SCHEMA_REVISION) + 1)
    ]


@pytest.mark.parametrize("path", REVISIONS, ids=lambda p: p.stem)
def test_a_backup_of_each_revision_comes_back(path: Path, tmp_path: Path) -> None:
    """What was typed in (`backups/shop`) is what the book of today answers."""
    place = tmp_path / "shop.book"
    restored = restore(path, place, "Ida")
    assert (restored.revision, restored.kept_as, restored.files_missing) == (path.stem, None, ())
    book = open_book(place)
    assert names(book) == {"Þorfinna Ælfgard", "水野 渚", "نور الوادي", "Łucja O'Marrow"}
    with book.reading() as connection:
        for words, tag in (("水野", "SB-0001"), ("الوادي", "SB-0002"), ("omarrow", "SB-0003")):
            assert [m.tag for m in find(connection, words)] == [tag]
        assert [m.tag for m in find(connection, "0142")] == ["SB-0001"]
        hole = load_hole(connection, find(connection, "SB-0001")[0].well_id)
        there = hole.the(Pump)
        shop = connection.execute(select(t.book.c.shop_name)).scalar_one()
    assert shop == NAME
    assert there is not None
    component, pump = there
    assert (pump.hp, pump.set_depth_ft, pump.maker) == (1.5, 255, "Oskerby")
    assert str(component.set_on) == "2019-05-21"
    assert not [w for looked in look_through(book) for w in looked.wrong]


@pytest.mark.parametrize("path", REVISIONS, ids=lambda p: p.stem)
def test_each_revision_comes_to_the_same_book(path: Path, book: Book, tmp_path: Path) -> None:
    """What follows from the sheets, and what is due, is what it is in a book made today."""
    restore(path, tmp_path / "old.book", "Ida")
    old = open_book(tmp_path / "old.book")
    with old.reading() as its, book.reading() as mine:
        told = [_without_names(derived(connection)) for connection in (its, mine)]
    assert told[0] == told[1]


def _without_names(lines: list[str]) -> list[str]:
    """Identities are each book's own."""
    own = ("uid", "set_by", "pulled_by", "occurrence", "subject", "counts_from")
    rows = [json.loads(line) for line in lines]
    return sorted(json.dumps({k: v for k, v in row.items() if k not in own}) for row in rows)


# -- the round trip ----------------------------------------------------------------------------


def test_the_book_that_was_there_is_kept_with_all_that_was_in_it(
    book: Book, backup: Path, tmp_path: Path
) -> None:
    with book.reading() as connection:
        before = picture(connection), derived(connection)
    # Somebody was killed: his change stands beside the file still.
    code = (
        "import os, sqlite3, sys; c = sqlite3.connect(sys.argv[1]);"
        "c.execute(\"UPDATE customer SET notes = 'came later' WHERE id = 1\"); c.commit(); os._exit(9)"
    )
    subprocess.run([sys.executable, "-c", code, str(book.path)], check=False)
    assert book.path.with_name("shop.book-wal").stat().st_size
    restored = restore(backup, book.path, "Ida")
    with book.reading() as connection:
        assert (picture(connection), derived(connection)) == before
        line = connection.execute(select(t.change).order_by(t.change.c.id.desc())).first()
    assert line is not None
    assert (line.action, line.what, line.who) == ("restore", "book", "Ida")
    assert restored.kept_as is not None
    with closing(sqlite3.connect(restored.kept_as)) as connection:
        assert connection.execute("SELECT notes FROM customer WHERE id = 1").fetchone() == (
            "came later",
        )
    left = {path.name for path in tmp_path.iterdir()}
    assert left == {"shop.book", "copy.zip", restored.kept_as.name}
    with book.reading() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"


def test_a_plain_copy_from_before_an_upgrade_comes_back_too(book: Book) -> None:
    copy = safety_copy(book, SCHEMA_REVISION)
    with book.writing() as connection:
        connection.execute(text("DELETE FROM contact_point"))
    restore(copy, book.path, "Ida")
    with book.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM contact_point")).scalar() == 4


def test_files_of_wells_come_back_and_those_that_are_there_stay(book: Book, tmp_path: Path) -> None:
    sums = []
    with book.reading() as connection:
        files = files_of(book, connection)
    for word in ("stays", "goes", "rots"):
        path = tmp_path / word
        path.write_text(word)
        with files.copied(path) as copied, book.writing() as connection:
            attach(connection, "Ida", files, 1, copied, name=word, today=TODAY)
            sums.append(copied.sha256)
    backup = back_up(book, tmp_path / "copy.zip").path
    daily = back_up(book, tmp_path / "daily.zip", with_files=False).path
    files.path(sums[1]).unlink()
    files.path(sums[2]).write_text("rotten")
    assert restore(daily, book.path, "Ida").files_missing == tuple(sorted(sums[1:]))
    restored = restore(backup, book.path, "Ida")
    assert (restored.files, restored.files_missing) == (2, ())
    assert [files.path(s).read_text() for s in sums] == ["stays", "goes", "rots"]


def test_a_book_behind_a_link_is_put_right_where_it_is(
    book: Book, backup: Path, tmp_path: Path
) -> None:
    (tmp_path / "desk").mkdir()
    link = tmp_path / "desk" / "link.book"
    link.symlink_to(book.path)
    with book.writing() as connection:
        connection.execute(text("DELETE FROM contact_point"))
    restored = restore(backup, link, "Ida")
    assert link.is_symlink()
    assert restored.kept_as is not None
    assert restored.kept_as.parent == book.path.parent
    with book.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM contact_point")).scalar() == 4


# -- what is refused ---------------------------------------------------------------------------


def refused(backup: Path, place: Path) -> str:
    """The line that says no; the folder of the book is then as it was."""
    before = {path.name: path.read_bytes() for path in place.parent.iterdir() if path.is_file()}
    with pytest.raises(WellbookError) as caught:
        restore(backup, place, "Ida")
    assert {p.name: p.read_bytes() for p in place.parent.iterdir() if p.is_file()} == before
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_what_is_no_backup_is_refused(book: Book, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    for name, data, words in (
        ("letter.txt", b"Dear Ida", "no backup"),
        ("empty", b"", "no backup"),
        ("zeros", bytes(5000), "no backup"),
    ):
        (other / name).write_bytes(data)
        assert words in refused(other / name, book.path)
    with ZipFile(other / "photos.zip", "w") as archive:
        archive.writestr("a.jpg", "a")
    assert "no backup of a book" in refused(other / "photos.zip", book.path)
    with closing(sqlite3.connect(other / "other.db")) as connection:
        connection.execute("CREATE TABLE songs (name TEXT)")
        connection.commit()
    assert "no book in this file" in refused(other / "other.db", book.path)
    assert "no such file" in refused(other / "nowhere.zip", book.path)
    assert "folder" in refused(other, book.path)
    assert "itself" in refused(book.path, book.path)


def test_a_newer_one_is_refused(book: Book, tmp_path: Path) -> None:
    newer = tmp_path / "newer.book"
    shutil.copy(book.path, newer)
    with closing(sqlite3.connect(newer)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()
    backup = back_up(Book(book_url(newer)), tmp_path / "newer.zip").path
    for path in (newer, backup):
        assert "install the newer wellbook" in refused(path, book.path)


def test_a_backup_of_a_newer_form_is_refused(backup: Path, book: Book, tmp_path: Path) -> None:
    newer = tmp_path / "newer.zip"
    with ZipFile(backup) as old, ZipFile(newer, "w") as new:
        said = json.loads(old.read("backup.json"))
        new.writestr("backup.json", json.dumps({**said, "wellbook_backup": 99}))
        new.writestr("book.sqlite", old.read("book.sqlite"))
    assert "newer wellbook" in refused(newer, book.path)


@pytest.mark.parametrize("tenths", range(10))
def test_a_truncated_one_is_refused(backup: Path, book: Book, tmp_path: Path, tenths: int) -> None:
    data = backup.read_bytes()
    short = tmp_path / "short.zip"
    short.write_bytes(data[: len(data) * tenths // 10 + 5])
    assert "backup" in refused(short, book.path)


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, bytes]:
    """A place for a book, and a backup's bytes."""
    room = tmp_path_factory.mktemp("sound")
    made = small_shop(room / "shop.book")
    return room, back_up(made, room / "copy.zip").path.read_bytes()


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_byte_is_wrong_it_is_refused_or_does_no_harm(
    sound: tuple[Path, bytes], data: st.DataObject
) -> None:
    """Never a traceback, never half a book: what is not refused comes back whole."""
    room, whole = sound
    wrong = bytearray(whole)
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.integers(0, len(whole) - 1))
        wrong[place] ^= data.draw(st.integers(1, 255))
    path, target = room / "wrong.zip", room / "wrong.book"
    path.write_bytes(wrong)
    target.unlink(missing_ok=True)
    try:
        restore(path, target, "Ida")
    except WellbookError:
        assert not target.exists()
        return
    with (
        Book(book_url(target)).reading() as mine,
        Book(book_url(room / "shop.book")).reading() as its,
    ):
        assert picture(mine) == picture(its)


def test_a_photograph_that_is_damaged_in_it_keeps_nobody_from_his_book(
    book: Book, tmp_path: Path
) -> None:
    with book.reading() as connection:
        files = files_of(book, connection)
    for name in ("a.txt", "b.txt"):
        (tmp_path / name).write_text(name * 999)
        with files.copied(tmp_path / name) as copied, book.writing() as connection:
            attach(connection, "Ida", files, 1, copied, name=name, today=TODAY)
    backup = back_up(book, tmp_path / "copy.zip").path
    data = backup.read_bytes()
    backup.write_bytes(data.replace(b"a.txta.txt", b"X.txta.txt", 1))
    target = tmp_path / "elsewhere" / "shop.book"
    restored = restore(backup, target, "Ida")
    assert restored.files == 1
    assert len(restored.files_missing) == 1
    assert names(Book(book_url(target))) == names(book)


def test_what_an_engine_left_beside_a_book_that_was_taken_away_is_not_taken_for_its_own(
    book: Book, backup: Path
) -> None:
    """Beside another file the engine would play a log back that was never this one's (SQLite, "How To
    Corrupt An SQLite Database File", 1.3 and 1.4)."""
    before = names(book)
    open_still = sqlite3.connect(book.path, isolation_level=None)
    open_still.execute("PRAGMA wal_autocheckpoint = 0")
    open_still.execute("UPDATE customer SET name = 'from the log', name_key = NULL")
    left = {end: Path(f"{book.path}{end}").read_bytes() for end in ("-wal", "-shm")}
    open_still.close()
    book.path.unlink()
    for end, data in left.items():
        Path(f"{book.path}{end}").write_bytes(data)
    restore(backup, book.path, "Ida")
    assert names(book) == before
    assert [p.name[-4:] for p in kept(book.path.parent)] == ["-shm", "-wal"]


def test_a_folder_is_no_place_for_a_book(backup: Path, tmp_path: Path) -> None:
    with pytest.raises(BookError, match="this is a folder"):
        restore(backup, tmp_path, "Ida")
    assert not tmp_path.with_name(f"{tmp_path.name}.files").exists()


def test_a_file_that_comes_to_the_place_meanwhile_stays(
    backup: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target, real = tmp_path / "new.book", os.link

    def link(source: Path, to: Path) -> None:
        to.write_text("of somebody else")
        real(source, to)

    monkeypatch.setattr("wellbook.store.swapping.os.link", link)
    with pytest.raises(BookError, match="somebody has put a file here"):
        restore(backup, target, "Ida")
    assert target.read_text() == "of somebody else"


# -- others at the book ------------------------------------------------------------------------


def test_a_book_that_is_open_elsewhere_is_left_alone(
    book: Book, backup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wellbook.store.swapping.WAIT_SECONDS", 0)
    with book.reading() as connection:
        connection.execute(text("SELECT count(*) FROM well")).all()
        with pytest.raises(BookError, match="another program has this book open"):
            restore(backup, book.path, "Ida")
        connection.execute(text("SELECT count(*) FROM well")).all()
    with book.writing() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
    assert not kept(book.path.parent)


def test_who_opens_it_between_two_steps_is_noticed(
    book: Book, backup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The engine would let both go on: a book that is opened goes back into the mode for several."""

    class Opened(sqlite3.Connection):
        def execute(self, sql: str, *args: Any) -> sqlite3.Cursor:
            if sql == "BEGIN EXCLUSIVE":
                open_book(book.path).close()
            return super().execute(sql, *args)

    real = sqlite3.connect
    monkeypatch.setattr(
        "wellbook.store.swapping.sqlite3",
        SimpleNamespace(**{**vars(sqlite3), "connect": partial(real, factory=Opened)}),
    )
    with pytest.raises(BookError, match="another program has this book open"):
        restore(backup, book.path, "Ida")
    assert not kept(book.path.parent)


def test_a_book_that_is_taken_between_two_steps_keeps_its_mode(
    book: Book, backup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Taken(sqlite3.Connection):
        def execute(self, sql: str, *values: Any) -> sqlite3.Cursor:
            if sql == "BEGIN EXCLUSIVE":
                with closing(sqlite3.connect(book.path, isolation_level=None)) as other:
                    other.execute("BEGIN IMMEDIATE")
                    return super().execute(sql, *values)
            return super().execute(sql, *values)

    real = sqlite3.connect

    def connect(place: object, **options: Any) -> sqlite3.Connection:
        its = {"factory": Taken, "timeout": 0} if place == book.path and options else {}
        return real(place, **{**options, **its})  # type: ignore[arg-type]

    monkeypatch.setattr("wellbook.store.swapping.sqlite3.connect", connect)
    with pytest.raises(BookError, match="another program has this book open"):
        restore(backup, book.path, "Ida")
    monkeypatch.undo()
    assert not [x.wrong for x in look_through(book) if x.wrong]


def test_who_waits_to_write_does_not_write_into_the_kept_book(
    book: Book, backup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """He opened the file before it was swapped. The engine sees that it has moved, and says no."""
    opened_before = sqlite3.connect(
        book.path, timeout=20, isolation_level=None, check_same_thread=False
    )
    said: list[sqlite3.Error] = []
    waits = threading.Event()

    def write() -> None:
        waits.set()
        try:
            opened_before.execute("BEGIN IMMEDIATE")
            opened_before.execute("UPDATE customer SET notes = 'lost' WHERE id = 1")
            opened_before.execute("COMMIT")
        except sqlite3.Error as error:
            said.append(error)

    real, writers = os.link, []

    def link(source: Path, target: Path) -> None:
        writers.append(threading.Thread(target=write))
        writers[0].start()
        waits.wait()
        real(source, target)

    monkeypatch.setattr("wellbook.store.swapping.os.link", link)
    restored = restore(backup, book.path, "Ida")
    writers[0].join()
    opened_before.close()
    assert restored.kept_as is not None
    for path in (restored.kept_as, book.path):
        with closing(sqlite3.connect(path)) as connection:
            notes = connection.execute("SELECT notes FROM customer WHERE id = 1").fetchone()[0]
        assert notes == ""
    assert [error.sqlite_errorname for error in said] == ["SQLITE_READONLY_DBMOVED"]
    assert in_plain_words(said[0], book.path) == REPLACED
    book.path.unlink()
    assert in_plain_words(said[0], book.path) == GONE


@pytest.mark.parametrize("step", ["before", "linked", "after"])
def test_killed_at_the_swap_there_is_a_book(book: Book, backup: Path, step: str) -> None:
    code = f"""
import os, sys
from pathlib import Path
from wellbook.store import restoring, swapping
step, real = {step!r}, os.link
def link(a, b):
    if step == "before": os._exit(9)
    real(a, b)
    if step == "linked": os._exit(9)
swapping.os.link = link
done = restoring.folder_to_disk
restoring.folder_to_disk = lambda folder: os._exit(9) if step == "after" else done(folder)
restoring.restore(Path(sys.argv[1]), Path(sys.argv[2]), "Ida")
"""
    with book.writing() as connection:
        connection.execute(text("UPDATE customer SET notes = 'new' WHERE id = 1"))
    done = subprocess.run([sys.executable, "-c", code, str(backup), str(book.path)], check=False)
    assert done.returncode == 9
    with open_book(book.path).writing() as connection:
        notes = connection.execute(text("SELECT notes FROM customer WHERE id = 1")).scalar()
        assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    assert notes == ("" if step == "after" else "new")


def test_a_damaged_book_is_put_right_and_kept(book: Book, backup: Path, tmp_path: Path) -> None:
    for data in (b"not a book at all" * 400, book.path.read_bytes()[:9000], b""):
        book.path.write_bytes(data)
        restored = restore(backup, book.path, "Ida")
        assert restored.marks_unread
        assert len(names(book)) == 4
        assert restored.kept_as is not None
        restored.kept_as.unlink()


# -- who was forgotten -------------------------------------------------------------------------


def number_of(book: Book, name: str) -> int:
    with book.reading() as connection:
        query = select(t.customer.c.id).where(t.customer.c.name == name)
        return int(connection.execute(query).scalar_one())


def test_who_was_forgotten_since_stays_forgotten(book: Book, backup: Path) -> None:
    number = number_of(book, "水野 渚")
    with book.writing() as connection:
        new = add_customer(connection, "Ida", "Bo Quill", phones=("555-0199",))
        forget(connection, "Ida", number)
        forget(connection, "Ida", new)
        marks = set(marks_kept(connection))
        rows = set(connection.execute(select(t.forgotten.c.row_uid)).scalars())
    restored = restore(backup, book.path, "Ida")
    assert restored.forgotten == 1
    assert not restored.marks_unread
    assert "水野 渚" not in names(book)
    data = book.path.read_bytes()
    assert "水野".encode() not in data
    assert b"nagisa@mizuno" not in data
    with book.reading() as connection:
        # Of who came after the backup it stays known too.
        assert set(marks_kept(connection)) == marks
        assert rows <= set(connection.execute(select(t.forgotten.c.row_uid)).scalars())
        assert not find(connection, "水野")
    assert restore(backup, book.path, "Ida").forgotten == 1


def test_a_book_of_another_shop_forgets_nobody_here(book: Book, tmp_path: Path) -> None:
    other = small_shop(tmp_path / "other.book")
    with book.writing() as connection:
        forget(connection, "Ida", 2)
    restored = restore(back_up(other, tmp_path / "o.zip").path, book.path, "Ida")
    assert (restored.forgotten, restored.another) == (0, NAME)
    assert (restored.marks_unread, restored.marks_of) == (True, "")
    assert len(names(book)) == 4


def test_where_the_book_is_damaged_its_newest_backup_is_asked(book: Book, backup: Path) -> None:
    with book.writing() as connection:
        forget(connection, "Ida", number_of(book, "水野 渚"))
    backups_folder(book.path).mkdir()
    later = back_up(book, backups_folder(book.path) / "by-hand.zip")
    book.path.write_bytes(b"damaged" * 999)
    restored = restore(backup, book.path, "Ida")
    assert (restored.forgotten, restored.marks_unread) == (1, True)
    assert restored.marks_of == later.manifest.made_at
    assert "水野 渚" not in names(book)


@pytest.mark.parametrize("there", ["nothing", "another book"])
def test_where_the_book_is_not_there_its_newest_backup_is_asked(
    book: Book, backup: Path, there: str
) -> None:
    with book.writing() as connection:
        forget(connection, "Ida", number_of(book, "水野 渚"))
    backups_folder(book.path).mkdir()
    later = back_up(book, backups_folder(book.path) / "by-hand.zip")
    book.path.unlink()
    if there == "another book":
        make_book(book.path, shop_name="Another").close()
    restored = restore(backup, book.path, "Ida")
    assert (restored.forgotten, restored.marks_of) == (1, later.manifest.made_at)
    assert restored.another == ("Another" if there == "another book" else "")
    assert "水野 渚" not in names(book)


def test_who_is_forgotten_while_it_is_made_ready_is_noticed(
    book: Book, backup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = restoring.forget_again

    def slow(*args: object) -> int:
        with book.writing() as connection:
            forget(connection, "Ida", 2)
        return real(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(restoring, "forget_again", slow)
    with pytest.raises(BookError, match="meanwhile"):
        restore(backup, book.path, "Ida")
    with book.writing() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
    monkeypatch.undo()
    assert restore(backup, book.path, "Ida").forgotten == 1


# -- on a server -------------------------------------------------------------------------------


def test_on_either_engine_a_book_goes_into_a_backup_and_comes_back(
    place: str, tmp_path: Path, new_place: Callable[[], AbstractContextManager[str]]
) -> None:
    """From each engine into a file and onto a server, with a file of a well."""
    made = make_book(place, shop_name=NAME)
    (tmp_path / "shared").mkdir()
    load_shop(made, FOLDER / "shop", who="Ida", today=TODAY)
    with made.writing() as connection:
        say_of_shop(connection, "Ida", "files", str(tmp_path / "shared"))
    (tmp_path / "lid").write_text("a lid")
    with made.reading() as connection:
        files = files_of(made, connection)
        before = picture(connection), derived(connection)
    with files.copied(tmp_path / "lid") as copied, made.writing() as connection:
        attach(connection, "Ida", files, 1, copied, name="lid", today=TODAY)
    with made.reading() as connection:
        before = picture(connection), derived(connection)
    backup = back_up(made, tmp_path / "copy.zip")
    assert backup.files == 1
    file = tmp_path / "back" / "again.book"
    restored = restore(backup.path, file, "Ida")
    assert (restored.files, restored.files_missing) == (1, ())
    with Book(book_url(file)).reading() as connection:
        assert (picture(connection), derived(connection)) == before
    with new_place() as url:
        restored = restore_to_server(backup.path, url, "Ida")
        assert restored.files == 1
        with Book(book_url(url)).reading() as connection:
            assert (picture(connection), derived(connection)) == before
        with pytest.raises(BookError, match="there is a book already"):
            restore_to_server(backup.path, url, "Ida")
