"""What the newest test of a water found above a published figure.

A result that nobody holds against anything is paper in a drawer. The owner of a private well is told
by nobody else what the figure is, in what section it stands, and whom to ask. The figures bind
public systems; for a private well a result is compared with them, and what that means for those who
drink there is for the health department to say, and for licensed people to treat.

Bacteria, and the second samples that nitrate and arsenic owe, are samples-owed's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wellbook.engineering.analytes import ANALYTES, BOTH, LEAD, METHANE, NITRATE, NITRITE, Result
from wellbook.engineering.water_figures import (
    FIGURES,
    Against,
    Figure,
    Sort,
    compare,
    nitrogen,
)
from wellbook.hole.hole import Hole
from wellbook.hole.records import Sample
from wellbook.rules import names
from wellbook.rules.customer_words import DEPARTMENT, INFANTS_FIRST, in_words
from wellbook.rules.finding import Finding, Numbers, Rule, Threshold, occurrence
from wellbook.rules.sample_order import after, place
from wellbook.terms import Occasion, Severity

NAME = names.WATER_FIGURES
RETEST = "have a certified laboratory test it again"
ADVICE = (
    "tell the owner the result and the figure, and that the health department advises; treatment:"
    " licensed people"
)
INFANTS = (
    "tell the owner at once, above all where infants or expectant mothers drink it: the health"
    " department advises; boiling does not take it out; treatment: licensed people"
)
GAS = (
    "tell the owner at once; no flame or spark at the well head (it burns at 5 to 15 % in air),"
    " nobody in a pit; venting and treatment: licensed people, the local code"
)
WATCHED = "tell the owner what it does to taste, laundry or pipes; test it again at the next sample"
_ACUTE = (NITRATE, NITRITE, BOTH)
# Their second sample is owed by samples-owed, which a shop may have owed from less on.
_LOOKED_AT_AGAIN = (NITRATE, "arsenic_mg_l")


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Of each analyte the gravest figure that its newest result is above."""
    for word in ANALYTES:
        told = _told(hole, word)
        if not told:
            continue
        levels = list(_levels(word, numbers))
        outside = (_outside(told, level, levels[:n]) for n, level in enumerate(levels))
        worst = next((found for found in outside if found is not None), None)
        if worst is not None:
            yield _finding(worst)


def _figures(word: str, numbers: Numbers) -> tuple[Figure, ...]:
    """The figures of an analyte that the shop goes by."""
    figures = FIGURES[word]
    if word == LEAD:
        return tuple(f for f in figures if f.most == numbers["lead_mg_l"])
    if numbers.word("secondary") == "none":
        return tuple(f for f in figures if f.sort is not Sort.SECONDARY)
    return figures


Level = tuple[Figure, frozenset[Against]]
"""A figure, and how a result stands against it that is to be told of."""


def _levels(word: str, numbers: Numbers) -> Iterator[Level]:
    """What is told of an analyte, the gravest first.

    A pH is outside its range on either side; methane is told of from where its band begins.
    """
    for figure in _figures(word, numbers):
        yield figure, frozenset({Against.ABOVE})
        if figure.least is not None:
            yield figure, frozenset({Against.UNDER})
        if word == METHANE:
            yield figure, frozenset({Against.ABOVE, Against.WITHIN})


def _told(hole: Hole, word: str) -> list[tuple[Sample, Result]]:
    """Each sample with its result of an analyte; of nitrate and nitrite also their sum."""
    return [(s, r) for s in hole.samples if (r := _result(s.results, word)) is not None]


def _result(results: Mapping[str, Result], word: str) -> Result | None:
    """What a sample says of an analyte; what nitrate is above by itself is said of nitrate alone."""
    found = results.get(word)
    if found is not None or word != BOTH or not {NITRATE, NITRITE} <= set(results):
        return found
    parts = [results[NITRATE], results[NITRITE]]
    alone = zip(parts, (NITRATE, NITRITE), strict=True)
    if any(compare(r, FIGURES[w][0]).against is Against.ABOVE for r, w in alone):
        return Result(0.0, below=True)
    return nitrogen(*parts)


@dataclass(frozen=True, slots=True)
class _Outside:
    """A figure that the newest result which says anything is outside of, and since which sample."""

    figure: Figure
    against: Against
    result: Result
    run: tuple[Sample, ...]
    """The samples that were so one after the other, the oldest first."""
    newest: Sample
    sure: bool
    """Whether no sample that says otherwise may be newer."""


