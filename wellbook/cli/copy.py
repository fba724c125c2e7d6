"""`wellbook copy`."""

from __future__ import annotations

import sys

import typer

from wellbook.cli.session import JSON, Session, note, session, show, show_json

app = typer.Typer(rich_markup_mode=None)


@app.command("copy")
def copy(
    ctx: typer.Context,
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
    from wellbook.store.book import Book, book_url
    from wellbook.store.copying import copy_book

    session(ctx)  # the book of --book is not asked for
    there = Session(source).open()
    copied = copy_book(there, place, with_files=not no_files, progress=_count)
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
    full = [(table, one.rows) for table, one in copied.tables.items() if one.rows]
    show(
        [
            *(f"{table:<18} {rows:>9,}" for table, rows in full),
            f"{copied.rows:,} rows in {len(full)} tables, {copied.files} contents of files",
            f"{there.name} and {name} are equal",
        ]
    )


def _count(table: str, rows: int) -> None:
    """A line that counts, on a terminal only."""
    if sys.stderr.isatty():
        print(f"\x1b[2K{table}: {rows:,}", end="\r", file=sys.stderr)
