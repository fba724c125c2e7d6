"""Parts of strings and systems, a table a kind. *Derived* from the sheets by replay."""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Date,
    Double,
    ForeignKeyConstraint,
    Integer,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.schema import SchemaItem

from wellbook.store.tables.base import (
    column,
    maybe,
    maybe_when,
    numbered,
    one_of,
    reference,
    table,
    when,
)
from wellbook.terms import Basis, Cause, ControlType, Kind, PumpType, SealType, TankType

component = numbered(
    "component",
    reference("well_id", "well", index=True),
    column("position", Integer),
    column("kind", Text),
    *when("set"),
    column("set_by", Text),
    *maybe_when("pulled"),
    maybe("pulled_by", Text),
    column("why_pulled", Text),
    maybe("cause", Text),
    column("basis", Text),
    column("noted_on", Date),
    maybe("cut_on", Date),
    one_of("kind", Kind),
    one_of("cause", Cause),
    one_of("basis", Basis),
    UniqueConstraint("id", "kind"),
)
"""Derived: a part with its span in the well."""

component_claim = table(
    "component_claim",
    reference("component_id", "component", primary_key=True),
    column("position", Integer, primary_key=True),
    column("field", Text),
    column("value", Text),
    column("basis", Text),
    column("noted_on", Date),
    column("counts", Boolean),
    maybe("was", Text),
    column("sheet_root_uid", Text),
    one_of("basis", Basis),
)
"""Derived: a later statement on one field of a component, and whether it counts."""


def of_kind(kind: Kind, *items: SchemaItem) -> Table:
    """The table of a kind of parts, tied to `component` by number and kind together."""
    return table(
        kind.value,
        column("component_id", Integer, primary_key=True, autoincrement=False),
        column("kind", Text),
        *items,
        ForeignKeyConstraint(["component_id", "kind"], ["component.id", "component.kind"]),
        CheckConstraint(f"kind = '{kind.value}'", name="kind"),
    )


cap = of_kind(
    Kind.CAP,
    maybe("type", Text),
    maybe("material", Text),
    maybe("vented", Boolean),
)
"""Derived: the fields of `hole.parts.Cap`."""

seal = of_kind(
    Kind.SEAL,
    maybe("type", Text),
    maybe("material", Text),
    maybe("depth_ft", Double),
    one_of("type", SealType),
)
"""Derived: the fields of `hole.parts.Seal`."""

pipe = of_kind(
    Kind.PIPE,
    maybe("material", Text),
    maybe("nominal_in", Text),
    maybe("wall", Text),
    maybe("rating_psi", Double),
    maybe("from_ft", Double),
    maybe("to_ft", Double),
    maybe("joint_ft", Double),
)
"""Derived: the fields of `hole.parts.Pipe`."""

check_valve = of_kind(
    Kind.CHECK_VALVE,
    maybe("material", Text),
    maybe("depth_ft", Double),
)
"""Derived: the fields of `hole.parts.CheckValve`."""

cable = of_kind(
    Kind.CABLE,
    maybe("awg", Integer),
    maybe("conductors", Integer),
    maybe("ground_wire", Boolean),
    maybe("jacket", Text),
    maybe("from_ft", Double),
    maybe("to_ft", Double),
    *maybe_when("made"),
)
"""Derived: the fields of `hole.parts.Cable`."""

torque_arrestor = of_kind(
    Kind.TORQUE_ARRESTOR,
    maybe("depth_ft", Double),
)
"""Derived: the fields of `hole.parts.TorqueArrestor`."""

pump = of_kind(
    Kind.PUMP,
    maybe("type", Text),
    maybe("maker", Text),
    maybe("model", Text),
    maybe("hp", Double),
    maybe("rated_gpm", Double),
    *maybe_when("model_year"),
    maybe("serial", Text),
    maybe("date_code", Text),
    *maybe_when("warranty_until"),
    maybe("set_depth_ft", Double),
    one_of("type", PumpType),
)
"""Derived: the fields of `hole.parts.Pump`."""

motor = of_kind(
    Kind.MOTOR,
    maybe("maker", Text),
    maybe("hp", Double),
    maybe("supply_v", Double),
    maybe("phases", Integer),
    maybe("wires", Integer),
    maybe("service_factor_a", Double),
    *maybe_when("model_year"),
    maybe("serial", Text),
)
"""Derived: the fields of `hole.parts.Motor`."""

control = of_kind(
    Kind.CONTROL,
    maybe("type", Text),
    maybe("maker", Text),
    maybe("hp", Double),
    maybe("setpoint_psi", Double),
    maybe("low_water_protection", Boolean),
    one_of("type", ControlType),
)
"""Derived: the fields of `hole.parts.Control`."""

tank = of_kind(
    Kind.TANK,
    maybe("type", Text),
    maybe("volume_gal", Double),
    maybe("precharge_psi", Double),
    *maybe_when("made"),
    one_of("type", TankType),
)
"""Derived: the fields of `hole.parts.Tank`."""

switch = of_kind(
    Kind.SWITCH,
    maybe("cut_in_psi", Double),
    maybe("cut_out_psi", Double),
)
"""Derived: the fields of `hole.parts.Switch`."""

booster = of_kind(
    Kind.BOOSTER,
    maybe("maker", Text),
    maybe("hp", Double),
    maybe("rated_gpm", Double),
    *maybe_when("model_year"),
)
"""Derived: the fields of `hole.parts.Booster`."""

treatment = of_kind(
    Kind.TREATMENT,
    maybe("type", Text),
    *maybe_when("made"),
)
"""Derived: the fields of `hole.parts.Treatment`."""

PART_TABLES = {
    Kind(part.name): part
    for part in (
        cap,
        seal,
        pipe,
        check_valve,
        cable,
        torque_arrestor,
        pump,
        motor,
        control,
        tank,
        switch,
        booster,
        treatment,
    )
}
"""The table of each kind of parts."""
