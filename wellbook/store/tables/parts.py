"""Parts of strings and systems, a table a kind. *Derived* from the sheets by replay."""

from __future__ import annotations

from datetime import date

from sqlalchemy import CheckConstraint, ForeignKey, ForeignKeyConstraint
from sqlalchemy import UniqueConstraint as Unique
from sqlalchemy.orm import Mapped, mapped_column

from wellbook.store.tables.base import Base, Numbered, one_of
from wellbook.terms import Basis, Cause, ControlType, Kind, PumpType, SealType, TankType


class Component(Numbered, Base):
    """Derived: a part with its span in the well."""

    __tablename__ = "component"
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), index=True)
    position: Mapped[int]
    kind: Mapped[str]
    set_earliest: Mapped[date | None]
    set_latest: Mapped[date | None]
    set_text: Mapped[str]
    set_by: Mapped[str]
    pulled_earliest: Mapped[date | None]
    pulled_latest: Mapped[date | None]
    pulled_text: Mapped[str | None]
    pulled_by: Mapped[str | None]
    why_pulled: Mapped[str]
    cause: Mapped[str | None]
    basis: Mapped[str]
    noted_on: Mapped[date]
    cut_on: Mapped[date | None]
    __table_args__ = (
        one_of("kind", Kind),
        one_of("cause", Cause),
        one_of("basis", Basis),
        Unique("id", "kind"),
    )


