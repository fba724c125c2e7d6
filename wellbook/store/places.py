"""Where books are: the user's own file, or what a path or a URL names."""

from __future__ import annotations

import os
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
        For a kind of database that is not served.
    """
    if "://" not in str(place):
        return URL.create("sqlite", database=str(Path(place).expanduser()))
    try:
        url = make_url(str(place))
    except (ArgumentError, ValueError):
        # Not repeated, for there may be a password in it.
        raise BookError(
            "the book's URL cannot be read; write postgresql+psycopg://USER@HOST/NAME"
        ) from None
    if url.get_backend_name() not in ("sqlite", "postgresql"):
        raise BookError(
            "a book is a file, or a postgresql+psycopg:// URL", where=url.render_as_string()
        )
    if url.get_backend_name() == "postgresql":
        return url.set(drivername="postgresql+psycopg")
    return url
