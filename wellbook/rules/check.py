"""One number of a string held against its limit: it passes, it fails, or it cannot be said.

A rule that compares numbers gives its checks; the findings of the ledger are those that came of them.
So what `check` and `plan` show of a string, and what the list of due work says of it, is one
computation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wellbook.rules.finding import Finding
from wellbook.terms import Severity, Verdict


@dataclass(frozen=True, slots=True)
class Check:
    """One comparison.

    Parameters
    ----------
    rule
        The name of the rule that made it.
    aspect
        What is compared, in the same words for every string: "column alone". Two strings are set
        beside each other by it.
    subject
        Of which part: "pipe to 380 ft".
    verdict
        Whether it passes, fails, or cannot be said.
    says
        One sentence with the numbers; where it cannot be said, why.
    source
        What the limit and the arithmetic rest on: the work, then after a colon what it says.
    value, limit
        The number and what it is held against, both in `unit`; None where not known.
    at_least
        Whether the limit is the least that is wanted, not the most that is allowed.
    taken
        What nobody wrote down and was taken as it mostly is, in words: "a cut-out of 50 psi".
    missing
        What would have to be known, in the words of the trade: "cable gauge".
    finding
        What the ledger keeps of it; None where nothing is to be done. Two checks may share one.
    """

    rule: str
    aspect: str
    subject: str
    verdict: Verdict
    says: str
    source: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    at_least: bool = False
    taken: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    finding: Finding | None = None

    @property
    def cited(self) -> str:
        """The source by its name alone, for the end of a line.

        >>> from wellbook.rules.finding import COMMON_PRACTICE
        >>> cannot_say("r", "a", "pipe", "rating", source=f"{COMMON_PRACTICE}: to 360 ft").cited
        'common practice'
        """
        return self.source.partition(": ")[0].partition(", no published")[0]

    @property
    def lacks_alone(self) -> bool:
        """Whether all that can be said is what is missing."""
        return self.verdict is Verdict.CANNOT_SAY and self.says == _lacks(self.missing)

    @property
    def decides(self) -> bool:
        """Whether it is a failure that is to be mended, and not only watched."""
        grave = self.finding is not None and self.finding.severity in (Severity.ACT, Severity.PLAN)
        return self.verdict is Verdict.FAIL and grave

    @property
    def watched(self) -> bool:
        """Whether it is past a limit that is only watched."""
        return self.verdict is Verdict.FAIL and not self.decides

    @property
    def margin(self) -> float | None:
        """How far the value is on the right side of its limit; below zero on the wrong one."""
        if self.value is None or self.limit is None:
            return None
        return self.value - self.limit if self.at_least else self.limit - self.value


def _lacks(missing: Sequence[str]) -> str:
    return f"cannot say: missing {', '.join(missing)}"


def cannot_say(
    rule: str,
    aspect: str,
    subject: str,
    *missing: str,
    source: str,
    finding: Finding | None = None,
    value: float | None = None,
    limit: float | None = None,
    unit: str = "",
) -> Check:
    """A check that lacks a fact, with what it lacks.

    >>> cannot_say("pipe-rating", "column alone", "pipe", "rating", source="").says
    'cannot say: missing rating'
    """
    return Check(
        rule=rule,
        aspect=aspect,
        subject=subject,
        verdict=Verdict.CANNOT_SAY,
        says=_lacks(missing),
        source=source,
        missing=missing,
        finding=finding,
        value=value,
        limit=limit,
        unit=unit,
    )
