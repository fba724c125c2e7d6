"""Files that belong to a well: photographs, laboratory reports, the driller's log."""

from __future__ import annotations

from sqlalchemy import BigInteger, Date, Text, UniqueConstraint

from wellbook.store.tables.base import column, maybe, numbered, reference

attachment = numbered(
    "attachment",
    reference("well_id", "well"),
    maybe("sheet_root_uid", Text),
    column("sha256", Text, index=True),
    column("file_name", Text),
    column("media_type", Text),
    column("size_bytes", BigInteger),
    column("note", Text),
    column("added_on", Date),
    column("who", Text),
    UniqueConstraint("well_id", "sha256"),
)
"""A file of a well. What is in it stands beside the book, named by its sum (`store.kept_files`).

It may hang on the root of a sheet, which a correction keeps.
"""
