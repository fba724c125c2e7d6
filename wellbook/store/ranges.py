"""What begins alike, as a range of an index."""

from __future__ import annotations

from sqlalchemy import ColumnElement


def begins(column: ColumnElement[str], start: str) -> ColumnElement[bool]:
    """A prefix as a range of the index, which a LIKE would not use in every collation."""
    return (column >= start) & (column < start[:-1] + chr(ord(start[-1]) + 1))
