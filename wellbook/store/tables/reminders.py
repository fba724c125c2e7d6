"""What customers were told, what came of it, and the messages that told them."""

from __future__ import annotations

from sqlalchemy import Date, Index, Integer, Text

from wellbook.store.tables.base import column, maybe, numbered, one_of, reference, table
from wellbook.terms import MessageStatus, RemindBy, Said

message = numbered(
    "message",
    column("run_uid", Text),
    reference("customer_id", "customer", index=True),
    reference("site_id", "site", index=True),
    column("by", Text),
    column("address", Text),
    column("subject", Text),
    column("body", Text),
    column("status", Text),
    column("started_at", Text),
    maybe("ended_at", Text),
    column("on_day", Date),
    column("answer", Text),
    column("file_name", Text),
    column("who", Text),
    one_of("by", RemindBy),
    one_of("status", MessageStatus),
    Index("ix_message_status", "status"),
)
"""The outbox. A message is written here before it goes and marked after, so that one which was
broken off in between is in doubt and is never silently sent again. `answer` is what the server said.
"""

message_about = table(
    "message_about",
    reference("message_id", "message", primary_key=True),
    reference("well_id", "well", primary_key=True),
    column("occurrence", Text, primary_key=True),
    column("round", Integer),
    Index("ix_message_about_well_id_occurrence", "well_id", "occurrence"),
)
"""What a message tells of. An occurrence that was put off is told of again, in its next round."""

contact = numbered(
    "contact",
    reference("well_id", "well", index=True),
    column("on_day", Date),
    maybe("by", Text),
    column("said", Text),
    maybe("for_day", Date, index=True),
    column("for_time", Text),
    column("crew", Text),
    column("note", Text),
    column("at", Text),
    column("who", Text),
    reference("message_id", "message", index=True, nullable=True),
    reference("customer_id", "customer", index=True, nullable=True),
    column("booking_uid", Text, index=True),
    one_of("by", RemindBy),
    one_of("said", Said),
)
"""One time that a customer was told, or answered; `customer_id` is empty where nobody is at the place.

`for_day` is what it was booked for or put off to.

A booking keeps its `booking_uid` when it is moved to another day.
"""

contact_about = table(
    "contact_about",
    reference("contact_id", "contact", primary_key=True),
    reference("well_id", "well", primary_key=True),
    column("occurrence", Text, primary_key=True),
    Index("ix_contact_about_well_id_occurrence", "well_id", "occurrence"),
)
"""What was spoken of: occurrences of the ledger, by name, whether or not they still stand there."""

calendar_entry = table(
    "calendar_entry",
    column("uid", Text, primary_key=True),
    reference("well_id", "well", index=True),
    column("occurrence", Text),
    column("summary", Text),
    column("due_on", Date),
    column("digest", Text),
    column("sequence", Integer),
    column("changed_at", Text),
    maybe("done_at", Text),
)
"""What was given to a calendar, so that the next file updates it: `digest` is the sum of what it
said, `sequence` how often that changed. `occurrence` is empty for a booking.
"""
