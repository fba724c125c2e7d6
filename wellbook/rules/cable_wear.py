"""A cable with too many splices or rubs to go down again.

Each splice is a joint that water tries to enter, each rub a jacket half worn through. What counts
is what was counted at the latest inspection and what was spliced in since; and an old cable that
also has splices is not worth sending back down: to be thought of while it only may be old, to be
done once it surely is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable
from wellbook.rules import cable_age
from wellbook.rules.cable_age import REPLACE
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    from_age,
    occurrence,
)
from wellbook.rules.spans import both
from wellbook.terms import Occasion, Severity

NAME = "cable-wear"


Counts = tuple[tuple[date, int], ...]
"""What was counted at each inspection, oldest first."""


@dataclass(frozen=True, slots=True)
class Wear:
    """Splices and rubs of one cable, as they were counted; the latest count is what it has."""

    splice_counts: Counts
    rub_counts: Counts

    @property
    def splices(self) -> int | None:
        """How many splices it has; None where they were never counted."""
        return self.splice_counts[-1][1] if self.splice_counts else None

    @property
    def splices_on(self) -> date | None:
        """When they were counted, or the last of them made."""
        return self.splice_counts[-1][0] if self.splice_counts else None

    @property
    def rubs(self) -> int | None:
        """How many rubs it has; None where they were never counted."""
        return self.rub_counts[-1][1] if self.rub_counts else None

    @property
    def rubs_on(self) -> date | None:
        """When they were counted."""
        return self.rub_counts[-1][0] if self.rub_counts else None


def wear(hole: Hole, component: Component) -> Wear:
    """What was counted at the inspections, splices added since included."""
    splices: list[tuple[date, int]] = []
    rubs: list[tuple[date, int]] = []
    rows = [i for i in hole.inspections if i.component_uid == component.uid]
    for row in sorted(rows, key=lambda i: i.on):
        before = splices[-1][1] if splices else 0
        counted = before if row.splices is None else row.splices
        if row.splices is not None or row.splices_added:
            splices.append((row.on, counted + row.splices_added))
        if row.rubs is not None:
            rubs.append((row.on, row.rubs))
    return Wear(tuple(splices), tuple(rubs))


def reached_on(counts: Counts, limit: float) -> date | None:
    """Since when a count has been as high as a limit without a break; None where it is lower."""
    begun: date | None = None
    for on, count in counts:
        begun = (begun or on) if count >= limit else None
    return begun


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Splices, rubs, and age with splices, each cable section by itself."""
    for component, cable in hole.parts(Cable):
        seen = wear(hole, component)
        yield from _count(component, numbers, "splices", seen.splice_counts)
        yield from _count(component, numbers, "rubs", seen.rub_counts)
        yield from _old_and_spliced(component, cable, numbers, seen)


def _count(component: Component, numbers: Numbers, what: str, counts: Counts) -> Iterator[Finding]:
    plan, act = numbers[f"{what}_plan"], numbers[f"{what}_act"]
    count = counts[-1][1] if counts else 0
    limit = act if count >= act else plan
    on = reached_on(counts, limit)
    if on is None:
        return
    yield Finding(
        rule=NAME,
        subject=f"cable {what}",
        occurrence=occurrence(NAME, what, component.uid),
        may_from=on,
        surely_from=on,
        severity=Severity.ACT if count >= act else Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=f"cable has {count} {what if count != 1 else what[:-1]}, limit {limit:g}",
        action=REPLACE,
        source=COMMON_PRACTICE,
        counts_from=component.uid,
        numbers={what: count, f"{what}_plan": plan, f"{what}_act": act},
    )


def _old_and_spliced(
    component: Component, cable: Cable, numbers: Numbers, seen: Wear
) -> Iterator[Finding]:
    spliced_on = reached_on(seen.splice_counts, 1)
    if spliced_on is None:
        return
    born = cable_age.born(component, cable)
    if not born.known:
        return
    years = numbers["old_years"]
    may, surely = both(from_age(born, years, years), (spliced_on, spliced_on))
    has = f"{seen.splices} splice{'s' if seen.splices != 1 else ''}"
    found = Finding(
        rule=NAME,
        subject="cable, old and spliced",
        occurrence=occurrence(NAME, "old-and-spliced", component.uid),
        may_from=may,
        surely_from=surely,
        until=surely,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=(
            f"cable new {born}, so it may be past {years:g} years, and has {has}:"
            " then not worth sending back down"
        ),
        action=REPLACE,
        source=COMMON_PRACTICE,
        counts_from=component.uid,
        numbers={"old_years": years, "splices": seen.splices},
    )
    if may != surely:
        yield found
    if surely is not None:
        yield replace(
            found,
            may_from=surely,
            until=None,
            severity=Severity.ACT,
            reason=(
                f"cable new {born}, so past {years:g} years, and has {has}:"
                " not worth sending back down"
            ),
        )


RULE = Rule(
    name=NAME,
    title="cable with too many splices or rubs",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "splices_plan", 3, "splices from which to plan a new cable", COMMON_PRACTICE, 1, 100
        ),
        Threshold("splices_act", 5, "splices that are far too many", COMMON_PRACTICE, 1, 100),
        Threshold("rubs_plan", 4, "rubs from which to plan a new cable", COMMON_PRACTICE, 1, 500),
        Threshold("rubs_act", 10, "rubs that are far too many", COMMON_PRACTICE, 1, 500),
        Threshold(
            "old_years", 15, "with any splice, too old from this age", COMMON_PRACTICE, 0, 100
        ),
    ),
    finds=judge,
    in_order=(("splices_plan", "splices_act"), ("rubs_plan", "rubs_act")),
)
