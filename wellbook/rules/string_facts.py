"""What hangs in the hole as one string: where its pipe ends, what it holds, whether it meets the pump."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from wellbook.engineering.pipe import PVC, table_material
from wellbook.engineering.ratings import rating_from_dimensions
from wellbook.engineering.valves import valve_depths_ft
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Pipe, Pump
from wellbook.rules.figures import over
from wellbook.rules.finding import since
from wellbook.rules.spans import Span, both, none_since, said_since
from wellbook.terms import Kind, PumpType

PUMP_LENGTH_FT: Final = 10.0
"""Longer than a pump with its fittings is. What hangs lower hangs on pipe nobody wrote down."""

HAS_OWN_VALVE: Final = (PumpType.SUBMERSIBLE, None)
"""Pumps with a check valve of their own; what nobody said is taken for the usual one."""

VALVES_UNSEEN: Final = "check valves of the string, seen by a crew"


# -- the pipe ------------------------------------------------------------------------------------


def rating_psi(pipe: Pipe) -> float | None:
    """The rating as recorded, else worked out from material, wall and size; None if neither.

    Drop pipe of PVC comes in joints with threads, which halve what its wall would hold; where it is
    made another way, the rating in print is recorded.
    """
    if pipe.rating_psi is not None:
        return pipe.rating_psi
    if pipe.material is None or pipe.wall is None:
        return None
    try:
        material = table_material(pipe.material)
        return rating_from_dimensions(
            material, pipe.wall, pipe.nominal_in, threaded=material == PVC
        )
    except ValueError:
        # A size that cannot be says nothing of the rating.
        return None


def bottom_ft(hole: Hole, pipe: Pipe) -> float | None:
    """Where a section ends: as recorded, else where the next begins, else where the pump hangs."""
    if pipe.to_ft is not None:
        return pipe.to_ft
    below = _next_below(hole, pipe)
    if below is not None:
        return below[1].from_ft
    pump = hole.the(Pump)
    return pump[1].set_depth_ft if pump else None


def ends_since(hole: Hole, component: Component, pipe: Pipe) -> Span:
    """From when a section ends where `bottom_ft` has it."""
    span = said_since(hole, component, "to_ft")
    if pipe.to_ft is not None:
        return span
    below, pump = _next_below(hole, pipe), hole.the(Pump)
    if below is not None:
        return both(span, said_since(hole, below[0], "from_ft"))
    return both(span, said_since(hole, pump[0], "set_depth_ft")) if pump else span


def _next_below(hole: Hole, pipe: Pipe) -> tuple[Component, Pipe] | None:
    top = pipe.from_ft or 0.0
    lower = [found for found in hole.parts(Pipe) if (found[1].from_ft or 0.0) > top]
    return lower[0] if lower else None


# -- whether it meets the pump -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Gap:
    """Pipe or cable that does not end where the pump hangs: one of the two depths is wrong.

    Parameters
    ----------
    kind
        Pipe, or cable.
    pump, lowest
        The pump, and the section that goes deepest.
    set_ft, end_ft
        Where the pump hangs and where that section ends, feet below ground.
    """

    kind: Kind
    pump: Component
    lowest: Component
    set_ft: float
    end_ft: float

    @property
    def short(self) -> bool:
        """Whether it ends above the pump."""
        return self.set_ft > self.end_ft

    @property
    def says(self) -> str:
        """Both depths, in words."""
        return (
            f"the pump hangs at {self.set_ft:g} ft and its {self.kind.label} ends at"
            f" {self.end_ft:g} ft: one is wrong"
        )

    def since(self, hole: Hole) -> Span:
        """From when both depths are what the record says."""
        return both(
            said_since(hole, self.lowest, "to_ft"), said_since(hole, self.pump, "set_depth_ft")
        )


def pipe_gap(hole: Hole) -> Gap | None:
    """The drop pipe, where it ends further from the pump than that is long, above it or below."""
    return _gap(hole, Kind.PIPE, [(c, bottom_ft(hole, p)) for c, p in hole.parts(Pipe)])


def cable_gap(hole: Hole) -> Gap | None:
    """The cable, where it ends so far above the pump; what is too long is coiled at the well head."""
    gap = _gap(hole, Kind.CABLE, [(c, cable.to_ft) for c, cable in hole.parts(Cable)])
    return gap if gap is not None and gap.short else None


def below_pipe(hole: Hole) -> Gap | None:
    """The drop pipe, where the pump hangs below its end on record."""
    gap = pipe_gap(hole)
    return gap if gap is not None and gap.short else None


def _gap(hole: Hole, kind: Kind, ends: list[tuple[Component, float | None]]) -> Gap | None:
    found = hole.the(Pump)
    known = [(end, component) for component, end in ends if end is not None]
    if found is None or found[1].set_depth_ft is None or not known or len(known) < len(ends):
        return None
    set_ft = found[1].set_depth_ft
    end_ft, lowest = max(known, key=lambda end: end[0])
    if over(abs(set_ft - end_ft), PUMP_LENGTH_FT) <= 0:
        return None
    return Gap(kind, found[0], lowest, set_ft, end_ft)


def string_ft(hole: Hole) -> tuple[float, Span] | None:
    """How long the string is, and from when; None where nobody knows.

    The pump's setting says it best, else the end of the lowest section of pipe.
    """
    found = hole.the(Pump)
    if found and found[1].set_depth_ft is not None:
        return found[1].set_depth_ft, said_since(hole, found[0], "set_depth_ft")
    ends = [(p.to_ft, c) for c, p in hole.parts(Pipe) if p.to_ft is not None]
    if not ends:
        return None
    length, lowest = max(ends, key=lambda end: end[0])
    # The pump before this one may have told another length.
    told = since(found[0].set_on, found[0].noted_on) if found else none_since(hole, Kind.PUMP)
    return length, both(said_since(hole, lowest, "to_ft"), told)


def string_was_seen(hole: Hole, pump: Component) -> bool:
    """Whether the sheet of the visit that set this pump is here: its crew had every valve in hand.

    On a paper record or a customer's word, no valve written down means that nobody knows.
    """
    visits = {v.uid: v for v in hole.visited()}
    by = visits.get(pump.set_by)
    return by is not None and by.opened and pump.set_on.earliest == by.start


def valve_places_ft(set_ft: float, level_ft: float, spacing_ft: float) -> tuple[int, ...]:
    """Where the spacing rule has valves above the pump's own, in whole feet to measure off.

    Rounded towards the water that each is to stand near; none where no string is so long.

    >>> valve_places_ft(402, 294.4, 200)
    (270, 70)
    """
    try:
        depths = valve_depths_ft(set_ft, max(level_ft, 0.0), spacing_ft=spacing_ft)
    except ValueError:
        # A slip of the pen.
        return ()
    return tuple(math.ceil(round(depth, 3)) for depth in depths)
