"""`wellbook copy`."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, note, show, show_json

if TYPE_CHECKING:
    from wellbook.store.copying import Copied

app = typer.Typer(rich_markup_mode=None)


@app.command("copy")
def copy(
    source: str = typer.Argument(..., metavar="FROM", help="A book: its file, or its URL."),
    place: str = typer.Argument(..., metavar="TO", help="A file or a URL where no book is yet."),
    no_files: bool = typer.Option(
        False, "--no-files", help="Leave out the contents of attached files; their lines come."
    ),
    as_json: bool = JSON,
) -> None:
    """Copy a whole book to another place: a file to a server, a server's book to a file.

    Others may go on writing: the copy is the book of one moment. It is there when it was held against
    the book and both are equal, or not at all. The book that is copied stays as it is.
    """
    from wellbook.present.envelope import envelope
    from wellbook.store.book import Book, open_as_it_is
    from wellbook.store.copying import copy_book
    from wellbook.store.places import book_url

    there = open_as_it_is(source)
    copied = copy_book(there, place, with_files=not no_files, progress=_count)
    _count("", 0)
    name = Book(book_url(place)).name
    if as_json:
        rows = {table: one.rows for table, one in copied.tables.items()}
        wrong = [{"sha256": s, "wrong": w} for s, w in copied.files_wrong.items()]
        shape = {"from": there.name, "to": name, "rows": rows, "equal": True}
        files = {"copied": copied.files, "wrong": wrong}
        show_json(envelope("wellbook.copy", 1, **shape, files=files))
        return
    for sha256, wrong_is in copied.files_wrong.items():
        note(
            f"the file {sha256[:12]}… is {wrong_is} in the book that was copied: wellbook files check"
        )
    with_rows = sum(1 for one in copied.tables.values() if one.rows)
    show(
        [
            f"{there.name} and {name} are equal: {copied.rows:,} rows in {with_rows} tables,"
            f" {_files(copied, left_out=no_files)}"
        ]
    )


def _files(copied: Copied, *, left_out: bool) -> str:
    """What became of the contents of attached files."""
    if left_out:
        return "files of wells left out"
    whole, wrong = copied.files, len(copied.files_wrong)
    if not whole and not wrong:
        return "no files of wells"
    counted = f"{whole} {'file' if whole == 1 else 'files'} of wells"
    return f"{counted}, {wrong} not whole" if wrong else counted


def _count(table: str, rows: int) -> None:
    """A line that counts, on a terminal only; without a table it is taken away."""
    if sys.stderr.isatty():
        said = f"{table}: {rows:,}" if table else ""
        print(f"{said:<{_COUNTED}}", end="\r", file=sys.stderr, flush=True)


_COUNTED = 40
