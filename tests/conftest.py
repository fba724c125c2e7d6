"""What all tests share: a fixed day, a fresh book on each engine that is there."""

from __future__ import annotations

import getpass
import os
import shutil
import socket
import sqlite3
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import date
from pathlib import Path

import pytest
from hypothesis import settings
from sqlalchemy import create_engine, insert, text, update

from wellbook.store import tables as t
from wellbook.store.book import Book, make_book, open_book
from wellbook.store.copying import copy_book
from wellbook.store.identity import new_uid
from wellbook.store.places import book_url

TODAY = date(2026, 11, 25)
# The same cases in every run, so that a red run is red again; WELLBOOK_EXPLORE=1 looks for new ones.
# How long a case takes says something of the machine and nothing of the program.
settings.register_profile("steady", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None)
settings.load_profile("explore" if os.environ.get("WELLBOOK_EXPLORE") else "steady")

_IN_MEMORY, _ROOM_BYTES = Path("/dev/shm"), 8 * 2**30
if _IN_MEMORY.is_dir() and shutil.disk_usage(_IN_MEMORY).free > _ROOM_BYTES:
    # What is confirmed is written through to the disk each time, and thousands of books are made here.
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(_IN_MEMORY))

REAL_DATA = Path(__file__).resolve().parents[2] / "shared" / "data"


@pytest.fixture
def today() -> date:
    """The day on which tests are."""
    return TODAY


def _server_programs() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    return Path(on_path).parent if on_path else None


@pytest.fixture(scope="session")
def server_url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A real PostgreSQL server of our own on loopback; skipped, saying so, where none is installed.

    WELLBOOK_TEST_SERVER names a server to use instead.
    """
    given = os.environ.get("WELLBOOK_TEST_SERVER")
    if given:
        yield given
        return
    programs = _server_programs()
    if programs is None:
        if os.environ.get("CI"):
            pytest.fail("CI must have PostgreSQL: .ci/run installs it")
        pytest.skip("no PostgreSQL server is installed here")
    folder = Path(tempfile.mkdtemp(prefix="wb-pg-"))
    # A server refuses to run as root; it then runs as the user that its package made.
    as_user = ["runuser", "-u", "postgres", "--"] if getpass.getuser() == "root" else []
    if as_user:
        shutil.chown(folder, "postgres")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    data = folder / "data"
    quiet = {"check": True, "capture_output": True, "cwd": folder}
    initdb = [str(programs / "initdb"), "-D", str(data), "-U", "wb", "-A", "trust", "-E", "UTF8"]
    subprocess.run([*as_user, *initdb, "--no-sync"], **quiet)  # type: ignore[call-overload]
    options = f"-p {port} -k {folder} -c fsync=off -c listen_addresses=127.0.0.1"
    control = [*as_user, str(programs / "pg_ctl"), "-D", str(data), "-w"]
    start = [*control, "-l", str(folder / "log"), "-o", options, "start"]
    subprocess.run(start, **{**quiet, "capture_output": False, "stdout": subprocess.DEVNULL})  # type: ignore[call-overload]
    try:
        yield f"postgresql+psycopg://wb@127.0.0.1:{port}/postgres"
    finally:
        subprocess.run([*control, "-m", "immediate", "stop"], **quiet)  # type: ignore[call-overload]
        shutil.rmtree(folder, ignore_errors=True)


_NUMBER = iter(range(1, 100_000))


@contextmanager
def server_place(server: str) -> Iterator[str]:
    """Where a book can be made on a server: a database of its own, gone afterwards."""
    name = f"wb_{os.getpid()}_{next(_NUMBER)}"
    admin = create_engine(server, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    try:
        yield server.rsplit("/", 1)[0] + f"/{name}"
    finally:
        with admin.connect() as connection:
            connection.execute(text(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)"))
        admin.dispose()


@pytest.fixture
def new_place(server_url: str) -> Callable[[], AbstractContextManager[str]]:
    """Makes places on a server, for a test that wants one after another."""
    return lambda: server_place(server_url)


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a book can be made, on each engine in turn."""
    if request.param == "sqlite":
        yield str(tmp_path / "shop.book")
        return
    with server_place(request.getfixturevalue("server_url")) as made:
        yield made


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty book, made once a process: to run all migrations for each test takes longer than most."""
    place = tmp_path_factory.mktemp("empty") / "empty.book"
    make_book(place, shop_name="test shop").close()
    return place


@pytest.fixture(scope="session")
def empty_database(server_url: str) -> Iterator[str]:
    """The same on a server."""
    with server_place(server_url) as place:
        make_book(place, shop_name="test shop").close()
        yield place.rsplit("/", 1)[1]


@pytest.fixture
def book(place: str, request: pytest.FixtureRequest) -> Iterator[Book]:
    """A new, empty book on each engine in turn."""
    if "://" not in place:
        shutil.copy(request.getfixturevalue("empty_file"), place)
    else:
        server, template = (request.getfixturevalue(x) for x in ("server_url", "empty_database"))
        admin = create_engine(server, isolation_level="AUTOCOMMIT")
        with admin.connect() as connection:
            name = place.rsplit("/", 1)[1]
            connection.execute(text(f"DROP DATABASE {name}"))
            connection.execute(text(f"CREATE DATABASE {name} TEMPLATE {template}"))
        admin.dispose()
    yield from _opened(place)


def _opened(place: str) -> Iterator[Book]:
    """The copy of an empty book as a book of its own."""
    opened = Book(book_url(place))
    with opened.writing() as connection:
        connection.execute(update(t.book).values(uid=new_uid()))
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def loaded_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented shop, loaded once a process; for reading, or to be copied."""
    from wellbook.exchange.shop_files import load_shop, sample_folder

    place = tmp_path_factory.mktemp("shop") / "loaded.book"
    made = make_book(place)
    load_shop(made, sample_folder(), who="test", today=TODAY)
    with sqlite3.connect(place) as connection:
        # It was all written long ago: to nobody who writes over it now is it news.
        connection.execute("UPDATE change SET at = '2020-01-02T08:00:00+00:00'")
        connection.commit()
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return place


