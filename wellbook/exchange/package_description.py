"""The description of a package: read, and held against what this program would write."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wellbook.errors import WellbookError
from wellbook.exchange.package_tables import (
    DESCRIPTION,
    PACKAGE_VERSION,
    PackageTable,
    package_tables,
)
from wellbook.store.book import SCHEMA_REVISION

_MOST_BYTES = 16 * 1024 * 1024
"""Of a description. One of this program has some 80,000."""


@dataclass(frozen=True, slots=True)
class Described:
    """What a package says of one of its files."""

    sha256: str
    rows: int


def read_description(folder: Path) -> dict[str, Described]:
    """What a package says of the file of each of the book's tables.

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
    _check_versions(own, file)
    resources = said.get("resources")
    if not isinstance(resources, list):
        raise _wrong("it names no tables (resources)", file)
    by_name = {r.get("name"): r for r in resources if isinstance(r, Mapping)}
    return {table.name: _described(table, by_name, file) for table in package_tables()}


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


def _check_versions(own: Mapping[str, Any], file: Path) -> None:
    version, revision = own.get("package"), own.get("schema_revision")
    program = f" (wellbook {own['program']})" if isinstance(own.get("program"), str) else ""
    if not isinstance(version, int) or not re.fullmatch(r"\d{4}", str(revision)):
        raise _wrong("it does not say by which version it was written", file)
    if version > PACKAGE_VERSION or str(revision) > SCHEMA_REVISION:
        raise _wrong(
            f"this package is newer{program} than this program; install the newer wellbook, then try"
            " again",
            file,
        )
    if (version, revision) != (PACKAGE_VERSION, SCHEMA_REVISION):
        raise _wrong(
            f"this package is of an older program{program}; read it into a book with that one, and open"
            " that book with this one: a book upgrades itself",
            file,
        )


def _described(table: PackageTable, resources: Mapping[Any, Any], file: Path) -> Described:
    said = resources.get(table.name)
    if said is None:
        raise _wrong(f"it has no table {table.name}", file)
    if said.get("path") != table.path:
        raise _wrong(f"the table {table.name} should be in {table.path}", file)
    schema = said.get("schema")
    fields = schema.get("fields") if isinstance(schema, Mapping) else None
    wanted = [(f.name, f.kind.value) for f in table.fields]
    got = (
        [(f.get("name"), f.get("type")) for f in fields or () if isinstance(f, Mapping)]
        if isinstance(fields, list)
        else []
    )
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


def _wrong(message: str, file: Path) -> WellbookError:
    return WellbookError(message, where=str(file))
