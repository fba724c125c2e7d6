"""Sheets as they were written: visits, calls, opening records."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from wellbook.store.tables.base import Base, Numbered, one_of
from wellbook.terms import Reason, SheetKind, SheetStatus


class Sheet(Numbered, Base):
    """A visit sheet, a call, or the opening record. `document` is the truth; it is never changed.

    A correction is a new row with the same root; the row that it corrects becomes superseded.
    """

    __tablename__ = "sheet"
    root_uid: Mapped[str] = mapped_column(index=True)
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"))
    kind: Mapped[str]
    status: Mapped[str]
    start_on: Mapped[date]
    end_on: Mapped[date | None]
    reason: Mapped[str]
    left_without_pump: Mapped[bool]
    left_for_next_time: Mapped[str]
    opened: Mapped[bool]
    disinfected: Mapped[bool]
    notes: Mapped[str]
    document: Mapped[str]
    recorded_at: Mapped[str]
    recorded_by: Mapped[str]
    status_why: Mapped[str]
    __table_args__ = (
        one_of("kind", SheetKind),
        one_of("status", SheetStatus),
        one_of("reason", Reason),
        Index("ix_sheet_well_id_start_on", "well_id", "start_on"),
    )


class Crew(Base):
    """Who was on a visit."""

    __tablename__ = "crew"
    sheet_id: Mapped[int] = mapped_column(ForeignKey("sheet.id"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True)
    technician_id: Mapped[int] = mapped_column(ForeignKey("technician.id"), index=True)


class Technician(Numbered, Base):
    """A person of the shop."""

    __tablename__ = "technician"
    name: Mapped[str] = mapped_column(unique=True)


class Call(Base):
    """What belongs to a sheet that is a call."""

    __tablename__ = "call"
    sheet_id: Mapped[int] = mapped_column(ForeignKey("sheet.id"), primary_key=True)
    caller: Mapped[str]
    caller_phone: Mapped[str]
    symptom: Mapped[str]
    promised: Mapped[str]
    outcome: Mapped[str]
