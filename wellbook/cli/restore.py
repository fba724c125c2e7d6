"""`wellbook restore`."""

from __future__ import annotations

from pathlib import Path

import typer

from wellbook.cli.session import JSON, note, session, show, show_json

app = typer.Typer(rich_markup_mode=None)


@app.command("restore")
def restore(
    ctx: typer.Context,
    file: Path = typer.Argument(
        ...,
        metavar="FILE",
        help="A backup, of this or an older wellbook; --list of backup shows them.",
    ),
    as_json: bool = JSON,
) -> None:
    """Put a backup in the place of the book. The book that is there is kept under another name.

    The backup is looked through and brought up to this program first; where anything is wrong,
    nothing is changed. Whoever was forgotten since it was made stays forgotten.
    """
    from wellbook.cli.begin import warn_of_place
    from wellbook.present.backup_lines import restored_json, restored_lines
    from wellbook.store.book import Book
    from wellbook.store.places import book_url
    from wellbook.store.restoring import restore as put_back
    from wellbook.store.restoring import restore_to_server

    here = session(ctx)
    url = book_url(here.place)
    if url.get_backend_name() == "sqlite":
        restored = put_back(file, Path(str(url.database)), here.who, tell=note)
    else:
        restored = restore_to_server(file, str(here.place), here.who, tell=note)
    new = Book(url)
    warn_of_place(new)
    if as_json:
        show_json(restored_json(restored, new.name))
    else:
        show(restored_lines(restored, new.name))
