"""`wellbook attach`: photographs, laboratory reports, the driller's log."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from wellbook.cli.session import JSON, session, show, show_json

if TYPE_CHECKING:
    from wellbook.store.attachments import Attached

app = typer.Typer(rich_markup_mode=None)


@app.command("attach")
def attach(
    ctx: typer.Context,
    well: str = typer.Argument(
        ..., metavar="WELL", help="A tag, or words in quotes that single it out."
    ),
    file: list[str] = typer.Argument(..., metavar="FILE...", help="One file or several."),
    note: str = typer.Option("", "--note", help="What is to be seen on it."),
    visit: str = typer.Option("", "--visit", metavar="NO", help="The visit that it belongs to."),
    as_json: bool = JSON,
) -> None:
    """Keep files with a well: photographs, laboratory reports, the driller's log.

    They are copied and stay as they are; the same content is kept once, whatever it is called. Of
    what is there already, the note and the visit are put right. wellbook files hands them out.
    """
    from wellbook.cli.papers import visit_number
    from wellbook.plain_text import on_one_line
    from wellbook.store.attachments import attach as keep
    from wellbook.store.attachments import files_of
    from wellbook.store.the_well import the_well

    here, number = session(ctx), visit_number(visit)
    book = here.open()
    with book.reading() as connection:
        the_well(connection, well)
        folder = files_of(book, connection)
    with ExitStack() as copies:
        # All are copied before the book is held, so that nobody waits for a slow card.
        coming = [(Path(f), copies.enter_context(folder.copied(Path(f)))) for f in file]
        with book.writing() as connection:
            well_id = the_well(connection, well)
            made = [
                keep(
                    connection,
                    here.who,
                    folder,
                    well_id,
                    copied,
                    name=path.name,
                    note=on_one_line(note),
                    visit=number,
                    today=here.today,
                )
                for path, copied in coming
            ]
    if as_json:
        from wellbook.present.envelope import envelope

        show_json(envelope("wellbook.attached", 1, files=[_attached_shape(m) for m in made]))
    else:
        show([_attached_line(m) for m in made])


def _attached_line(made: Attached) -> str:
    from wellbook.present.file_lines import file_text, kind_of

    file = made.attachment.file
    said = f"{made.attachment.tag}  {file_text(file)}"
    if made.new:
        return f"{said} ({kind_of(file)})"
    return f"{said}; is there already, " + ("put right" if made.changed else "nothing changed")


def _attached_shape(made: Attached) -> dict[str, Any]:
    from wellbook.present.file_lines import file_json

    one = made.attachment
    return {**file_json(one.file, one.tag), "new": made.new, "changed": made.changed}
