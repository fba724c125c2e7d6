"""A cable with too many splices or rubs to go down again.

Each splice is a joint that water tries to enter, each rub a jacket half worn through. What counts
is what was counted at the latest inspection and what was spliced in since; and an old cable that
also has splices is not worth sending back down: to be thought of while it only may be old, to be
done once it surely is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable
from wellbook.rules import names
from wellbook.rules.cable_facts import REPLACE, Counts, Wear, born, reached_on, wear
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

NAME = names.CABLE_WEAR


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
    new = born(component, cable)
    if not new.known:
        return
    years = numbers["old_years"]
    may, surely = both(from_age(new, years, years), (spliced_on, spliced_on))
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
            f"cable new {new}, so it may be past {years:g} years, and has {has}:"
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
                f"cable new {new}, so past {years:g} years, and has {has}:"
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
