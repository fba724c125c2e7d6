"""A mapping proposed from a file's headers, or, where it has none, from what stands in it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from wellbook import quantities
from wellbook.exchange.headers import KNOWN, names_of, split_unit
from wellbook.exchange.layout import Layout
from wellbook.exchange.mapping import (
    Column,
    WellMapping,
    unit_of,
    usual_unit,
)


def propose(layout: Layout, source: str) -> WellMapping:
    """A mapping for a file, from its headers; where it has none, from its values."""
    if layout.header_row:
        columns, left_out = _by_header(layout)
    else:
        columns, left_out = _by_value(layout.sample), []
    return WellMapping(
        source=source,
        table=source,
        columns=columns,
        form=layout.form,
        sheet=layout.sheet,
        encoding=layout.encoding,
        delimiter=layout.delimiter,
        escape=layout.escape,
        header_row=layout.header_row,
        left_out=tuple(left_out),
        grounds=dict(layout.said),
    )


def _by_header(layout: Layout) -> tuple[dict[str, Column], list[tuple[str, str]]]:
    headers = layout.headers
    columns: dict[str, Column] = {}
    left_out: list[tuple[str, str]] = []
    taken: set[str] = set()
    for target, patterns in KNOWN.items():
        header = _first([h for h in headers if h not in taken], patterns)
        if header is None:
            continue
        column = _column(target, header)
        # A length may be given its unit by --unit; of others nobody could say one for all.
        if unit_of(target) not in ("", "ft") and not column.unit:
            left_out.append((header, f"{target} without a unit; name it in a mapping file"))
            continue
        taken.add(header)
        if twin := _twin(header, layout):
            # The number of a well stands first in its table; of other things nobody could say.
            said = (
                f"a second column of this name; '{header}' is read"
                if target == "key"
                else (
                    f"two columns are headed so and differ; name '{header}' or '{twin}' in a mapping"
                    " file"
                )
            )
            left_out.append((twin if target == "key" else header, said))
            if target != "key":
                continue
        columns[target] = column
    return columns, left_out


def _twin(header: str, layout: Layout) -> str:
    """The second column of this name, where it says something else; else ""."""
    twin = f"{header} (2)"
    if twin not in layout.headers:
        return ""
    one, two = layout.headers.index(header), layout.headers.index(twin)
    rows = [r for r in layout.sample if max(one, two) < len(r)]
    return twin if any(r[one].strip() != r[two].strip() for r in rows) else ""


def _column(target: str, header: str) -> Column:
    _, unit, point = split_unit(header)
    if not unit_of(target):
        return Column(header)
    return Column(header, unit if _fits(unit, target) else usual_unit(target), point)


def _fits(unit: str, target: str) -> bool:
    """Whether a unit is of the target's kind: "cut in" is no length."""
    try:
        return bool(unit and quantities.read(f"1 {unit}", unit_of(target)))
    except ValueError:
        return False


def _first(headers: Sequence[str], patterns: Iterable[str]) -> str | None:
    for pattern in patterns:
        for header in headers:
            if any(re.fullmatch(pattern, name) for name in names_of(header)):
                return header
    return None


def _by_value(sample: Sequence[Sequence[str]]) -> dict[str, Column]:
    """Columns told by what stands in them, for a file without headers."""
    columns: dict[str, Column] = {}
    width = max((len(r) for r in sample), default=0)
    for n in range(width):
        values = [r[n].strip() for r in sample if n < len(r) and r[n].strip()]
        target = _target_of_values(values, columns)
        if target:
            columns[target] = Column(str(n + 1))
    return columns


def _target_of_values(values: list[str], known: Mapping[str, Column]) -> str | None:
    if not values:
        return None
    numbers = [float(v) for v in values if re.fullmatch(r"-?[0-9]+(?:\.[0-9]+)?", v)]
    if len(numbers) < 0.9 * len(values):
        wordy = sum(bool(re.search("[A-Za-z]{3}", v)) for v in values) > 0.9 * len(values)
        return "town" if wordy and "town" not in known else None
    fractions = sum(n != int(n) for n in numbers) > 0.8 * len(numbers)
    whole = all(n == int(n) for n in numbers)
    if "key" not in known and whole and len(set(values)) == len(values):
        return "key"
    if fractions and "latitude" not in known and all(-90 <= n <= 90 for n in numbers):
        return "latitude"
    if fractions and "longitude" not in known and all(-180 <= n <= 180 for n in numbers):
        return "longitude"
    years = sum(1800 <= n <= 2100 for n in numbers) > 0.9 * len(numbers)
    if whole and years and "drilled_on" not in known:
        return "drilled_on"
    positive = all(0 <= n < 10000 for n in numbers)
    return "depth_ft" if positive and "depth_ft" not in known else None
