"""What can happen to a book's file and its disk: full, read-only, taken away, replaced, the power going."""

from __future__ import annotations

import errno
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tomllib
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import insert, select

from tests.faults.fault_table import as_shown, the_line
from tests.faults.victims import OLDER, place
from tests.faults.warm import picture
from wellbook import cli
from wellbook.cli.draft import Draft
from wellbook.errors import BookError, WellbookError
from wellbook.store import engines
from wellbook.store import tables as t
from wellbook.store.book import open_book
from wellbook.store.sheets import record

needs_fork = pytest.mark.skipif(sys.platform == "win32", reason="nothing can be forked here")


# -- full ----------------------------------------------------------------------------------------

SMALL_DISK = """
mount -t tmpfs -o size={room}k full "$1" || exit 77
cp -r "$2/." "$1" && cd "$1" && shift 2 && exec "$@"
"""


def _on_a_small_disk(
    folder: Path, room: Path, spare_kb: int, *words: str
) -> subprocess.CompletedProcess[str]:
    """A command on a copy of a folder, on a real file system with little room, without root."""
    room.mkdir()
    used = sum(-(-f.stat().st_size // 4096) * 4 for f in folder.rglob("*") if f.is_file())
    script = SMALL_DISK.format(room=used + spare_kb)
    python = [sys.executable, "-m", "wellbook", "--book", str(room / "shop.book"), *words]
    unshare = ["unshare", "-Urm", "sh", "-c", script, "sh", str(room), str(folder), *python]
    where = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    if shutil.which("unshare") is None:
        pytest.skip("no small disk can be had here")
    done = subprocess.run(unshare, capture_output=True, text=True, env=where)
    if done.returncode in (1, 77) and "wellbook" not in done.stderr:
        pytest.skip(f"no small disk can be had here: {done.stderr.strip()}")
    return done


@pytest.mark.parametrize(("command", "spare_kb"), [("visit", 100), ("import", 100), ("hole", 8)])
def test_on_a_full_disk_nothing_is_written_and_that_is_said(
    folder: Path, tmp_path: Path, command: str, spare_kb: int
) -> None:
    words = {
        "visit": ["visit", "A-1", "--from", "sheet-1.toml"],
        "import": ["import", "list.csv", "--source", "s", "--as", "ours", "--write"],
        "hole": ["hole", "A-1"],
    }[command]
    done = _on_a_small_disk(folder, tmp_path / "disk", spare_kb, *words)
    assert done.returncode == 2
    *_, last = done.stderr.splitlines()
    assert as_shown(last, tmp_path / "disk" / "shop.book") == the_line("disk full")
    assert "Traceback" not in done.stderr


@pytest.fixture
def no_room(monkeypatch: pytest.MonkeyPatch) -> Callable[[], None]:
    """From now on no file of a book may grow by a page."""

    def full() -> None:
        prepare = engines._prepare_sqlite

        def prepared(connection: Any, record: object) -> None:
            prepare(connection, record)
            (pages,) = connection.execute("PRAGMA page_count").fetchone()
            connection.execute(f"PRAGMA max_page_count = {pages}")

        monkeypatch.setattr(engines, "_prepare_sqlite", prepared)

    return full


def test_where_a_book_may_not_grow_nothing_is_written(
    folder: Path, no_room: Callable[[], None], capsys: pytest.CaptureFixture[str]
) -> None:
    """Without free pages in it, as a book is after much was brought in."""
    with closing(sqlite3.connect(place(folder))) as file:
        file.execute("VACUUM")
    before = picture(place(folder))
    no_room()
    words = ["--book", str(place(folder)), "visit", "A-1", "--from", str(folder / "sheet-1.toml")]
    # What has room in pages that are there is written: the book is full at one time or other.
    while cli.run(words) == 0:
        before = picture(place(folder))
        capsys.readouterr()
    assert as_shown(capsys.readouterr().err, place(folder)) == the_line("disk full")
    assert picture(place(folder)) == before


@needs_fork
def test_an_upgrade_without_room_changes_nothing_and_leaves_no_half_copy(
    forge: Any, tmp_path: Path
) -> None:
    process, beginning, _ = forge
    folder = Path(shutil.copytree(beginning("older") / OLDER[-1], tmp_path / "old"))
    before = picture(place(folder))
    process.order("bring up", folder, "limit", 200_000)
    said = (folder / "said").read_text().splitlines()
    assert said[-1] == "status 2", said
    assert "nothing was written" in said[-2]
    assert picture(place(folder)) == before
    assert [p.name for p in folder.glob("shop.book.before-*")] == []
    process.order("bring up", folder, "again")
    assert "status 0" in (folder / "said").read_text()


def test_a_full_disk_leaves_the_sheet_that_was_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    draft = Draft(open_book(place(folder)), "visit-A-1")
    draft.put("an hour's work")
    write = Path.write_bytes

    def full(path: Path, data: bytes) -> int:
        write(path, data[:5])
        raise OSError(errno.ENOSPC, "No space left on device", str(path))

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(WellbookError) as caught:
        draft.put("an hour's work\nand a word more")
    assert as_shown(str(caught.value), place(folder)) == the_line("disk full draft")
    assert draft.text() == "an hour's work"


# -- read-only -----------------------------------------------------------------------------------


@needs_fork
@pytest.mark.parametrize(
    ("name", "folder_mode", "file_mode", "look", "write"),
    [
        ("read-only folder", 0o555, 0o666, 2, 2),
        ("read-only file", 0o777, 0o444, 0, 2),
        ("unreadable file", 0o777, 0o000, 2, 2),
    ],
)
def test_what_may_not_be_written_or_read_is_said(
    forge: Any, tmp_path: Path, name: str, folder_mode: int, file_mode: int, look: int, write: int
) -> None:
    """By a process that may not; root may do all, and so becomes nobody."""
    process, beginning, room = forge
    folder = Path(shutil.copytree(beginning("shop"), room / name.replace(" ", "-")))
    room.chmod(0o711)
    before = picture(place(folder))
    place(folder).chmod(file_mode)
    (folder / "said").touch()
    (folder / "said").chmod(0o666)
    (folder / "confirmed").touch()
    folder.chmod(folder_mode)
    try:
        for operation, status in (("look", look), ("write", write)):
            process.order(operation, folder, "nobody")
            *said, last = (folder / "said").read_text().splitlines()
            assert last == f"status {status}", said
            if status:
                assert as_shown(said[-1], place(folder)) == the_line(name)
    finally:
        folder.chmod(0o755)
        place(folder).chmod(0o644)
    assert picture(place(folder)) == before
    shutil.rmtree(folder)


# -- taken away ----------------------------------------------------------------------------------


def _away(file: Path) -> None:
    file.unlink()


def _renamed(file: Path) -> None:
    file.rename(file.with_name("moved.book"))


@pytest.mark.skipif(sys.platform == "win32", reason="an open file stays where it is there")
@pytest.mark.parametrize("take", [_away, _renamed])
@pytest.mark.parametrize("before_turn", [True, False])
def test_a_file_that_is_taken_away_is_written_to_no_more(
    folder: Path, take: Callable[[Path], None], before_turn: bool
) -> None:
    book = open_book(place(folder))
    before = picture(place(folder))

    def write() -> None:
        if before_turn:
            take(book.path)
        with book.writing() as connection:
            connection.execute(insert(t.setting).values(name="x", value="1"))
            if not before_turn:
                take(book.path)

    with pytest.raises(BookError) as caught:
        write()
    assert as_shown(str(caught.value), book.path) == the_line("taken away")
    assert not book.path.exists()
    with pytest.raises(BookError) as caught, book.reading():
        pytest.fail("there is nothing to read")
    assert as_shown(str(caught.value), book.path) == the_line("taken away")
    assert not book.path.exists()
    moved = folder / "moved.book"
    if moved.exists():
        moved.rename(book.path)
        assert picture(book.path) == before


@pytest.mark.skipif(sys.platform == "win32", reason="an open file stays where it is there")
def test_a_file_that_is_replaced_is_written_to_no_more(folder: Path) -> None:
    book = open_book(place(folder))
    before = picture(place(folder))
    shutil.copy(book.path, folder / "other.book")
    with pytest.raises(BookError) as caught, book.writing() as connection:
        connection.execute(insert(t.setting).values(name="x", value="1"))
        (folder / "other.book").replace(book.path)
    assert as_shown(str(caught.value), book.path) == the_line("replaced")
    assert picture(book.path) == before


# -- the power going -----------------------------------------------------------------------------


def test_what_is_kept_is_brought_to_the_disk(folder: Path) -> None:
    """sqlite.org/pragma.html: only FULL syncs the log after each transaction, so that it is durable."""
    with open_book(place(folder)).reading() as connection:
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"


def test_a_log_that_ends_anywhere_holds_whole_visits(folder: Path, tmp_path: Path) -> None:
    """What reached the disk of a log is its beginning; frames have 24 bytes before a page (fileformat2)."""
    book = open_book(place(folder))
    log = place(folder).with_name("shop.book-wal")
    states, lengths = [picture(place(folder))], [0]
    with book.reading() as watcher:
        # Somebody who looks on keeps the log from being taken into the book.
        watcher.exec_driver_sql("SELECT count(*) FROM well").scalar()
        for n in range(3):
            data = tomllib.loads((folder / "sheet-1.toml").read_text("utf-8"))
            data |= {"date": f"2026-11-{10 + n}", "notes": f"sheet {n}"}
            with book.writing() as connection:
                number = select(t.well.c.id).filter_by(tag="A-1")
                well = connection.execute(number).scalar_one()
                record(connection, "Ida", well, data, today=date(2026, 11, 25))
            lengths.append(log.stat().st_size)
            copy = tmp_path / f"whole-{n}.book"
            shutil.copy(place(folder), copy)
            shutil.copy(log, f"{copy}-wal")
            states.append(picture(copy))
        whole = log.read_bytes()
        file = place(folder).read_bytes()
    dice = random.Random(1)
    cuts = {0, 31, 32, 33, len(whole), len(whole) - 1, *lengths, *(n - 1 for n in lengths[1:])}
    cuts |= {dice.randrange(len(whole)) for _ in range(30)}
    for cut in sorted(cuts):
        torn = tmp_path / "torn.book"
        torn.write_bytes(file)
        Path(f"{torn}-wal").write_bytes(whole[:cut])
        there = sum(n <= cut for n in lengths[1:])
        assert picture(torn) == states[there], cut
