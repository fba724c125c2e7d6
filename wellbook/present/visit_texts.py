"""What is due at a stop, briefly: the list is read in a truck, the well's page has every number.

Each text is the finding's own reason up to its first pause; what to do, or to bring, in a few words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from wellbook.days import add_months
from wellbook.present.finding_lines import since_words
from wellbook.present.standing_texts import standing_texts
from wellbook.present.text import and_list, clean
from wellbook.reminders.visit_list import Stop
from wellbook.rules import names
from wellbook.rules.finding import Finding
from wellbook.store.due_list import DueItem
from wellbook.terms import Occasion, Severity

# Common practice, no published source.
_TO_DO = {
    names.CONTROL_BOX: "read both plates",
    names.FALLING_LEVEL: "bring the sounder",
    names.INSULATION: "bring the tester",
    names.MOTOR_LOAD: "bring the volt and amp meter",
    names.PUMP_AGE: "talk about a new one",
    names.SHORT_CYCLING: "bring the air gauge",
    names.YIELD_PROTECTION: "talk about low-water protection",
}

MIND = (
    "power off, locked out and tried dead before a cover comes off or a tester goes on; wiring: a"
    " licensed electrician; nobody in a pit; chlorine by its label, and nobody drinks or bathes until"
    " it is flushed and tested; local code"
)


@dataclass(frozen=True, slots=True)
class StopTexts:
    """What a visit is for; what to look at beside it, what waits for the next pull, what to ask.

    `said` is where it stands with the customer; `bring` is what goes onto the truck for it.
    """

    due: tuple[str, ...]
    look_at: tuple[str, ...]
    next_pull: tuple[str, ...]
    ask: tuple[str, ...]
    said: tuple[str, ...]
    bring: tuple[str, ...]


def stop_texts(stop: Stop, by: date, today: date) -> StopTexts:
    """The words of a stop.

    Parameters
    ----------
    by
        The last day of the list, on which ages are told.
    today
        The day on which it is read.
    """
    asked = [i for i in stop.extras if i.finding.severity is Severity.ASK]
    others = [i for i in stop.extras if i.finding.severity is not Severity.ASK]
    waiting = [i for i in others if _waits(i.finding)]
    several = len(stop.wells) > 1

    def told(
        items: Sequence[DueItem], words: Callable[[list[Finding]], Iterator[str]]
    ) -> tuple[str, ...]:
        by_well: dict[str, list[Finding]] = {}
        for item in items:
            by_well.setdefault(item.tag, []).append(item.finding)
        return tuple(
            (f"{tag}: " if several else "") + clean(text)
            for tag, mine in sorted(by_well.items())
            for text in dict.fromkeys(words(mine))
        )

    return StopTexts(
        due=told(stop.calling, lambda mine: _due(mine, by, today)),
        look_at=told([i for i in others if i not in waiting], lambda mine: _look_at(mine, by)),
        next_pull=told(waiting, lambda mine: (_said(one, by) for one in mine)),
        ask=told(asked, lambda mine: (one.action.removeprefix("ask ") for one in mine)),
        said=tuple(map(clean, standing_texts(((i.finding, i.life) for i in stop.items), today))),
        bring=tuple(dict.fromkeys(_to_bring(item.finding for item in stop.items))),
    )


def _to_bring(findings: Iterable[Finding]) -> Iterator[str]:
    """Tools for what is measured again, bottles for what is sampled. Common practice."""
    for finding in findings:
        if finding.rule in (names.WATER_TEST, names.SAMPLES_OWED):
            disinfects = finding.subject.startswith("disinfection")
            yield "what disinfects, with its label" if disinfects else "sample bottles"
        tool = _TO_DO.get(finding.rule, "")
        if tool.startswith("bring "):
            yield tool.removeprefix("bring ")


def _due(findings: Sequence[Finding], by: date, today: date) -> Iterator[str]:
    """What falls due on one day stands together, and so does all that one reason asks for."""
    on_a_day: dict[str, list[str]] = {}
    of_a_reason: dict[str, list[str]] = {}
    for finding in findings:
        day = _on_a_day(finding, today)
        if day:
            on_a_day.setdefault(day, []).append(finding.subject)
        else:
            since = since_words(finding, today)
            reason = _said(finding, by) + (f" ({since})" if since else "")
            of_a_reason.setdefault(reason, []).append(_brief(finding.action))
    yield from (f"{reason} → {'; '.join(asked)}" for reason, asked in of_a_reason.items())
    yield from (f"{and_list(what)} {day}" for day, what in on_a_day.items())


def _on_a_day(finding: Finding, today: date) -> str:
    """Of what comes round every so many months: when it is due, which says all there is to say."""
    if finding.rule not in (names.CHECK_UP, names.WATER_TEST):
        return ""
    if finding.severity is Severity.ASK:
        return "never, as far as is on record"
    day = finding.surely_from
    if day is None or day != finding.may_from:
        return ""
    return f"due since {day}" if day <= today else f"due {day}"


def _waits(finding: Finding) -> bool:
    """Whether nothing of it can be seen before the string is up; a cable shows at the well head."""
    seen = finding.rule in (names.CABLE_AGE, names.CABLE_WEAR)
    return finding.occasion is Occasion.NEXT_PULL and not seen


def _look_at(findings: Sequence[Finding], by: date) -> Iterator[str]:
    """What asks for the same hand, or the same tool, stands together."""
    together: dict[str, list[str]] = {}
    for finding in findings:
        together.setdefault(_TO_DO.get(finding.rule, "look at it"), []).append(_said(finding, by))
    for what, said in together.items():
        yield f"{'; '.join(dict.fromkeys(said))}: {what}"


def _said(finding: Finding, by: date) -> str:
    return next((words for words in _own_words(finding, by) if words), _brief(finding.reason))


def _own_words(finding: Finding, by: date) -> Iterator[str]:
    """Where the numbers say it better than the reason does."""
    numbers = finding.numbers
    if finding.rule == names.CABLE_AGE:
        yield _age(finding, by)
    before, now = numbers.get("before_megohm"), numbers.get("megohm")
    if isinstance(before, float | int) and isinstance(now, float | int) and now < before:
        yield f"insulation fell from {before:g} to {now:g} megohm"
    elif isinstance(now, float | int):
        yield f"insulation {finding.reason.partition(': ')[0]}"


def _age(finding: Finding, by: date) -> str:
    """Between which ages a thing is on the last day of the list, from the days on which it is old."""
    may, surely = finding.numbers.get("may_years"), finding.numbers.get("surely_years")
    young = _years(finding.surely_from, surely, by)
    old = _years(finding.may_from, may, by)
    if young is None or old is None:
        return ""
    years = f"{young}" if young == old else f"{young} to {old}"
    return f"{finding.subject} is {years} years old"


def _years(day: date | None, years: object, by: date) -> int | None:
    """Full years on a day of what is so many years old on another one."""
    if day is None or not isinstance(years, float | int):
        return None
    try:
        born = add_months(day, -round(12 * years))
    except ValueError:
        return None
    return by.year - born.year - ((by.month, by.day) < (born.month, born.day))


# A pause between brackets is none.
_UP_TO_A_PAUSE = re.compile(r"(?:\([^)]*\)|(?!; | · ).)*")


def _brief(text: str) -> str:
    """The text up to its first pause.

    >>> _brief("last check-up 2025-09-09; one is due every 12 months")
    'last check-up 2025-09-09'
    >>> _brief("falls 3.5 ft a year (2.99 to 4.86; levels of 7 years); be quick")
    'falls 3.5 ft a year (2.99 to 4.86; levels of 7 years)'
    """
    found = _UP_TO_A_PAUSE.match(text)
    return found.group() if found else text
