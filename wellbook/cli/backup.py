"""`wellbook backup`: made by hand, and which there are."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, Session, note, screen_width, session, show, show_json
from wellbook.errors import NotFoundError, WellbookError

if TYPE_CHECKING:
    from wellbook.store.backing_up import Made
    from wellbook.store.book import Book

app = typer.Typer(rich_markup_mode=None)


@app.command("backup")
def backup(
    ctx: typer.Context,
    file: str = typer.Argument(
        "",
        metavar="[FILE|FOLDER]",
        help="Where to; by default beside the book. What is there stays.",
    ),
    listed: bool = typer.Option(False, "--list", help="Make none; say which there are."),
    forgotten: bool = typer.Option(
        False, "--forgotten", help="With --list: only those that hold somebody forgotten still."
    ),
    as_json: bool = JSON,
) -> None:
    """Make a backup of the book while others write, with the files of wells; read it back.

    It is one ZIP file; wellbook restore FILE puts it back. One a day makes itself, without the files
    of wells: wellbook shop set daily_backups 14. A backup on the same disk does not outlive the
    disk: now and then make one on another, and take it out of the house.

    --list opens each, and sees where one was cut off or is another file. What rotted inside is seen
    by restore, which reads all of it before it changes anything.
    """
    from wellbook.present.backup_lines import made_json, made_lines

    here = session(ctx)
    if forgotten and not listed:
        raise WellbookError("give it with --list", where="--forgotten")
    if listed:
        _list(here, forgotten=forgotten, as_json=as_json)
        return
    made = _make(here, file)
    if as_json:
        show_json(made_json(made))
    else:
        show(made_lines(made))


def _make(here: Session, file: str) -> Made:
    from wellbook.store.backing_up import back_up
    from wellbook.whole_files import claimed

    book = here.open()
    wanted = _wanted(here, book, file)
    if file and not Path(file).is_dir():
        return back_up(book, wanted, begun=partial(_remember, book, wanted))
    # The name is the program's own: the next free one will do.
    with claimed(wanted) as free:
        return back_up(book, free, begun=partial(_remember, book, free))


def _remember(book: Book, place: Path) -> None:
    from wellbook.store.backups_there import remember

    if not book.is_file:
        return
    try:
        remember(book.path, place)
    except OSError as error:
        note(
            f"where the backup is cannot be kept beside the book ({(error.strerror or '').lower()}), so"
            " wellbook backup --list and wellbook customer forget will not name it"
        )


def _wanted(here: Session, book: Book, file: str) -> Path:
    from wellbook.store.daily_backups import backups_folder

    if file and not Path(file).is_dir():
        return Path(file)
    if file:
        name = book.path.name if book.is_file else str(book.url.database)
        return Path(file, f"{name}-{here.today}.zip")
    if not book.is_file:
        raise WellbookError(
            "a server's book has no folder of its own; say where the backup goes", where="FILE"
        )
    folder = backups_folder(book.path)
    folder.mkdir(exist_ok=True)
    return folder / f"by-hand-{here.today}.zip"


def _list(here: Session, *, forgotten: bool, as_json: bool) -> None:
    from wellbook.present.backup_lines import known_json, known_rows
    from wellbook.present.envelope import envelope
    from wellbook.present.tables import table
    from wellbook.store.backups_there import backups_of, that_hold
    from wellbook.store.places import book_url

    url = book_url(here.place)
    if url.get_backend_name() != "sqlite":
        raise WellbookError("the backups of a server's book are wherever they were put")
    place = Path(str(url.database))
    if forgotten:
        holding = that_hold(place, _forgotten(here))
        some = [*holding.hold, *holding.unread]
    else:
        some = backups_of(place)
    if as_json:
        show_json(envelope("wellbook.backups", 1, backups=[known_json(k) for k in some]))
    elif some:
        show(table(["made", "kind", "tables", "size", "file"], known_rows(some), screen_width()))
    else:
        what = "no backup holds anybody who was forgotten" if forgotten else "there is none yet"
        raise NotFoundError(what if forgotten else f"{what}; make one: wellbook backup")


def _forgotten(here: Session) -> set[str]:
    from wellbook.store.forgotten import forgotten_rows

    with here.open().reading() as connection:
        return set(forgotten_rows(connection, "customer"))
