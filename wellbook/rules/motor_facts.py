"""What is known of the motor that hangs on the cable: three rules ask it, and ask it alike.

What neither its record nor the shop's list says (`pump_facts`) is taken as what hangs in most wells,
and every sentence that rests on it says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from wellbook.engineering.motor_amps import full_load_amps, sizing_amps
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control
from wellbook.quantities import show
from wellbook.rules.asked_again import once_a_hole
from wellbook.rules.pump_facts import pump_facts
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


@once_a_hole
def motor_facts(hole: Hole) -> MotorFacts | None:
    """The motor down the hole; None where no pump hangs there, or one whose motor stands above."""
    facts = pump_facts(hole)
    if facts is None or facts.kind.value not in (PumpType.SUBMERSIBLE, None):
        return None
    read = (facts.motor_hp, facts.supply_v, facts.phases, facts.service_factor_a)
    control = hole.the(Control)
    return MotorFacts(
        parts=tuple(part for part in (facts.component, facts.motor) if part is not None),
        hp=facts.motor_hp.value,
        supply_v=facts.supply_v.value,
        phases=facts.phases.value,
        nameplate_a=facts.service_factor_a.value,
        behind_drive=control is not None and control[1].type is ControlType.DRIVE,
        since=both(
            *(known.since for known in read),
            # A drive that is gone may have been another case.
            said_since(hole, control[0], "type") if control else none_since(hole, Kind.CONTROL),
        ),
    )


def hp_text(hp: float) -> str:
    """Horsepower as the trade writes it, and an odd one in full.

    >>> hp_text(1.5), hp_text(0.123)
    ('1-1/2 hp', '0.123 hp')
    """
    return show(hp, "hp") if round(hp, 2) == hp else f"{hp:g} hp"
