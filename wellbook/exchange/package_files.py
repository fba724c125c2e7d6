"""The one place where the files of wells go into a package and come out of it: `files/`, by their sums."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection

from wellbook.store.book import Book

FOLDER = "files"
"""Where they are in a package; each is named by the SHA-256 sum of its content."""


def copy_out(book: Book, connection: Connection, package: Path) -> int:
    """Copy every file that a well names into a package.

    Returns
    -------
    How many they are.
    """
    return 0


def take_in(book: Book, connection: Connection, package: Path) -> int:
    """Take the files of a package into a book whose rows name them.

    Returns
    -------
    How many they are.
    """
    return 0
