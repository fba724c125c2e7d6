"""A package that `wellbook export` wrote, read back into an empty book."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from wellbook.cli.session import note, show, show_json

if TYPE_CHECKING:
    from wellbook.cli.session import Session


def take_package(here: Session, folder: Path, *, as_json: bool) -> None:
    """Make the book, which has to be empty, equal to the one that the package was written from."""
    from wellbook.exchange.package_in import read_package
    from wellbook.present.envelope import envelope

    book = here.open()
    taken = read_package(book, folder, note)
    if as_json:
        rows, files = taken.rows, taken.files
        show_json(envelope("wellbook.import_package", 1, book=book.name, rows=rows, files=files))
        return
    many = taken.rows
    show(
        [
            f"{book.name} is now equal to the book that {folder} was written from:"
            f" {many['well']:,} wells, {many['customer']:,} customers, {many['sheet']:,} sheets,"
            f" {taken.files:,} files of wells; {sum(many.values()):,} rows in all, and what follows from"
            " them made anew"
        ]
    )
