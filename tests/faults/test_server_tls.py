"""A line that is to be encrypted and is not, or ends at somebody else's server: said, and nothing is sent.

By a real server with certificates of authorities made for the test (PostgreSQL manual, 34.19, "SSL
Support": what each `sslmode` looks at).
"""

from __future__ import annotations

import getpass
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
import trustme
from sqlalchemy import create_engine, text
from sqlalchemy.engine import make_url
from sqlalchemy.pool import NullPool

from tests.faults.fault_table import as_shown, the_line
from wellbook.errors import BookError
from wellbook.store.book import make_book, open_book
from wellbook.store.places import book_url


def _set(server: str, *statements: str, ssl: str) -> None:
    """Settings of a whole server, in force when this returns."""
    admin = create_engine(server, isolation_level="AUTOCOMMIT", poolclass=NullPool)
    with admin.connect() as connection:
        for statement in (*statements, "SELECT pg_reload_conf()"):
            connection.execute(text(statement))
    for _ in range(500):
        with admin.connect() as connection:
            if connection.execute(text("SHOW ssl")).scalar() == ssl:
                return
        time.sleep(0.01)
    pytest.fail("the server does not take these settings")


@pytest.fixture(scope="module")
def authority(server_url: str) -> Iterator[Path]:
    """The tests' server with TLS as "localhost", and the certificate of its authority."""
    folder = Path(tempfile.mkdtemp(prefix="wb-tls-"))
    folder.chmod(0o755)
    made = trustme.CA()
    certificate = made.issue_cert("localhost")
    made.cert_pem.write_to_path(str(folder / "root.crt"))
    certificate.private_key_pem.write_to_path(str(folder / "server.key"))
    for n, pem in enumerate(certificate.cert_chain_pems):
        pem.write_to_path(str(folder / "server.crt"), append=n > 0)
    (folder / "server.key").chmod(0o600)
    if getpass.getuser() == "root":
        shutil.chown(folder / "server.key", "postgres")
    _set(
        server_url,
        f"ALTER SYSTEM SET ssl_cert_file = '{folder}/server.crt'",
        f"ALTER SYSTEM SET ssl_key_file = '{folder}/server.key'",
        "ALTER SYSTEM SET ssl = on",
        ssl="on",
    )
    yield folder / "root.crt"
    _set(server_url, "ALTER SYSTEM RESET ALL", ssl="off")
    shutil.rmtree(folder)


@pytest.fixture
def place(new_place: Callable[[], AbstractContextManager[str]]) -> Iterator[str]:
    with new_place() as made:
        make_book(made).close()
        yield made


def _at(place: str, host: str, **query: str) -> str:
    url = make_url(place).set(host=host, query={"sslmode": "verify-full", **query})
    return url.set(password="secret").render_as_string(hide_password=False)


def _refused(place: str) -> str:
    with pytest.raises(BookError) as caught:
        open_book(place)
    assert "secret" not in str(caught.value)
    return as_shown(str(caught.value), book_url(place).render_as_string())


def test_a_server_without_tls_is_told_nothing(place: str, tmp_path: Path, server_url: str) -> None:
    engine = create_engine(server_url)
    with engine.connect() as connection:
        has = connection.execute(text("SHOW ssl")).scalar()
    engine.dispose()
    if has == "on":
        pytest.skip("the server that was given speaks TLS")
    root = tmp_path / "root.crt"
    trustme.CA().cert_pem.write_to_path(str(root))
    assert _refused(_at(place, "localhost", sslrootcert=str(root))) == the_line("no tls")


def test_the_line_of_verify_full_is_encrypted(place: str, authority: Path) -> None:
    book = open_book(_at(place, "localhost", sslrootcert=str(authority)))
    with book.reading() as connection:
        query = text("SELECT version FROM pg_stat_ssl WHERE pid = pg_backend_pid()")
        assert connection.execute(query).scalar() in ("TLSv1.2", "TLSv1.3")


def test_a_server_that_cannot_be_known_is_told_nothing(
    place: str, authority: Path, tmp_path: Path
) -> None:
    none, other = tmp_path / "none.crt", tmp_path / "other.crt"
    trustme.CA().cert_pem.write_to_path(str(other))
    said = _refused(_at(place, "localhost", sslrootcert=str(none)))
    assert said == the_line("no authority")
    said = _refused(_at(place, "localhost", sslrootcert=str(other)))
    assert said == the_line("other authority")
    said = _refused(_at(place, "127.0.0.1", sslrootcert=str(authority)))
    assert said == the_line("other host")
