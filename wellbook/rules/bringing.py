"""What to bring to a string that is to be pulled: what the findings say is to be replaced, and in case.

A plan says what is to hang there, and what to load follows from it (`rules.loading`); here nobody has
planned anything yet, and the list is what the crew would be sorry to have left at the shop.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe
from wellbook.rules import names
from wellbook.rules.finding import Finding
from wellbook.rules.pump_facts import pump_kind
from wellbook.terms import Kind, Occasion, PumpType

SPARE_FT: Final = 20.0
"""Beyond the string, where no cable is on record; common practice, no published source."""


@dataclass(frozen=True, slots=True)
class StrongerPipe:
    """Pipe in place of what is rated below its load.

    Parameters
    ----------
    length_ft
        Of all sections that are too weak.
    sizes_in
        Their nominal sizes, as far as they are on record.
    over_psi
        What it has to hold: the column and the cut-out.
    """

    length_ft: float
    sizes_in: tuple[str, ...]
    over_psi: float


@dataclass(frozen=True, slots=True)
class LikeCable:
    """Cable like the thickest down there, or as thick as its run wants.

    Parameters
    ----------
    length_ft
        Down to the pump; what was written down may end above it.
    awg
        None where no gauge is on record.
    like
        The one whose conductors it has; None where none is on record.
    due
        Whether a finding says that another one is to be hung; else it is brought in case.
    """

    length_ft: float
    awg: int | None
    like: Cable | None
    due: bool


@dataclass(frozen=True, slots=True)
class Bring:
    """All that is not small; `cable` is None for a pump that has none down the hole."""

    pipe: StrongerPipe | None
    cable: LikeCable | None
    foot_valve: bool


def bring(hole: Hole, string_ft: float, findings: Sequence[Finding]) -> Bring:
    """What to bring.

    Parameters
    ----------
    hole
        The well as of the day of the list.
    string_ft
        How long the string is, feet.
    findings
        Those that hold on that day.
    """
    due = [f for f in findings if f.occasion is Occasion.NEXT_PULL]
    kind = pump_kind(hole)
    return Bring(
        pipe=_pipe(hole, due),
        cable=_cable(hole, string_ft, due) if kind in (None, PumpType.SUBMERSIBLE) else None,
        foot_valve=kind is PumpType.SHALLOW_JET,
    )


def _of(due: Sequence[Finding], parts: Sequence[Component], *rules: str) -> list[Finding]:
    """What some rules found in some parts."""
    uids = {c.uid for c in parts}
    return [f for f in due if f.rule in rules and f.counts_from in uids]


def _number(finding: Finding, name: str) -> float:
    return float(finding.numbers.get(name) or 0.0)


def _pipe(hole: Hole, due: Sequence[Finding]) -> StrongerPipe | None:
    found = {f.counts_from: f for f in _of(due, hole.down(Kind.PIPE), names.PIPE_RATING)}
    weak = [(pipe, found[c.uid]) for c, pipe in hole.parts(Pipe) if c.uid in found]
    if not weak:
        return None
    return StrongerPipe(
        length_ft=sum(_number(f, "bottom_ft") - (pipe.from_ft or 0.0) for pipe, f in weak),
        sizes_in=tuple(dict.fromkeys(pipe.nominal_in for pipe, _ in weak if pipe.nominal_in)),
        over_psi=max(_number(f, "with_cut_out_psi") for _, f in weak),
    )


def _cable(hole: Hole, string_ft: float, due: Sequence[Finding]) -> LikeCable:
    cables = [part for _, part in hole.parts(Cable)]
    at_least_ft = string_ft if cables else string_ft + SPARE_FT
    length_ft = max([*(c.to_ft for c in cables if c.to_ft), at_least_ft])
    thin = _of(due, hole.down(Kind.PUMP), names.VOLTAGE_DROP)
    worn = _of(due, hole.down(Kind.CABLE), names.CABLE_AGE, names.CABLE_WEAR)
    # The thickest gauge is the smallest number.
    thickest = min((c for c in cables if c.awg is not None), key=_gauge, default=None)
    if thickest is None:
        return LikeCable(length_ft, None, None, due=bool(worn))
    wanted = [int(_number(f, "awg_wanted")) for f in thin if f.numbers.get("awg_wanted")]
    return LikeCable(length_ft, min([_gauge(thickest), *wanted]), thickest, due=bool(worn or thin))


def _gauge(cable: Cable) -> int:
    return cable.awg or 0
