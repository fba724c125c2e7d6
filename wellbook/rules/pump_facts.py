"""What the pump of a well is: read once, from the record and the shop's list, for every rule alike.

The record goes before the list: it is of this very pump. For horsepower there are two answers, since
a pump end may hang on a motor of another size, and each rule takes the one that it is about. What the
end lifts, and about what it draws, is its own horsepower: as written of the pump, else as its model
is sold, else its motor's. What cable, box and tank are to be made for is the motor's nameplate: as
written of the motor, else of the pump, else as the model is sold. (Common practice, no published
source: a 3/4 hp end on a 1 hp motor lifts like 3/4 hp, and takes a 1 hp box.)
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

from wellbook.engineering.curves import HeadCurve
from wellbook.engineering.lift import PumpCurves, estimated_curves
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Motor, Pump
from wellbook.hole.records import PumpModel
from wellbook.quantities import show
from wellbook.rules.asked_again import once_a_hole
from wellbook.rules.finding import since
from wellbook.rules.spans import Span, both, none_since, said_since
from wellbook.terms import Kind, PumpType

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Known(Generic[T]):
    """A value that may be known, and from when it is this one, or is not known."""

    value: T | None
    since: Span


@dataclass(frozen=True, slots=True)
class PumpFacts:
    """The pump that is there now, with its motor.

    Parameters
    ----------
    component, pump
        Itself, as on record.
    motor
        Its motor, where there is a record of one.
    model
        Its model in the shop's list, where it is there.
    named_since
        From when it is of that model, or of none that is listed.
    kind
        Of what kind it is. Where nobody said, it is what the pump of its model was that hung here
        before; else what is in the list, or has a cable down the hole, is a submersible.
    pump_hp
        Horsepower of the pump end.
    motor_hp
        Horsepower of the motor that turns it.
    rated_gpm
        The flow that it is sold for, gpm.
    supply_v, phases, service_factor_a
        What its motor is made for, and the amperes of its nameplate.
    """

    component: Component
    pump: Pump
    motor: Component | None
    model: PumpModel | None
    named_since: Span
    kind: Known[PumpType]
    pump_hp: Known[float]
    motor_hp: Known[float]
    rated_gpm: Known[float]
    supply_v: Known[float]
    phases: Known[int]
    service_factor_a: Known[float]

    @property
    def listed_curve(self) -> HeadCurve | None:
        """That of its model in the shop's list."""
        return None if self.model is None else self.model.curve

    @property
    def curves(self) -> PumpCurves | None:
        """Its own curve, else two estimated ones; None where it has neither."""
        if self.listed_curve is not None:
            return PumpCurves.known(self.listed_curve)
        if self.pump_hp.value is None or self.rated_gpm.value is None:
            return None
        factor = None if self.model is None else self.model.service_factor
        try:
            return estimated_curves(self.pump_hp.value, self.rated_gpm.value, factor)
        except ValueError:
            # A slip of the pen: no pump has that power and that flow.
            return None

    @property
    def rests_on(self) -> str:
        """What its curves are: "curve of Quillmoor Q5-07", "estimate from 3/4 hp, rated 5 gpm"."""
        if self.model is not None and self.model.curve is not None:
            return f"curve of {self.model.name}"
        hp, gpm = self.pump_hp.value or 0.0, self.rated_gpm.value or 0.0
        return f"estimate from {show(hp, 'hp')}, rated {show(gpm, 'gpm')}"


@once_a_hole
def pump_facts(hole: Hole) -> PumpFacts | None:
    """What the well's pump is; None where none hangs there."""
    found = hole.the(Pump)
    if found is None:
        return None
    (component, pump), own, model = found, hole.the(Motor), hole.pump_model
    named = both(*(said_since(hole, component, name) for name in ("maker", "model")))

    def of_pump(name: str) -> Known[float]:
        return Known(getattr(pump, name), said_since(hole, component, name))

    # Another motor that is gone may have been another case.
    no_motor: Known[float] = Known(None, none_since(hole, Kind.MOTOR))

    def of_motor(name: str) -> Known[float]:
        if own is None:
            return no_motor
        return Known(getattr(own[1], name), said_since(hole, own[0], name))

    def listed(name: str) -> Known[float]:
        return Known(getattr(model, name, None), named)

    phases = _first(of_motor("phases"), listed("phases"))
    return PumpFacts(
        component=component,
        pump=pump,
        motor=own[0] if own else None,
        model=model,
        named_since=named,
        kind=_kind(hole, component, pump, listed=Known(model, named)),
        pump_hp=_first(of_pump("hp"), listed("hp"), of_motor("hp")),
        motor_hp=_first(of_motor("hp"), of_pump("hp"), listed("hp")),
        rated_gpm=_first(of_pump("rated_gpm"), listed("rated_gpm")),
        supply_v=_first(of_motor("supply_v"), listed("supply_v")),
        phases=Known(None if phases.value is None else int(phases.value), phases.since),
        service_factor_a=_first(
            of_motor("service_factor_a"), _listed_amps(hole, own, Known(model, named))
        ),
    )


def _first(*sources: Known[T]) -> Known[T]:
    """The first source that knows; from when it does, and those before it do not."""
    spans: list[Span] = []
    for source in sources:
        spans.append(source.since)
        if source.value is not None:
            return Known(source.value, both(*spans))
    return Known(None, both(*spans))


def _kind(
    hole: Hole, component: Component, pump: Pump, *, listed: Known[PumpModel]
) -> Known[PumpType]:
    cables = [since(c.set_on, c.noted_on) for c, _ in hole.parts(Cable)]
    submersible = PumpType.SUBMERSIBLE
    return _first(
        Known(pump.type, said_since(hole, component, "type")),
        _kind_before(hole, listed),
        # Hardly any other pump is in a shop's list.
        Known(None if listed.value is None else submersible, listed.since),
        # One with a cable down the hole has its motor there.
        Known(submersible if cables else None, both(*cables) if cables else listed.since),
    )


def _kind_before(hole: Hole, listed: Known[PumpModel]) -> Known[PumpType]:
    """That of the last pump of the same model of which somebody said it: a jet stays a jet."""
    for component in reversed(hole.components):
        part, model = component.part, hole.pump_models.get(component.uid)
        if model is not None and model == listed.value and isinstance(part, Pump) and part.type:
            return Known(part.type, both(listed.since, said_since(hole, component, "type")))
    return Known(None, listed.since)


def pump_kind(hole: Hole) -> PumpType | None:
    """Of what kind the well's pump is; None where none hangs there, or nobody knows."""
    facts = pump_facts(hole)
    return None if facts is None else facts.kind.value


def _listed_amps(
    hole: Hole, own: tuple[Component, Motor] | None, listed: Known[PumpModel]
) -> Known[float]:
    """The model's amperes, unless the motor that hangs there is for another supply or power."""
    model = listed.value
    if model is None or own is None:
        return Known(None if model is None else model.service_factor_a, listed.since)
    component, motor = own
    pairs = (
        (motor.supply_v, model.supply_v),
        (motor.phases, model.phases),
        (motor.hp, model.hp),
    )
    same = all(own is None or of is None or own == of for own, of in pairs)
    told = (said_since(hole, component, name) for name in ("supply_v", "phases", "hp"))
    return Known(model.service_factor_a if same else None, both(listed.since, *told))
