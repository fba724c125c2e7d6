"""What a component of each kind is made of: one frozen dataclass a kind.

The field names are used everywhere: as keys in a visit sheet, as columns of the kind's table and
as keys in JSON; a unit stands at a name's end. To add a kind, add it here, to `terms.Kind`, and a
table with the same column names (a test compares them).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from wellbook.dates import When
from wellbook.terms import ControlType, Kind, PumpType, SealType, TankType


@dataclass(frozen=True, slots=True)
class Part:
    """What all kinds share: nothing but a kind."""

    kind: ClassVar[Kind]


@dataclass(frozen=True, slots=True)
class Cap(Part):
    """The cover on the casing's top."""

    kind = Kind.CAP
    type: str | None = None
    material: str | None = None
    vented: bool | None = None


@dataclass(frozen=True, slots=True)
class Seal(Part):
    """The well seal or the pitless: what carries the string."""

    kind = Kind.SEAL
    type: SealType | None = None
    material: str | None = None
    depth_ft: float | None = None


@dataclass(frozen=True, slots=True)
class Pipe(Part):
    """One section of the drop pipe, all of one material, wall and rating."""

    kind = Kind.PIPE
    material: str | None = None
    nominal_in: str | None = None
    wall: str | None = None
    rating_psi: float | None = None
    from_ft: float | None = None
    to_ft: float | None = None
    joint_ft: float | None = None


@dataclass(frozen=True, slots=True)
class CheckValve(Part):
    """A check valve in the string; the pump's own one is not listed."""

    kind = Kind.CHECK_VALVE
    material: str | None = None
    depth_ft: float | None = None


@dataclass(frozen=True, slots=True)
class Cable(Part):
    """One section of the pump cable. `made` is its own age, which may be more than its setting's."""

    kind = Kind.CABLE
    awg: int | None = None
    conductors: int | None = None
    ground_wire: bool | None = None
    jacket: str | None = None
    from_ft: float | None = None
    to_ft: float | None = None
    made: When | None = None


@dataclass(frozen=True, slots=True)
class TorqueArrestor(Part):
    """Keeps the string from twisting at each start."""

    kind = Kind.TORQUE_ARRESTOR
    depth_ft: float | None = None


@dataclass(frozen=True, slots=True)
class Pump(Part):
    """The pump that lifts the water out of the well."""

    kind = Kind.PUMP
    type: PumpType | None = None
    maker: str | None = None
    model: str | None = None
    hp: float | None = None
    rated_gpm: float | None = None
    model_year: When | None = None
    serial: str | None = None
    date_code: str | None = None
    warranty_until: When | None = None
    set_depth_ft: float | None = None


@dataclass(frozen=True, slots=True)
class Motor(Part):
    """The motor, where more is known of it than the pump's horsepower."""

    kind = Kind.MOTOR
    maker: str | None = None
    hp: float | None = None
    supply_v: float | None = None
    phases: int | None = None
    wires: int | None = None
    service_factor_a: float | None = None
    model_year: When | None = None
    serial: str | None = None


@dataclass(frozen=True, slots=True)
class Control(Part):
    """The control box, relay or drive, and whether it stops the pump when the water runs out."""

    kind = Kind.CONTROL
    type: ControlType | None = None
    maker: str | None = None
    hp: float | None = None
    setpoint_psi: float | None = None
    low_water_protection: bool | None = None


@dataclass(frozen=True, slots=True)
class Tank(Part):
    """A pressure tank, or a cistern without pressure."""

    kind = Kind.TANK
    type: TankType | None = None
    volume_gal: float | None = None
    precharge_psi: float | None = None
    made: When | None = None


@dataclass(frozen=True, slots=True)
class Switch(Part):
    """The pressure switch."""

    kind = Kind.SWITCH
    cut_in_psi: float | None = None
    cut_out_psi: float | None = None


@dataclass(frozen=True, slots=True)
class Booster(Part):
    """A second pump that raises the pressure behind a cistern."""

    kind = Kind.BOOSTER
    maker: str | None = None
    hp: float | None = None
    rated_gpm: float | None = None
    model_year: When | None = None


@dataclass(frozen=True, slots=True)
class Treatment(Part):
    """A softener, filter, lamp or feeder behind the tank."""

    kind = Kind.TREATMENT
    type: str | None = None
    made: When | None = None


PARTS: dict[Kind, type[Part]] = {
    part.kind: part
    for part in (
        Cap,
        Seal,
        Pipe,
        CheckValve,
        Cable,
        TorqueArrestor,
        Pump,
        Motor,
        Control,
        Tank,
        Switch,
        Booster,
        Treatment,
    )
}
