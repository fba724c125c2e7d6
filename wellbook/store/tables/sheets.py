"""Sheets as they were written: visits, calls, opening records."""

from __future__ import annotations

from sqlalchemy import Boolean, Date, Index, Integer, Text

from wellbook.store.tables.base import column, maybe, numbered, one_of, reference, table
from wellbook.terms import Reason, SheetKind, SheetStatus

sheet = numbered(
    "sheet",
    column("root_uid", Text, index=True),
    reference("well_id", "well"),
    column("kind", Text),
    column("status", Text),
    column("start_on", Date),
    maybe("end_on", Date),
    column("reason", Text),
    column("left_without_pump", Boolean),
    column("left_for_next_time", Text),
    column("opened", Boolean),
    column("disinfected", Boolean),
    column("notes", Text),
    column("document", Text),
    column("recorded_at", Text),
    column("recorded_by", Text),
    column("status_why", Text),
    one_of("kind", SheetKind),
    one_of("status", SheetStatus),
    one_of("reason", Reason),
    Index("ix_sheet_well_id_start_on", "well_id", "start_on"),
)
"""A visit sheet, a call, or the opening record. `document` is the truth; it is never changed.

A correction is a new row with the same root; the row that it corrects becomes superseded.
"""

crew = table(
    "crew",
    reference("sheet_id", "sheet", primary_key=True),
    column("position", Integer, primary_key=True),
    reference("technician_id", "technician", index=True),
)
"""Who was on a visit."""

technician = numbered(
    "technician",
    column("name", Text, unique=True),
)
"""A person of the shop."""

call = table(
    "call",
    reference("sheet_id", "sheet", primary_key=True),
    column("caller", Text),
    column("caller_phone", Text),
    column("symptom", Text),
    column("promised", Text),
    column("outcome", Text),
)
"""What belongs to a sheet that is a call."""
