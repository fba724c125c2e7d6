"""Who waits to write stands in a line: first come, first served, and nobody waits for the dead."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from sqlalchemy import text

from wellbook.errors import BookError
from wellbook.store.book import Book, make_book
from wellbook.store.turns import Line


def until(holds: object) -> None:
    """Wait for what another thread does; a test that waits in vain fails by it."""
    for _ in range(2000):
        if holds():  # type: ignore[operator]
            return
        time.sleep(0.01)
    pytest.fail("it never came to that")


def test_writers_are_let_in_as_they_came(file_book: Book) -> None:
    line = Line(str(file_book.path))
    came: list[int] = []

    def write(number: int) -> None:
        with file_book.writing():
            came.append(number)

    threads = [threading.Thread(target=write, args=(n,)) for n in range(6)]
    with file_book.writing():
        for count, thread in enumerate(threads, 1):
            thread.start()
            until(lambda count=count: len(line.waiting()) == count)  # type: ignore[misc]
    for thread in threads:
        thread.join()
    assert came == [0, 1, 2, 3, 4, 5]
    assert not line.folder.exists(), "a line of nobody leaves nothing"


def test_nobody_loses_his_place_before_he_has_locked_it(file_book: Book) -> None:
    """Others look who was killed just as he makes his file: all the time, as fast as they can."""
    line, lost, stop = Line(str(file_book.path)), [], threading.Event()

    def look() -> None:
        while not stop.is_set():
            line.before("9")

    lookers = [threading.Thread(target=look) for _ in range(3)]
    for thread in lookers:
        thread.start()
    for _ in range(200):
        with line.place() as place:
            if place not in line.waiting():
                lost.append(place)
    stop.set()
    for thread in lookers:
        thread.join()
    assert not lost


def test_as_long_as_the_line_moves_nobody_is_sent_away(
    file_book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The limit is on one program that writes and writes, not on many that each write a little."""
    now = [1000.0]
    moves = [["a", "b"], ["b"], []]
    monkeypatch.setattr("time.monotonic", lambda: now[0])

    def later(_seconds: float) -> None:
        now[0] += 20

    monkeypatch.setattr("time.sleep", later)
    monkeypatch.setattr(Line, "waiting", lambda _line: ["somebody"])
    monkeypatch.setattr(Line, "before", lambda _line, _place: moves.pop(0))
    with file_book.writing():
        assert (now, moves) == ([1040.0], [])


def test_whoever_was_killed_in_the_line_is_passed_over(file_book: Book) -> None:
    line = Line(str(file_book.path))
    line.folder.mkdir()
    (line.folder / "00000000000000000001-1-0").touch()
    with file_book.writing():
        pass
    assert line.waiting() == []


def test_where_there_can_be_no_line_all_ask(
    file_book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wellbook.store.turns.WAIT_SECONDS", 0.05)
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(tmp_path / "none"))
    with file_book.writing():
        pass
    busy = pytest.raises(BookError, match="another program has been writing")
    with file_book.writing(), busy, file_book.writing():
        pytest.fail("two writers at once")


def test_what_another_put_in_the_place_of_the_line_is_left_alone(
    file_book: Book, tmp_path: Path
) -> None:
    """Whoever waits takes away the places of the dead: never a file of a folder that is no line."""
    line = Line(str(file_book.path))
    home = tmp_path / "home"
    home.mkdir()
    (home / ".profile").touch()
    line.folder.symlink_to(home)
    try:
        with file_book.writing():
            pass
        with line.place() as place:
            assert (place, line.waiting(), line.before("0")) == ("", [], [])
    finally:
        line.folder.unlink()
    assert [path.name for path in home.iterdir()] == [".profile"]


def test_a_server_gives_up_a_writer_who_fell_silent(
    new_place: Callable[[], AbstractContextManager[str]],
) -> None:
    """PostgreSQL manual, 20.3.2, "TCP Settings": what SHOW says is what the socket has."""
    with new_place() as place:
        book = make_book(place)
        with book.writing() as connection:
            names = ("tcp_keepalives_idle", "tcp_keepalives_interval", "tcp_keepalives_count")
            asked = [connection.execute(text(f"SHOW {name}")).scalar() for name in names]
            assert asked == ["30", "10", "3"]
            locks = text("SELECT mode FROM pg_locks WHERE relation = 'book'::regclass")
            assert "ExclusiveLock" in connection.execute(locks).scalars().all()


def test_who_comes_while_others_wait_does_not_go_before_them(file_book: Book) -> None:
    line = Line(str(file_book.path))
    with line.place() as first, line.place() as second:
        assert line.before(first) == []
        assert line.before(second) == [first]
    assert line.before("") == []
