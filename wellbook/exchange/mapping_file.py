"""A mapping as a small TOML file that a person can edit."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from difflib import get_close_matches
from typing import Any

from wellbook import quantities
from wellbook.errors import WellbookError
from wellbook.exchange.layout import FORMS
from wellbook.exchange.mapping import (
    OF_A_CUSTOMER,
    OF_A_VISIT,
    OF_THE_WELL,
    TARGETS,
    Column,
    WellMapping,
    unit_of,
    usual_unit,
)
from wellbook.hole.parts import PARTS
from wellbook.hole.sheet_text import plain_tables
from wellbook.terms import MeasuringPoint

_HEAD = """\
# How `wellbook import` reads this file. Edit it and give it back with --mapping.
# Files of one source (its wells, its casings) bear the same `source`: a number is then the same
# well in all of them. `table` tells these files apart.
# date_order is "dmy" or "mdy", decimal "," or "."; where "", the file is looked through for it.
# A column may be read as:
{targets}
#   or as any field of a part, as a visit sheet has it: pump.hp, pump.set_on, pipe.material ...
# Where several columns say one thing, name them all: road = ["House No", "Street"]; a number and then
# the column of its unit, yield_gpm = ["Yield", "Yield unit"]; of a date year, month, day.
"""
_CHOICES = {"escape": ("\\",), "date_order": ("mdy", "dmy"), "decimal": (".", ",")}
_HEAD_KEYS = (
    *("source", "table", "form", "sheet", "encoding", "delimiter", "escape"),
    *("header_row", "header_lines", "date_order", "decimal"),
)


def to_toml(mapping: WellMapping, unused: Iterable[str] = ()) -> str:
    """A mapping as a TOML document that a person can edit."""
    lines = [
        _HEAD.format(
            targets="\n".join(_listed((*OF_THE_WELL, *OF_A_CUSTOMER, *OF_A_VISIT[:4])))
        ).rstrip()
    ]
    for name in _HEAD_KEYS:
        if ground := mapping.grounds.get(name):
            lines.append(f"# {clean_comment(ground)}")
        lines.append(f"{name} = {_quoted(getattr(mapping, name))}")
    if mapping.prefix is not None:
        lines.append(f"prefix = {_quoted(mapping.prefix)}")
    lines += ["", "[columns]"]
    for target, column in mapping.columns.items():
        names = ", ".join(map(_quoted, column.names))
        parts = [f"column = {f'[{names}]' if column.more else names}"]
        if unit_of(target):
            parts.append(f"unit = {_quoted(column.unit)}")
        if column.point:
            parts.append(f"point = {_quoted(column.point.value)}")
        lines.append(
            f"{target} = {{ {', '.join(parts)} }}" if parts[1:] else f"{target} = {parts[0][9:]}"
        )
    lines += [f"# not used: {clean_comment(name)}" for name in unused]
    return "\n".join(lines) + "\n"


def _listed(names: Iterable[str]) -> Iterator[str]:
    """Names as comment lines of a fair width."""
    line = "#  "
    for name in names:
        if len(line) + len(name) > 92:
            yield line.rstrip()
            line = "#  "
        line += f" {name},"
    yield line.rstrip(",")


def clean_comment(text: str) -> str:
    """Text that stays on its line of a TOML comment."""
    return "".join(c if c.isprintable() else " " for c in text)


def _quoted(value: str | int) -> str:
    # A JSON string is a TOML basic string, except that TOML also wants DEL escaped.
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def from_toml(text: str, where: str) -> WellMapping:
    """Read a mapping that was kept.

    Raises
    ------
    ValueError
        If it is no TOML; the reader's own message, with line and column.
    WellbookError
        Naming the key that will not do.
    """
    document = plain_tables(text)
    columns = document.pop("columns", None)
    if not isinstance(columns, dict):
        raise WellbookError("a table [columns] is wanted, target = column", where=where)
    _check_head(document, where)
    read = {
        target: _column(target, value, f"{where}: {target}") for target, value in _flat(columns)
    }
    return WellMapping(columns=read, **document)


def _check_head(values: Mapping[str, Any], where: str) -> None:
    known = {*_HEAD_KEYS, "prefix"}
    for name in values.keys() - known:
        raise WellbookError(
            f"no key '{name}' is known; known: columns, {', '.join(sorted(known))}", where=where
        )
    for name, value in values.items():
        wanted = int if name in ("header_row", "header_lines") else str
        if type(value) is not wanted:
            kind = "a number" if wanted is int else "a text"
            raise WellbookError(f"{kind} is wanted", where=f"{where}: {name}")
    for name, what in (
        ("source", 'a name for where these records are from, such as "county wells"'),
        ("table", 'a name for what this file of the source holds, such as "casings"'),
    ):
        if not values.get(name, "").strip():
            raise WellbookError(f"{what}, is wanted", where=f"{where}: {name}")
    if "/" in values["table"]:
        raise WellbookError("write it without '/'", where=f"{where}: table")
    if len(values.get("delimiter", ",")) != 1 or values.get("delimiter", ",") in '\r\n"':
        raise WellbookError('one sign is wanted, such as ","', where=f"{where}: delimiter")
    if not 1 <= values.get("header_lines", 1) <= 2:
        raise WellbookError("1 or 2 is wanted", where=f"{where}: header_lines")
    if values.get("form", "csv") not in FORMS:
        raise WellbookError(f"one of {', '.join(FORMS)} is wanted", where=f"{where}: form")
    for name, words in _CHOICES.items():
        if values.get(name, "") not in ("", *words):
            told = " or ".join(f"'{word}'" for word in (*words, ""))
            raise WellbookError(f"{told} is wanted", where=f"{where}: {name}")
    try:
        "".encode(values.get("encoding", "utf-8"))
    except LookupError:
        raise WellbookError("no such encoding", where=f"{where}: encoding") from None


def _flat(columns: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Targets by their full names: `pump.hp = "HP"` is a table within a table to TOML."""
    for name, value in columns.items():
        if isinstance(value, dict) and (name in PARTS or name in ("customer", "visit")):
            yield from ((f"{name}.{field}", one) for field, one in value.items())
        else:
            yield name, value


def _column(target: str, value: object, where: str) -> Column:
    if target not in TARGETS:
        near = get_close_matches(target, TARGETS, n=1)
        hint = f"did you mean '{near[0]}'?" if near else "--keep-mapping FILE lists them"
        raise WellbookError(f"a column cannot be read as that; {hint}", where=where)
    given: dict[str, Any] = value if isinstance(value, dict) else {"column": value}
    name, unit, point = given.get("column"), given.get("unit", ""), given.get("point")
    names = name if isinstance(name, list) and name else [name]
    if any(
        isinstance(one, bool) or not isinstance(one, str | int) for one in names
    ) or given.keys() - {"column", "unit", "point"}:
        raise WellbookError(
            'write "header", ["header", "header"], or { column = "header", unit = "ft" }',
            where=where,
        )
    if unit:
        try:
            quantities.read(f"1 {unit}", unit_of(target))
        except ValueError as error:
            raise WellbookError(str(error), where=where) from None
    try:
        at = MeasuringPoint(point) if point is not None else None
    except ValueError:
        raise WellbookError("a point is 'ground' or 'casing_top'", where=where) from None
    first, *more = map(str, names)
    return Column(first, str(unit) or usual_unit(target), at, more=tuple(more))
