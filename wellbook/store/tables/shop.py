"""The book itself, the shop's facts and numbers, the change log, what is due and what is kept quiet."""

from __future__ import annotations

from sqlalchemy import Date, Index, Integer, PrimaryKeyConstraint, Text

from wellbook.store.tables.base import column, maybe, numbered, one_of, ordered, reference, table
from wellbook.terms import Occasion, Severity

book = table(
    "book",
    column("uid", Text, primary_key=True),
    column("created_at", Text),
    column("shop_name", Text),
    column("ledger_fingerprint", Text),
    column("words_version", Text, server_default=""),
)
"""One row: which book this is, and by which versions its derived rows were made."""

setting = table(
    "setting",
    column("name", Text, primary_key=True),
    column("value", Text),
)
"""A number of a rule that the shop has changed."""

shop_fact = table(
    "shop_fact",
    column("name", Text, primary_key=True),
    column("value", Text),
)
"""What the shop says of itself: address, place, time zone, mail server; `store.shop` lists them."""

template = table(
    "template",
    column("name", Text, primary_key=True),
    column("text", Text),
)
"""A letter that the shop words itself, in place of the program's."""

change = numbered(
    "change",
    column("at", Text),
    column("who", Text),
    column("action", Text),
    column("what", Text),
    column("row_uid", Text, index=True),
    maybe("old", Text),
    maybe("new", Text),
)
"""Who changed what, when, from what to what (JSON)."""

due = ordered(
    "due",
    reference("well_id", "well"),
    column("position", Integer),
    column("rule", Text),
    column("subject", Text),
    column("occurrence", Text),
    column("from_day", Date),
    maybe("may_from", Date),
    maybe("surely_from", Date),
    maybe("until", Date),
    column("severity", Text),
    column("occasion", Text),
    column("reason", Text),
    column("action", Text),
    column("source", Text),
    column("counts_from", Text),
    column("numbers", Text),
    column("to_customer", Text),
    one_of("severity", Severity),
    one_of("occasion", Occasion),
    PrimaryKeyConstraint("well_id", "rule", "position"),
    Index("ix_due_occasion_from_day", "occasion", "from_day"),
    Index("ix_due_rule_from_day", "rule", "from_day"),
)
"""Derived: the ledger. What each rule says of each well, and from when.

`from_day` is `may_from`, or the first of all days where that is not known, so that a list up to a
day is a range of an index. What one rule says of a well stands together; a position only tells its
rows apart.
"""

silence = numbered(
    "silence",
    reference("well_id", "well", index=True),
    column("rule", Text),
    column("reason", Text),
    column("since", Date),
    maybe("until", Date, index=True),
    column("who", Text),
)
"""A finding that a shop does not want to see for one well, with the reason."""
