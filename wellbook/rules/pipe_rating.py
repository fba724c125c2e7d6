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
from wellbook.engineering.pressure import PSI_PER_FT, column_psi
from wellbook.engineering.ratings import rating_from_dimensions
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Control, Pipe, Pump, Switch
from wellbook.rules.figures import over, shown
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.rules.materials import pipe_material
from wellbook.rules.spans import Span, both, none_since, read_since, said_since
from wellbook.terms import Basis, Kind, Occasion, Quantity, Severity

NAME = "pipe-rating"
SOURCE = (
    f"{PSI_PER_FT} psi a foot of fresh water at 40 F (62.4 lb/ft3); rate the pipe on the setting,"
    f" not on the level; 160 psi pipe not below about 360 ft: {COMMON_PRACTICE}"
)


def rating_psi(pipe: Pipe) -> float | None:
    """The rating as recorded, else worked out from material, wall and size; None if neither."""
    if pipe.rating_psi is not None:
        return pipe.rating_psi
    if pipe.material is None or pipe.wall is None:
        return None
    try:
        return rating_from_dimensions(pipe_material(pipe.material), pipe.wall, pipe.nominal_in)
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


def _cut_out(hole: Hole) -> tuple[float | None, Span]:
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


def _written_on(component: Component) -> date:
    return max([component.noted_on, *(c.noted_on for c in component.claims if c.counts)])


def _before(when: When, day: date) -> bool:
    return when.earliest is None or when.earliest < day


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Each section at its own bottom; of two bottoms the graver counts, else the recorded one."""
    for component, pipe in hole.parts(Pipe):
        rating = rating_psi(pipe)
        if rating is None:
            continue
        feet = _feet(hole, component, pipe)
        found = [f for foot in feet for f in _judge_foot(hole, component, rating, foot, numbers)]
        if found:
            yield min(found, key=lambda f: list(Severity).index(f.severity))


def _judge_foot(
    hole: Hole, component: Component, rating: float, foot: _Foot, numbers: Numbers
) -> Iterator[Finding]:
    rise = (hole.system.rise_to_tank_ft or 0.0) if hole.system else 0.0
    try:
        column = column_psi(foot.ft + rise)
    except ValueError:
        # No string is so long: a slip of the pen, not a pipe to judge.
        return
    known, stops_since = _cut_out(hole)
    cut_out = numbers["usual_cut_out_psi"] if known is None else known
    bare = over(column, rating) > 0
    if not bare and over(column + cut_out, rating) <= 0:
        return
    may, surely = foot.since if bare else both(foot.since, stops_since)
    sure = foot.recorded_ft is None and (bare or known is not None)
    to_tank = f" and {rise:g} ft up to the tank" if rise else ""
    assumed = "" if known is not None else " (cut-out not recorded: usual one taken)"
    hangs = (
        f"hangs to {foot.ft:g} ft"
        if foot.recorded_ft is None
        else f"ends at {foot.recorded_ft:g} ft on record, but its pump hangs at {foot.ft:g} ft; if it"
        " reaches there"
    )
    yield Finding(
        rule=NAME,
        subject=f"pipe to {foot.ft:g} ft",
        occurrence=occurrence(NAME, "pipe", component.uid),
        may_from=may,
        surely_from=surely if sure else None,
        severity=Severity.ACT if bare else Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pipe rated {rating:g} psi {hangs}{to_tank}: column alone"
            f" {shown(column, rating)} psi; with {cut_out:g} psi cut-out, well drawn down,"
            f" {shown(column + cut_out, rating)} psi{assumed}"
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
            "rise_ft": rise,
            "column_psi": float(shown(column, rating)),
            "cut_out_psi": cut_out,
            "with_cut_out_psi": float(shown(column + cut_out, rating)),
            **({} if foot.recorded_ft is None else {"pipe_end_ft": foot.recorded_ft}),
        },
    )


RULE = Rule(
    name=NAME,
    title="drop pipe rated below what it holds",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "usual_cut_out_psi",
            50,
            "the cut-out taken where none is recorded",
            "30/50 is the switch most often set: " + COMMON_PRACTICE,
            0,
            200,
        ),
    ),
    judge=judge,
)
