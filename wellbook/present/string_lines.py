"""The string from the top down, then what belongs to the water system: one line a part."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from wellbook.dates import When
from wellbook.hole.component import Component
from wellbook.hole.describe import told_text
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump, Seal
from wellbook.present.lines import Line, dated, set_text
from wellbook.present.part_texts import part_text
from wellbook.present.questions import flows_without_pump
from wellbook.present.text import and_list
from wellbook.terms import IN_THE_HOLE, Kind, PumpType, SealType, WellStatus

LABELS = {
    Kind.CHECK_VALVE: "check",
    Kind.TORQUE_ARRESTOR: "arrestor",
    Kind.TREATMENT: "treating",
}
_EXPECTED = (Kind.SEAL, Kind.PIPE, Kind.CABLE, Kind.PUMP, Kind.TANK, Kind.SWITCH)
_WITHOUT_MOTOR = frozenset({Kind.CABLE, Kind.MOTOR, Kind.CONTROL, Kind.TANK, Kind.SWITCH})


def sorted_down(hole: Hole, kind: Kind) -> list[Component]:
    """The components of a kind that are there, by depth; those of unknown depth as they came."""
    return sorted(hole.down(kind), key=_top)


def _top(component: Component) -> float:
    for name in ("from_ft", "to_ft", "depth_ft", "set_depth_ft"):
        depth = getattr(component.part, name, None)
        if depth is not None:
            return float(depth)
    return math.inf


def string_lines(hole: Hole, day: date) -> Iterator[Line]:
    """Every part that is there, in the order of its kind; then what is out and what is unknown."""
    common = _set_together(hole)
    missing: list[str] = []
    for kind in Kind:
        there = [*sorted_down(hole, kind), *hole.stored(kind), *hole.sealed_in(kind)]
        for component in there:
            yield _line(hole, component, day, common)
        if there:
            continue
        out = _last_out(hole, kind) if kind is Kind.PUMP else None
        if out is not None:
            yield Line("pump", f"NONE IN THE WELL: {out}")
        elif kind in _EXPECTED and not _needless(hole, kind):
            missing.append(LABELS.get(kind, kind.label))
    if missing:
        yield Line("unknown", f"{and_list(missing)}: nothing on record")


def _line(hole: Hole, component: Component, day: date, common: When | None) -> Line:
    said = part_text(hole, component, day) or "there, no more noted"
    label = _label(component)
    # What the label says need not be said twice.
    said = said.replace(f"{label} ", "", 1) if component.kind is Kind.SEAL else said
    line = dated(label, said, component.basis, component.as_of)
    own = component.kind in IN_THE_HOLE and component.kind is not Kind.PUMP
    # A part that went down on the day that its mark is from need not say so twice.
    needless = component.set_on == common or str(component.set_on) == line.as_of
    set_on = f"; {set_text(component) or 'set date unknown'}" if own and not needless else ""
    more = set_on + _told(component) + _whereabouts(hole, component)
    return replace(line, text=line.text + more)


def _told(component: Component) -> str:
    """What was told of it otherwise, beside what is on record."""
    told = component.doubts
    return f"; {told[0].basis.mark} {told_text(told)}" if told else ""


def _whereabouts(hole: Hole, component: Component) -> str:
    """Where a part is that does not hang in the well, or hangs there for good."""
    if component in hole.sealed_in(component.kind):
        return "; " + left_words(component)
    closed = hole.closed_without_pump
    out = component.kind is Kind.PUMP or component in hole.stored(component.kind)
    return f"; IN STORE since {closed.end or closed.start}" if closed is not None and out else ""


def left_words(component: Component) -> str:
    """What became of a part that nobody pulled before its well was sealed."""
    inside = component.kind in IN_THE_HOLE or component.kind is Kind.SEAL
    return "left in the hole, sealed in" if inside else "left when the well was sealed"


def _set_together(hole: Hole) -> When | None:
    """The pump's date of setting: parts that went down with it need not repeat it."""
    pump = hole.the(Pump)
    return pump[0].set_on if pump else None


def _needless(hole: Hole, kind: Kind) -> bool:
    if hole.status is WellStatus.SEALED or hole.not_yet_drilled:
        return True
    if flows_without_pump(hole):
        return kind is not Kind.PUMP
    pump = hole.the(Pump)
    type_ = pump[1].type if pump else None
    if type_ is PumpType.HAND:
        return kind in _WITHOUT_MOTOR
    # Only a submersible has a cable that hangs down the well.
    return kind is Kind.CABLE and type_ not in (PumpType.SUBMERSIBLE, None)


def _last_out(hole: Hole, kind: Kind) -> str | None:
    out = [c for c in hole.components if c.kind is kind and c.pulled_on is not None]
    if not out:
        return None
    last = max(out, key=lambda c: (c.pulled_on and c.pulled_on.latest) or date.min)
    assert last.pulled_on is not None
    why = "; ".join(w for w in (last.why_pulled, last.cause.label if last.cause else "") if w)
    return f"pulled {last.pulled_on}" + (f" ({why})" if why else "")


def _label(component: Component) -> str:
    part = component.part
    if isinstance(part, Seal) and part.type in (SealType.PITLESS_ADAPTER, SealType.PITLESS_UNIT):
        return "pitless"
    return LABELS.get(component.kind, component.kind.label)
