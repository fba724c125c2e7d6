"""A well left without a pump, or a job that was never closed.

Somebody is without water, or a well stands open. It is easily lost when the crew that knew of it
went on to the next job, and nothing else in the book is as urgent.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.records import Visit
from wellbook.rules.customer_words import day_words, in_words
from wellbook.rules.finding import COMMON_PRACTICE, Finding, Numbers, Rule, occurrence, since
from wellbook.rules.spans import Span
from wellbook.terms import Kind, Occasion, Reason, Severity, WellStatus

NAME = "unfinished"

TELL = "please tell us whether somebody has set one, or when we may."

_MEANT = frozenset({Reason.CLOSING_DOWN, Reason.DECOMMISSIONING})
"""A seasonal place is left without its pump for the winter, and a sealed well for good."""


def judge(hole: Hole, _numbers: Numbers) -> Iterator[Finding]:
    """No numbers: a well has a pump or not, a job is closed or not."""
    yield from _without_pump(hole)
    yield from _jobs_open(hole)


def _without_pump(hole: Hole) -> Iterator[Finding]:
    # A standby well serves nobody: there is time.
    if hole.status is WellStatus.STANDBY:
        return
    left = _left_without(hole)
    if left is not None:
        day = left.end or left.start
        yield _finding(
            "pump",
            left.uid,
            (day, day),
            f"left without a pump at the {left.reason.label} visit of {day}",
            "set a pump, or find out who did and write it down",
            told=f"Our record has this well without a pump since {day_words(day)}: {TELL}",
        )
        return
    pulled = _pulled_last(hole)
    if pulled is None or pulled.pulled_on is None:
        return
    opened = _opened_up_since(hole, pulled)
    if opened is None and _is_meant(hole, pulled):
        return
    why = f" ({pulled.why_pulled})" if pulled.why_pulled else ""
    up = "" if opened is None else f"; opened up {opened}"
    yield _finding(
        "pump",
        pulled.uid,
        since(pulled.pulled_on, hole.entered_on) if opened is None else (opened, opened),
        f"pump pulled {pulled.pulled_on}{why}; none on record since{up}",
        "set a pump, or find out who did and write it down",
        told=f"By our record the pump of this well was pulled {in_words(pulled.pulled_on)}, and none"
        f" was set since: {TELL}",
    )


def _left_without(hole: Hole) -> Visit | None:
    """The last visit that says so and did not mean it to stay so, unless a pump went in after it.

    That something else was done down the well since, a sample was taken, or the place was closed for
    the season, brings no pump back.
    """
    said = [v for v in hole.visited() if v.left_without_pump and v.reason not in _MEANT]
    if not said:
        return None
    left = said[-1]
    later = {v.uid for v in hole.visits[hole.visits.index(left) + 1 :]}
    return None if later & _pump_went_in(hole) else left


def _pump_went_in(hole: Hole) -> set[str]:
    """The sheets by which a pump went in: it was set, or the one that hangs was put back or seen.

    A customer's word that one hangs there is no sign of who put it in, and of what it is.
    """
    visits = {v.uid for v in hole.visited()}
    pumps = [c for c in hole.components if c.kind is Kind.PUMP]
    # What was found as it was pulled hung there before the job, and not because of it.
    seen = {claim.sheet_uid for c in pumps for claim in c.claims} - {c.pulled_by for c in pumps}
    back = {away.back_by for c in pumps for away in c.absences}
    return {c.set_by for c in pumps} | ((back | seen) & visits)


def _pulled_last(hole: Hole) -> Component | None:
    """The pump that came out last, where none is down now."""
    pumps = [c for c in hole.components if c.kind is Kind.PUMP]
    if not pumps or any(c.pulled_on is None for c in pumps):
        return None
    order = {v.uid: n for n, v in enumerate(hole.visits)}
    # Two may have come out on one day: the sheets tell which was the last.
    return max(pumps, key=lambda c: (*_pulled_at(c), order.get(c.pulled_by or "", -1)))


def _is_meant(hole: Hole, pulled: Component) -> bool:
    """Whether the place does without a pump on purpose: it is closed for the season, or may be."""
    by = [v for v in hole.visited() if v.uid == pulled.pulled_by]
    return hole.status is not WellStatus.IN_USE or any(v.reason in _MEANT for v in by)


def _opened_up_since(hole: Hole, pulled: Component) -> date | None:
    """The day on which a place was opened up though its pump was still out; None where it was not."""
    visits = hole.visited()
    closed = [n for n, v in enumerate(visits) if v.uid == pulled.pulled_by]
    later = visits[closed[0] + 1 :] if closed else []
    days = [v.end or v.start for v in later if v.reason is Reason.OPENING_UP]
    return max(days, default=None)


def _pulled_at(component: Component) -> tuple[date, date]:
    on = component.pulled_on
    assert on is not None
    return on.latest or date.max, on.earliest or date.min


def _jobs_open(hole: Hole) -> Iterator[Finding]:
    visits = hole.visited()
    for n, job in enumerate(visits):
        if job.end is None and not any(_closes(v, job, hole) for v in visits[n + 1 :]):
            yield _finding(
                "job",
                job.uid,
                (job.start, job.start),
                f"{job.reason.label} job begun {job.start} and not closed",
                "finish the job and give the sheet its end",
            )


def _closes(later: Visit, job: Visit, hole: Hole) -> bool:
    """Whether a later visit finished a job whose own sheet was never given an end.

    It did where it was for the same reason and has an end itself, or where a pump went in at it:
    nobody hangs one in a well on which another job is under way. Whoever only took a sample may
    have found the well as it was left.
    """
    return later.end is not None and (
        later.reason is job.reason or later.uid in _pump_went_in(hole)
    )


def _finding(
    subject: str, uid: str, span: Span, reason: str, action: str, *, told: str = ""
) -> Finding:
    return Finding(
        rule=NAME,
        subject=subject,
        occurrence=occurrence(NAME, subject, uid),
        may_from=span[0],
        surely_from=span[1],
        severity=Severity.ACT,
        occasion=Occasion.NOW,
        reason=reason,
        action=action,
        source=COMMON_PRACTICE,
        counts_from=uid,
        to_customer=told,
    )


RULE = Rule(
    name=NAME,
    title="well left without a pump, or job left open",
    why=__doc__ or "",
    thresholds=(),
    finds=judge,
)
