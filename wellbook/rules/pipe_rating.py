"""A drop pipe rated below the water that it holds up.

Each section is judged at its own bottom, with the well drawn down to it: then nothing outside
helps. Two grades: the bare column alone exceeds the rating; or the column and the switch's cut-out
together do.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.engineering.pressure import PSI_PER_FT, column_psi
from wellbook.engineering.ratings import rating_from_dimensions
from wellbook.hole.parts import Control, Pipe, Pump, Switch
from wellbook.hole.records import Component, Hole
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
    since,
)
from wellbook.rules.materials import pipe_material
from wellbook.terms import Occasion, Severity

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
    """Where a section ends: as recorded, else where the pump hangs."""
    if pipe.to_ft is not None:
        return pipe.to_ft
    pump = hole.the(Pump)
    return pump[1].set_depth_ft if pump else None


def cut_out_psi(hole: Hole) -> float | None:
    """The pressure at which the pump stops: the switch's cut-out or the drive's setpoint."""
    switch = hole.the(Switch)
    if switch and switch[1].cut_out_psi is not None:
        return switch[1].cut_out_psi
    control = hole.the(Control)
    return control[1].setpoint_psi if control else None


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Each section at its own bottom."""
    for component, pipe in hole.parts(Pipe):
        rating, bottom = rating_psi(pipe), bottom_ft(hole, pipe)
        if rating is not None and bottom is not None:
            yield from _judge_section(hole, component, rating, bottom, numbers)


def _judge_section(
    hole: Hole, component: Component, rating: float, bottom: float, numbers: Numbers
) -> Iterator[Finding]:
    rise = (hole.system.rise_to_tank_ft or 0.0) if hole.system else 0.0
    try:
        column = column_psi(bottom + rise)
    except ValueError:
        # No string is so long: a slip of the pen, not a pipe to judge.
        return
    known = cut_out_psi(hole)
    cut_out = numbers["usual_cut_out_psi"] if known is None else known
    if column <= rating and column + cut_out <= rating:
        return
    bare = column > rating
    may, surely = since(component.set_on, component.noted_on)
    to_tank = f" and {rise:g} ft up to the tank" if rise else ""
    assumed = "" if known is not None else " (cut-out not recorded: usual one taken)"
    with_switch = f"; with {cut_out:g} psi cut-out, well drawn down, {column + cut_out:.0f} psi"
    yield Finding(
        rule=NAME,
        subject=f"pipe to {bottom:g} ft",
        occurrence=occurrence(NAME, "pipe", component.uid),
        may_from=may,
        surely_from=surely if bare or known is not None else None,
        severity=Severity.ACT if bare else Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"pipe rated {rating:g} psi hangs to {bottom:g} ft{to_tank}:"
            f" column alone {column:.0f} psi{with_switch}{assumed}"
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
            "bottom_ft": bottom,
            "rise_ft": rise,
            "column_psi": round(column, 1),
            "cut_out_psi": cut_out,
            "with_cut_out_psi": round(column + cut_out, 1),
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
