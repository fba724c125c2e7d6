"""Which papers of a job were sent."""

from __future__ import annotations

from sqlalchemy import Date, Text, UniqueConstraint

from wellbook.store.tables.base import column, numbered, one_of, reference
from wellbook.terms import PaperKind

paper = numbered(
    "paper",
    reference("well_id", "well"),
    column("sheet_root_uid", Text),
    column("kind", Text),
    column("sent_on", Date),
    column("sent_to", Text),
    column("who", Text),
    one_of("kind", PaperKind),
    UniqueConstraint("well_id", "sheet_root_uid", "kind"),
)
"""A paper that was sent. What is still owed follows from the sheets, by the rule `papers-owed`.

It hangs on the root of its sheet, which a correction keeps.
"""
