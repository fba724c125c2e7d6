"""A seasonal place that is to be opened in spring, or closed in autumn.

Whoever lives there in summer only rings when the tap stays dry in May or the pipe has burst in
January. A place that stands open owes a closing, one that stands closed an opening: each is due on
the first of its month after the other was done, and a year after the last one where the other is
not on record. So a closing in October ends that year's missed opening.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.recurrence import first_in_month, in_contract_month, next_first
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
from wellbook.rules.motor_facts import LOCKED_OUT
from wellbook.terms import Occasion, Reason, Severity, WellStatus

NAME = names.SEASON


@dataclass(frozen=True, slots=True)
class _Half:
    """An opening or a closing: what it is called, what is done, and what the customer is told."""

    name: str
    done: str
    reason: Reason
    other: Reason
    action: str
    offer: str


OPENING = _Half(
    "opening",
    "opened",
    Reason.OPENING_UP,
    Reason.CLOSING_DOWN,
    "open the place up: disinfect, flush, take a sample before anybody drinks, as the local code"
    f" says; {LOCKED_OUT}",
    "we would open it up and take a sample before the water is used",
)
CLOSING = _Half(
    "closing",
    "closed",
    Reason.CLOSING_DOWN,
    Reason.OPENING_UP,
    "close the place down: drain what stands above the frost, tank and treatment too; no pressure on"
    f" the tank before it is opened; {LOCKED_OUT}",
    "we would drain it before the frost",
)


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Each by itself, of wells of the status seasonal only."""
    if hole.status is not WellStatus.SEASONAL:
        return
    for half in (OPENING, CLOSING):
        month = round(numbers[f"{half.name}_month"])
        if month:
            yield _due(hole, half, month)


def _due(hole: Hole, half: _Half, month: int) -> Finding:
    last, other = _last(hole, half.reason), _last(hole, half.other)
    if other is not None and (last is None or _after(hole, other, last)):
        # The other one came last: what this one missed before it is moot.
        uid, due = other.uid, next_first(_day(other), month)
    elif last is not None:
        uid, due = last.uid, in_contract_month(_day(last), 12, month)
    else:
        uid, due = hole.uid, first_in_month(hole.entered_on, month)
    was = f"last {half.done} {_day(last)}" if last else f"no {half.name} on record"
    frost, said = hole.frost_depth_ft, {f"{half.name}_month": float(month)}
    numbers: dict[str, Number] = {**said, "frost_depth_ft": frost}
    depth = (
        "frost depth not on record: ask" if frost is None else f"frost depth {frost:g} ft on record"
    )
    return Finding(
        rule=NAME,
        subject=half.name,
        occurrence=occurrence(NAME, half.name, uid),
        may_from=due,
        surely_from=due,
        # Where neither is on record, perhaps nobody's help is wanted: first somebody has to ask.
        severity=Severity.PLAN if last or other else Severity.ASK,
        occasion=Occasion.NEXT_VISIT,
        reason=f"seasonal place, {was}; {half.name} each {month_name(month)}; {depth}",
        action=half.action if last or other else f"ask who does the {half.name}, and offer it",
        source=COMMON_PRACTICE,
        counts_from=uid,
        numbers=numbers,
        to_customer=_told(half, last, month) if last or other else "",
    )


def _told(half: _Half, last: Visit | None, month: int) -> str:
    when = f"on {day_words(_day(last))}" if last else None
    was = (
        f"This well was last {half.done} for the season {when}"
        if when
        else f"We have no {half.name} of this well for the season on record"
    )
    # "In October we would": it may well be November already.
    return f"{was}; its {half.name} is due in {month_name(month)}, and {half.offer}."


def _last(hole: Hole, reason: Reason) -> Visit | None:
    """The last visit for a reason; of one day the one whose sheet stands later."""
    done = [v for v in hole.visited() if v.reason is reason]
    return max(enumerate(done), key=lambda one: (_day(one[1]), one[0]))[1] if done else None


def _after(hole: Hole, one: Visit, other: Visit) -> bool:
    visits = hole.visited()
    return (_day(one), visits.index(one)) > (_day(other), visits.index(other))


def _day(visit: Visit) -> date:
    return visit.end or visit.start


def _month(half: _Half, default: int) -> Threshold:
    return Threshold(
        f"{half.name}_month",
        default,
        f"month in which seasonal places are {half.done}, 1 to 12; 0: the shop does none",
        COMMON_PRACTICE,
        0,
        12,
        whole=True,
    )


RULE = Rule(
    name=NAME,
    title="seasonal place to be opened or closed",
    why=__doc__ or "",
    thresholds=(_month(OPENING, 4), _month(CLOSING, 10)),
    finds=judge,
)
