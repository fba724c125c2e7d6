"""Findings in words: what asks for the same thing to be done stands together, under the worst."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

from rich.text import Text

from wellbook.present.text import clean, wrap
from wellbook.rules.finding import Finding
from wellbook.terms import Occasion, Severity

COLOURS = {
    Severity.ACT: "bold red",
    Severity.PLAN: "yellow",
    Severity.WATCH: "cyan",
    Severity.ASK: "dim",
}
_HEAD, _UNDER = 18, 6


@dataclass(frozen=True, slots=True)
class FindingLine:
    """What is to be done on an occasion, and all the reasons for it; the worst comes first."""

    severity: Severity
    occasion: Occasion
    reasons: tuple[str, ...]
    action: str

    @property
    def text(self) -> str:
        """All of it in one line."""
        said = " · ".join(self.reasons)
        return f"{said} → {self.action}" if said else self.action


def finding_lines(findings: Sequence[Finding], day: date) -> list[FindingLine]:
    """Findings (worst first) as lines: those with one action and one occasion are one line.

    So are all questions of one occasion: what is asked says what is not on record.
    """
    together: dict[tuple[Occasion, str], list[Finding]] = {}
    for finding in findings:
        action = "" if finding.severity is Severity.ASK else _action(finding)
        together.setdefault((finding.occasion, action), []).append(finding)
    return [
        FindingLine(group[0].severity, occasion, _reasons(group, day), action)
        if action
        else FindingLine(Severity.ASK, occasion, (), _asked(group))
        for (occasion, action), group in together.items()
    ]


def _action(finding: Finding) -> str:
    """What to do; of a number that is only watched the page of its limits says it."""
    watched = finding.severity is Severity.WATCH and finding.occasion is Occasion.NEXT_PULL
    if watched and finding.rule in _with_checks():
        return "to be watched; the numbers: wellbook check"
    return finding.action


@cache
def _with_checks() -> frozenset[str]:
    # The rules are loaded only here: a list of what is due has nearly never such a finding.
    from wellbook.rules.catalogue import RULES

    return frozenset(rule.name for rule in RULES if rule.checks is not None)


def _asked(group: Sequence[Finding]) -> str:
    return "; ".join(dict.fromkeys(f.action.removeprefix("ask ") for f in group))


def _reasons(group: Sequence[Finding], day: date) -> tuple[str, ...]:
    return tuple(dict.fromkeys(_reason(finding, day) for finding in group))


def _reason(finding: Finding, day: date) -> str:
    since = since_words(finding, day)
    return f"{finding.reason} ({since})" if since else finding.reason


def since_words(finding: Finding, day: date) -> str:
    """From when a finding holds, in words; empty where it surely holds on that day.

    "possible since 2021-06-01, sure from 2026-06-01" is an answer; one made-up date would not be.
    What surely holds has the date that it counts from in its reason.
    """
    may, surely = finding.may_from, finding.surely_from
    if surely is not None and surely <= day:
        return ""
    if may == surely and may is not None:
        return f"from {may}"
    if may is None:
        begins = "possible for as long as is known"
    else:
        begins = f"possible {'since' if may <= day else 'from'} {may}"
    return begins if surely is None else f"{begins}, sure from {surely}"


def draw_finding(line: FindingLine, width: int | None, indent: int = 0) -> Iterator[Text]:
    """Severity and occasion in columns, then the reasons and what to do, right of the severity.

    Without a width, as into a pipe, it is one line.
    """
    severity = Text(" " * indent).append(f"{line.severity.value:<{_UNDER}}", COLOURS[line.severity])
    said = Text(f"{line.occasion.label:<{_HEAD - _UNDER}}{clean(line.text)}")
    rows = wrap(said, width - indent - _UNDER) if width else [said]
    yield severity + rows[0]
    yield from (Text(" " * (indent + _UNDER)) + row for row in rows[1:])
