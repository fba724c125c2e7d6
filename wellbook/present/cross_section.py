"""The hole as a cross-section with all its limits: what both the terminal's and the vector drawing show.

It decides what stands at which depth and in which words; the drawings only place it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wellbook.engineering.lift import Band
from wellbook.hole.hole import Hole
from wellbook.hole.parts import CheckValve, Pipe, Pump, Seal, TorqueArrestor
from wellbook.present.lines import Line
from wellbook.present.part_texts import pipe_made_of, pipe_words
from wellbook.present.picture import Feature, Scene, features_of, in_order, stall_features
from wellbook.present.place_lines import place_lines, title
from wellbook.present.string_lines import string_lines
from wellbook.quantities import show
from wellbook.rules.lift import whole_ft
from wellbook.rules.pressures import against
from wellbook.rules.pump_facts import pump_facts
from wellbook.rules.reach import PipeReach, Reach, Water
from wellbook.terms import Basis, IntervalKind, Kind, PumpType

LIMITS = frozenset({"rated", "cut_out", "with_cut_out", "column", "may_stall", "stalls", "usable"})
"""Kinds of features that say how far something reaches; all others are there to be touched."""

LEGEND = "● measured  ◐ log, paper, plate  ○ told, guessed, estimated"


@dataclass(frozen=True, slots=True)
class CrossSection:
    """A hole and its limits, ready to be drawn.

    Parameters
    ----------
    hole, reach
        As of `day`.
    scene
        All that stands at a depth of the drawing, the limits among it; empty where the well is not
        drilled yet.
    deeper
        Limits that lie deeper than the hole, and so below the drawing, shallowest first.
    lines
        The limits in words, with what is not known.
    """

    hole: Hole
    reach: Reach
    day: date
    title: str
    scene: Scene
    deeper: tuple[Feature, ...]
    lines: tuple[Line, ...]


def cross_section(hole: Hole, reach: Reach, day: date) -> CrossSection:
    """The cross-section of a well.

    Parameters
    ----------
    hole
        The well as of `day`.
    reach
        Its limits.
    day
        The day of the drawing.
    """
    if hole.not_yet_drilled:
        line = Line("made", f"not drilled yet (drilled {hole.drilled_on})")
        return CrossSection(hole, reach, day, title(hole), Scene(()), (), (line,))
    there = [*features_of(hole), *_more(hole)]
    if any(f.what == "pipe_end" for f in there):
        # Of the deepest section the end is there already.
        deepest_pipe = max(f.depth_ft for f in there if f.what == "pipe_end")
        there = [f for f in there if f.what != "section" or f.depth_ft < deepest_pipe]
    deepest = max(f.depth_ft for f in there)
    limits = list(_limits(hole, reach))
    return CrossSection(
        hole=hole,
        reach=reach,
        day=day,
        title=title(hole),
        scene=in_order([*there, *(f for f in limits if f.depth_ft <= deepest)]),
        deeper=in_order(f for f in limits if f.depth_ft > deepest).features,
        lines=tuple(_lines(hole, reach, day)),
    )


# -- what is there -----------------------------------------------------------------------------


def _more(hole: Hole) -> Iterator[Feature]:
    """What the picture of the page has no room for."""
    for component, seal in hole.parts(Seal):
        if seal.depth_ft is not None:
            words = " ".join(w for w in (seal.material, seal.type and seal.type.label) if w)
            yield Feature("seal", seal.depth_ft, "pitless", component.basis.mark, words or "seal")
    for component, valve in hole.parts(CheckValve):
        if valve.depth_ft is not None:
            yield Feature("valve", valve.depth_ft, "check", component.basis.mark, "check valve")
    for component, arrestor in hole.parts(TorqueArrestor):
        if arrestor.depth_ft is not None:
            mark = component.basis.mark
            yield Feature("arrestor", arrestor.depth_ft, "arrestor", mark, "torque arrestor")
    yield from _pipe_ends(hole)
    yield from _other_ends(hole)


def _pipe_ends(hole: Hole) -> Iterator[Feature]:
    for component, pipe in hole.parts(Pipe):
        if pipe.to_ft is not None:
            mark, words = component.basis.mark, f"{pipe_made_of(component) or 'pipe'} to"
            yield Feature("section", pipe.to_ft, "pipe", mark, words)


def _other_ends(hole: Hole) -> Iterator[Feature]:
    """Where a stretch of the bore ends that is not the deepest casing, nor ends at the bottom."""
    ends = [i for i in hole.intervals if i.to_ft and i.kind is not IntervalKind.OPEN_HOLE]
    casing = max((i.to_ft or 0.0 for i in hole.casing()), default=0.0)
    for i in ends:
        if i.kind is IntervalKind.CASING and i.to_ft == casing:
            continue
        width = "" if i.diameter_in is None else show(i.diameter_in, "in")
        material = i.material.replace("_", " ")
        words = " ".join(w for w in (width, material, i.kind.label, "to") if w)
        yield Feature("end", i.to_ft or 0.0, i.kind.label, i.basis.mark, words)


# -- how far it reaches ------------------------------------------------------------------------


def _limits(hole: Hole, reach: Reach) -> Iterator[Feature]:
    yield from _pipe_limits(reach)
    yield from _lift(hole, reach)
    if reach.water is not None:
        water, gallons = reach.water, _gallons(reach.water)
        middle = (water.from_ft + water.lifted_to_ft.low) / 2
        yield Feature("usable", middle, "usable", words=f"usable: {gallons or 'width unknown'}")


def _pipe_limits(reach: Reach) -> Iterator[Feature]:
    """Of the lowest section, and of each that hangs past them; those of one rating once."""
    apply = [p.limits for p in (*reach.pipes[-1:], *reach.past_limits) if p.limits is not None]
    for limits in dict.fromkeys(apply):
        rated = f"{show(limits.rating_psi, 'psi')} pipe"
        # Into an open cistern there is nothing on top.
        if reach.cut_out_psi:
            yield Feature(
                *("with_cut_out", limits.drawn_down_ft, "pipe+switch"),
                words=f"{rated}, {show(reach.cut_out_psi, 'psi')} on top",
            )
        yield Feature(
            *("column", limits.bare_column_ft, "pipe alone"), words=f"{rated}, column alone"
        )


def _lift(hole: Hole, reach: Reach) -> Iterator[Feature]:
    lift = reach.lift
    if lift is None:
        return
    mark = Basis.ESTIMATED.mark if lift.estimated else ""
    at_top = against(reach.cut_out_psi)
    for what, band, words in (
        ("rated", lift.at_rated_flow_ft, f"pump gives {_rated_flow(hole)}"),
        ("cut_out", lift.reaches_cut_out_ft, f"pump reaches {at_top}"),
    ):
        # What comes up into an open cistern does so until it stalls.
        if band is not None and (what == "rated" or reach.cut_out_psi):
            feet = whole_ft(band)
            to_ft = feet.high if feet.low < feet.high else None
            yield Feature(what, feet.low, what, mark, words, to_ft)
    yield from stall_features(reach)


def _rated_flow(hole: Hole) -> str:
    """The flow that the pump is made for, as its lift was worked out with it."""
    pump = pump_facts(hole)
    gpm = pump.rated_gpm.value if pump else None
    return "its rated flow" if gpm is None else show(gpm, "gpm")


def span_of(feature: Feature) -> str:
    """Where a limit lies, in whole feet: one depth, or between two; nothing of a stretch."""
    if feature.what == "usable":
        return ""
    to = "" if feature.to_ft is None else f"-{feature.to_ft:.0f}"
    return f"{feature.depth_ft:.0f}{to}"


def _gallons(water: Water) -> str:
    usable = water.usable_gal
    return "" if usable is None else f"{span(usable)} gal"


def span(band: Band) -> str:
    """A band in whole numbers; one number where both ends are the same.

    >>> span(Band(289.6, 401)), span(Band(5, 5))
    ('290 to 401', '5')
    """
    low, high = f"{band.low:,.0f}", f"{band.high:,.0f}"
    return low if low == high else f"{low} to {high}"


# -- in words ----------------------------------------------------------------------------------


def _lines(hole: Hole, reach: Reach, day: date) -> Iterator[Line]:
    yield from (line for line in place_lines(hole) if line.label == "well")
    components = hole.down(Kind.PIPE)
    for component, section in zip(components, reach.pipes, strict=True):
        text = f"{pipe_words(component)}{_ends(section)}: {_pipe_says(reach, section)}"
        yield Line("pipe", text, component.basis.mark)
    yield from (
        line
        for line in string_lines(hole, day)
        if line.label == "unknown" or (line.label == "pump" and reach.set_depth_ft is None)
    )
    yield from _lift_line(hole, reach)
    if reach.water is not None:
        yield Line("usable", _water_says(reach.water))


def _ends(section: PipeReach) -> str:
    """Where a section ends, and where its pump hangs if that is on no pipe on record."""
    if section.hangs_to_ft is None:
        return ""
    if section.beyond_record:
        return f" to {section.pipe.to_ft:g} ft on record, the pump at {section.hangs_to_ft:g} ft"
    return f" to {section.hangs_to_ft:g} ft"


def _pipe_says(reach: Reach, section: PipeReach) -> str:
    limits = section.limits
    if limits is None:
        steel = "metal, nothing limits it at these depths"
        return steel if section.needs_no_limit else "rating not known, so no limit can be said"
    usual = "" if reach.cut_out_known else ", the usual as none is on record"
    top = f"{show(reach.cut_out_psi, 'psi')} at the top{usual}"
    may = f"holds to {limits.bare_column_ft} ft alone"
    if reach.cut_out_psi:
        may += f", to {limits.drawn_down_ft} ft with {top}"
    if section.hangs_to_ft is None:
        return f"{may}; where it ends is not known"
    # Where the pump hangs on pipe that nobody wrote down, that pipe may be another.
    there = "if it reaches there, " if section.beyond_record else ""
    if section.too_deep:
        return f"{may}; {there}TOO DEEP by its column alone: keep off the head under pressure"
    return f"{may}; {there}too deep drawn down" if section.too_deep_with_cut_out else may


def _lift_line(hole: Hole, reach: Reach) -> Iterator[Line]:
    found = hole.the(Pump)
    if found is None or found[1].type not in (PumpType.SUBMERSIBLE, None):
        return
    if reach.lift is None:
        if hole.closed_without_pump is None:
            yield Line("lift", "cannot say: no curve of the pump, nor its power and rated flow")
        return
    lift, cut_out = reach.lift, against(reach.cut_out_psi)
    said = [
        f"{words} {span(whole_ft(band))} ft"
        for words, band in (
            (f"gives {_rated_flow(hole)} from", lift.at_rated_flow_ft),
            (f"reaches {cut_out} from", lift.reaches_cut_out_ft),
            ("gives no water from below", lift.stalls_ft),
        )
        if band is not None and (reach.cut_out_psi or band is not lift.reaches_cut_out_ft)
    ]
    how = "estimated from power and flow" if lift.estimated else "by its curve"
    if reach.unsaid and lift.at_rated_flow_ft is not None:
        how += f"; {reach.unsaid}"
    past = reach.set_depth_ft is not None and lift.stalls_ft is not None
    stalls = past and (lift.stalls_ft or Band(0, 0)).low < (reach.set_depth_ft or 0.0)
    hot = "; a stalled pump overheats" if stalls else ""
    if said:
        yield Line("lift", f"the pump {', '.join(said)} ({how}){hot}")


def _water_says(water: Water) -> str:
    feet = show(round(water.to_ft - water.from_ft, 1), "ft")
    gallons = "" if water.above_intake_gal is None else f", {water.above_intake_gal:,.0f} gal"
    text = f"{feet} of water over the pump{gallons}"
    useless = water.useless_ft
    if round(useless.high):
        of_it = f"; of it {_gallons(water)} are within the pump's reach" if gallons else ""
        text += f"{of_it}; do not count on the lowest {span(useless)} ft"
    return text if gallons else f"{text}; gallons not known, as the width of the bore is not"
