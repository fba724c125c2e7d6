"""The single fields of a record: which of them a source says otherwise now, and which the shop changed.

Of each field a short sum is kept, by which a value in the book is the source's own or somebody else's.
What the shop wrote since is never written over.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from zlib import crc32

from wellbook.dates import When
from wellbook.exchange.well_record import WellRecord
from wellbook.likeness.names import told_name
from wellbook.store.rows import put_when
from wellbook.terms import Construction, WellStatus

_UNSAID = {
    "well.status": WellStatus.IN_USE.value,
    "well.construction": Construction.UNKNOWN.value,
    "well.drilled": "unknown",
}
"""What the book has where nobody said anything."""


def fields(record: WellRecord) -> dict[str, Any]:
    """What a record says, field by field: `well.permit_no`, `site.road`, `customer.name`."""
    said = {f"site.{name}": value for name, value in record.site.items()}
    if record.has_well:
        for name, value in record.well.items():
            if name == "sealed":
                said["well.status"] = WellStatus.SEALED.value
            else:
                said[f"well.{name}"] = value
    if record.person is not None:
        said["customer.name"] = record.person.name
    return said


_as_json = json.JSONEncoder(separators=(",", ":")).encode


def sums(said: Mapping[str, Any]) -> str:
    """The short sums of fields, as they are kept."""
    return _as_json({n: sum_of(v) for n, v in said.items()})


def sum_of(value: Any) -> str:
    """The short sum of one value."""
    return f"{crc32(shown(value).encode()):x}"


def shown(value: Any) -> str:
    """A value in words."""
    if isinstance(value, When):
        return value.text
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.12g}"
    return "" if value is None else str(value)


@dataclass(frozen=True, slots=True)
class Difference:
    """A field that a source says otherwise than the book: what both say, and whether it is written."""

    field: str
    old: str
    new: str
    value: Any
    writes: bool

    @property
    def table(self) -> str:
        """Of which table the field is."""
        return self.field.partition(".")[0]

    def columns(self) -> dict[str, Any]:
        """The columns that are written."""
        name = self.field.partition(".")[2]
        return put_when(name, self.value) if isinstance(self.value, When) else {name: self.value}


def differences(
    said: Mapping[str, Any], before: Mapping[str, str], rows: Mapping[str, Mapping[str, Any]]
) -> Iterator[Difference]:
    """Fields in which a source now differs from the book.

    Parameters
    ----------
    said
        What it says now.
    before
        The sums of what it said before; empty where that is not known.
    rows
        The rows of the book, by table.
    """
    for field, value in said.items():
        table, _, name = field.partition(".")
        row = rows.get(table)
        if row is None or before.get(field) == sum_of(value):
            continue
        there = row[f"{name}_text"] if isinstance(value, When) else row[name]
        old, new = shown(there), shown(value)
        if old == new or _same_name(field, old, new):
            continue
        unsaid = old in ("", _UNSAID.get(field, ""))
        writes = unsaid or before.get(field) == sum_of(there)
        yield Difference(field, "" if unsaid else old, new, value, writes)


def _same_name(field: str, old: str, new: str) -> bool:
    """Whether two spellings are of one name: the book's stays."""
    return field == "customer.name" and told_name(old) == told_name(new)
