"""What all of `wellbook print` share: the file, its name, and what is said of it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from wellbook.cli.session import note, write_bytes
from wellbook.errors import WellbookError

if TYPE_CHECKING:
    from wellbook.paper.printing import Printable


def _pdf_name(to: str) -> str:
    """A name for a PDF, refused before anything is read where it is none."""
    if to and Path(to).suffix.lower() != ".pdf":
        raise WellbookError(f"'{to}' is no name of a PDF; end it in .pdf", where="--to")
    return to


WELLS = typer.Argument(..., metavar="WELL...", help="Tags, or words in quotes; one PDF for all.")
ONE_WELL = typer.Argument(..., metavar="WELL", help="A tag, or words in quotes.")
TO = typer.Option(
    "",
    "--to",
    metavar="FILE.pdf",
    callback=_pdf_name,
    help="Which file; by default one here, named by the well.",
)


def print_wells(pieces: Iterable[Printable], what: str, tags: Sequence[str], to: str) -> None:
    """Write the paper of some wells."""
    whose = tags[0] if len(tags) == 1 else f"{len(tags)} wells"
    name = f"{_file_name(tags)}-{what}.pdf"
    print_pieces(pieces, f"{what} {', '.join(tags)}", whose, to or name)


def print_pieces(pieces: Iterable[Printable], title: str, whose: str, to: str) -> None:
    """Write the PDF, and say where it is and what could not be shown."""
    from io import BytesIO

    from wellbook.paper.printing import print_into

    made = BytesIO()
    printed = print_into(made, pieces, title=title)
    write_bytes(Path(to), made.getvalue())
    pages = f"{printed.pages} page{'' if printed.pages == 1 else 's'}"
    note(f"{pages} for {whose} in {to}")
    if printed.lacking:
        note(f"shown as a box, as the print has no such letter: {' '.join(printed.lacking[:20])}")


def _file_name(tags: Sequence[str]) -> str:
    """A name for a file: of the first well, and how many more there are."""
    name = re.sub(r"[^\w.-]+", "_", tags[0]).strip("._") or "well"
    return name if len(tags) == 1 else f"{name}-and-{len(tags) - 1}-more"