class ComponentClaim(Base):
    """Derived: a later statement on one field of a component, and whether it counts."""

    __tablename__ = "component_claim"
    component_id: Mapped[int] = mapped_column(ForeignKey("component.id"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True)
    field: Mapped[str]
    value: Mapped[str]
    basis: Mapped[str]
    noted_on: Mapped[date]
    counts: Mapped[bool]
    was: Mapped[str | None]
    sheet_root_uid: Mapped[str]
    __table_args__ = (one_of("basis", Basis),)


def of_kind(kind: Kind, *more: CheckConstraint) -> tuple[object, ...]:
    """Tie a kind's table to `component` by number and kind together."""
    return (
        ForeignKeyConstraint(["component_id", "kind"], ["component.id", "component.kind"]),
        CheckConstraint(f"kind = '{kind.value}'", name="kind"),
        *more,
    )


class OfKind:
    """The key of a kind's table."""

    component_id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    kind: Mapped[str]


class Cap(OfKind, Base):
    """Derived: the fields of `hole.parts.Cap`."""

    __tablename__ = "cap"
    type: Mapped[str | None]
    material: Mapped[str | None]
    vented: Mapped[bool | None]
    __table_args__ = of_kind(Kind.CAP)


class Seal(OfKind, Base):
    """Derived: the fields of `hole.parts.Seal`."""

    __tablename__ = "seal"
    type: Mapped[str | None]
    material: Mapped[str | None]
    depth_ft: Mapped[float | None]
    __table_args__ = of_kind(Kind.SEAL, one_of("type", SealType))


class Pipe(OfKind, Base):
    """Derived: the fields of `hole.parts.Pipe`."""

    __tablename__ = "pipe"
    material: Mapped[str | None]
    nominal_in: Mapped[str | None]
    wall: Mapped[str | None]
    rating_psi: Mapped[float | None]
    from_ft: Mapped[float | None]
    to_ft: Mapped[float | None]
    joint_ft: Mapped[float | None]
    __table_args__ = of_kind(Kind.PIPE)


class CheckValve(OfKind, Base):
    """Derived: the fields of `hole.parts.CheckValve`."""

    __tablename__ = "check_valve"
    material: Mapped[str | None]
    depth_ft: Mapped[float | None]
    __table_args__ = of_kind(Kind.CHECK_VALVE)


class Cable(OfKind, Base):
    """Derived: the fields of `hole.parts.Cable`."""

    __tablename__ = "cable"
    awg: Mapped[int | None]
    conductors: Mapped[int | None]
    ground_wire: Mapped[bool | None]
    jacket: Mapped[str | None]
    from_ft: Mapped[float | None]
    to_ft: Mapped[float | None]
    made_earliest: Mapped[date | None]
    made_latest: Mapped[date | None]
    made_text: Mapped[str | None]
    __table_args__ = of_kind(Kind.CABLE)


class TorqueArrestor(OfKind, Base):
    """Derived: the fields of `hole.parts.TorqueArrestor`."""

    __tablename__ = "torque_arrestor"
    depth_ft: Mapped[float | None]
    __table_args__ = of_kind(Kind.TORQUE_ARRESTOR)


class Pump(OfKind, Base):
    """Derived: the fields of `hole.parts.Pump`."""

    __tablename__ = "pump"
    type: Mapped[str | None]
    maker: Mapped[str | None]
    model: Mapped[str | None]
    hp: Mapped[float | None]
    rated_gpm: Mapped[float | None]
    model_year_earliest: Mapped[date | None]
    model_year_latest: Mapped[date | None]
    model_year_text: Mapped[str | None]
    serial: Mapped[str | None]
    date_code: Mapped[str | None]
    warranty_until_earliest: Mapped[date | None]
    warranty_until_latest: Mapped[date | None]
    warranty_until_text: Mapped[str | None]
    set_depth_ft: Mapped[float | None]
    __table_args__ = of_kind(Kind.PUMP, one_of("type", PumpType))


class Motor(OfKind, Base):
    """Derived: the fields of `hole.parts.Motor`."""

    __tablename__ = "motor"
    maker: Mapped[str | None]
    hp: Mapped[float | None]
    supply_v: Mapped[float | None]
    phases: Mapped[int | None]
    wires: Mapped[int | None]
    service_factor_a: Mapped[float | None]
    model_year_earliest: Mapped[date | None]
    model_year_latest: Mapped[date | None]
    model_year_text: Mapped[str | None]
    serial: Mapped[str | None]
    __table_args__ = of_kind(Kind.MOTOR)


class Control(OfKind, Base):
    """Derived: the fields of `hole.parts.Control`."""

    __tablename__ = "control"
    type: Mapped[str | None]
    maker: Mapped[str | None]
    hp: Mapped[float | None]
    setpoint_psi: Mapped[float | None]
    low_water_protection: Mapped[bool | None]
    __table_args__ = of_kind(Kind.CONTROL, one_of("type", ControlType))


class Tank(OfKind, Base):
    """Derived: the fields of `hole.parts.Tank`."""

    __tablename__ = "tank"
    type: Mapped[str | None]
    volume_gal: Mapped[float | None]
    precharge_psi: Mapped[float | None]
    made_earliest: Mapped[date | None]
    made_latest: Mapped[date | None]
    made_text: Mapped[str | None]
    __table_args__ = of_kind(Kind.TANK, one_of("type", TankType))


class Switch(OfKind, Base):
    """Derived: the fields of `hole.parts.Switch`."""

    __tablename__ = "switch"
    cut_in_psi: Mapped[float | None]
    cut_out_psi: Mapped[float | None]
    __table_args__ = of_kind(Kind.SWITCH)


class Booster(OfKind, Base):
    """Derived: the fields of `hole.parts.Booster`."""

    __tablename__ = "booster"
    maker: Mapped[str | None]
    hp: Mapped[float | None]
    rated_gpm: Mapped[float | None]
    model_year_earliest: Mapped[date | None]
    model_year_latest: Mapped[date | None]
    model_year_text: Mapped[str | None]
    __table_args__ = of_kind(Kind.BOOSTER)


class Treatment(OfKind, Base):
    """Derived: the fields of `hole.parts.Treatment`."""

    __tablename__ = "treatment"
    type: Mapped[str | None]
    made_earliest: Mapped[date | None]
    made_latest: Mapped[date | None]
    made_text: Mapped[str | None]
    __table_args__ = of_kind(Kind.TREATMENT)


PART_TABLES: dict[Kind, type[Base]] = {
    Kind.CAP: Cap,
    Kind.SEAL: Seal,
    Kind.PIPE: Pipe,
    Kind.CHECK_VALVE: CheckValve,
    Kind.CABLE: Cable,
    Kind.TORQUE_ARRESTOR: TorqueArrestor,
    Kind.PUMP: Pump,
    Kind.MOTOR: Motor,
    Kind.CONTROL: Control,
    Kind.TANK: Tank,
    Kind.SWITCH: Switch,
    Kind.BOOSTER: Booster,
    Kind.TREATMENT: Treatment,
}
