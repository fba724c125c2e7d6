"""What a source says otherwise now of readings, stretches of the bore and sheets, in words: each with what it
said before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import zip_longest
from typing import Any

from wellbook import quantities
from wellbook.exchange.mapping import unit_of
from wellbook.exchange.well_record import Reading, Stretch
from wellbook.store.rows import Record

Was = tuple[str, str, str]
"""What it is, what was said, what is said now; "" where nothing was, or is."""


def facts_changed(
    gone: Iterable[Record], readings: Iterable[Reading], stretches: Iterable[Stretch]
) -> Iterator[Was]:
    """The readings and stretches that differ.

    Parameters
    ----------
    gone
        Rows of the book that the source wrote before, of observations and of bore intervals.
    """
    before: dict[str, list[str]] = {}
    for row in gone:
        said = _reading if "quantity" in row else _stretch
        name, text = said({**row, "when": row["when_text"]})
        before.setdefault(name, []).append(text)
    now: dict[str, list[str]] = {}
    for reading in readings:
        value = {"quantity": reading.quantity.value, "value": reading.value, "point": reading.point}
        name, text = _reading({**value, "when": reading.when.text})
        now.setdefault(name, []).append(text)
    for stretch in stretches:
        row = {n: getattr(stretch, n) for n in ("kind", "from_ft", "to_ft", "diameter_in")}
        name, text = _stretch({**row, "material": stretch.material, "when": stretch.when.text})
        now.setdefault(name, []).append(text)
    for name in {**before, **now}:
        had, have = before.get(name, []), now.get(name, [])
        left = [x for x in had if x not in have]
        came = [x for x in have if x not in had]
        yield from ((name, old, new) for old, new in zip_longest(left, came, fillvalue=""))


def _reading(row: Mapping[str, Any]) -> tuple[str, str]:
    name = str(row["quantity"])
    text = quantities.show(row["value"], unit_of(name))
    point = f" from {str(row['point']).replace('_', ' ')}" if row["point"] else ""
    return name, f"{text}{point}{_dated(row)}"


def _stretch(row: Mapping[str, Any]) -> tuple[str, str]:
    top, bottom = (_number(row[n], "ft") for n in ("from_ft", "to_ft"))
    wide = _number(row["diameter_in"], "in")
    said = [f"{top or '?'} to {bottom or '?'}", " ".join(x for x in (wide, row["material"]) if x)]
    return str(row["kind"]), ", ".join(x for x in said if x) + _dated(row)


def _number(value: float | None, unit: str) -> str:
    return "" if value is None else quantities.show(value, unit)


def _dated(row: Mapping[str, Any]) -> str:
    return "" if row["when"] in ("", "unknown") else f", {row['when']}"


def documents_changed(name: str, was: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Was]:
    """The fields of a sheet that differ.

    >>> list(documents_changed("visit", {"notes": "a", "measured": {"yield_gpm": "5"}}, {"notes": "b"}))
    [('visit notes', 'a', 'b'), ('visit measured.yield_gpm', '5', '')]
    """
    old, new = dict(_flat(was)), dict(_flat(now))
    for field in {**old, **new}:
        if old.get(field, "") != new.get(field, ""):
            yield f"{name} {field}", old.get(field, ""), new.get(field, "")


def _flat(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for name, part in value.items():
            yield from _flat(part, f"{path}.{name}" if path else name)
    elif isinstance(value, list) and any(isinstance(x, Mapping) for x in value):
        for n, part in enumerate(value, 1):
            yield from _flat(part, f"{path} {n}")
    elif isinstance(value, list):
        yield path, ", ".join(map(str, value))
    else:
        yield path, str(value)
