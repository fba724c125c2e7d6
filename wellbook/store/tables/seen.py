"""What was measured, found and sampled. *Derived* from the sheets by replay, or imported."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from wellbook.store.tables.base import Base, Numbered, one_of
from wellbook.terms import (
    Bacteria,
    Basis,
    FoundKind,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    Quantity,
    Severity,
)


class Observation(Numbered, Base):
    """A value measured or told. Derived where it comes from a sheet, else entered with the well."""

    __tablename__ = "observation"
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), index=True)
    quantity: Mapped[str]
    value: Mapped[float | None]
    when_earliest: Mapped[date | None]
    when_latest: Mapped[date | None]
    when_text: Mapped[str]
    basis: Mapped[str]
    point: Mapped[str | None]
    state: Mapped[str | None]
    method: Mapped[str]
    at_gpm: Mapped[float | None]
    minutes: Mapped[float | None]
    sheet_root_uid: Mapped[str | None]
    __table_args__ = (
        one_of("quantity", Quantity),
        one_of("basis", Basis),
        one_of("point", MeasuringPoint),
        one_of("state", LevelState),
    )


class BoreInterval(Numbered, Base):
    """A stretch of the bore. Derived where it comes from a sheet."""

    __tablename__ = "bore_interval"
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), index=True)
    kind: Mapped[str]
    from_ft: Mapped[float | None]
    to_ft: Mapped[float | None]
    diameter_in: Mapped[float | None]
    material: Mapped[str]
    basis: Mapped[str]
    when_earliest: Mapped[date | None]
    when_latest: Mapped[date | None]
    when_text: Mapped[str]
    sheet_root_uid: Mapped[str | None]
    __table_args__ = (one_of("kind", IntervalKind), one_of("basis", Basis))


class CableInspection(Numbered, Base):
    """Derived: what was counted on a cable at a visit."""

    __tablename__ = "cable_inspection"
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), index=True)
    component_uid: Mapped[str]
    inspected_on: Mapped[date]
    splices: Mapped[int | None]
    rubs: Mapped[int | None]
    splices_added: Mapped[int]
    sheet_root_uid: Mapped[str]


class Found(Numbered, Base):
    """Derived: one thing found at a visit."""

    __tablename__ = "found"
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), index=True)
    found_on: Mapped[date]
    what: Mapped[str]
    part: Mapped[str | None]
    depth_ft: Mapped[float | None]
    count: Mapped[int | None]
    severity: Mapped[str | None]
    note: Mapped[str]
    sheet_root_uid: Mapped[str]
    __table_args__ = (
        one_of("what", FoundKind),
        one_of("part", Kind),
        one_of("severity", Severity),
    )


class WaterSample(Numbered, Base):
    """Derived: a water sample and its results."""

    __tablename__ = "water_sample"
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), index=True)
    taken_earliest: Mapped[date | None]
    taken_latest: Mapped[date | None]
    taken_text: Mapped[str]
    bacteria: Mapped[str | None]
    nitrate_mg_l: Mapped[float | None]
    arsenic_mg_l: Mapped[float | None]
    laboratory: Mapped[str]
    note: Mapped[str]
    sheet_root_uid: Mapped[str | None]
    __table_args__ = (one_of("bacteria", Bacteria),)
