"""What a row of the book is called when it is spoken of: a well by its tag, a visit by its number."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from sqlalchemy import Connection, Table, select

from wellbook.store import tables as t
from wellbook.terms import SheetKind

_CALLED: Mapping[str, str] = {
    "bore_interval": "stretch of a bore",
    "consent": "answer on being reached",
    "contact": "what was said",
    "contact_about": "what was said",
    "contact_point": "way to reach",
    "decided_pair": "decision on doubles",
    "import_run": "import",
    "imported_row": "row of an import",
    "message": "message",
    "message_about": "message",
    "calendar_entry": "calendar entry",
    "occupancy": "stay",
    "pump_model": "pump model",
    "shop_fact": "shop",
    "site": "property",
    "system_site": "property on a water system",
    "technician": "crew",
    "water_system": "water system",
}


def called(table: str) -> str:
    """What a row of a table is called.

    >>> called("site"), called("well"), called("water_sample")
    ('property', 'well', 'water sample')
    """
    return _CALLED.get(table, table.replace("_", " "))


def named(connection: Connection, table: Table, row: Mapping[str, Any]) -> str:
    """A row in few words, with whose it is, also where it is no longer in the book."""
    own = _NAMES.get(table.name)
    name = own(connection, row) if own else called(table.name)
    if "well_id" in table.c:
        query = select(t.well.c.tag).where(t.well.c.id == row.get("well_id"))
        tag = connection.execute(query).scalar()
        return f"{tag}: {name}" if tag else name
    if "customer_id" in table.c and own is None:
        return f"{_of(connection, t.customer, row)}: {name}"
    return name


def _site(_connection: Connection, row: Mapping[str, Any]) -> str:
    place = ", ".join(x for x in (row.get("road"), row.get("town")) if x)
    return f"property {place or row.get('id') or ''}".rstrip()


def _sheet(_connection: Connection, row: Mapping[str, Any]) -> str:
    number = f" {row['id']}" if row.get("id") else ""
    return f"{_SHEETS[SheetKind(row['kind'])]}{number} of {row['start_on']}"


def _stay(connection: Connection, row: Mapping[str, Any]) -> str:
    return f"{_of(connection, t.customer, row)} at {_of(connection, t.site, row)}"


_SHEETS = {SheetKind.VISIT: "visit", SheetKind.CALL: "call", SheetKind.OPENING: "opening record"}
_NAMES: Mapping[str, Callable[[Connection, Mapping[str, Any]], str]] = {
    "well": lambda _, row: f"well {row['tag']}",
    "customer": lambda _, row: f"customer {row.get('name') or 'who is no longer in the book'}",
    "site": _site,
    "sheet": _sheet,
    "occupancy": _stay,
    "attachment": lambda _, row: f"file {row['file_name']}",
    "paper": lambda _, row: str(row["kind"]).replace("_", " "),
    "silence": lambda _, row: f"silence of {row['rule']}",
    "pump_model": lambda _, row: f"pump model {row['maker']} {row['model']}",
    "technician": lambda _, row: f"{row['name']} of the crew",
    "decided_pair": lambda _, row: f"doubles {row['names']}",
    "import_run": lambda _, row: f"import {row.get('id') or ''} of {row['file_name']}",
}


def _of(connection: Connection, table: Table, row: Mapping[str, Any]) -> str:
    number = row.get(f"{table.name}_id")
    found = connection.execute(select(table).where(table.c.id == number)).mappings().first()
    if found is None:
        return f"a {called(table.name)}"
    if table is t.customer:
        return str(found["name"] or "a customer")
    return ", ".join(x for x in (found["road"], found["town"]) if x) or f"property {number}"
