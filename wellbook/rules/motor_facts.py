"""What is known of the motor that hangs on the cable: three rules ask it, and ask it alike.

Its own record comes first, then the model of its pump in the shop's list. What neither says is
taken as what hangs in most wells, and every sentence that rests on it says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from wellbook.engineering.motor_amps import full_load_amps, sizing_amps
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Motor, Pump
from wellbook.hole.records import PumpModel
from wellbook.quantities import show
from wellbook.rules.spans import Span, both, none_since, said_since
from wellbook.terms import ControlType, Kind, PumpType

USUAL_V = 230.0
USUAL_PHASE = 1

LOCKED_OUT = "power off, locked out, tried dead; wiring: a licensed electrician, the local code"


@dataclass(frozen=True, slots=True)
class MotorFacts:
    """A submersible pump's motor, as far as it is on record.

    `parts` are the components that it is read off, the pump first. `supply_v`, `phases` and
    `nameplate_a` (the service-factor amperes) are None where nobody wrote them down; `since` is
    from when all of it holds.
    """

    parts: tuple[Component, ...]
    hp: float | None
    supply_v: float | None
    phases: int | None
    nameplate_a: float | None
    behind_drive: bool
    since: Span

    @property
    def pump(self) -> Component:
        """The pump that it drives."""
        return self.parts[0]

    @property
    def volts(self) -> float:
        """What it is fed with, or what most are."""
        return USUAL_V if self.supply_v is None else self.supply_v

    @property
    def phase(self) -> int:
        """1 or 3; one is what most are."""
        return USUAL_PHASE if self.phases is None else self.phases

    @property
    def taken(self) -> tuple[str, ...]:
        """What is taken because it is not on record, in words."""
        volts = () if self.supply_v is not None else (f"{USUAL_V:g} V",)
        return (*volts, *(() if self.phases is not None else ("single-phase",)))

    def sizing_a(self) -> float | None:
        """The larger of the nameplate's amperes and the table's; None where neither is known.

        Raises
        ------
        ValueError
            Where a number on record cannot be.
        """
        by_table = None
        if self.hp is not None:
            by_table = full_load_amps(self.hp, volts=self.volts, phase=self.phase)
        return sizing_amps(self.nameplate_a, by_table)


def motor_facts(hole: Hole) -> MotorFacts | None:
    """The motor down the hole; None where no pump hangs there, or one whose motor stands above."""
    found = hole.the(Pump)
    if found is None or found[1].type not in (PumpType.SUBMERSIBLE, None):
        return None
    pump, own, model = found[1], hole.the(Motor), hole.pump_model
    motor = own[1] if own else Motor()
    volts, phases = motor.supply_v, motor.phases
    if model is not None:
        volts = model.supply_v if volts is None else volts
        phases = model.phases if phases is None else phases
    return MotorFacts(
        parts=(found[0], own[0]) if own else (found[0],),
        hp=_first(motor.hp, pump.hp, model.hp if model else None),
        supply_v=volts,
        phases=phases,
        nameplate_a=_first(motor.service_factor_a, _of_model(model, motor)),
        behind_drive=_driven(hole),
        since=_since(hole, found[0]),
    )


def _first(*values: float | None) -> float | None:
    return next((value for value in values if value is not None), None)


def _of_model(model: PumpModel | None, motor: Motor) -> float | None:
    """The model's amperes, unless the motor that hangs there is for another supply or power."""
    if model is None:
        return None
    pairs = (
        (motor.supply_v, model.supply_v),
        (motor.phases, model.phases),
        (motor.hp, model.hp),
    )
    same = all(own is None or of is None or own == of for own, of in pairs)
    return model.service_factor_a if same else None


def _driven(hole: Hole) -> bool:
    control = hole.the(Control)
    return control is not None and control[1].type is ControlType.DRIVE


def _since(hole: Hole, pump: Component) -> Span:
    motor, control = hole.the(Motor), hole.the(Control)
    names = ("hp", "supply_v", "phases", "service_factor_a")
    return both(
        said_since(hole, pump, "hp"),
        *([said_since(hole, motor[0], n) for n in names] if motor else ()),
        # Another motor, or a drive, that is gone may have been another case.
        *(() if motor else (none_since(hole, Kind.MOTOR),)),
        said_since(hole, control[0], "type") if control else none_since(hole, Kind.CONTROL),
    )


def hp_text(hp: float) -> str:
    """Horsepower as the trade writes it, and an odd one in full.

    >>> hp_text(1.5), hp_text(0.123)
    ('1-1/2 hp', '0.123 hp')
    """
    return show(hp, "hp") if round(hp, 2) == hp else f"{hp:g} hp"
