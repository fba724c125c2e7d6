"""One backup a day makes itself, before the first change, and so many are kept."""

from __future__ import annotations

import os
import threading
import time
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import text

from tests.store.small_shop import small_shop
from wellbook.errors import WellbookError
from wellbook.store import backing_up
from wellbook.store.backup_file import opened
from wellbook.store.book import Book
from wellbook.store.daily_backups import backups_folder, dailies, daily_place, make_daily
from wellbook.store.doctor import mend
from wellbook.store.places import book_url
from wellbook.store.shop import say_of_shop

DAY = date(2026, 11, 25)


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return small_shop(tmp_path / "shop.book")


def change(book: Book, notes: str) -> None:
    with book.writing() as connection:
        connection.execute(text("UPDATE customer SET notes = :n WHERE id = 1"), {"n": notes})


def notes_in(path: Path, room: Path) -> str:
    target = room / "looked"
    with opened(path) as backup:
        backup.take_out(target)
    with Book(book_url(target)).reading() as connection:
        found = str(connection.execute(text("SELECT notes FROM customer WHERE id = 1")).scalar())
    target.unlink()
    return found


def test_it_is_named_by_its_day_and_made_once(book: Book) -> None:
    made = make_daily(book, DAY)
    assert made == daily_place(book.path, DAY)
    assert made.parent.name == "shop.book.backups"
    stamp = made.stat().st_mtime_ns
    change(book, "later that day")
    assert make_daily(book, DAY) is None
    assert made.stat().st_mtime_ns == stamp
    assert [path.name for path in made.parent.iterdir()] == ["daily-2026-11-25.zip"]


def test_the_number_that_is_kept_and_what_was_made_by_hand_stays(book: Book) -> None:
    with book.writing() as connection:
        say_of_shop(connection, "me", "daily_backups", "3")
    folder = backups_folder(book.path)
    folder.mkdir()
    (folder / "by-hand-2026-01-01.zip").write_text("mine")
    for n in range(5):
        change(book, str(n))
        make_daily(book, DAY + timedelta(days=n))
    assert [path.name[6:-4] for path in dailies(book.path)] == [
        "2026-11-27",
        "2026-11-28",
        "2026-11-29",
    ]
    assert (folder / "by-hand-2026-01-01.zip").read_text() == "mine"


def test_a_clock_that_stood_wrong_costs_no_backup_of_a_right_day(book: Book) -> None:
    with book.writing() as connection:
        say_of_shop(connection, "me", "daily_backups", "2")
    days = [date(2031, 1, 1), *(DAY + timedelta(days=n) for n in range(3)), date(2001, 1, 1)]
    for n, day in enumerate(days):
        change(book, str(n))
        make_daily(book, day)
    assert [path.name[6:-4] for path in dailies(book.path)] == [
        "2001-01-01",
        "2026-11-26",
        "2026-11-27",
        "2031-01-01",
    ]


def test_a_book_that_was_not_changed_is_not_copied_again(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_daily(book, DAY)
    monkeypatch.setattr(backing_up, "back_up", lambda *_, **__: pytest.fail("copied again"))
    make_daily(book, DAY + timedelta(days=1))
    assert [path.name for path in dailies(book.path)] == ["daily-2026-11-26.zip"]


def test_it_holds_what_was_before_the_first_change(book: Book, tmp_path: Path) -> None:
    change(book, "yesterday")
    book.before_first_change = lambda: make_daily(book, DAY) and None
    change(book, "first")
    change(book, "second")
    assert notes_in(daily_place(book.path, DAY), tmp_path) == "yesterday"


def test_none_are_made_where_none_are_wanted(book: Book) -> None:
    with book.writing() as connection:
        say_of_shop(connection, "me", "daily_backups", "0")
    assert make_daily(book, DAY) is None
    assert not backups_folder(book.path).exists()


def test_of_two_programs_at_once_one_makes_it(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    real, other = backing_up.back_up, []

    def slow(*args: object, **more: object) -> object:
        thread = threading.Thread(target=lambda: other.append(make_daily(book, DAY)))
        thread.start()
        thread.join()
        return real(*args, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(backing_up, "back_up", slow)
    assert make_daily(book, DAY) == daily_place(book.path, DAY)
    assert other == [None]


def test_what_a_killed_run_left_is_cleared_away_after_an_hour(book: Book) -> None:
    left = daily_place(book.path, DAY).with_name(".daily-2026-11-25.zip.part")
    left.mkdir(parents=True)
    (left / "book.sqlite").write_text("half")
    assert make_daily(book, DAY) is None
    long_ago = time.time() - 4000
    os.utime(left, (long_ago, long_ago))
    assert make_daily(book, DAY) is not None
    assert not left.exists()


def test_the_doctor_clears_it_away_too(book: Book) -> None:
    left = backups_folder(book.path) / ".daily-2026-11-25.zip.part"
    left.mkdir(parents=True)
    long_ago = time.time() - 4000
    os.utime(left, (long_ago, long_ago))
    mend(book)
    assert not left.exists()


def test_the_oldest_goes_only_when_the_new_one_is_there(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    with book.writing() as connection:
        say_of_shop(connection, "me", "daily_backups", "1")
    make_daily(book, DAY)
    change(book, "new")

    def full(*_: object, **__: object) -> None:
        raise WellbookError("nothing was written: No space left on device")

    monkeypatch.setattr(backing_up, "back_up", full)
    with pytest.raises(WellbookError, match="No space"):
        make_daily(book, DAY + timedelta(days=1))
    assert [path.name for path in dailies(book.path)] == ["daily-2026-11-25.zip"]
    assert [path.name for path in backups_folder(book.path).iterdir()] == ["daily-2026-11-25.zip"]


@pytest.mark.usefixtures("full_disk")
def test_a_full_disk_is_told_of_the_backup_that_was_to_be(book: Book) -> None:
    with pytest.raises(WellbookError, match="No space left") as said:
        make_daily(book, DAY)
    assert said.value.where == str(daily_place(book.path, DAY))
    assert not list(backups_folder(book.path).iterdir())


def test_what_was_left_of_another_day_goes_too(book: Book) -> None:
    folder = backups_folder(book.path)
    for name in (".daily-2026-11-23.zip.part", ".daily-2026-11-23.zip.k3jx9a2b.part"):
        (folder / name).mkdir(parents=True)
        os.utime(folder / name, (time.time() + 9000,) * 2)
    (folder / ".by-hand-2026-11-23.zip.k3jx9a2b.part").mkdir()
    assert make_daily(book, DAY) is not None
    left = {path.name for path in folder.iterdir()}
    assert left == {"daily-2026-11-25.zip", ".by-hand-2026-11-23.zip.k3jx9a2b.part"}


def test_a_damaged_last_one_is_no_reason_not_to_make_one(book: Book) -> None:
    first = make_daily(book, DAY)
    assert first is not None
    first.write_bytes(first.read_bytes()[:1000])
    second = make_daily(book, DAY + timedelta(days=1))
    assert second is not None
    with opened(second) as backup:
        assert backup.manifest.rows["well"] == 3


def test_one_that_has_rotted_since_is_not_taken_for_today_s(book: Book) -> None:
    """Its beginning and its end are as they were; what lies between is not."""
    first = make_daily(book, DAY)
    assert first is not None
    data = bytearray(first.read_bytes())
    data[len(data) // 2] ^= 0xFF
    first.write_bytes(data)
    second = make_daily(book, DAY + timedelta(days=1))
    assert second is not None
    with opened(second) as backup:
        backup.check()
    assert first.exists()
