"""What was brought in from files, and which rows made which wells."""

from __future__ import annotations

from sqlalchemy import Integer, Text

from wellbook.store.tables.base import column, maybe, numbered, reference, table

import_run = numbered(
    "import_run",
    column("at", Text),
    column("who", Text),
    column("file_name", Text),
    column("source", Text),
    column("rows", Integer),
    column("written", Integer),
    column("unchanged", Integer),
    column("changed", Integer),
    column("refused", Integer),
)
"""A file that was brought in."""

imported_row = table(
    "imported_row",
    column("source", Text, primary_key=True),
    column("row_key", Text, primary_key=True),
    column("digest", Text),
    reference("well_id", "well", index=True),
    reference("run_id", "import_run", index=True),
    maybe("facts_uid", Text),
)
"""Which well a row of a source became, and the sum of what it said, to know it again.

`facts_uid` is the well from whose identity those of its facts follow, where that is not this well's
own: it was joined with this one since.
"""
