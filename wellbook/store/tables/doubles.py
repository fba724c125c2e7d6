"""What was decided of records that looked like doubles."""

from __future__ import annotations

from sqlalchemy import Text

from wellbook.store.tables.base import column, maybe, numbered, one_of
from wellbook.terms import PairDecision, PairOf

decided_pair = numbered(
    "decided_pair",
    column("what", Text),
    column("decision", Text),
    column("one_uid", Text, index=True),
    column("other_uid", Text, index=True),
    column("names", Text),
    column("steps", Text),
    column("at", Text),
    column("who", Text),
    maybe("taken_back_at", Text),
    one_of("what", PairOf),
    one_of("decision", PairDecision),
)
"""Two records that are one (the other is gone into the one), or that are two for good.

They are named by their uids: one of them may be gone. `names` says both for people; `steps` (JSON)
is what a join did to the book, by uids alone, so that it is taken back in any book that it came to.
"""
