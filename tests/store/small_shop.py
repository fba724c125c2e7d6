"""A small invented shop's book, and the backup of it that is kept of each revision.

`python -m tests.store.small_shop FILE` writes one; `backups/README.md` says when.
"""

from __future__ import annotations

import sqlite3
import sys
from contextlib import closing
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from wellbook.exchange.shop_files import load_shop
from wellbook.store.backing_up import back_up
from wellbook.store.book import Book, make_book

FOLDER = Path(__file__).with_name("backups")
NAME = "Sedge Bottom Wells, an invented shop"


def small_shop(place: Path) -> Book:
    """Make its book."""
    book = make_book(place, shop_name=NAME)
    load_shop(book, FOLDER / "shop", who="Ida", today=date(2026, 11, 25))
    return book


if __name__ == "__main__":
    with TemporaryDirectory() as room:
        made = small_shop(Path(room, "shop.book"))
        with closing(sqlite3.connect(made.path)) as connection:
            connection.execute("VACUUM")
        print(back_up(made, Path(sys.argv[1])))
