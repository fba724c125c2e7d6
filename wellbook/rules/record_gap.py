"""What is not on record and would be missed on a call.

When a customer rings without water, the truck is loaded by what the book says. Each of these is
asked while there is time: of the caller, or at the next visit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pipe, Pump
from wellbook.rules import names
from wellbook.rules.finding import COMMON_PRACTICE, Finding, Number, Numbers, Rule, occurrence
from wellbook.rules.materials import is_metal
from wellbook.rules.pump_facts import pump_facts
from wellbook.rules.string_facts import rating_psi
from wellbook.terms import Kind, LevelState, Occasion, PumpType, Quantity, Severity

NAME = names.RECORD_GAP

_HANGS_DEEP = frozenset({None, PumpType.SUBMERSIBLE, PumpType.LINESHAFT, PumpType.DEEP_JET})
_HANGS_ON_PIPE = frozenset({None, PumpType.SUBMERSIBLE})


def judge(hole: Hole, _numbers: Numbers) -> Iterator[Finding]:
    """One question for each gap that makes sense for this kind of well and pump."""
    if not any(c.kind is Kind.PUMP for c in hole.components):
        # A well that flows by itself may never have needed one.
        if not hole.flowing:
            yield _gap(hole, "pump", "no pump on record", "ask what pump there is, and its age")
    else:
        found = hole.the(Pump)
        if found is not None:
            yield from _of_the_pump(hole, *found)
    yield from _level(hole)


def _of_the_pump(hole: Hole, component: Component, pump: Pump) -> Iterator[Finding]:
    facts = pump_facts(hole)
    assert facts is not None, "it is there"
    kind = facts.kind.value
    if kind in _HANGS_DEEP and pump.set_depth_ft is None:
        yield _gap(
            hole,
            "set depth",
            "how deep the pump hangs is not on record",
            "ask how far down the pump is, or how many joints or what coil of pipe went in",
            component,
        )
    flow = hole.fact(Quantity.FLOW_GPM)
    # What the pump before this one gave says nothing of it.
    read = flow.as_of.latest if flow else None
    measured = flow is not None and not (read and component.set_on.is_after(read))
    rated = facts.rated_gpm.value is not None
    if kind is not PumpType.HAND and not rated and not measured:
        yield _gap(
            hole,
            "pump flow",
            "what flow the pump is rated for is not on record, and none was measured",
            "ask for the pump's papers, or measure the flow",
            component,
        )
    if kind in _HANGS_ON_PIPE:
        yield from _pipe(hole)


def _pipe(hole: Hole) -> Iterator[Finding]:
    sections = list(hole.parts(Pipe))
    if not sections:
        yield _gap(
            hole,
            "pipe rating",
            "no drop pipe on record",
            "ask what pipe the pump hangs on, and read the print on it at the well head",
        )
    for component, pipe in sections:
        # Steel pipe bears no rating, and holds more than any pump here gives.
        steel = pipe.material is not None and is_metal(pipe.material)
        if not steel and rating_psi(pipe) is None:
            yield _gap(
                hole,
                "pipe rating",
                f"rating of the {pipe.material or 'drop'} pipe{_stretch(pipe)} is not on record",
                "ask what is printed on the pipe: material, wall, pressure",
                component,
                numbers={} if pipe.to_ft is None else {"bottom_ft": pipe.to_ft},
            )


def _stretch(pipe: Pipe) -> str:
    return "" if pipe.to_ft is None else f" down to {pipe.to_ft:g} ft"


def _level(hole: Hole) -> Iterator[Finding]:
    seen = hole.valid_observations(Quantity.WATER_LEVEL_FT)
    told = (LevelState.DRY, LevelState.FLOWING)
    if hole.flowing or any(o.value is not None or o.state in told for o in seen):
        return
    since = hole.worked_on(Quantity.WATER_LEVEL_FT)
    yield _gap(
        hole,
        "water level",
        "no water level on record" if since is None else f"no water level since work of {since}",
        "ask how far down the water is, and measure it",
        not_before=since,
    )


def _gap(
    hole: Hole,
    subject: str,
    reason: str,
    action: str,
    component: Component | None = None,
    *,
    not_before: date | None = None,
    numbers: Mapping[str, Number] | None = None,
) -> Finding:
    uid = hole.uid if component is None else component.uid
    noted = component.noted_on if component else hole.entered_on
    begin = max(hole.entered_on, noted, not_before or hole.entered_on)
    return Finding(
        rule=NAME,
        subject=subject,
        occurrence=occurrence(NAME, subject.replace(" ", "-"), uid),
        may_from=begin,
        surely_from=begin,
        severity=Severity.ASK,
        occasion=Occasion.NEXT_VISIT,
        reason=reason,
        action=action,
        source=COMMON_PRACTICE,
        counts_from=uid,
        numbers=numbers or {},
    )


RULE = Rule(
    name=NAME,
    title="not on record and missed on a call",
    why=__doc__ or "",
    thresholds=(),
    finds=judge,
)
