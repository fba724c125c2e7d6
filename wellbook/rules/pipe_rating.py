"""A drop pipe rated below the water that it holds up.

Each section is judged at its own bottom, with the well drawn down to it: then nothing outside
helps. Two grades: the bare column alone exceeds the rating; or the column and the switch's cut-out
together do. Where the pump hangs below the end of its pipe on record, the lowest section may reach
down to it: then it is judged there too, as what may be.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wellbook.dates import When
from wellbook.engineering.pipe import PVC, table_material
from wellbook.engineering.pressure import (
    PSI_PER_FT,
    column_psi,
    drawn_down_limit_ft,
    floor_ft,
)
from wellbook.engineering.ratings import rating_from_dimensions
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Pipe, Pump, Switch
from wellbook.rules.check import Check, cannot_say, judged_by
from wellbook.rules.figures import over, shown
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.rules.materials import is_metal
from wellbook.rules.spans import Span, both, none_since, read_since, said_since
from wellbook.terms import Basis, Kind, Occasion, PumpType, Quantity, Severity, Verdict

NAME = "pipe-rating"
TO_THE_PUMP = "pipe to the pump"
SOURCE = (
    f"{PSI_PER_FT} psi a foot of water: fresh, at 40 F, 62.4 lb/ft3; judged by the setting, and 160 psi"
    f" pipe not below about 360 ft by {COMMON_PRACTICE}"
)

USUAL_CUT_OUT = Threshold(
    "usual_cut_out_psi",
    50,
    "the cut-out taken where none is recorded",
    "30/50 is the switch most often set: " + COMMON_PRACTICE,
    0,
    200,
)


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


def _next_below(hole: Hole, pipe: Pipe) -> tuple[Component, Pipe] | None:
    top = pipe.from_ft or 0.0
    lower = [found for found in hole.parts(Pipe) if (found[1].from_ft or 0.0) > top]
    return lower[0] if lower else None


PUMP_LENGTH_FT = 10.0
"""Longer than a pump with its fittings is. What hangs lower hangs on pipe nobody wrote down."""


@dataclass(frozen=True, slots=True)
class BelowPipe:
    """A pump that hangs below the end of its pipe on record, and from when that is so."""

    pump: Component
    lowest: Component
    set_depth_ft: float
    end_ft: float
    since: Span


def below_pipe(hole: Hole) -> BelowPipe | None:
    """Whether the pump hangs further below its pipe on record than it is long."""
    found, sections = hole.the(Pump), list(hole.parts(Pipe))
    if found is None or found[1].set_depth_ft is None or not sections:
        return None
    ends = [bottom_ft(hole, pipe) for _, pipe in sections]
    known = [(end, n) for n, end in enumerate(ends) if end is not None]
    if len(known) < len(ends):
        return None
    end_ft, n = max(known)
    set_ft, lowest = found[1].set_depth_ft, sections[n][0]
    if over(set_ft - end_ft, PUMP_LENGTH_FT) <= 0:
        return None
    span = both(said_since(hole, lowest, "to_ft"), said_since(hole, found[0], "set_depth_ft"))
    return BelowPipe(found[0], lowest, set_ft, end_ft, span)


@dataclass(frozen=True, slots=True)
class _Foot:
    """Where a section ends and from when. What only follows from the pump is no record of it."""

    ft: float
    since: Span
    recorded_ft: float | None = None
    """Where the record has it end instead."""


def _feet(hole: Hole, component: Component, pipe: Pipe) -> Iterator[_Foot]:
    end_ft = bottom_ft(hole, pipe)
    if end_ft is not None:
        yield _Foot(end_ft, _ends_since(hole, component, pipe))
    deeper = below_pipe(hole)
    if deeper is not None and deeper.lowest is component:
        yield _Foot(deeper.set_depth_ft, deeper.since, deeper.end_ft)


def _ends_since(hole: Hole, component: Component, pipe: Pipe) -> Span:
    span = said_since(hole, component, "to_ft")
    if pipe.to_ft is not None:
        return span
    below, pump = _next_below(hole, pipe), hole.the(Pump)
    if below is not None:
        return both(span, said_since(hole, below[0], "from_ft"))
    return both(span, said_since(hole, pump[0], "set_depth_ft")) if pump else span


def cut_out(hole: Hole) -> tuple[float | None, Span]:
    """The pressure at which the pump stops, None where it is not recorded; and from when.

    It is the switch's cut-out, else the drive's setpoint; or what was measured since either was
    written down, for a switch is soon turned up.
    """
    switch, control = hole.the(Switch), hole.the(Control)
    written = max((_written_on(found[0]) for found in (switch, control) if found), default=date.min)
    read = hole.fact(Quantity.CUT_OUT_PSI)
    if read is not None and read.basis is Basis.MEASURED and not _before(read.as_of, written):
        return read.number, read_since(hole, read.record)
    if switch and switch[1].cut_out_psi is not None:
        return switch[1].cut_out_psi, said_since(hole, switch[0], "cut_out_psi")
    # An earlier switch or drive that is gone may have stopped the pump at another pressure.
    gone = [none_since(hole, kind) for kind in (Kind.SWITCH, Kind.CONTROL)]
    if control and control[1].setpoint_psi is not None:
        return control[1].setpoint_psi, both(said_since(hole, control[0], "setpoint_psi"), gone[0])
    return None, both(*gone)


def rise_ft(hole: Hole) -> float:
    """How far up the tank is above the well head; one below it takes nothing off."""
    return max((hole.system.rise_to_tank_ft or 0.0) if hole.system else 0.0, 0.0)


def _written_on(component: Component) -> date:
    return max([component.noted_on, *(c.noted_on for c in component.claims if c.counts)])


def _before(when: When, day: date) -> bool:
    return when.earliest is None or when.earliest < day


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """Each section at its own bottom: the column alone, with the cut-out, and at shut-off.

    Of two bottoms the one with the graver finding counts, else the recorded one.
    """
    yield from _reaches(hole)
    for component, pipe in hole.parts(Pipe):
        rating, feet = rating_psi(pipe), list(_feet(hole, component, pipe))
        if rating is None or not feet:
            yield from _unknown(pipe, bool(feet))
            continue
        made = [list(_of_foot(hole, component, rating, foot, numbers)) for foot in feet]
        yield from min((m for m in made if m), key=_gravest, default=[])


def _reaches(hole: Hole) -> Iterator[Check]:
    """Whether the pipe ends where the pump hangs; if not, `doubtful-record` asks which is right."""
    found, ends = hole.the(Pump), [bottom_ft(hole, pipe) for _, pipe in hole.parts(Pipe)]
    lacks = _unwritten(hole)
    if lacks:
        yield cannot_say(NAME, TO_THE_PUMP, "string", *lacks, source=COMMON_PRACTICE)
        return
    known = [end for end in ends if end is not None]
    if found is None or found[1].set_depth_ft is None or not known or len(known) < len(ends):
        return
    set_ft, end_ft = found[1].set_depth_ft, max(known)
    if (
        found[1].type in (PumpType.SUBMERSIBLE, None)
        and over(abs(set_ft - end_ft), PUMP_LENGTH_FT) > 0
    ):
        yield Check(
            rule=NAME,
            aspect=TO_THE_PUMP,
            subject="pipe",
            verdict=Verdict.CANNOT_SAY,
            says=f"the pump hangs at {set_ft:g} ft and its pipe ends at {end_ft:g} ft: one is wrong",
            source=COMMON_PRACTICE,
            missing=("what pipe the pump hangs on",),
        )


def _unwritten(hole: Hole) -> tuple[str, ...]:
    """What of a string nobody wrote down; nothing where none hangs there, or no pipe is needed."""
    found, had = hole.the(Pump), any(c.kind is Kind.PUMP for c in hole.components)
    if found is None:
        return () if had or hole.flowing else ("what pump hangs there", "how deep", "on what pipe")
    if found[1].type not in (PumpType.SUBMERSIBLE, None):
        return ()
    depth = () if found[1].set_depth_ft is not None else ("how deep the pump hangs",)
    return (*depth, *(() if hole.down(Kind.PIPE) else ("what pipe the pump hangs on",)))


def _gravest(made: list[Check]) -> int:
    grave = list(Severity)
    return min((grave.index(c.finding.severity) for c in made if c.finding), default=len(grave))


def _unknown(pipe: Pipe, ends: bool) -> Iterator[Check]:
    if pipe.material is not None and is_metal(pipe.material) and pipe.rating_psi is None:
        # Steel pipe bears no rating, and holds more than any pump here gives.
        return
    missing = [*([] if rating_psi(pipe) else ["rating of the pipe"])]
    missing += [] if ends else ["where the pipe ends"]
    yield cannot_say(NAME, "column alone", f"{pipe.material or 'pipe'}", *missing, source=SOURCE)


@dataclass(frozen=True, slots=True)
class _Case:
    """One section at one bottom, with the pressures there."""

    rating_psi: float
    foot: _Foot
    rise_ft: float
    cut_out_psi: float
    cut_out_known: bool

    @property
    def column_psi(self) -> float:
        return column_psi(self.foot.ft + self.rise_ft)

    @property
    def with_cut_out_psi(self) -> float:
        return self.column_psi + self.cut_out_psi

    @property
    def bare_fails(self) -> bool:
        return over(self.column_psi, self.rating_psi) > 0

    @property
    def fails(self) -> bool:
        return self.bare_fails or over(self.with_cut_out_psi, self.rating_psi) > 0

    @property
    def to_tank(self) -> str:
        return f" and {self.rise_ft:g} ft up to the tank" if self.rise_ft else ""

    @property
    def assumed(self) -> str:
        return "" if self.cut_out_known else " (cut-out not recorded: usual one taken)"

    def down_to_ft(self, cut_out_psi: float) -> int:
        """How deep the pipe may hang with a pressure on top, in whole feet; 0 where it may not."""
        if self.rating_psi <= 0:
            return 0
        return floor_ft(
            drawn_down_limit_ft(self.rating_psi, cut_out_psi=cut_out_psi, rise_ft=self.rise_ft)
        )


def _of_foot(
    hole: Hole, component: Component, rating: float, foot: _Foot, numbers: Numbers
) -> Iterator[Check]:
    rise = rise_ft(hole)
    known, _ = cut_out(hole)
    stops_psi = numbers["usual_cut_out_psi"] if known is None else known
    case = _Case(rating, foot, rise, stops_psi, known is not None)
    try:
        column, bare_ft, limit_ft = case.column_psi, case.down_to_ft(0), case.down_to_ft(stops_psi)
    except ValueError:
        # No string is so long: a slip of the pen, not a pipe to judge.
        return
    finding = _finding(hole, component, case) if case.fails else None
    where = f"pipe to {foot.ft:g} ft"
    yield Check(
        rule=NAME,
        aspect="column alone",
        subject=where,
        verdict=Verdict.FAIL if case.bare_fails else Verdict.PASS,
        says=(
            f"{foot.ft:g} ft{case.to_tank} is {shown(column, rating)} psi in pipe rated"
            f" {rating:g} psi (good for {bare_ft} ft)"
        ),
        source=SOURCE,
        value=column,
        limit=rating,
        unit="psi",
        finding=finding if case.bare_fails else None,
    )
    yield Check(
        rule=NAME,
        aspect="column and cut-out, drawn down",
        subject=where,
        verdict=Verdict.FAIL if case.fails else Verdict.PASS,
        says=(
            f"with {stops_psi:g} psi of the switch on top {shown(case.with_cut_out_psi, rating)} psi"
            f" in pipe rated {rating:g} psi (good for {limit_ft} ft){case.assumed}"
        ),
        source=SOURCE,
        value=case.with_cut_out_psi,
        limit=rating,
        unit="psi",
        finding=finding,
    )


def _finding(hole: Hole, component: Component, case: _Case) -> Finding:
    foot, rating, bare = case.foot, case.rating_psi, case.bare_fails
    _, stops_since = cut_out(hole)
    may, surely = foot.since if bare else both(foot.since, stops_since)
    sure = foot.recorded_ft is None and (bare or case.cut_out_known)
    hangs = (
        f"hangs to {foot.ft:g} ft"
        if foot.recorded_ft is None
        else f"ends at {foot.recorded_ft:g} ft on record, but its pump hangs at {foot.ft:g} ft; if it"
        " reaches there"
    )
    column, with_cut_out = shown(case.column_psi, rating), shown(case.with_cut_out_psi, rating)
    return Finding(
        rule=NAME,
        subject=f"pipe to {foot.ft:g} ft",
        occurrence=occurrence(NAME, "pipe", component.uid),
        may_from=may,
        surely_from=surely if sure else None,
        severity=Severity.ACT if bare else Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pipe rated {rating:g} psi {hangs}{case.to_tank}: column alone {column} psi; with"
            f" {case.cut_out_psi:g} psi cut-out, well drawn down, {with_cut_out} psi{case.assumed}"
        ),
        action=(
            "replace the section by pipe rated for the column; keep off the head under pressure"
            if bare
            else "at the next pull choose pipe rated for column and cut-out together"
        ),
        source=SOURCE,
        counts_from=component.uid,
        numbers={
            "rating_psi": rating,
            "bottom_ft": foot.ft,
            "rise_ft": case.rise_ft,
            "column_psi": float(column),
            "cut_out_psi": case.cut_out_psi,
            "with_cut_out_psi": float(with_cut_out),
            **({} if foot.recorded_ft is None else {"pipe_end_ft": foot.recorded_ft}),
        },
    )


RULE = Rule(
    name=NAME,
    title="drop pipe rated below what it holds",
    why=__doc__ or "",
    thresholds=(USUAL_CUT_OUT,),
    judge=judged_by(checks),
    checks=checks,
)
