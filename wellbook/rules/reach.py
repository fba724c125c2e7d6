"""The limits of a hole: how deep its pipe may hang, from how deep its pump lifts, what water is usable.

One frozen picture of them, so that a drawing shows the numbers of the rules and reckons none itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wellbook.engineering.bore import Storage, storage
from wellbook.engineering.lift import Band, PumpLift
from wellbook.engineering.pressure import column_psi, drawn_down_limit_ft, floor_ft
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pipe, Pump
from wellbook.rules.figures import over
from wellbook.rules.lift import lift_of
from wellbook.rules.materials import is_metal
from wellbook.rules.pressures import rise_ft, stop_of
from wellbook.rules.string_facts import below_pipe, bottom_ft, rating_psi
from wellbook.terms import LevelState


@dataclass(frozen=True, slots=True)
class PipeLimits:
    """How deep one kind of pipe may hang with the well drawn down to it.

    Parameters
    ----------
    rating_psi
        Of the section, as recorded or worked out.
    bare_column_ft
        Down to where it holds the column of water alone, whole feet, rounded down.
    drawn_down_ft
        Down to where it holds the column with the cut-out on top.
    """

    rating_psi: float
    bare_column_ft: int
    drawn_down_ft: int


@dataclass(frozen=True, slots=True)
class PipeReach:
    """One section of drop pipe: where it ends, and how deep it might.

    Parameters
    ----------
    pipe
        The section as recorded.
    hangs_to_ft
        Where it ends, or may end where the pump hangs below all pipe on record; None if not known.
    limits
        None where its rating is not known.
    too_deep
        Whether the column alone is more than its rating.
    too_deep_with_cut_out
        Whether column and cut-out together are.
    """

    pipe: Pipe
    hangs_to_ft: float | None
    limits: PipeLimits | None
    too_deep: bool = False
    too_deep_with_cut_out: bool = False

    @property
    def beyond_record(self) -> bool:
        """Whether a pump hangs below the end that is on record."""
        ends_ft, hangs_ft = self.pipe.to_ft, self.hangs_to_ft
        return ends_ft is not None and hangs_ft is not None and over(hangs_ft, ends_ft) > 0

    @property
    def needs_no_limit(self) -> bool:
        """Whether it is metal: it bears no rating, and holds more than any pump here gives."""
        return (
            self.limits is None and self.pipe.material is not None and is_metal(self.pipe.material)
        )


@dataclass(frozen=True, slots=True)
class Water:
    """What stands in the hole from the level at rest down to the pump, and how much is of use.

    Parameters
    ----------
    from_ft, to_ft
        Feet below ground: the level at rest and the intake.
    lifted_to_ft
        The shallower of the intake and the depth from which the pump still comes up to its cut-out (the
        rule `useless-depth` counts on no more), between two depths where that is an estimate.
    above_intake_gal, usable_gal
        US gallons down to both; None where the width of the bore is not known.
    """

    from_ft: float
    to_ft: float
    lifted_to_ft: Band
    above_intake_gal: float | None = None
    usable_gal: Band | None = None

    @property
    def useless_ft(self) -> Band:
        """Feet of water over the intake that the pump cannot lift, between what and what."""
        return Band(self.to_ft - self.lifted_to_ft.high, self.to_ft - self.lifted_to_ft.low)


@dataclass(frozen=True, slots=True)
class Reach:
    """All limits of a hole.

    Parameters
    ----------
    cut_out_psi
        The pressure at which the pump stops; the usual one where none is on record.
    cut_out_known
        Whether it is on record.
    rise_ft
        Height of the tank above the well head.
    pipes
        Every section, top down.
    set_depth_ft
        Where the pump hangs; None where none hangs there or nobody knows.
    lift
        What the pump can lift from; None where it cannot be said.
    unsaid
        What is not in that, in words: the friction of pipe of unknown size.
    static_ft, pumping_ft
        Water levels in feet below ground, above it below zero; None where not known.
    water
        None where no water stands over the pump, or nobody knows.
    """

    cut_out_psi: float
    cut_out_known: bool
    rise_ft: float
    pipes: tuple[PipeReach, ...] = ()
    set_depth_ft: float | None = None
    lift: PumpLift | None = None
    static_ft: float | None = None
    pumping_ft: float | None = None
    water: Water | None = None
    unsaid: str = ""

    @property
    def short_from_ft(self) -> int | None:
        """The shallowest level from which the pump may not come up to its cut-out any more."""
        if self.lift is None:
            return None
        depth = self.lift.reaches_cut_out_ft or self.lift.stalls_ft
        return None if depth is None else floor_ft(depth.low)

    @property
    def dry_from_ft(self) -> int | None:
        """The level from which it surely gives no water at all."""
        stalls = self.lift.stalls_ft if self.lift else None
        return None if stalls is None else floor_ft(stalls.high)

    @property
    def past_limits(self) -> tuple[PipeReach, ...]:
        """The sections that hang deeper than column and cut-out allow."""
        return tuple(p for p in self.pipes if p.too_deep_with_cut_out)


def reach_of(hole: Hole, usual_cut_out_psi: float) -> Reach:
    """The limits of a hole.

    Parameters
    ----------
    hole
        The well as of a day.
    usual_cut_out_psi
        The cut-out taken where none is on record (a number of the rule `pipe-rating`), psi.
    """
    stop = stop_of(hole, usual_cut_out_psi)
    rise, pump = rise_ft(hole), hole.the(Pump)
    hangs = pump is not None and hole.closed_without_pump is None
    set_ft = pump[1].set_depth_ft if pump is not None and hangs else None
    found = lift_of(hole, usual_cut_out_psi) if hangs else None
    lift = found.depths if found else None
    static = hole.at_rest_ft()
    return Reach(
        cut_out_psi=stop.psi,
        cut_out_known=stop.known,
        rise_ft=rise,
        pipes=tuple(_pipes(hole, stop.psi, rise)),
        set_depth_ft=set_ft,
        lift=lift,
        static_ft=static,
        pumping_ft=hole.level_ft(LevelState.PUMPING),
        water=_water(hole, static, set_ft, lift),
        unsaid=found.unsaid if found else "",
    )


def _pipes(hole: Hole, stops_psi: float, rise: float) -> Iterator[PipeReach]:
    deeper = below_pipe(hole)
    for component, pipe in hole.parts(Pipe):
        foot = bottom_ft(hole, pipe)
        if deeper is not None and deeper.lowest is component:
            foot = deeper.set_ft
        rating = rating_psi(pipe)
        if rating is None or rating <= 0:
            yield PipeReach(pipe, foot, None)
            continue
        try:
            limits = PipeLimits(
                rating,
                floor_ft(drawn_down_limit_ft(rating, cut_out_psi=0, rise_ft=rise)),
                floor_ft(drawn_down_limit_ft(rating, cut_out_psi=stops_psi, rise_ft=rise)),
            )
            column = 0.0 if foot is None else column_psi(foot + rise)
        except ValueError:
            # A number that cannot be is a record to flag, not one to draw.
            yield PipeReach(pipe, foot, None)
            continue
        bare, both = over(column, rating) > 0, over(column + stops_psi, rating) > 0
        yield PipeReach(pipe, foot, limits, foot is not None and bare, foot is not None and both)


def _water(
    hole: Hole, static: float | None, set_ft: float | None, lift: PumpLift | None
) -> Water | None:
    if static is None or set_ft is None or set_ft <= max(static, 0.0):
        return None
    top, reaches = max(static, 0.0), (lift.reaches_cut_out_ft or lift.stalls_ft) if lift else None
    ends = (floor_ft(reaches.low), floor_ft(reaches.high)) if reaches else (set_ft, set_ft)
    low, high = (max(top, min(set_ft, end)) for end in ends)
    stores = [_storage(hole, top, set_ft, end) for end in (low, high)]
    known = [store for store in stores if store is not None]
    return Water(
        top,
        set_ft,
        Band(low, high),
        known[0].above_intake_gal if known else None,
        Band(known[0].usable_gal, known[-1].usable_gal) if known else None,
    )


def _storage(hole: Hole, static: float, set_ft: float, limit_ft: float) -> Storage | None:
    width = hole.bore_diameter_in()
    if width is None:
        return None
    try:
        return storage(width, static_level_ft=static, intake_ft=set_ft, lift_limit_ft=limit_ft)
    except ValueError:
        # A width that cannot be is a record to flag, not a reason to draw nothing.
        return None
