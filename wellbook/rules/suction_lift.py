"""A pump that stands above its water and has to suck it up from too deep.

A shallow jet sucks; it is the air on the water that pushes it up the pipe, and that lifts no higher
than 33.9 ft at sea level and less above it. Below about 25 ft such a pump loses its prime, rattles and
runs dry. A deep jet has its ejector in the water, and a hand pump its cylinder: what those lift is in
the maker's table.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.component import Component
from wellbook.hole.facts import Fact
from wellbook.hole.hole import Hole
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.customer_words import in_words
from wellbook.rules.figures import figure, over
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.rules.pump_facts import pump_facts
from wellbook.rules.spans import both, hangs_since, read_since
from wellbook.terms import Basis, LevelState, Occasion, PumpType, Quantity, Severity, Verdict

NAME = "suction-lift"
ASPECT = "suction lift"
SOURCE = f"weight of the air: 33.9 ft of water at sea level; about 25 ft is {COMMON_PRACTICE}"
_IN_THE_WATER: dict[PumpType | None, str] = {
    PumpType.DEEP_JET: "what its ejector lifts from there (the maker's table)",
    PumpType.HAND: "how deep its cylinder hangs, and what it lifts",
}


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The level that it sucks from: the pumping level, else the static one, which is less."""
    pump = pump_facts(hole)
    kind = pump.kind.value if pump is not None else None
    if kind in _IN_THE_WATER:
        yield cannot_say(NAME, ASPECT, "pump", _IN_THE_WATER[kind], source=SOURCE)
    elif pump is not None and kind is PumpType.SHALLOW_JET:
        yield _sucks(hole, pump.component, numbers["most_suction_ft"])


def _sucks(hole: Hole, pump: Component, most_ft: float) -> Check:
    read = [
        fact
        for fact in (hole.level(LevelState.PUMPING), hole.at_rest())
        if fact is not None and fact.value is not None
    ]
    if not read:
        return cannot_say(NAME, ASPECT, "shallow jet", "pumping level", source=SOURCE)
    fact = max(read, key=hole.below_ground)
    level = hole.below_ground(fact)
    fails = over(level, most_ft) > 0
    if not fails and read[0].state is not LevelState.PUMPING:
        return cannot_say(NAME, ASPECT, "shallow jet", "pumping level", source=SOURCE)
    state = "pumping" if fact.state is LevelState.PUMPING else "static"
    says = (
        f"sucks from the {state} level of {figure(level)} ft ({fact.basis.label}, {fact.as_of});"
        f" from more than {most_ft:g} ft it hardly does"
    )
    return Check(
        rule=NAME,
        aspect=ASPECT,
        subject="shallow jet",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=level,
        limit=most_ft,
        unit="ft",
        finding=_finding(hole, pump, fact, says=says, level=level, most_ft=most_ft)
        if fails
        else None,
    )


def _finding(
    hole: Hole, pump: Component, fact: Fact, *, says: str, level: float, most_ft: float
) -> Finding:
    may, surely = both(
        hangs_since(hole, pump, "type", Quantity.WATER_LEVEL_FT), read_since(hole, fact.record)
    )
    return Finding(
        rule=NAME,
        subject="pump, suction lift",
        occurrence=occurrence(NAME, "level", pump.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN if fact.basis is Basis.MEASURED else Severity.WATCH,
        occasion=Occasion.NEXT_VISIT,
        reason=f"shallow jet {says}",
        action=(
            "measure the level while it runs; plan a submersible or a deep jet: it loses its prime, and"
            " a dry pump overheats"
        ),
        source=SOURCE,
        counts_from=pump.uid,
        numbers={"level_ft": level, "most_suction_ft": most_ft},
        to_customer=(
            f"The water in this well stood at {figure(level)} feet {in_words(fact.as_of)}, compared"
            f" with {most_ft:g} feet from which a pump of this kind still sucks: let us talk about"
            " another pump before it loses its prime."
            if fact.basis is Basis.MEASURED
            else ""
        ),
    )


RULE = Rule(
    name=NAME,
    title="pump that sucks from too deep",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "most_suction_ft",
            25,
            "the most that a pump above the ground sucks up; less high above the sea",
            COMMON_PRACTICE,
            5,
            33,
        ),
    ),
    checks=checks,
)
