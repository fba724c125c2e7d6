"""`wellbook export`: everything can leave again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import typer

from wellbook.cli.session import JSON, Session, session, show, show_json
from wellbook.errors import WellbookError
from wellbook.terms import Role

if TYPE_CHECKING:
    from wellbook.store.book import Book

app = typer.Typer(rich_markup_mode=None)


class Left(NamedTuple):
    """What was written: how much of what, and the lines that say so."""

    counts: dict[str, int]
    lines: list[str]


@app.command("export")
def export(
    ctx: typer.Context,
    target: str = typer.Argument(
        ..., metavar="FOLDER|FILE", help="A new folder, or FILE.xlsx, .geojson, .vcf or .json."
    ),
    well: str = typer.Option(
        "",
        "--well",
        metavar="WELL",
        help="Of FILE.json: whose. A tag, or words that single it out.",
    ),
    role: Role | None = typer.Option(
        None, "--role", help="In FILE.xlsx and FILE.geojson only wells of this role."
    ),
    as_json: bool = JSON,
) -> None:
    """Write the book out for others; what kind of file it is follows from the name.

    FOLDER: the whole book as CSV tables with a description (a Frictionless Data Package), from which
    wellbook import makes an equal book. FILE.xlsx: a workbook for the office. FILE.geojson: the wells for a
    map. FILE.vcf: the customers as contacts. FILE.json: all of one well. Nothing is ever overwritten.
    """
    from wellbook.present.envelope import envelope

    here, path = session(ctx), Path(target)
    kind = _kind(target)
    if well and kind != ".json":
        raise WellbookError("it is for FILE.json, which holds one well", where="--well")
    if not well and kind == ".json":
        raise WellbookError(
            "name the well that it shall hold, with --well WELL; the whole book goes into a folder"
        )
    if role is not None and kind not in (".xlsx", ".geojson"):
        raise WellbookError("it is for FILE.xlsx and FILE.geojson", where="--role")
    left = _WRITERS[kind](here, here.open(), path, well, role)
    if as_json:
        show_json(envelope("wellbook.export", 1, path=str(path), counts=left.counts))
    else:
        show(left.lines)


def _kind(target: str) -> str:
    """The ending that says what is wanted; "" for a folder."""
    ending = "" if target.endswith(("/", "\\")) else Path(target).suffix.lower()
    if not Path(target).name:
        raise WellbookError("name a new folder, or a file", where=target)
    if ending not in _WRITERS:
        raise WellbookError(
            f"what to write cannot be told from '{ending}': a folder for the whole book (a name without"
            " an ending, or with a / behind it), or FILE.xlsx, FILE.geojson, FILE.vcf, FILE.json",
            where=target,
        )
    return ending


def _private(who: str) -> str:
    return f"It holds {who}: it is as private as the book is."


def _package(here: Session, book: Book, path: Path, _well: str, _role: Role | None) -> Left:
    from wellbook.exchange.package_out import write_package

    written = write_package(book, path, here.today)
    rows = written.rows
    counts = {**rows, "files": written.files}
    return Left(
        counts,
        [
            f"{path} holds the whole book: {rows['well']:,} wells, {rows['customer']:,} customers,"
            f" {rows['sheet']:,} sheets, {written.files:,} files of wells; {sum(rows.values()):,} rows in"
            f" {len(rows)} tables, described in datapackage.json",
            _private("names, addresses, telephone numbers and notes of all customers"),
            f"Into an empty book again: wellbook import {path}",
        ],
    )


_WRITERS: dict[str, Callable[[Session, Book, Path, str, Role | None], Left]] = {"": _package}
