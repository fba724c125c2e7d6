"""The cable from the well head down to the pump, section by section: what drops volts and has ohms."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from wellbook.engineering.cable import CableSection
from wellbook.engineering.conductors import GAUGES
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pump
from wellbook.rules.spans import Span, both, none_since, said_since
from wellbook.terms import Kind

GAUGE = "cable gauge"
_DEPTH = "how deep the cable goes"
_MEET = "where the sections of cable meet"


@dataclass(frozen=True, slots=True)
class CableRun:
    """The sections down the hole, top down, and how long each is."""

    sections: tuple[CableSection, ...]
    since: Span

    @property
    def down_ft(self) -> float:
        """How long it is from the well head to the pump."""
        return sum(s.length_ft for s in self.sections)

    def whole(self, supply_run_ft: float) -> tuple[CableSection, ...]:
        """With the run to the supply, in the gauge that comes out of the well."""
        if supply_run_ft <= 0:
            return self.sections
        return (CableSection(self.sections[0].awg, supply_run_ft), *self.sections)

    @property
    def by_gauge(self) -> dict[int, float]:
        """Gauge -> feet of it."""
        feet: dict[int, float] = {}
        for s in self.sections:
            feet[s.awg] = feet.get(s.awg, 0.0) + s.length_ft
        return feet

    @property
    def words(self) -> str:
        """Such as "200 ft of #10 and 180 ft of #12"."""
        return " and ".join(f"{ft:g} ft of #{awg}" for awg, ft in self.by_gauge.items())


def cable_missing(hole: Hole) -> tuple[str, ...]:
    """What would have to be known of the cable for `cable_run`; empty where all of it is."""
    return tuple(_missing(hole))


def _missing(hole: Hole) -> Iterator[str]:
    cables = [cable for _, cable in hole.parts(Cable)]
    if not cables or any(cable.awg not in GAUGES for cable in cables):
        yield GAUGE
    if _end_ft(hole, cables) is None:
        yield _DEPTH
    if cables and _tops(cables) is None:
        yield _MEET


def cable_run(hole: Hole, pump: Component) -> CableRun:
    """The run down to a pump, where nothing of it is missing (`cable_missing`).

    Raises
    ------
    ValueError
        Where a length on record is none that a cable has: a slip of the pen.
    """
    found = list(hole.parts(Cable))
    cables = [cable for _, cable in found]
    tops, end = _tops(cables) or [], _end_ft(hole, cables) or 0.0
    feet = [below - top for top, below in zip(tops, [*tops[1:], end], strict=True)]
    return CableRun(
        tuple(CableSection(c.awg or 0, ft) for c, ft in zip(cables, feet, strict=True)),
        both(
            said_since(hole, pump, "set_depth_ft"),
            # A section that is gone may have been part of the run.
            none_since(hole, Kind.CABLE),
            *(
                said_since(hole, c, field)
                for c, _ in found
                for field in ("awg", "from_ft", "to_ft")
            ),
        ),
    )


def _tops(cables: list[Cable]) -> list[float] | None:
    """Where each section begins, the first at the well head; None where that cannot be said."""
    tops = [0.0]
    for above, cable in pairwise(cables):
        top = above.to_ft if cable.from_ft is None else cable.from_ft
        if top is None or top <= tops[-1]:
            return None
        tops.append(top)
    return tops


def _end_ft(hole: Hole, cables: list[Cable]) -> float | None:
    """Where the last section ends: it reaches the pump, whatever was written of it."""
    pump = hole.the(Pump)
    ends = [pump[1].set_depth_ft if pump else None, cables[-1].to_ft if cables else None]
    return max((end for end in ends if end is not None), default=None)
