"""How often a command goes to the server and back: with an office in another town it waits for little else."""

from __future__ import annotations

import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, Engine, create_engine, event, text

from tests.cli.commands import Commands
from tests.conftest import server_place
from wellbook.cli import session
from wellbook.store.book import Book, open_book
from wellbook.store.copying import copy_book
from wellbook.store.places import book_url

SHEET = """\
date = "2026-11-24"
reason = "check up"
[measured]
static_level_ft = 200
"""


@pytest.fixture(autouse=True)
def _by_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """The tests' day by the clock: what the day is by it is asked of the book, by WELLBOOK_TODAY not."""

    class Clock(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> Any:
            return datetime(2026, 11, 25, 18, tzinfo=UTC).astimezone(tz or UTC)

    monkeypatch.delenv("WELLBOOK_TODAY", raising=False)
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    monkeypatch.setattr(session, "datetime", Clock)


@pytest.fixture(scope="module")
def server_shop(loaded_shop: Path, server_url: str) -> Iterator[str]:
    """The invented shop's book on a server."""
    with server_place(server_url) as place:
        source = open_book(loaded_shop)
        copy_book(source, place)
        yield place


@pytest.fixture(scope="module")
def admin(server_url: str) -> Iterator[Connection]:
    engine = create_engine(server_url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        yield connection
    engine.dispose()


def _connected(admin: Connection, place: str, *, wanted: int) -> bool:
    """Whether so many are connected with a book. One that ends takes a moment to be gone."""
    query = text("SELECT count(*) FROM pg_stat_activity WHERE datname = :name")
    until = time.monotonic() + 20
    while time.monotonic() < until:
        if admin.execute(query, {"name": book_url(place).database}).scalar_one() == wanted:
            return True
        time.sleep(0.01)
    return False


def _connections_so_far(admin: Connection, place: str) -> int:
    """How many connections a book has had; a server counts one as it ends."""
    assert _connected(admin, place, wanted=0), "somebody has not let go of the book"
    query = text("SELECT sessions FROM pg_stat_database WHERE datname = :name")
    return int(admin.execute(query, {"name": book_url(place).database}).scalar_one())


@pytest.fixture
def place(server_shop: str, admin: Connection) -> str:
    """The book, while nobody is at it."""
    assert _connected(admin, server_shop, wanted=0)
    return server_shop


@pytest.mark.parametrize(
    "words",
    [
        ("find", "orla"),
        ("due",),
        ("hole", "TF-0031"),
        ("history", "TF-0031"),
        ("checkups",),
        ("papers",),
        ("visit", "TF-0031", "--from", "SHEET", "--yes"),
        ("call", "TF-0031", "--symptom", "no water"),
        ("contact", "TF-0031", "--put-off", "2027-03-01"),
        ("well", "edit", "TF-0031", "--notes", "gate sticks"),
    ],
    ids=lambda words: " ".join(words[:2]),
)
def test_a_command_opens_one_connection(
    words: tuple[str, ...],
    place: str,
    admin: Connection,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(SHEET, "utf-8")
    before = _connections_so_far(admin, place)
    given = [str(sheet) if word == "SHEET" else word for word in words]
    assert Commands(capsys, "--book", place)(*given)[0] == 0
    assert _connections_so_far(admin, place) == before + 1


def test_a_look_within_a_look_has_a_connection_of_its_own(place: str, admin: Connection) -> None:
    """None waits for the other; and the one more is not kept."""
    with closing(open_book(place)) as book:
        with book.reading() as one, book.reading() as other:
            assert _pid(one) != _pid(other)
        assert _connected(admin, place, wanted=1)


def _pid(connection: Connection) -> int:
    return int(connection.execute(text("SELECT pg_backend_pid()")).scalar_one())


@contextmanager
def _asked() -> Iterator[Counter[str]]:
    """All that is asked of any file, with its values in it."""
    asked: Counter[str] = Counter()

    def listen(connection: Any, _record: object) -> None:
        connection.set_trace_callback(lambda said: asked.update([said]))

    event.listen(Engine, "connect", listen)
    try:
        yield asked
    finally:
        event.remove(Engine, "connect", listen)


@pytest.mark.parametrize("words", [("find", "orla"), ("due",), ("hole", "TF-0031")], ids=" ".join)
def test_nothing_is_asked_twice(
    words: tuple[str, ...], shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a server each question is a way there and back; the code that asks is the same."""
    with _asked() as asked:
        assert Commands(capsys, "--book", str(shop))(*words)[0] == 0
    selects = Counter({said: n for said, n in asked.items() if said.startswith("SELECT")})
    assert len(selects) > len(words)
    assert not {said: n for said, n in selects.items() if n > 1}


def test_a_connection_that_is_used_again_is_as_a_new_one(place: str) -> None:
    settings = ("transaction_isolation", "lock_timeout", "tcp_keepalives_idle")

    def look(connection: Connection) -> list[object]:
        shown = (connection.execute(text(f"SHOW {name}")).scalar_one() for name in settings)
        return [_pid(connection), *shown]

    with closing(open_book(place)) as book:
        with book.reading() as connection:
            first = look(connection)
        assert first[1] == "repeatable read"
        with book.writing() as connection:
            assert (written := look(connection))[:2] == first[:2]
            assert written[2:] != first[2:]
        with pytest.raises(ZeroDivisionError), book.writing():
            raise ZeroDivisionError
        with book.reading() as connection:
            assert look(connection) == first


def test_who_waits_between_two_looks_holds_nothing(place: str, admin: Connection) -> None:
    query = text(
        "SELECT state, (SELECT count(*) FROM pg_locks l WHERE l.pid = a.pid) AS locks"
        " FROM pg_stat_activity a WHERE datname = :name"
    )
    with closing(open_book(place)) as book:
        for look in (book.reading, book.writing):
            with look():
                pass
            row = admin.execute(query, {"name": book_url(place).database}).one()
            assert tuple(row) == ("idle", 0)


@pytest.mark.parametrize("let_go", ["closed", "dropped"])
def test_a_book_that_is_let_go_of_holds_no_connection(
    place: str, admin: Connection, let_go: str
) -> None:
    books: list[Book] = [open_book(place)]
    assert _connected(admin, place, wanted=1)
    if let_go == "closed":
        books[0].close()
    else:
        books.clear()
    assert _connections_so_far(admin, place)


def test_who_is_killed_holds_no_connection(place: str, admin: Connection) -> None:
    code = (
        "import sys, time; from wellbook.store.book import open_book;"
        f" book = open_book({place!r}); print('open', flush=True); time.sleep(60)"
    )
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"open\n"
        assert _connected(admin, place, wanted=1)
        other.kill()
    assert _connections_so_far(admin, place)
