"""Where books are: the user's own file, or what a path or a URL names."""

from __future__ import annotations

import os
import re
import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from wellbook.errors import BookError


def default_place() -> Path:
    """The book's file in the user's data folder."""
    if os.name == "nt":  # pragma: no cover - run on Windows only
        base = Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local"))
    else:
        base = Path(os.environ.get("XDG_DATA_HOME", Path.home() / ".local" / "share"))
    return base / "wellbook" / "shop.book"


def book_url(place: str | Path) -> URL:
    """The database URL of a path or of a URL.

    Raises
    ------
    BookError
        For a kind of database that is not served, and for what is neither a URL nor meant as a file.
    """
    said = str(place)
    # Neither is repeated, for there may be a password in it.
    if "://" not in said:
        if _MEANS_A_SERVER.match(said):
            raise BookError(_UNREADABLE)
        return URL.create("sqlite", database=str(Path(place).expanduser()))
    try:
        url = make_url(said)
    except (ArgumentError, ValueError):
        raise BookError(_UNREADABLE) from None
    if "@" in (url.host or ""):
        raise BookError(f"{_UNREADABLE}; an @ in a password is %40, a / is %2F, a : is %3A")
    if url.get_backend_name() in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() != "sqlite":
        raise BookError("a book is a file, or a postgresql+psycopg:// URL", where=shown(url))
    return url


_UNREADABLE = "the book's URL cannot be read; write postgresql+psycopg://USER@HOST/NAME"
_MEANS_A_SERVER = re.compile(
    r"postgres(ql)?(\+\w+)?:|(host|hostaddr|port|dbname|user|password|service)="
)
"""A URL with a slash too few, and the server's own way to name a database: no book's file has such a name."""


def shown(url: URL) -> str:
    """A URL without a password, wherever in it one stands."""
    hidden = {name: "***" for name in url.query if "password" in name}
    return url.update_query_dict(hidden).render_as_string()


def shop_name(place: Path) -> str | None:
    """Whose book a file is; None where there is no file, or no book in it. It is only looked at."""
    if not place.is_file():
        return None
    try:
        with closing(sqlite3.connect(f"{place.resolve().as_uri()}?mode=ro", uri=True)) as file:
            return str(file.execute("SELECT shop_name FROM book").fetchone()[0])
    except (sqlite3.Error, TypeError):
        return None