@pytest.fixture(scope="session")
def lived_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book in whose tables all has happened, made once a process; to be read."""
    from tests.exchange.lived_in import live
    from wellbook.exchange.shop_files import load_shop, sample_folder

    room = tmp_path_factory.mktemp("lived")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WELLBOOK_TODAY", TODAY.isoformat())
        patch.setenv("WELLBOOK_WHO", "Ida")
        book = make_book(room / "lived.book", shop_name="Fen Pumps")
        live(book, room)
        # Of parts that nobody there has told of, two wells of the invented shop have one each.
        for name in ("TF-0031.toml", "TF-0058.toml"):
            (room / "wells").mkdir(exist_ok=True)
            shutil.copy(sample_folder() / name, room / "wells" / name)
        load_shop(book, room / "wells", who="Ida", today=TODAY)
        with book.writing() as connection:
            row = {"name": "files", "value": str(room / "server files")}
            connection.execute(insert(t.shop_fact).values(row))
        (room / "server files").mkdir()
    return book.path


@pytest.fixture
def shop_anywhere(place: str, loaded_shop: Path) -> Iterator[Book]:
    """The invented shop's book on each engine in turn, to be written in."""
    if "://" in place:
        copy_book(Book(book_url(loaded_shop)), place)
    else:
        shutil.copy(loaded_shop, place)
    opened = open_book(place)
    yield opened
    opened.close()


@pytest.fixture
def shop(loaded_shop: Path, tmp_path: Path) -> Path:
    """A copy of the invented shop's book, to be written in."""
    return Path(shutil.copy(loaded_shop, tmp_path / "shop.book"))


@pytest.fixture
def at_the_demo(monkeypatch: pytest.MonkeyPatch, shop: Path) -> None:
    """Commands run on a copy of the demo book, on the tests' day, by Ida."""
    monkeypatch.setenv("WELLBOOK_TODAY", TODAY.isoformat())
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    monkeypatch.setenv("WELLBOOK_BOOK", str(shop))


@pytest.fixture
def file_book(tmp_path: Path, empty_file: Path) -> Iterator[Book]:
    """A new, empty book in a file."""
    yield from _opened(str(shutil.copy(empty_file, tmp_path / "shop.book")))
