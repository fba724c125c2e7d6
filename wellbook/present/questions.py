"""What nobody knows yet, as questions to put to the caller or to answer at the next visit.

The list is of what callers, buyers and inspectors ask about a well: each is answered on the page,
or it stands here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from wellbook.hole.hole import Hole, P
from wellbook.hole.parts import Cable, Control, Motor, Pipe, Pump, Switch, Tank
from wellbook.present.place_lines import occupants_now
from wellbook.rules.materials import is_metal
from wellbook.rules.pump_facts import pump_facts
from wellbook.rules.string_facts import rating_psi
from wellbook.terms import (
    IN_THE_HOLE,
    REWORKED,
    Basis,
    Construction,
    IntervalKind,
    LevelState,
    MeasuringPoint,
    PumpType,
    Quantity,
    Reason,
    WellStatus,
)


@dataclass(frozen=True, slots=True)
class Question:
    """One thing nobody knows: what it is about, a name for programs, and the words."""

    topic: str
    key: str
    text: str


@dataclass(frozen=True, slots=True)
class _Asked:
    key: str
    text: str
    known: Callable[[Hole], object]
    applies: Callable[[Hole], object] = lambda _hole: True


def questions(hole: Hole) -> Iterator[Question]:
    """The questions that the record does not answer, by topic.

    Of a sealed well there are none, nor of one that was not there yet on the day that is shown.
    What is in store for the winter is known as well as what hangs.
    """
    if hole.status is WellStatus.SEALED or hole.not_yet_drilled:
        return
    hole = hole.opened_up()
    for topic, asked in _ASKED.items():
        for one in asked:
            if one.applies(hole) and not one.known(hole):
                yield Question(topic, one.key, one.text)


def _has(part: type[P], *names: str) -> Callable[[Hole], bool]:
    """Whether any of these fields is known of the part that is there."""

    def known(hole: Hole) -> bool:
        return any(getattr(p, name) is not None for _, p in hole.parts(part) for name in names)

    return known


def _pump_type(hole: Hole) -> PumpType | None:
    found = hole.the(Pump)
    return found[1].type if found else None


def flows_without_pump(hole: Hole) -> bool:
    """Whether it flows by itself, and nobody ever noted a pump in it: there may be none."""
    level = hole.at_rest()
    flows = hole.flowing or (level is not None and level.state is LevelState.FLOWING)
    return bool(flows) and not any(c.kind in IN_THE_HOLE for c in hole.components)


def _pumped(hole: Hole) -> bool:
    return not flows_without_pump(hole)


def _powered(hole: Hole) -> bool:
    return _pumped(hole) and _pump_type(hole) is not PumpType.HAND


def _submersible(hole: Hole) -> bool:
    return _pumped(hole) and _pump_type(hole) in (PumpType.SUBMERSIBLE, None)


def _has_log(hole: Hole) -> bool:
    bases = [o.basis for o in hole.observations]
    bases += [i.basis for i in hole.intervals] + [c.basis for c in hole.components]
    return Basis.DRILLERS_LOG in bases


def _pump_age(hole: Hole) -> bool:
    found = hole.the(Pump)
    if found is None:
        return False
    component, pump = found
    return component.set_on.earliest is not None or bool(pump.model_year and pump.model_year.known)


def _horsepower(hole: Hole) -> bool:
    pump = pump_facts(hole)
    return pump is not None and pump.pump_hp.value is not None


def _rated_flow(hole: Hole) -> bool:
    pump = pump_facts(hole)
    return pump is not None and pump.rated_gpm.value is not None


def _rated(hole: Hole) -> bool:
    pipes = [p for _, p in hole.parts(Pipe)]
    return bool(pipes) and all(p.material is not None for p in pipes)


def _pressure_known(hole: Hole) -> bool:
    pipes = [p for _, p in hole.parts(Pipe)]
    return bool(pipes) and all(rating_psi(p) or is_metal(p.material or "") for p in pipes)


def _from_casing_top(hole: Hole) -> bool:
    return any(o.point is MeasuringPoint.CASING_TOP for o in hole.observations)


def _level_has_no_point(hole: Hole) -> bool:
    fact = hole.fact(Quantity.WATER_LEVEL_FT)
    return fact is not None and fact.value is not None and fact.point is None


def _reworked_or_new(hole: Hole) -> bool:
    seen = {v.reason for v in hole.visits}
    zones = any(i.kind is IntervalKind.FRACTURED for i in hole.intervals)
    return zones or bool(seen & (REWORKED | {Reason.NEW_WELL}))


def _cased(hole: Hole) -> bool:
    return any(i.to_ft is not None for i in hole.casing())


def _tank_age(hole: Hole) -> bool:
    return any((t.made or c.set_on).earliest is not None for c, t in hole.parts(Tank))


def _switch_set(hole: Hole) -> bool:
    return (
        _has(Switch, "cut_out_psi")(hole)
        or _has(Control, "setpoint_psi")(hole)
        or hole.fact(Quantity.CUT_OUT_PSI) is not None
    )


def _wires(hole: Hole) -> bool:
    return _has(Motor, "wires")(hole) or _has(Cable, "conductors")(hole)


def _jointed(hole: Hole) -> bool:
    """Whether joints are worth asking for: polyethylene comes in one coil."""
    if not _pumped(hole):
        return False
    pipes = [p for _, p in hole.parts(Pipe)]
    return not pipes or not all(
        (p.material or "").lower().startswith(("pe", "poly")) for p in pipes
    )


_ASKED: dict[str, tuple[_Asked, ...]] = {
    "the place": (
        _Asked("customer", "whose is it?", occupants_now),
        _Asked(
            "contact", "a number to ring?", lambda h: [o for o in occupants_now(h) if o.contacts]
        ),
        _Asked("well_head", "where is the well head?", lambda h: h.site and h.site.well_head),
        _Asked("access", "how does one get in: gate, dog?", lambda h: h.site and h.site.access),
        _Asked("people", "how many people?", lambda h: h.fact(Quantity.PEOPLE)),
    ),
    "the hole": (
        _Asked(
            "construction",
            "drilled, driven or dug?",
            lambda h: h.construction is not Construction.UNKNOWN,
        ),
        _Asked("drilled_on", "when was it made?", lambda h: h.drilled_on.known),
        _Asked("driller", "by whom?", lambda h: h.driller),
        _Asked(
            "log",
            "is there a log?",
            _has_log,
            lambda h: h.construction not in (Construction.DUG, Construction.DRIVEN),
        ),
        _Asked("depth_ft", "how deep?", lambda h: h.fact(Quantity.DEPTH_FT)),
        _Asked("casing", "casing how wide, to what depth?", _cased),
        _Asked(
            "static_level_ft",
            "how far down is the water, pump off?",
            lambda h: h.at_rest() or h.flowing,
        ),
        _Asked(
            "level_point",
            "was that level from the ground or the casing top?",
            lambda h: not _level_has_no_point(h),
        ),
        _Asked(
            "stick_up_ft",
            "how far does the casing stand out?",
            lambda h: h.stick_up_ft is not None,
            _from_casing_top,
        ),
        _Asked("yield_gpm", "how much does it give?", lambda h: h.fact(Quantity.YIELD_GPM)),
        _Asked("reworked", "ever deepened or fractured?", _reworked_or_new),
    ),
    "the pump": (
        _Asked("pump", "is there one in it, though it flows?", _pumped),
        _Asked("pump_type", "what kind?", _has(Pump, "type"), _pumped),
        _Asked("pump_hp", "what horsepower?", _horsepower, _powered),
        _Asked("pump_rated_gpm", "rated for what flow?", _rated_flow, _powered),
        _Asked("pump_set_depth_ft", "how far down?", _has(Pump, "set_depth_ft"), _pumped),
        _Asked("pump_age", "how old; from before 1979?", _pump_age, _pumped),
        _Asked("wires", "two-wire or three-wire?", _wires, _submersible),
        _Asked("pipe", "what pipe?", _rated, _pumped),
        _Asked("pipe_rating", "the pipe's rating?", _pressure_known, _rated),
        _Asked("joints", "joints of what length, or a coil?", _has(Pipe, "joint_ft"), _jointed),
        _Asked("cable", "what cable?", _has(Cable, "awg"), _submersible),
        _Asked(
            "low_water_protection",
            "what stops it when the water runs out?",
            _has(Control, "low_water_protection"),
            _powered,
        ),
    ),
    "the house": (
        _Asked("tank", "what tank, how big?", _has(Tank, "volume_gal"), _powered),
        _Asked("tank_age", "how old is the tank?", _tank_age, _powered),
        _Asked("switch", "switch set to what, checked when?", _switch_set, _powered),
        _Asked("water_test", "water tested when, and what came out?", lambda h: h.samples),
        _Asked("last_service", "last serviced when, by whom?", lambda h: h.visited()),
    ),
}
