"""The bore: how deep, what stands in it, where the water is and how much it gives."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wellbook.engineering.bore import stored_gal
from wellbook.hole.describe import describe_interval, number_text
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.hole.records import Observation
from wellbook.present.lines import Line, Noted, depth_text, from_fact, merged, weakest
from wellbook.quantities import show
from wellbook.rules.capacity import specific_capacity
from wellbook.terms import (
    REWORKED,
    Basis,
    Construction,
    IntervalKind,
    LevelState,
    MeasuringPoint,
    Quantity,
)

_OTHER = frozenset(LevelState) - {LevelState.STATIC, LevelState.FLOWING, LevelState.PUMPING}
"""States that have no line of their own."""


def bore_lines(hole: Hole) -> Iterator[Line]:
    """Top to bottom, then the water."""
    yield from _made(hole)
    yield from _depth(hole)
    yield from _intervals(hole)
    yield from _levels(hole)
    yield from _yield(hole)
    yield from _standing(hole)


def _made(hole: Hole) -> Iterator[Line]:
    if hole.not_yet_drilled:
        yield Line("made", f"not drilled yet (drilled {hole.drilled_on})")
        return
    said: list[str] = []
    if hole.construction is not Construction.UNKNOWN:
        said.append(hole.construction.label)
    if hole.drilled_on.known:
        said.append(str(hole.drilled_on))
    if hole.driller:
        said.append(f"by {hole.driller}")
    said = [" ".join(said)] if said else []
    if hole.flowing:
        said.append("flows by itself")
    for visit in hole.visits:
        if visit.reason in REWORKED:
            said.append(f"{visit.reason.label} {visit.end or visit.start}")
    if hole.permit_no:
        said.append(f"permit {hole.permit_no}")
    if said:
        yield Line("made", ", ".join(said))


def _depth(hole: Hole) -> Iterator[Line]:
    fact = hole.fact(Quantity.DEPTH_FT)
    known = hole.stick_up_ft is not None and not hole.not_yet_drilled
    stands = _stands(hole.stick_up_ft or 0.0) if known else ""
    if fact is None:
        before = before_work(hole, Quantity.DEPTH_FT)
        if before is not None:
            text = "; ".join(p for p in (f"{before.text}, not known since", stands) if p)
            yield merged("depth", [replace(before, text=text)])
        elif stands:
            yield Line("depth", f"unknown; {stands}")
        return
    pieces = [from_fact("; ".join(p for p in (depth_text(fact), stands) if p), fact)]
    measured = hole.last_measured(Quantity.DEPTH_FT, fact)
    if measured is not None:
        pieces.append(from_fact("measured " + depth_text(measured), measured))
    yield merged("depth", pieces)


def _stands(stick_up_ft: float) -> str:
    if stick_up_ft < 0:
        return f"casing top {show(-stick_up_ft, 'ft')} under ground"
    return f"casing top {show(stick_up_ft, 'ft')} above"


def _intervals(hole: Hole) -> Iterator[Line]:
    casing = hole.casing()
    rest = [i for i in hole.intervals if i.kind is not IntervalKind.CASING]
    rest.sort(key=lambda i: (i.from_ft or 0.0, i.to_ft or 0.0))
    rows = [*casing, *rest]
    if rows:
        pieces = [Noted(describe_interval(i), i.basis, i.when) for i in rows]
        yield merged("casing" if casing else "below", pieces)


# -- water -------------------------------------------------------------------------------------


def _levels(hole: Hole) -> Iterator[Line]:
    shown = [
        ("static", hole.fact(Quantity.WATER_LEVEL_FT)),
        ("pumping", hole.level(LevelState.PUMPING)),
    ]
    other = hole.level(*_OTHER)
    unstated = _stateless(hole)
    for label, fact in (*shown, ("level", other or unstated)):
        if fact is not None:
            yield _level_line(hole, label, fact)


def _stateless(hole: Hole) -> Fact | None:
    levels = hole.valid_observations(Quantity.WATER_LEVEL_FT)
    return next((o.fact() for o in reversed(levels) if o.state is None), None)


def _level_line(hole: Hole, label: str, fact: Fact) -> Line:
    pieces = [from_fact(_level_text(hole, label, fact), fact)]
    measured = hole.last_measured(Quantity.WATER_LEVEL_FT, fact)
    if measured is not None:
        pieces.append(from_fact("measured " + depth_text(measured), measured))
    return merged(label, pieces)


def _level_text(hole: Hole, label: str, fact: Fact) -> str:
    state = fact.state.label if fact.state else "state not noted"
    said = [] if state == label else [state]
    if fact.value is not None:
        point = "" if fact.point else ", point not noted"
        said.append(depth_text(fact) + point)
        if fact.point is MeasuringPoint.CASING_TOP and hole.stick_up_ft is None:
            said.append("stick-up unknown")
    if fact.method:
        said.append(fact.method)
    seen = observation_of(hole, fact)
    if seen and seen.at_gpm is not None:
        said.append(f"at {show(seen.at_gpm, 'gpm')}")
    if seen and seen.minutes is not None:
        said.append(f"{show(seen.minutes, '')} min")
    return ", ".join(said)


def observation_of(hole: Hole, fact: Fact) -> Observation | None:
    """The observation that a fact was read from."""
    return next((o for o in hole.observations if o.uid == fact.record), None)


def _yield(hole: Hole) -> Iterator[Line]:
    pieces: list[Noted] = []
    fact = hole.fact(Quantity.YIELD_GPM)
    if fact is not None:
        pieces.append(from_fact(show(fact.number, "gpm"), fact))
        measured = hole.last_measured(Quantity.YIELD_GPM, fact)
        if measured is not None:
            pieces.append(from_fact(f"measured {show(measured.number, 'gpm')}", measured))
    capacity = per_foot(hole)
    if capacity is not None:
        pieces.append(capacity)
    before = before_work(hole, Quantity.YIELD_GPM)
    if before is not None:
        pieces.append(before)
    stall = hole.fact(Quantity.STALL_LEVEL_FT)
    if stall is not None:
        pieces.append(from_fact(f"level stalls at {depth_text(stall)}", stall))
    if pieces:
        yield merged("yield", pieces)


def before_work(hole: Hole, quantity: Quantity) -> Noted | None:
    """What was known before the last work on the hole: whether that was worth it."""
    found = hole.before_work(quantity)
    if found is None:
        return None
    fact, work = found
    feet = quantity is Quantity.DEPTH_FT
    value = depth_text(fact) if feet else number_text(fact)
    return from_fact(f"{value} before the {work.reason.label} of {work.end or work.start}", fact)


def per_foot(hole: Hole) -> Noted | None:
    """What the well gives for each foot of drawdown; None where it cannot be said."""
    found = specific_capacity(hole)
    if found is None:
        return None
    text = f"{found.gpm_per_ft:.2g} gpm a foot of drawdown"
    return Noted(text, weakest(found.rests_on), found.as_of)


def _standing(hole: Hole) -> Iterator[Line]:
    found = standing_water(hole)
    if found is not None:
        yield merged("stands", [found])


def standing_water(hole: Hole) -> Noted | None:
    """How much water stands over the pump, in feet and, where the width is known, in gallons.

    The newest level at rest tells it: after a dry reading no older level does.
    """
    still, level_ft, pump = hole.at_rest(), hole.at_rest_ft(), hole.the(Pump)
    set_at = pump[0].fact("set_depth_ft") if pump else None
    if still is None or set_at is None or hole.closed_without_pump is not None:
        return None
    if level_ft is None:
        return Noted("dry when last read: no water over the pump", still.basis, still.as_of)
    level = max(level_ft, 0.0)
    feet = set_at.number - level
    bases: list[Basis] = [still.basis, set_at.basis]
    if feet <= 0:
        return Noted("the pump hangs above the static level", weakest(bases), still.as_of)
    text = f"{show(feet, 'ft')} of water over the pump"
    widths = [i for i in hole.intervals if i.diameter_in]
    gallons = _gallons(hole.bore_diameter_in(), level, set_at.number)
    if gallons is not None:
        text += f", about {gallons:,.0f} gal"
        bases += [i.basis for i in widths]
    return Noted(text, weakest(bases), still.as_of)


def _gallons(diameter_in: float | None, from_ft: float, to_ft: float) -> float | None:
    if diameter_in is None:
        return None
    try:
        return stored_gal(diameter_in, from_ft, to_ft)
    except ValueError:
        # A width or depth that cannot be is a record to flag, not a reason to show no page.
        return None
