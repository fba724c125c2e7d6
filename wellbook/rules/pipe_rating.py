"""A drop pipe rated below the water that it holds up.

Each section is judged at its own bottom, with the well drawn down to it: then nothing outside
helps. Two grades: the bare column alone exceeds the rating; or the column and the switch's cut-out
together do. Where the pump hangs below the end of its pipe on record, the lowest section may reach
down to it: then it is judged there too, as what may be.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from wellbook.engineering.pressure import (
    PSI_PER_FT,
    column_psi,
    drawn_down_limit_ft,
    floor_ft,
)
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pipe, Pump
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import over, shown
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    occurrence,
)
from wellbook.rules.materials import is_metal
from wellbook.rules.pressures import (
    USUAL_CUT_OUT,
    Stop,
    rise_ft,
    stop_of,
    up_to_tank,
)
from wellbook.rules.pump_facts import pump_kind
from wellbook.rules.spans import Span, both
from wellbook.rules.string_facts import below_pipe, bottom_ft, ends_since, pipe_gap, rating_psi
from wellbook.terms import Kind, Occasion, PumpType, Severity, Verdict

NAME = names.PIPE_RATING
TO_THE_PUMP = "pipe to the pump"
SOURCE = (
    f"{PSI_PER_FT} psi a foot of water: fresh, at 40 F, 62.4 lb/ft3; judged by the setting, and 160 psi"
    f" pipe not below about 360 ft by {COMMON_PRACTICE}"
)


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
        yield _Foot(end_ft, ends_since(hole, component, pipe))
    deeper = below_pipe(hole)
    if deeper is not None and deeper.lowest is component:
        yield _Foot(deeper.set_ft, deeper.since(hole), deeper.end_ft)


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
    unwritten = _unwritten(hole)
    if unwritten:
        yield cannot_say(NAME, TO_THE_PUMP, "string", *unwritten, source=COMMON_PRACTICE)
        return
    gap = pipe_gap(hole)
    if gap is not None and pump_kind(hole) in (PumpType.SUBMERSIBLE, None):
        lacks = cannot_say(NAME, TO_THE_PUMP, "pipe", _PIPE, source=COMMON_PRACTICE)
        yield replace(lacks, says=gap.says)


_PIPE = "what pipe the pump hangs on"


def _unwritten(hole: Hole) -> tuple[str, ...]:
    """What of a string nobody wrote down; nothing where none hangs there, or no pipe is needed."""
    found, had = hole.the(Pump), any(c.kind is Kind.PUMP for c in hole.components)
    if found is None:
        return () if had or hole.flowing else ("what pump hangs there", "how deep", "on what pipe")
    if pump_kind(hole) not in (PumpType.SUBMERSIBLE, None):
        return ()
    depth = () if found[1].set_depth_ft is not None else ("how deep the pump hangs",)
    return (*depth, *(() if hole.down(Kind.PIPE) else (_PIPE,)))


def _gravest(made: list[Check]) -> int:
    grave = list(Severity)
    return min((grave.index(c.finding.severity) for c in made if c.finding), default=len(grave))


def _unknown(pipe: Pipe, ends: bool) -> Iterator[Check]:
    if pipe.material is not None and is_metal(pipe.material) and pipe.rating_psi is None:
        yield Check(
            rule=NAME,
            aspect="column alone",
            subject=pipe.material,
            verdict=Verdict.PASS,
            says=f"{pipe.material.replace('_', ' ')} bears no rating and holds more than any pump here",
            source=COMMON_PRACTICE,
        )
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
    stop: Stop

    @property
    def column_psi(self) -> float:
        return column_psi(self.foot.ft + self.rise_ft)

    @property
    def with_cut_out_psi(self) -> float:
        return self.column_psi + self.stop.psi

    @property
    def bare_fails(self) -> bool:
        return over(self.column_psi, self.rating_psi) > 0

    @property
    def fails(self) -> bool:
        return self.bare_fails or over(self.with_cut_out_psi, self.rating_psi) > 0

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
    stop = stop_of(hole, numbers[USUAL_CUT_OUT.name])
    case = _Case(rating, foot, rise_ft(hole), stop)
    try:
        column, bare_ft, limit_ft = case.column_psi, case.down_to_ft(0), case.down_to_ft(stop.psi)
    except ValueError:
        # No string is so long: a slip of the pen, not a pipe to judge.
        return
    finding = _finding(component, case) if case.fails else None
    where = f"pipe to {foot.ft:g} ft"
    yield Check(
        rule=NAME,
        aspect="column alone",
        subject=where,
        verdict=Verdict.FAIL if case.bare_fails else Verdict.PASS,
        says=(
            f"{foot.ft:g} ft{up_to_tank(case.rise_ft)} is {shown(column, rating)} psi in pipe rated"
            f" {rating:g} psi (good for {bare_ft} ft)"
        ),
        source=SOURCE,
        value=column,
        limit=rating,
        unit="psi",
        finding=finding if case.bare_fails else None,
    )
    if not stop.psi:
        # Into an open cistern the column is all.
        return
    yield Check(
        rule=NAME,
        aspect="column and cut-out, drawn down",
        subject=where,
        verdict=Verdict.FAIL if case.fails else Verdict.PASS,
        says=(
            f"with {stop.psi:g} psi on top {shown(case.with_cut_out_psi, rating)} psi"
            f" in pipe rated {rating:g} psi (good for {limit_ft} ft){stop.assumed}"
        ),
        source=SOURCE,
        value=case.with_cut_out_psi,
        limit=rating,
        unit="psi",
        taken=stop.taken,
        finding=finding,
    )


def _finding(component: Component, case: _Case) -> Finding:
    foot, rating, bare = case.foot, case.rating_psi, case.bare_fails
    stop = case.stop
    may, surely = foot.since if bare else both(foot.since, stop.since)
    sure = foot.recorded_ft is None and (bare or stop.known)
    hangs = (
        f"hangs to {foot.ft:g} ft"
        if foot.recorded_ft is None
        else f"ends at {foot.recorded_ft:g} ft on record, but its pump hangs at {foot.ft:g} ft; if it"
        " reaches there"
    )
    column, with_cut_out = shown(case.column_psi, rating), shown(case.with_cut_out_psi, rating)
    on_top = f"; with {stop.psi:g} psi cut-out, well drawn down, {with_cut_out} psi{stop.assumed}"
    return Finding(
        rule=NAME,
        subject=f"pipe to {foot.ft:g} ft",
        occurrence=occurrence(NAME, "pipe", component.uid),
        may_from=may,
        surely_from=surely if sure else None,
        severity=Severity.ACT if bare else Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pipe rated {rating:g} psi {hangs}{up_to_tank(case.rise_ft)}: column alone {column} psi"
            f"{on_top if stop.psi else ''}"
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
            "cut_out_psi": stop.psi,
            "with_cut_out_psi": float(with_cut_out),
            **({} if foot.recorded_ft is None else {"pipe_end_ft": foot.recorded_ft}),
        },
    )


RULE = Rule(
    name=NAME,
    title="drop pipe rated below what it holds",
    why=__doc__ or "",
    thresholds=(USUAL_CUT_OUT,),
    checks=checks,
)
