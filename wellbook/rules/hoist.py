"""What a string weighs, for the hoist.

A hoist is chosen by the weight, so it is only told where it is a bound: no less than what hangs there.
A detail that is not known (a wall, a gauge) is taken as the heaviest there is, and the page says so.
Where a main part is not known, there is no such bound: then the page says what is missing, and only
what is surely exceeded.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import cast

from wellbook.engineering.weight import (
    PipeRun,
    cable_lb_per_ft,
    pump_and_motor_lb,
    string_weight,
)
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Motor, Pipe, Pump
from wellbook.rules.possible_pipe import heaviest, lightest_lb_per_ft
from wellbook.rules.pump_facts import pump_kind
from wellbook.rules.string_facts import bottom_ft, string_ft
from wellbook.terms import Basis, Kind, PumpType

# Thicker cable hangs in no house well; common practice, no published source.
_HEAVY_AWG, _HEAVY_WIRES = 4, 4
# A foot valve, or an ejector of iron with its foot valve; common practice, no published source.
_JET_END_LB = 50.0
_SHORTEST_GAP_FT = 1.0
# Couplings: 19.18 lb/ft against 18.97 plain for 6 in schedule 40 (Illinois Admin. Code 35-604
# table A), taken as 2 per cent. A check valve, a torque arrestor: common practice, no source.
_COUPLED = 1.02
_FITTING_LB = 5.0

_RESTS_ON = {
    Kind.PUMP: ("hp", "set_depth_ft"),
    Kind.PIPE: ("material", "nominal_in", "to_ft"),
    Kind.CABLE: ("awg",),
}


@dataclass(frozen=True, slots=True)
class Load:
    """The string as a weight.

    Parameters
    ----------
    feet
        Its length; None where nothing hangs, or not even a depth is known.
    weight_lb
        What it weighs at most, full of water and hanging free; None where that cannot be said.
    more_than_lb
        What the pipe that is known weighs at least, empty and alone; None where none is known.
    unknown
        The main parts that are not known; there is no `weight_lb` then.
    taken
        What was taken for details that are not known, each the heaviest there is.
    told
        Whether any of it was only told or guessed.
    """

    feet: float | None
    weight_lb: int | None = None
    more_than_lb: int | None = None
    unknown: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    told: bool = False


def load(hole: Hole) -> Load:
    """Length and weight of what hangs in the well, so far as it is safe to say."""
    taken: list[str] = []
    unknown: list[str] = []
    feet = _feet(hole, taken)
    if feet is None or not any(hole.down(kind) for kind in (Kind.PUMP, Kind.PIPE)):
        return Load(None)
    try:
        most = _most_lb(hole, feet, unknown, taken)
        least = math.floor(_least_lb(hole, feet) / 10) * 10
    except ValueError:
        # Numbers that cannot be are flagged by the rules; a weight from them would only mislead.
        return Load(feet, unknown=("the record cannot be right",))
    if most is None:
        return Load(feet, None, least or None, _once(unknown), _once(taken), _told(hole))
    return Load(feet, math.ceil(most / 10) * 10, None, (), _once(taken), _told(hole))


def _once(texts: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))


def _feet(hole: Hole, taken: list[str]) -> float | None:
    """How much hangs: as long as the string is known to be, else to the bottom."""
    string = string_ft(hole)
    if string is not None:
        return string[0]
    depth = hole.depth_ft()
    if depth:
        taken.append("hanging to the bottom")
    return depth


def _told(hole: Hole) -> bool:
    """Whether anything that a weight rests on was only told or guessed."""
    facts = [
        c.fact(name) for kind, names in _RESTS_ON.items() for c in hole.down(kind) for name in names
    ]
    return any(f is not None and f.basis.rank >= Basis.CUSTOMER_TOLD.rank for f in facts)


def _most_lb(hole: Hole, feet: float, unknown: list[str], taken: list[str]) -> float | None:
    """The weight on the hook at most; None, with what is unknown, where a main part is."""
    runs = _runs(hole, feet, unknown, taken)
    end_lb = _end_lb(hole, unknown, taken)
    if unknown or end_lb is None:
        return None
    cable_ft, per_ft = _cable(hole, feet, taken) if _kind(hole) is PumpType.SUBMERSIBLE else (0, 0)
    fittings = len(hole.down(Kind.CHECK_VALVE) + hole.down(Kind.TORQUE_ARRESTOR))
    end_lb += fittings * _FITTING_LB
    return string_weight(
        runs, pump_motor_lb=end_lb, cable_ft=cable_ft, cable_lb_per_ft=per_ft
    ).hook_lb


def _kind(hole: Hole) -> PumpType | None:
    """The kind of pump; where cable hangs down the well, it is a submersible."""
    return pump_kind(hole)


# -- the pipe ----------------------------------------------------------------------------------


def _runs(hole: Hole, feet: float, unknown: list[str], taken: list[str]) -> list[PipeRun]:
    pipes = [pipe for _, pipe in hole.parts(Pipe)]
    runs: list[PipeRun] = []
    for pipe in pipes:
        top, bottom = _stretch(hole, pipe, feet)
        if bottom <= top:
            continue
        found = heaviest(pipe, bottom - top)
        if found is None:
            unknown.append("the pipe's material and size")
        else:
            run, said = found
            taken += said
            runs.append(replace(run, pipe_lb_per_ft=_COUPLED * run.pipe_lb_per_ft))
    unknown += (
        _gaps([_stretch(hole, pipe, feet) for pipe in pipes], feet) if pipes else ["the pipe"]
    )
    if _kind(hole) is PumpType.DEEP_JET and len(pipes) == 1:
        # One pipe leads down to the ejector and one up from it.
        taken.append("a second pipe like the first")
        runs += runs
    return runs


def _stretch(hole: Hole, pipe: Pipe, feet: float) -> tuple[float, float]:
    return pipe.from_ft or 0.0, bottom_ft(hole, pipe) or feet


def _gaps(stretches: list[tuple[float, float]], feet: float) -> Iterator[str]:
    """Where there must be pipe that is not on record."""
    reached = 0.0
    for top, bottom in [*sorted(stretches), (feet, feet)]:
        if top - reached >= _SHORTEST_GAP_FT:
            yield f"the pipe from {reached:g} to {top:g} ft"
        reached = max(reached, bottom)


def _least_lb(hole: Hole, feet: float) -> float:
    """What the known pipe weighs at least, empty: not even its water is sure to be there."""
    least = 0.0
    for _, pipe in hole.parts(Pipe):
        top, bottom = _stretch(hole, pipe, feet)
        least += (lightest_lb_per_ft(pipe) or 0.0) * max(bottom - top, 0.0)
    return least


# -- what hangs on it --------------------------------------------------------------------------


def _cable(hole: Hole, feet: float, taken: list[str]) -> tuple[float, float]:
    """Length and lb/ft of the cable; what is not on record of it is as its heaviest section."""
    cables = [cable for _, cable in hole.parts(Cable)]
    length = sum(max((c.to_ft or feet) - (c.from_ft or 0.0), 0.0) for c in cables)
    return max(length, feet), max(_cable_lb(c, taken) for c in cables or [Cable()])


def _cable_lb(cable: Cable, taken: list[str]) -> float:
    wires = (cable.conductors or 3) + (0 if cable.ground_wire is False else 1)
    known = cable_lb_per_ft(cable.awg, wires) if cable.awg else None
    if known is not None:
        return known
    taken.append(f"cable #{_HEAVY_AWG}")
    return cable_lb_per_ft(_HEAVY_AWG, _HEAVY_WIRES) or 0.0


def _end_lb(hole: Hole, unknown: list[str], taken: list[str]) -> float | None:
    """What hangs at the pipe's end, at most; None, with what is unknown, where nothing bounds it."""
    kind = _kind(hole)
    if kind in (PumpType.SHALLOW_JET, PumpType.DEEP_JET):
        end = "foot valve" if kind is PumpType.SHALLOW_JET else "ejector"
        taken.append(f"{end} {_JET_END_LB:g} lb")
        return _JET_END_LB
    if kind is PumpType.SUBMERSIBLE:
        return _pump_lb(hole, unknown)
    unknown.append(_UNBOUNDED.get(kind, "what kind of pump"))
    return None


_UNBOUNDED: dict[PumpType | None, str] = {
    PumpType.LINESHAFT: "the shaft and bowls",
    PumpType.HAND: "the rods and cylinder",
}


def _pump_lb(hole: Hole, unknown: list[str]) -> float | None:
    told: list[object] = [
        *(p.hp for _, p in hole.parts(Pump)),
        *(m.hp for _, m in hole.parts(Motor)),
        *([] if hole.pump_model is None else [hole.pump_model.hp]),
    ]
    # A pump that was told to be a bigger one may have been changed: the hoist must hold it.
    told += [d.value for c, _ in hole.parts(Pump) for d in c.doubts if d.field == "hp"]
    hp = max((float(cast(float, hp)) for hp in told if hp), default=None)
    known = pump_and_motor_lb(hp) if hp else None
    if known is None:
        unknown.append(f"a pump of {hp:g} hp" if hp else "the pump's horsepower")
    return known
