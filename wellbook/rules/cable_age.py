"""A cable that is due for replacement by its age.

Old jackets harden and chafe through. Nobody pulls a string for it; but when the string is up, an
old cable is not worth another trip.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable
from wellbook.rules import names
from wellbook.rules.cable_facts import REPLACE, born
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    from_age,
    occurrence,
)
from wellbook.terms import Occasion, Severity

NAME = names.CABLE_AGE


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Each section of cable, possibly old from 15 years, surely from 20."""
    for component, cable in hole.parts(Cable):
        when = born(component, cable)
        if not when.known:
            continue
        may, surely = from_age(when, numbers["may_years"], numbers["surely_years"])
        yield Finding(
            rule=NAME,
            subject="cable",
            occurrence=occurrence(NAME, "cable", component.uid),
            may_from=may,
            surely_from=surely,
            severity=Severity.PLAN,
            occasion=Occasion.NEXT_PULL,
            reason=(
                f"cable new {when}; {numbers['may_years']:g} to"
                f" {numbers['surely_years']:g} years is old for a cable"
            ),
            action=REPLACE,
            source=COMMON_PRACTICE,
            counts_from=component.uid,
            numbers={
                "may_years": numbers["may_years"],
                "surely_years": numbers["surely_years"],
            },
        )


RULE = Rule(
    name=NAME,
    title="cable due for replacement by age",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "may_years", 15, "an age from which a cable may be too old", COMMON_PRACTICE, 1, 100
        ),
        Threshold("surely_years", 20, "an age from which it surely is", COMMON_PRACTICE, 1, 100),
    ),
    finds=judge,
    in_order=(("may_years", "surely_years"),),
)
