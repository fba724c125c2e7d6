"""`wellbook doctor`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, Session, note, session, show, show_json
from wellbook.errors import BookError

if TYPE_CHECKING:
    from wellbook.store.book import Book

app = typer.Typer(rich_markup_mode=None)


@app.command("doctor")
def doctor(
    ctx: typer.Context,
    mend: bool = typer.Option(
        False, "--mend", help="Put right what the program can, after a backup."
    ),
    as_json: bool = JSON,
) -> None:
    """Look the whole book through: its file, what points to what, spans that cannot both be, the
    ledger against the rules, strings against their sheets, files against their sums.

    Exit status 1 where something is wrong. What people wrote is never guessed at: there it says
    with which command it is put right.
    """
    from wellbook.cli.begin import warn_of_place
    from wellbook.present.doctor_lines import doctor_json, doctor_lines, wrong_in
    from wellbook.store.doctor import look_through

    here = session(ctx)
    try:
        book = here.open()
        looked = look_through(book)
        backup, before = None, wrong_in(looked)
        if mend and any(w.mends for one in looked for w in one.wrong):
            backup = _mend(here, book)
            looked = look_through(book)
    except BookError as error:
        raise _if_damaged(here, error) from None
    mended = max(before - wrong_in(looked), 0)
    warn_of_place(book)
    if as_json:
        show_json(doctor_json(looked, mended=mended, backup=str(backup) if backup else None))
    else:
        if mended:
            copied = f"; the book as it was before is at {backup}" if backup else ""
            show([f"mended: {mended:,}{copied}"])
        show(doctor_lines(looked))
    if wrong_in(looked):
        raise typer.Exit(1)


def _mend(here: Session, book: Book) -> Path | None:
    from wellbook.store.backing_up import back_up
    from wellbook.store.backups_there import MENDING
    from wellbook.store.daily_backups import backups_folder
    from wellbook.store.doctor import mend
    from wellbook.whole_files import claimed

    if not book.is_file:
        note("a server's book is not copied first: only what follows from its sheets is made anew")
        mend(book)
        return None
    folder = backups_folder(book.path)
    folder.mkdir(exist_ok=True)
    with claimed(folder / f"{MENDING}{here.today}.zip") as free:
        back_up(book, free, with_files=False)
    mend(book)
    return free


def _if_damaged(here: Session, error: BookError) -> BookError:
    """A book that cannot be read: which backup there is, and the line that puts it back."""
    from wellbook.store.backup_file import wrong_with
    from wellbook.store.backups_there import backups_of
    from wellbook.store.places import book_url

    url = book_url(here.place)
    place = Path(url.database or "")
    if url.get_backend_name() != "sqlite" or not place.is_file() or not wrong_with(place):
        return error
    good = [k for k in backups_of(place) if not k.wrong]
    if not good:
        return BookError(
            "the book is damaged, or no book at all, and there is no backup of it that the program knows"
            " of: keep this file, look for a copy elsewhere, then: wellbook restore FILE",
            where=error.where,
        )
    # A book that somebody has put another in the place of is the last that he means.
    newest = next((k for k in good if k.kind != "before a restore"), good[0])
    file = f'"{newest.path}"' if " " in str(newest.path) else newest.path
    others = f" (or one of {len(good) - 1} others: wellbook backup --list)" if good[1:] else ""
    return BookError(
        f"the book is damaged; its newest backup is of {newest.made_at[:10]}{others}; put it in the"
        f" book's place: wellbook restore {file}",
        where=error.where,
    )
