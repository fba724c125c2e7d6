"""What was brought in from files, which rows made what, and what takes a run back."""

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
    column("skipped", Integer, server_default="0"),
    column("first_change", Integer, server_default="0"),
    column("last_change", Integer, server_default="0"),
    column("columns", Text, server_default=""),
    column("made", Text, server_default=""),
    maybe("undone_at", Text),
)
"""A file that was brought in.

`made` says how many rows of each table the run made: their identities follow from the run's. `columns`
is a sum over the file's headers. Its lines in the change log are those after `first_change`, up to
`last_change`, which is the run's own: what has a greater number came later.
"""

imported_row = table(
    "imported_row",
    column("source", Text, primary_key=True),
    column("row_key", Text, primary_key=True),
    column("digest", Text),
    column("said", Text, server_default=""),
    reference("well_id", "well", index=True, nullable=True),
    reference("customer_id", "customer", index=True, nullable=True),
    reference("site_id", "site", index=True, nullable=True),
    reference("run_id", "import_run", index=True),
    maybe("facts_uid", Text),
)
"""What a record of a source became, and the sum of what it said, to know it again.

`said` holds a short sum of each field by itself, by which a value that the shop has changed since is told
from one that is still the source's. `facts_uid` is the well from whose identity those of its facts
follow, where that is not this well's own: it was joined with this one since.
"""

import_change = table(
    "import_change",
    reference("run_id", "import_run", primary_key=True),
    column("position", Integer, primary_key=True),
    column("what", Text),
    column("row_uid", Text),
    maybe("old", Text),
)
"""What a run did to rows that were there, in its order: what they were (JSON), empty for a row that it
made and whose identity does not follow from the run's."""

import_answer = table(
    "import_answer",
    column("source", Text, primary_key=True),
    column("number", Text, primary_key=True),
    column("answer", Text),
    reference("run_id", "import_run", index=True),
)
"""What was decided on a question about a record of a source, so that it is not asked again."""
