"""Who was forgotten on his wish: that it was done stays, and nothing of him."""

from __future__ import annotations

from sqlalchemy import Text, UniqueConstraint

from wellbook.store.tables.base import column, numbered, reference, table

forgotten = numbered(
    "forgotten",
    column("what", Text),
    column("row_uid", Text),
    column("at", Text),
    column("who", Text),
    UniqueConstraint("row_uid", "what"),
)
"""A row that was erased, or whose words were taken out, by its table and identity: whatever brings
it back from another book finds it here."""

forgotten_mark = table(
    "forgotten_mark",
    reference("forgotten_id", "forgotten", primary_key=True),
    column("mark", Text, primary_key=True, index=True),
)
"""A sum over a name and one way to reach it, by which a list that still has the person is known."""
