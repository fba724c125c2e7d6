"""`wellbook export`: everything can leave again."""

from __future__ import annotations

import json
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


def _workbook(here: Session, book: Book, path: Path, _well: str, role: Role | None) -> Left:
    from wellbook.exchange.office_workbook import write_workbook

    made = write_workbook(book, path, here.today, role)
    sheets = ", ".join(f"{count:,} {title}" for title, count in made.rows.items())
    lines = [f"{path}: {sheets}", _private("names, addresses, telephone numbers and notes")]
    if made.cut:
        cut = "a text was" if made.cut == 1 else f"{made.cut:,} texts were"
        lines.append(f"{cut} too long for a cell and cut; the package has them whole")
    return Left(made.rows, lines)


def _map(here: Session, book: Book, path: Path, _well: str, role: Role | None) -> Left:
    from wellbook.exchange.map_file import write_map

    made = write_map(book, path, here.today, role)
    counts = {"wells": made.wells, "unlocated": made.unlocated}
    without = (
        f", {made.unlocated:,} of them without a place (no geometry)" if made.unlocated else ""
    )
    return Left(
        counts,
        [
            f"{path}: {made.wells:,} wells{without}",
            _private("names, addresses and telephone numbers beside the places of wells"),
        ],
    )


def _cards(here: Session, book: Book, path: Path, _well: str, _role: Role | None) -> Left:
    from wellbook.exchange.contact_cards import write_cards

    count = write_cards(book, path, here.today)
    return Left(
        {"customers": count},
        [
            f"{path}: {count:,} customers as contacts (vCard 4.0)",
            _private("names, addresses, telephone numbers and notes"),
        ],
    )


def _one_well(here: Session, book: Book, path: Path, well: str, _role: Role | None) -> Left:
    from wellbook.present.well_file import well_file_json
    from wellbook.store.holes import load_hole
    from wellbook.store.judged_wells import judged_wells
    from wellbook.store.past_sheets import all_versions
    from wellbook.store.the_well import the_well
    from wellbook.whole_files import new_file

    with book.reading() as connection:
        number = the_well(connection, well)
        (judged,) = judged_wells(connection, [number], here.today)
        record = load_hole(connection, number)
        shape = well_file_json(judged, record, all_versions(connection, number))
    with new_file(path) as part:
        text = json.dumps(shape, ensure_ascii=False, indent=1)
        part.write_text(text + "\n", encoding="utf-8")
    names = ("sheets", "parts_ever", "seen", "samples", "files")
    counts = {name: len(shape[name]) for name in names}
    return Left(
        counts,
        [
            f"{path}: all of {record.tag}: {counts['sheets']} sheets in all their versions,"
            f" {counts['parts_ever']} parts, {counts['seen']} readings, {counts['samples']} samples;"
            f" of {counts['files']} files their names",
            _private("the names, addresses, telephone numbers and notes of whoever lives there"),
        ],
    )


_WRITERS: dict[str, Callable[[Session, Book, Path, str, Role | None], Left]] = {
    "": _package,
    ".xlsx": _workbook,
    ".geojson": _map,
    ".vcf": _cards,
    ".json": _one_well,
}
"""What writes a target, by the ending of its name."""
