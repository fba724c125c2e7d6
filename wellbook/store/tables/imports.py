"""What was brought in from files, and which rows made which wells."""

from __future__ import annotations

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from wellbook.store.tables.base import Base, Numbered


class ImportRun(Numbered, Base):
    """A file that was brought in."""

    __tablename__ = "import_run"
    at: Mapped[str]
    who: Mapped[str]
    file_name: Mapped[str]
    source: Mapped[str]
    rows: Mapped[int]
    written: Mapped[int]
    unchanged: Mapped[int]
    changed: Mapped[int]
    refused: Mapped[int]


class ImportedRow(Base):
    """Which well a row of a source became, and the sum of what it said, to know it again."""

    __tablename__ = "imported_row"
    source: Mapped[str] = mapped_column(primary_key=True)
    row_key: Mapped[str] = mapped_column(primary_key=True)
    digest: Mapped[str]
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), index=True)
    run_id: Mapped[int] = mapped_column(ForeignKey("import_run.id"), index=True)
