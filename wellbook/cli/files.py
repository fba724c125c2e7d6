"""`wellbook files`: the files of wells listed, handed out, taken off, looked after."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import JSON, screen_width, session, show, show_json
from wellbook.errors import NotFoundError, WellbookError

if TYPE_CHECKING:
    from wellbook.store.attachments import Attachment, Verified

app = typer.Typer(
    rich_markup_mode=None,
    help="Files of wells: list them, copy one out, take one off, see that all are whole.",
)
NUMBER = typer.Argument(..., metavar="NO", help="Its number; wellbook files list shows them.")


@app.command("list")
def list_files(
    ctx: typer.Context,
    well: list[str] = typer.Argument(
        None, metavar="[WELL]", help="A tag, or words that single it out; without it, all wells."
    ),
    as_json: bool = JSON,
) -> None:
    """The files of a well, or of all, with the number by which each is named."""
    from wellbook.present.envelope import envelope
    from wellbook.present.file_lines import file_json
    from wellbook.store.attachments import attachments
    from wellbook.store.the_well import the_well

    words = " ".join(well or [])
    with session(ctx).open().reading() as connection:
        some = attachments(connection, the_well(connection, words) if words else None)
    if as_json:
        show_json(
            envelope("wellbook.files", 1, files=[file_json(one.file, one.tag) for one in some])
        )
    elif some:
        _show_files(some)
    else:
        raise NotFoundError("no file is attached; attach one: wellbook attach WELL FILE")


def _show_files(some: list[Attachment]) -> None:
    from wellbook.present.file_lines import kind_of
    from wellbook.present.tables import table
    from wellbook.store.file_kinds import size_text

    rows = [
        [
            str(one.file.number),
            one.tag,
            one.file.added_on.isoformat(),
            kind_of(one.file),
            size_text(one.file.size_bytes),
            one.file.name,
            one.file.note,
        ]
        for one in some
    ]
    columns = ["no.", "well", "added", "kind", "size", "name", "note"]
    show(table(columns, rows, screen_width()))


@app.command("get")
def get(
    ctx: typer.Context,
    number: str = NUMBER,
    to: str = typer.Option("", "--to", metavar="FILE|FOLDER", help="Where to; by default here."),
) -> None:
    """Copy one out, checked as it is copied. What is there already stays: it takes another name."""
    from wellbook.store.attachments import attachment, files_of
    from wellbook.whole_files import claimed

    book = session(ctx).open()
    with book.reading() as connection:
        found = attachment(connection, _number(number))
        folder = files_of(book, connection)
    target = Path(to or ".")
    if target.is_dir():
        target /= found.file.name
    with claimed(target) as free:
        folder.copy_out(found.file.sha256, free)
    show([f"{found.tag}  {found.file.name}: {free}"])


@app.command("off")
def off(
    ctx: typer.Context,
    number: str = NUMBER,
    because: str = typer.Option("", "--because", help="Why; it is kept in the change log."),
) -> None:
    """Take one off its well. Its content stays beside the book until: wellbook files check --sweep."""
    from wellbook.present.file_lines import file_text
    from wellbook.store.attachments import take_off

    here = session(ctx)
    with here.open().writing() as connection:
        found = take_off(connection, here.who, _number(number), why=because)
    show([f"{found.tag}  {file_text(found.file)}: taken off"])


@app.command("check")
def check(
    ctx: typer.Context,
    sweep: bool = typer.Option(
        False, "--sweep", help="Also take off the disk what belongs to no well any more."
    ),
    as_json: bool = JSON,
) -> None:
    """Read them all: which are gone or not what they were, and which belong to no well."""
    from wellbook.store.attachments import sweep as take_away
    from wellbook.store.attachments import verify

    book = session(ctx).open()
    swept = take_away(book) if sweep else 0
    seen = verify(book)
    if as_json:
        from wellbook.present.envelope import envelope
        from wellbook.present.file_lines import file_json

        wrong = [{**file_json(one.file, one.tag), "wrong": why} for one, why in seen.wrong]
        show_json(
            envelope(
                "wellbook.files_check",
                1,
                whole=seen.whole,
                wrong=wrong,
                nobodys=list(seen.nobodys),
                swept=swept,
            )
        )
    else:
        show(_checked_lines(seen, swept))
    if seen.wrong:
        raise typer.Exit(1)


def _checked_lines(seen: Verified, swept: int) -> list[str]:
    from wellbook.present.file_lines import file_text
    from wellbook.present.text import plural

    lines = [f"{one.tag}  {file_text(one.file)}: {why.upper()}" for one, why in seen.wrong]
    if seen.wrong:
        lines.append(
            "Put them back from a copy of the book's folder, or attach the same files again."
        )
    lines.append(f"{plural(seen.whole, 'file')} there and whole")
    if seen.nobodys:
        more = "taken off the disk by: wellbook files check --sweep"
        lines.append(f"{plural(len(seen.nobodys), 'file')} of no well, {more}")
    if swept:
        lines.append(f"{plural(swept, 'file')} of no well taken off the disk")
    return lines


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        raise WellbookError(
            f"'{text}' is no number of a file; wellbook files list shows them", where="NO"
        )
    return int(text)
