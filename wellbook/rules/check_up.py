"""A well whose yearly check-up is due.

Most of what stops a well shows beforehand: a tank that lost its air, a switch with burnt contacts,
a pump that takes too many amps, a level on its way down. A check-up finds it while there is water.
"""

from __future__ import annotations

from collections.abc import Iterator

from wellbook.hole.hole import Hole
from wellbook.rules import names
from wellbook.rules.finding import Finding, Numbers, Rule, Threshold, later, occurrence
from wellbook.terms import Occasion, Reason, Severity

NAME = names.CHECK_UP
SOURCE = (
    "National Ground Water Association: every 12 months (authorities differ: Virginia Cooperative"
    " Extension every 3 years, Vermont Department of Health about every 10)"
)


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """From the last check-up; where there never was one, a question from the start."""
    months = numbers["months"]
    # A repair is no check-up: the crew looked at what was broken.
    days = [(v.end or v.start, v.uid) for v in hole.visited() if v.reason is Reason.CHECK_UP]
    last, uid = max(days, default=(None, hole.uid))
    due = hole.entered_on if last is None else later(last, months=round(months))
    yield Finding(
        rule=NAME,
        subject="check-up",
        occurrence=occurrence(NAME, "never" if last is None else "again", uid),
        may_from=due,
        surely_from=due,
        severity=Severity.ASK if last is None else Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=(
            f"no check-up on record; one is due every {months:g} months"
            if last is None
            else f"last check-up {last}; one is due every {months:g} months"
        ),
        action=(
            "ask when anybody last checked the well, and offer a check-up"
            if last is None
            else "offer a check-up"
        ),
        source=SOURCE,
        counts_from=uid,
        numbers={"months": months},
    )


RULE = Rule(
    name=NAME,
    title="check-up due",
    why=__doc__ or "",
    thresholds=(
        Threshold("months", 12, "months from one check-up to the next", SOURCE, 1, 240, whole=True),
    ),
    finds=judge,
)
