"""The whole book as a folder of CSV tables with a description: a Frictionless Data Package.

What is written is the book's truth (`package_tables`), from which all else is made again, and beside it
a table for people. The tables are CSV by RFC 4180 in UTF-8, the description is `datapackage.json`
(Data Package and Table Schema, https://specs.frictionlessdata.io). Rows go from the database into
the file as they come: memory does not grow with the book.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from wellbook import __version__
from wellbook.exchange.package_cells import HOW, CellKind, written
from wellbook.exchange.package_files import copy_out
from wellbook.exchange.package_tables import (
    DESCRIPTION,
    PACKAGE_VERSION,
    PackageTable,
    package_tables,
    table_words,
)
from wellbook.exchange.readable_wells import READABLE, WELLS_PATH, readable_wells
from wellbook.store import tables as t
from wellbook.store.book import SCHEMA_REVISION, Book
from wellbook.store.identity import now
from wellbook.whole_files import new_folder

AT_ONCE = 1000
"""How many rows are asked of the database at a time."""


@dataclass(frozen=True, slots=True)
class Written:
    """What a package holds: how many rows of each table, and how many files of wells."""

    rows: dict[str, int]
    files: int


def write_package(book: Book, folder: Path, today: date) -> Written:
    """Write the whole book into a new folder, which is there whole or not at all.

    Parameters
    ----------
    today
        The day as of which the table for people is.

    Raises
    ------
    WellbookError
        If there is something of that name, or it cannot be written.
    """
    with new_folder(folder) as part, book.reading() as connection:
        resources = write_tables(connection, part)
        rows = {resource["name"]: resource["rows"] for resource in resources}
        (part / WELLS_PATH).parent.mkdir()
        resources.append(_for_people(part, connection, today))
        files = copy_out(book, connection, part)
        described = _description(connection, resources)
        text = json.dumps(described, ensure_ascii=False, indent=1)
        (part / DESCRIPTION).write_text(text + "\n", encoding="utf-8")
    return Written(rows, files)


def write_tables(connection: Connection, folder: Path) -> list[dict[str, Any]]:
    """Write the tables alone into a folder; gives what a description says of the file of each."""
    (folder / "tables").mkdir()
    return [
        {"name": table.name, "path": table.path, "description": table_words(table.name)}
        | _written(folder / table.path, _header(table), _cells(connection, table))
        | {"schema": table.schema()}
        for table in package_tables()
    ]


def _header(table: PackageTable) -> list[str]:
    return [field.name for field in table.fields]


def _cells(connection: Connection, table: PackageTable) -> Iterator[list[str]]:
    nullable = [field.nullable for field in table.fields]
    rows = connection.execute(table.query().execution_options(yield_per=AT_ONCE))
    for row in rows:
        yield [written(x, nullable=may) for x, may in zip(row, nullable, strict=True)]


def _for_people(folder: Path, connection: Connection, today: date) -> dict[str, Any]:
    """The table of wells as people want it; it is never read back."""
    kinds = [kind for _, kind, _ in READABLE]
    rows = (
        # Text of a readable table is empty or not; nothing is told from the empty text.
        [
            written(x, nullable=kind is not CellKind.STRING)
            for x, kind in zip(row, kinds, strict=True)
        ]
        for row in readable_wells(connection, today)
    )
    described = _written(folder / WELLS_PATH, [name for name, _, _ in READABLE], rows)
    fields = [{"name": n, "type": k.value, "description": words} for n, k, words in READABLE]
    return {
        "name": "readable-wells",
        "path": WELLS_PATH,
        "description": (
            f"For people: the shop's own wells as of {today}. Worked out from the other tables, and not"
            " read back"
        ),
        "wellbook": {"derived": True},
        **described,
        "schema": {"fields": fields, "missingValues": [""]},
    }


def _written(path: Path, header: Sequence[str], rows: Iterable[Sequence[str]]) -> dict[str, Any]:
    """Write a table; gives what its description says of the file."""
    count = 0
    with path.open("xb") as raw, io.TextIOWrapper(raw, encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow(header)
        for cells in rows:
            writer.writerow(cells)
            count += 1
    return {
        "profile": "tabular-data-resource",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {"delimiter": ",", "lineTerminator": "\r\n", "quoteChar": '"', "header": True},
        "bytes": path.stat().st_size,
        "hash": f"sha256:{_sum(path)}",
        "rows": count,
    }


def _sum(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _description(connection: Connection, resources: list[dict[str, Any]]) -> dict[str, Any]:
    book = connection.execute(select(t.book)).one()
    return {
        "profile": "tabular-data-package",
        "name": f"wellbook-{book.uid}",
        "id": book.uid,
        "title": f"Service book of {book.shop_name or 'a well-pump contractor'}",
        "created": now(),
        "description": (
            "Everything that the book holds, from which this wellbook, or any later one, makes an equal"
            f" book: wellbook import FOLDER, into an empty book. Cells: {HOW} Dates that may be uncertain"
            " take three fields: the first day and the last day that it can be, and the words it was said in."
            " It holds names, addresses and telephone numbers of customers. No licence is given here: who may use"
            " it is for the shop to say, in a member named licenses."
        ),
        "wellbook": {
            "package": PACKAGE_VERSION,
            "schema_revision": SCHEMA_REVISION,
            "program": __version__,
        },
        "resources": resources,
    }