def _outside(
    told: list[tuple[Sample, Result]], level: Level, graver: list[Level]
) -> _Outside | None:
    """What stands at a level, by the newest result that says anything of it; None where none does.

    What is at a graver level is not at this one: then it was the graver one that was told of.
    """
    figure, counted = level
    held = [(s, r, compare(r, figure).against) for s, r in told]
    says = [one for one in held if one[2] is not Against.CANNOT_SAY]
    outside = [one for one in says if one[2] in counted and not _at_any(one[1], graver)]
    mine = {s.uid for s, _, _ in outside}
    others = [s for s, _, _ in says if s.uid not in mine]
    if not outside:
        return None
    newest, result, against = max(outside, key=lambda one: place(one[0]))
    if any(after(s, newest, sure=True) for s in others):
        return None
    # Outside in one test after the other is one matter: it counts from the first of them.
    ended = [s for s in others if not after(s, newest, sure=False)]
    run = [s for s, _, _ in outside if not any(after(o, s, sure=True) for o in ended)]
    sure = all(after(newest, s, sure=True) for s in others)
    return _Outside(figure, against, result, tuple(sorted(run, key=place)), newest, sure)


def _at_any(result: Result, levels: list[Level]) -> bool:
    return any(compare(result, figure).against in counted for figure, counted in levels)


def _finding(found: _Outside) -> Finding:
    figure, begun = found.figure, found.run[0]
    analyte = ANALYTES[figure.analyte]
    severity, occasion, action = _what_to_do(found)
    starts = [s.taken_on.earliest for s in found.run]
    known = [day for day in starts if day is not None]
    side = "below" if found.against is Against.UNDER else "above"
    since = "" if begun is found.newest else f"; {side} since {begun.taken_on}"
    edges = {"figure": figure.most, "from": figure.begins or figure.least}
    subject = "-".join((figure.analyte, *figure.sort.split(), *found.against.split()))
    return Finding(
        rule=NAME,
        subject=f"{analyte.label} {side} a figure",
        occurrence=occurrence(NAME, subject, begun.uid),
        may_from=min(known) if len(known) == len(starts) else None,
        surely_from=begun.taken_on.latest if found.sure else None,
        severity=severity,
        occasion=occasion,
        reason=(
            f"{analyte.label} {analyte.said(found.result)} in the sample of"
            f" {found.newest.taken_on}, compared with {figure.named}{since}"
        ),
        action=action,
        source=f"{figure.section} ({figure.year})",
        counts_from=begun.uid,
        numbers={
            figure.analyte: found.result.value,
            **{f"{k}_{figure.analyte}": v for k, v in edges.items() if v is not None},
        },
        to_customer="" if severity is Severity.WATCH else _to_customer(found),
    )


def _to_customer(found: _Outside) -> str:
    """What the owner is told; while samples-owed asks for a second look, it tells of the first."""
    figure = found.figure
    if figure.analyte in _LOOKED_AT_AGAIN and len(found.run) == 1:
        return ""
    analyte = ANALYTES[figure.analyte]
    again = "" if figure.analyte in _LOOKED_AT_AGAIN else f"; {RETEST}"
    asked = INFANTS_FIRST if figure.analyte in _ACUTE else DEPARTMENT
    return (
        f"The sample taken from this well {in_words(found.newest.taken_on)} had"
        f" {analyte.said(found.result)} of {analyte.label}, compared with {figure.for_the_owner}:"
        f" {asked}{again}."
    )


def _what_to_do(found: _Outside) -> tuple[Severity, Occasion, str]:
    figure, now = found.figure, (Severity.ACT, Occasion.NOW)
    plan = (Severity.PLAN, Occasion.NEXT_VISIT)
    if figure.analyte == METHANE:
        return *(now if found.against is Against.ABOVE else plan), GAS
    if figure.sort is Sort.SECONDARY:
        return Severity.WATCH, Occasion.NEXT_VISIT, WATCHED
    acute = figure.analyte in _ACUTE
    advice = INFANTS if acute else ADVICE
    again = "" if figure.analyte in _LOOKED_AT_AGAIN else f"{RETEST}; "
    return *(now if acute else plan), again + advice


RULE = Rule(
    name=NAME,
    title="a water result above a published figure",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "lead_mg_l",
            "0.010",
            "the action level that lead is compared with",
            "40 CFR 141.2: 0.010 mg/L by its text of 2024, which public systems come to comply with"
            " about November 2027 (from memory); 0.015 mg/L before",
            choices=("0.010", "0.015"),
        ),
        Threshold(
            "secondary",
            "watch",
            "whether results above a secondary standard (taste, stains, pipes) are told of",
            "40 CFR 143.3: not enforced by federal law, guidelines for the States",
            choices=("watch", "none"),
        ),
    ),
    finds=judge,
)
