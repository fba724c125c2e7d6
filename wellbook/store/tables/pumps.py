"""The shop's own list of pump models, with their head-capacity points."""

from __future__ import annotations

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from wellbook.store.tables.base import Base, Numbered


class PumpModel(Numbered, Base):
    """A pump as its maker sells it.

    `maker_key` and `model_key` are the names as they are compared: small letters, no blanks. A
    database folds only the letters that it knows, and the two engines know different ones.
    """

    __tablename__ = "pump_model"
    maker: Mapped[str]
    model: Mapped[str]
    maker_key: Mapped[str]
    model_key: Mapped[str]
    hp: Mapped[float]
    rated_gpm: Mapped[float]
    service_factor: Mapped[float | None]
    service_factor_a: Mapped[float | None]
    supply_v: Mapped[float | None]
    phases: Mapped[int | None]
    notes: Mapped[str]
    # The model stands first: a record may lack the maker, and is then found by the model alone.
    __table_args__ = (UniqueConstraint("model_key", "maker_key"),)


class PumpPoint(Base):
    """How high a pump model lifts at one flow."""

    __tablename__ = "pump_point"
    pump_model_id: Mapped[int] = mapped_column(ForeignKey("pump_model.id"), primary_key=True)
    gpm: Mapped[float] = mapped_column(primary_key=True)
    head_ft: Mapped[float]
