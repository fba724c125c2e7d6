"""The description of a package: read, and held against the tables that it is of."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wellbook.errors import WellbookError
from wellbook.exchange.package_tables import (
    DESCRIPTION,
    PACKAGE_VERSION,
    PackageTable,
)
from wellbook.store.book import SCHEMA_REVISION

FIRST_REVISION = "0009"
"""Of the book's tables, when the first packages were written."""

_MOST_BYTES = 16 * 1024 * 1024
"""Of a description. One of this program has some 80,000."""


@dataclass(frozen=True, slots=True)
class Described:
    """What a package says of one of its files."""

    sha256: str
    rows: int


@dataclass(frozen=True, slots=True)
class Description:
    """A package's description.

    Parameters
    ----------
    file
        Where it stands.
    revision
        The revision of the book's tables that it was written at.
    resources
        What it says of its files, by their names.
    """

    file: Path
    revision: str
    resources: Mapping[str, Mapping[str, Any]]

    def of(self, tables: Iterable[PackageTable]) -> dict[str, Described]:
        """What it says of the file of each table.

        Raises
        ------
        WellbookError
            If one is not there, or is not made as the table is.
        """
        return {table.name: _described(table, self.resources, self.file) for table in tables}

    def fields_of(self, table: str) -> list[str]:
        """The names of a table's fields, in the order in which they stand in its file."""
        return [name for name, _ in _fields(self.resources.get(table, {}))]


def read_description(folder: Path) -> Description:
    """The description of a package of this program, or of an older one.

    Raises
    ------
    WellbookError
        If it is no package of a book, or one that this program does not read.
    """
    file = folder / DESCRIPTION
    if not file.is_file():
        raise _wrong(f"this folder has no {DESCRIPTION}, so it is no package of a book", folder)
    said = _read(file)
    own = said.get("wellbook")
    if not isinstance(own, Mapping):
        raise _wrong("this package was not written by wellbook export", file)
    revision = _revision(own, file)
    resources = said.get("resources")
    if not isinstance(resources, list):
        raise _wrong("it names no tables (resources)", file)
    return Description(file, revision, by_name(resources))


def by_name(resources: Iterable[Any]) -> dict[str, Mapping[str, Any]]:
    """What is said of files, by their names."""
    return {str(r.get("name")): r for r in resources if isinstance(r, Mapping)}


def _read(file: Path) -> Mapping[str, Any]:
    try:
        if file.stat().st_size > _MOST_BYTES:
            raise _wrong("it is far too long for a description", file)
        said = json.loads(file.read_text("utf-8"))
    except OSError as error:
        raise _wrong(error.strerror or "cannot be read", file) from None
    except UnicodeDecodeError:
        raise _wrong("it is not UTF-8 text", file) from None
    except (ValueError, RecursionError) as error:
        raise _wrong(f"it is not JSON: {error}", file) from None
    if not isinstance(said, Mapping):
        raise _wrong("a JSON object is wanted", file)
    return said


def _revision(own: Mapping[str, Any], file: Path) -> str:
    version, revision = own.get("package"), own.get("schema_revision")
    program = f" (wellbook {own['program']})" if isinstance(own.get("program"), str) else ""
    if type(version) is not int or not re.fullmatch("[0-9]{4}", str(revision)):
        raise _wrong("it does not say by which version it was written", file)
    if version > PACKAGE_VERSION or str(revision) > SCHEMA_REVISION:
        raise _wrong(
            f"this package is newer{program} than this program; install the newer wellbook, then try"
            " again",
            file,
        )
    if version < PACKAGE_VERSION or str(revision) < FIRST_REVISION:
        raise _wrong(
            f"it names a version ({version}, {revision}) at which no package was written yet; the first"
            f" were of {PACKAGE_VERSION}, {FIRST_REVISION}",
            file,
        )
    return str(revision)


def _described(
    table: PackageTable, resources: Mapping[str, Mapping[str, Any]], file: Path
) -> Described:
    said = resources.get(table.name)
    if said is None:
        raise _wrong(f"it has no table {table.name}", file)
    if said.get("path") != table.path:
        raise _wrong(f"the table {table.name} should be in {table.path}", file)
    wanted = [(f.name, f.kind.value) for f in table.fields]
    got = _fields(said)
    if got != wanted:
        odd = next((n for n, _ in wanted if n not in dict(got)), "")
        more = f": it lacks {odd}" if odd else ""
        raise _wrong(f"the fields of {table.name} are not those of the book's table{more}", file)
    total, rows = said.get("hash"), said.get("rows")
    if not isinstance(total, str) or not re.fullmatch(r"sha256:[0-9a-f]{64}", total):
        raise _wrong(f"it has no sum (hash, sha256:…) of the table {table.name}", file)
    if not isinstance(rows, int) or isinstance(rows, bool):
        raise _wrong(f"it does not say how many rows {table.name} has", file)
    return Described(total.removeprefix("sha256:"), rows)


def _fields(said: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Name and type of each field, as far as what is said of a table has the shape of such."""
    schema = said.get("schema")
    fields = schema.get("fields") if isinstance(schema, Mapping) else None
    some = fields if isinstance(fields, list) else []
    return [(str(f.get("name")), str(f.get("type"))) for f in some if isinstance(f, Mapping)]


def _wrong(message: str, file: Path) -> WellbookError:
    return WellbookError(message, where=str(file))
