"""A doubt about the record: what the findings of `doubtful_record` have in common."""

from __future__ import annotations

from wellbook.rules.finding import COMMON_PRACTICE, Finding, Number, occurrence
from wellbook.rules.spans import Span
from wellbook.terms import Occasion, Severity

NAME = "doubtful-record"


def doubt(
    subject: str,
    uid: str,
    span: Span,
    reason: str,
    action: str,
    *,
    source: str = COMMON_PRACTICE,
    **numbers: Number,
) -> Finding:
    """A question about one subject, from the days on which what is doubted may and does hold."""
    return Finding(
        rule=NAME,
        subject=subject,
        occurrence=occurrence(NAME, subject.replace(" ", "-"), uid),
        may_from=span[0],
        surely_from=span[1],
        severity=Severity.ASK,
        occasion=Occasion.NEXT_VISIT,
        reason=reason,
        action=action,
        source=source,
        counts_from=uid,
        numbers=numbers,
    )
