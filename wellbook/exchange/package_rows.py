"""A row of a package's table, its values read and checked one by one."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from wellbook.dates import When
from wellbook.errors import WellbookError
from wellbook.exchange.package_cells import CellKind, read
from wellbook.exchange.package_tables import Field, PackageTable, most
from wellbook.hole.sheet import SheetError, read_recorded
from wellbook.rules import catalogue
from wellbook.store import tables as t
from wellbook.terms import SheetKind

_LOWEST_NUMBER = 1
_ENDS = ("_earliest", "_latest", "_text")


@dataclass(frozen=True, slots=True)
class Row:
    """A row: its number as a spreadsheet counts them, and its values by the fields' names."""

    table: PackageTable
    number: int
    values: dict[str, Any]

    def refused(self, field: Field | str, why: str) -> WellbookError:
        """That one of its values will not do."""
        name = field if isinstance(field, str) else field.name
        return WellbookError(why, where=f"{self.table.path}, row {self.number}, {name}")


class RowReader:
    """Reads the rows of one table.

    Parameters
    ----------
    of_server
        Whether the book is a server's, whose texts cannot hold the sign NUL.
    """

    def __init__(self, table: PackageTable, *, of_server: bool) -> None:
        self._table = table
        self._of_server = of_server
        # A table as it was at an older revision is not for this program to read before it is upgraded.
        today = table.kept.table.metadata is t.METADATA
        self._checks = _CHECKS.get(table.name, {}) if today else {}
        names = [field.name for field in table.fields]
        self._dates = [
            name.removesuffix("_text")
            for name in names
            if name.endswith("_text") and name.replace("_text", "_latest") in names
        ]

    def read(self, numbered: tuple[int, list[str]]) -> Row:
        """Read a row.

        Raises
        ------
        WellbookError
            Naming the file, the row and the field, and what would be right.
        """
        number, cells = numbered
        table = self._table
        row = Row(table, number, {})
        if len(cells) != len(table.fields):
            raise WellbookError(
                f"{len(table.fields)} cells are wanted, and there are {len(cells)}",
                where=f"{table.path}, row {number}",
            )
        for field, cell in zip(table.fields, cells, strict=True):
            try:
                row.values[field.name] = self._value(field, cell)
            except ValueError as error:
                raise row.refused(field, str(error)) from None
        self._check(row)
        return row

    def _value(self, field: Field, cell: str) -> Any:
        value = read(cell, field.kind, nullable=field.nullable)
        if isinstance(value, str):
            if field.words and value not in field.words:
                raise ValueError(
                    f"one of these is wanted: {', '.join(field.words)}; not {cell!r:.60}"
                )
            if self._of_server and "\x00" in value:
                raise ValueError("a server's book cannot hold the sign NUL; a file's can")
            _check_signs(value)
        elif field.kind is CellKind.INTEGER and value is not None:
            least = _LOWEST_NUMBER if field.column.name == "id" else -most(field)
            if not least <= value <= most(field):
                raise ValueError(f"a whole number from {least} to {most(field)} is wanted")
        return value

    def _check(self, row: Row) -> None:
        for name in self._dates:
            first, last, _ = (row.values[name + end] for end in _ENDS)
            try:
                When(first, last)
            except ValueError as error:
                raise row.refused(f"{name}_latest", str(error)) from None
        for field, check in self._checks.items():
            try:
                check(row.values)
            except (ValueError, TypeError, KeyError, AttributeError, SheetError) as error:
                raise row.refused(field, _why(error)) from None
            except RecursionError:
                raise row.refused(field, "it is nested far too deep") from None


def _check_signs(value: str) -> None:
    """Half of a sign is no text to either engine."""
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:
        raise ValueError("half of a sign (a lone surrogate) is no text") from None


def _why(error: Exception) -> str:
    if isinstance(error, json.JSONDecodeError):
        return f"it is not JSON: {error.msg}"
    if isinstance(error, ValueError | SheetError):
        return " ".join(str(error).split())
    return "it has not the shape that is wanted"


def _sheet(values: Mapping[str, Any]) -> None:
    day = date.fromisoformat(values["recorded_at"][:10])
    document = _object(values["document"])
    read_recorded(document, today=day, kind=SheetKind(values["kind"]))


def _object(text: str) -> dict[str, Any]:
    value = json.loads(text)
    if not isinstance(value, dict):
        raise ValueError("a JSON object is wanted")
    return value


def _object_or_nothing(name: str) -> Callable[[Mapping[str, Any]], None]:
    def check(values: Mapping[str, Any]) -> None:
        if values[name] is not None:
            _object(values[name])

    return check


def _setting(values: Mapping[str, Any]) -> None:
    """A number of a rule; one of a rule that is no more does no harm."""
    value = json.loads(values["value"])
    for rule in catalogue.RULES:
        for threshold in rule.thresholds:
            if values["name"] != f"{rule.name}.{threshold.name}":
                continue
            number = isinstance(value, int | float) and not isinstance(value, bool)
            if not (value in threshold.choices if threshold.choices else number):
                raise ValueError(f"{threshold.allowed} is wanted")


_CHECKS: dict[str, dict[str, Callable[[Mapping[str, Any]], None]]] = {
    "sheet": {"document": _sheet},
    "change": {"old": _object_or_nothing("old"), "new": _object_or_nothing("new")},
    "setting": {"value": _setting},
}
"""What else a field has to be, beyond its type: what the program reads without asking again."""
