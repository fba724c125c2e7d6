"""The tables of a book, for SQLite and PostgreSQL alike.

Enumerations are text under a CHECK, units stand in the column names, every constraint has a name. An
uncertain date takes three columns: first possible day, last possible day, and the user's wording.
Rows marked *derived* follow from the sheets by replay, or from the records by the rules; they are
rebuilt, never edited.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from sqlalchemy import (
    CheckConstraint,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    MetaData,
    Text,
)
from sqlalchemy import UniqueConstraint as Unique
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from wellbook.terms import (
    Bacteria,
    Basis,
    Cause,
    Construction,
    ContactWay,
    ControlType,
    FoundKind,
    IntervalKind,
    Kind,
    LevelState,
    MeasuringPoint,
    Occasion,
    Permission,
    PumpType,
    Quantity,
    Reason,
    Role,
    SealType,
    Severity,
    SheetKind,
    SheetStatus,
    TankType,
    WellStatus,
)


class Base(DeclarativeBase):
    """What all tables share: how constraints are named."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    # Said here, since what a float is without a word differs from SQLAlchemy 2.0 to 2.1.
    type_annotation_map = {str: Text, float: Double}  # noqa: RUF012 - read by the declarative base


def one_of(column: str, words: type[StrEnum]) -> CheckConstraint:
    """A CHECK that a column holds one of the book's words (or nothing, where it may be null)."""
    listed = ", ".join(f"'{w.value}'" for w in words)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


class Numbered:
    """An own number, and an identity that is unique across books."""

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(unique=True)


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


class Customer(Numbered, Base):
    """A person or firm."""

    __tablename__ = "customer"
    name: Mapped[str]
    notes: Mapped[str]


class ContactPoint(Numbered, Base):
    """A way to reach a customer; `digits` are a telephone number's digits, for finding it."""

    __tablename__ = "contact_point"
    customer_id: Mapped[int] = mapped_column(ForeignKey("customer.id"), index=True)
    way: Mapped[str]
    value: Mapped[str]
    digits: Mapped[str]
    may_use: Mapped[str]
    __table_args__ = (one_of("way", ContactWay), one_of("may_use", Permission))


class Site(Numbered, Base):
    """A property."""

    __tablename__ = "site"
    road: Mapped[str]
    town: Mapped[str]
    region: Mapped[str]
    postcode: Mapped[str]
    latitude: Mapped[float | None]
    longitude: Mapped[float | None]
    access: Mapped[str]
    well_head: Mapped[str]
    notes: Mapped[str]


class Occupancy(Numbered, Base):
    """A customer at a property, from and to."""

    __tablename__ = "occupancy"
    customer_id: Mapped[int] = mapped_column(ForeignKey("customer.id"), index=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), index=True)
    since_earliest: Mapped[date | None]
    since_latest: Mapped[date | None]
    since_text: Mapped[str]
    until_earliest: Mapped[date | None]
    until_latest: Mapped[date | None]
    until_text: Mapped[str | None]


class WaterSystem(Numbered, Base):
    """Wells feed it, properties draw on it."""

    __tablename__ = "water_system"
    name: Mapped[str]
    rise_to_tank_ft: Mapped[float | None]


class SystemSite(Base):
    """A property that draws on a water system."""

    __tablename__ = "system_site"
    system_id: Mapped[int] = mapped_column(ForeignKey("water_system.id"), primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"), primary_key=True, index=True)


class Well(Numbered, Base):
    """A well: the shop's own care, or a public record for reference."""

    __tablename__ = "well"
    tag: Mapped[str] = mapped_column(unique=True)
    permit_no: Mapped[str] = mapped_column(index=True)
    system_id: Mapped[int] = mapped_column(ForeignKey("water_system.id"), index=True)
    site_id: Mapped[int | None] = mapped_column(ForeignKey("site.id"), index=True)
    role: Mapped[str]
    use: Mapped[str]
    status: Mapped[str]
    construction: Mapped[str]
    flowing: Mapped[bool | None]
    driller: Mapped[str]
    drilled_earliest: Mapped[date | None]
    drilled_latest: Mapped[date | None]
    drilled_text: Mapped[str]
    stick_up_ft: Mapped[float | None]
    frost_depth_ft: Mapped[float | None]
    entered_on: Mapped[date]
    notes: Mapped[str]
    __table_args__ = (
        one_of("role", Role),
        one_of("status", WellStatus),
        one_of("construction", Construction),
    )


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


BY_LETTER = Text().with_variant(Text(collation="C"), "postgresql")
"""Text that sorts by its letters alone, so that "begins with" is a range of an index."""


class SearchWord(Base):
    """Derived: a word by which wells are found."""

    __tablename__ = "search_word"
    id: Mapped[int] = mapped_column(primary_key=True)
    word: Mapped[str] = mapped_column(BY_LETTER, unique=True)


class SearchUse(Base):
    """Derived: a well that has a word; a well's words are few, so a plain pair will do."""

    __tablename__ = "search_use"
    word_id: Mapped[int] = mapped_column(ForeignKey("search_word.id"), primary_key=True)
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), primary_key=True, index=True)
    weight: Mapped[int]


class SearchVariant(Base):
    """Derived: a word with one letter left out, by which a slip still finds it."""

    __tablename__ = "search_variant"
    variant: Mapped[str] = mapped_column(BY_LETTER, primary_key=True)
    word_id: Mapped[int] = mapped_column(ForeignKey("search_word.id"), primary_key=True)


class SearchDigits(Base):
    """Derived: telephone and permit digits; the same digits from behind find by their end."""

    __tablename__ = "search_digits"
    digits: Mapped[str] = mapped_column(BY_LETTER, primary_key=True)
    well_id: Mapped[int] = mapped_column(ForeignKey("well.id"), primary_key=True, index=True)
    backwards: Mapped[str] = mapped_column(BY_LETTER, index=True)


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
