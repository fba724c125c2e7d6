"""The book itself, the shop's numbers, the change log, what is due and what is kept quiet."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from wellbook.store.tables.base import Base, Numbered, one_of
from wellbook.terms import Occasion, Severity


class BookInfo(Base):
    """One row: which book this is."""

    __tablename__ = "book"
    uid: Mapped[str] = mapped_column(primary_key=True)
    created_at: Mapped[str]
    shop_name: Mapped[str]
    ledger_fingerprint: Mapped[str]


class Setting(Base):
    """A number of a rule that the shop has changed."""

    __tablename__ = "setting"
    name: Mapped[str] = mapped_column(primary_key=True)
    value: Mapped[str]


class Change(Numbered, Base):
    """Who changed what, when, from what to what (JSON)."""

    __tablename__ = "change"
    at: Mapped[str]
    who: Mapped[str]
    action: Mapped[str]
    what: Mapped[str]
    row_uid: Mapped[str] = mapped_column(index=True)
    old: Mapped[str | None]
    new: Mapped[str | None]


class Due(Base):
    """Derived: the ledger. What each rule says of each well, and from when.

    `from_day` is `may_from`, or the first of all days where that is not known, so that a list up to a
    day is a range of an index.
    """

    __tablename__ = "due"
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True)
    rule: Mapped[str]
    subject: Mapped[str]
    occurrence: Mapped[str]
    from_day: Mapped[date]
    may_from: Mapped[date | None]
    surely_from: Mapped[date | None]
    until: Mapped[date | None]
    severity: Mapped[str]
    occasion: Mapped[str]
    reason: Mapped[str]
    action: Mapped[str]
    source: Mapped[str]
    counts_from: Mapped[str]
    numbers: Mapped[str]
    __table_args__ = (
        one_of("severity", Severity),
        one_of("occasion", Occasion),
        Index("ix_due_occasion_from_day", "occasion", "from_day"),
        Index("ix_due_rule_from_day", "rule", "from_day"),
    )


class Silence(Numbered, Base):
    """A finding that a shop does not want to see for one well, with the reason."""

    __tablename__ = "silence"
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), index=True)
    rule: Mapped[str]
    reason: Mapped[str]
    since: Mapped[date]
    until: Mapped[date | None]
    who: Mapped[str]
