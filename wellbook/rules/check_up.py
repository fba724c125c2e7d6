"""A well whose yearly check-up is due.

Most of what stops a well shows beforehand: a tank that lost its air, a switch with burnt contacts,
a pump that takes too many amps, a level on its way down. A check-up finds it while there is water.

It counts from the day of the last one. A customer with a yearly contract has it in his month, as
near to a year after the last one as that month comes. What falls into the shop's quiet season is
moved to the first day after it; a contract's month stays, since it was promised.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from wellbook.hole.hole import Hole
from wellbook.recurrence import first_in_month, in_contract_month, months_after, out_of_season
from wellbook.rules import names
from wellbook.rules.customer_words import day_words, month_name
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Number,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.terms import Occasion, Reason, Severity

NAME = names.CHECK_UP
ASSOCIATION, MONTHS_OF_ASSOCIATION = "National Ground Water Association", 12
SOURCE = (
    f"{ASSOCIATION}: every {MONTHS_OF_ASSOCIATION} months (authorities differ: Virginia Cooperative"
    " Extension every 3 years, Vermont Department of Health about every 10)"
)


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """From the last check-up; where there never was one, from the start."""
    # A repair is no check-up: the crew looked at what was broken.
    days = [(v.end or v.start, v.uid) for v in hole.visited() if v.reason is Reason.CHECK_UP]
    if days:
        yield _again(hole, *max(days), numbers)
    else:
        yield _first(hole, numbers)


def _again(hole: Hole, last: date, uid: str, numbers: Numbers) -> Finding:
    months, month = round(numbers["months"]), hole.contract_month
    quiet = round(numbers["quiet_from_month"]), round(numbers["quiet_to_month"])
    said: dict[str, Number] = {"months": months}
    due = months_after(last, months)
    if month is not None:
        due = in_contract_month(last, months, month)
        every = f"contract: one each {month_name(month)}"
        if months > 12:
            every += f", {months} months apart"
        said["contract_month"] = month
    elif (moved := out_of_season(due, *quiet)) != due:
        every = f"one is due every {months} months; moved from {due}, in the quiet season"
        due = moved
        said |= {"quiet_from_month": quiet[0], "quiet_to_month": quiet[1]}
    else:
        every = f"one is due every {months} months"
    return Finding(
        rule=NAME,
        subject="check-up",
        occurrence=occurrence(NAME, "again", uid),
        may_from=due,
        surely_from=due,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=f"last check-up {last}; {every}",
        action="offer a check-up" if month is None else "make the contract's check-up",
        source=SOURCE,
        counts_from=uid,
        numbers=said,
        to_customer=_told(last, months, month),
    )


def _told(last: date, months: int, month: int | None) -> str:
    was = f"The last check-up of this well was on {day_words(last)}"
    if month is not None:
        return f"{was}, and your contract has the next one in {month_name(month)}."
    if months == MONTHS_OF_ASSOCIATION:
        return f"{was}; the {ASSOCIATION} advises one every {months} months."
    return f"{was}; we advise one every {months} months."


def _first(hole: Hole, numbers: Numbers) -> Finding:
    """A question, as long as nobody promised one; with a contract, the first of its check-ups."""
    months, month = numbers["months"], hole.contract_month
    due = hole.entered_on if month is None else first_in_month(hole.entered_on, month)
    every = f"one is due every {months:g} months"
    said: dict[str, Number] = {"months": months}
    if month is not None:
        every = f"contract: one each {month_name(month)}"
        said["contract_month"] = month
    return Finding(
        rule=NAME,
        subject="check-up",
        occurrence=occurrence(NAME, "never", hole.uid),
        may_from=due,
        surely_from=due,
        severity=Severity.ASK if month is None else Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=f"no check-up on record; {every}",
        action=(
            "ask when anybody last checked the well, and offer a check-up"
            if month is None
            else "make the contract's check-up"
        ),
        source=SOURCE,
        counts_from=hole.uid,
        numbers=said,
        to_customer=(
            ""
            if month is None
            else "We have no check-up of this well on record, and your contract has one each"
            f" {month_name(month)}."
        ),
    )


RULE = Rule(
    name=NAME,
    title="check-up due",
    why=__doc__ or "",
    thresholds=(
        Threshold("months", 12, "months from one check-up to the next", SOURCE, 1, 240, whole=True),
        Threshold(
            "quiet_from_month",
            0,
            "first month of the shop's quiet season, 1 to 12; 0: there is none",
            COMMON_PRACTICE,
            0,
            12,
            whole=True,
        ),
        Threshold(
            "quiet_to_month",
            0,
            "last month of the quiet season, which may go over New Year; 0: there is none",
            COMMON_PRACTICE,
            0,
            12,
            whole=True,
        ),
    ),
    finds=judge,
)
