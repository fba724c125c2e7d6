"""A well whose yearly test for bacteria or nitrate is due.

Neither can be seen or tasted, and nobody but the owner has a private well tested. Most who skip a
year meant to do it and forgot: a line that names this well and the last date is all that it takes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wellbook.engineering.analytes import BOTH, NITRATE
from wellbook.hole.hole import Hole
from wellbook.hole.records import Sample
from wellbook.rules import names
from wellbook.rules.customer_words import in_words
from wellbook.rules.finding import Finding, Numbers, Rule, Threshold, later, occurrence
from wellbook.terms import Occasion, Severity

NAME = names.WATER_TEST
CENTERS, MONTHS_OF_CENTERS = "Centers for Disease Control and Prevention", 12
BACTERIA_SOURCE = f"coliform bacteria every year: {CENTERS}, Minnesota Department of Health"
NITRATE_SOURCE = (
    f"nitrate every year: {CENTERS} (Minnesota Department of Health: every other year, by its notices"
    " from 2024 every year)"
)


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """Each test by itself, from the last sample that has its result."""
    tests = [
        _Test(
            "bacteria",
            [s for s in hole.samples if s.bacteria is not None],
            numbers["bacteria_months"],
            BACTERIA_SOURCE,
        ),
        _Test(
            "nitrate",
            [s for s in hole.samples if {NITRATE, BOTH} & set(s.results)],
            numbers["nitrate_months"],
            NITRATE_SOURCE,
        ),
    ]
    for test in tests:
        # What one sample was the last of, and what comes round together, is told in one sentence,
        # which both say: a letter writes it once.
        together = [t.what for t in tests if (t.last, t.months) == (test.last, test.months)]
        yield _due(hole, test, " and ".join(together))


@dataclass(frozen=True, slots=True)
class _Test:
    """What is tested for, the samples that have its result, and how often one is due."""

    what: str
    samples: list[Sample]
    months: float
    source: str

    @property
    def last(self) -> Sample | None:
        return max(
            self.samples, key=lambda s: (s.taken_on.earliest or date.min, s.uid), default=None
        )


def _due(hole: Hole, test: _Test, together: str) -> Finding:
    what, months, source, last = test.what, test.months, test.source, test.last
    every = f"one is due every {months:g} months"
    if last is None:
        return Finding(
            rule=NAME,
            subject=f"{what} test",
            occurrence=occurrence(NAME, f"{what}-never", hole.uid),
            may_from=hole.entered_on,
            surely_from=hole.entered_on,
            severity=Severity.ASK,
            occasion=Occasion.NEXT_VISIT,
            reason=f"no {what} test on record; {every}",
            action="ask when the water was last tested, and offer to take a sample",
            source=source,
            counts_from=hole.uid,
            numbers={f"{what}_months": months},
        )
    # The last of several uncertain days is as early as the latest of their first days, and as late
    # as the latest of their last ones.
    ends = [s.taken_on.latest for s in test.samples]
    latest = max((end for end in ends if end is not None), default=None)
    return Finding(
        rule=NAME,
        subject=f"{what} test",
        occurrence=occurrence(NAME, f"{what}-again", last.uid),
        may_from=later(last.taken_on.earliest, months=round(months)),
        surely_from=None if None in ends else later(latest, months=round(months)),
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_VISIT,
        reason=f"last {what} test {last.taken_on}; {every}",
        action=f"take a sample for {what}",
        source=source,
        counts_from=last.uid,
        numbers={f"{what}_months": months},
        to_customer=_told(together, last, months),
    )


def _told(what: str, last: Sample, months: float) -> str:
    was = f"The last test of this well's water for {what} was {in_words(last.taken_on)}"
    if months == MONTHS_OF_CENTERS:
        return f"{was}; the {CENTERS} advise one every {months:g} months."
    return f"{was}; we advise one every {months:g} months."


RULE = Rule(
    name=NAME,
    title="bacteria or nitrate test due",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "bacteria_months",
            12,
            "months from one bacteria test to the next",
            BACTERIA_SOURCE,
            1,
            240,
            whole=True,
        ),
        Threshold(
            "nitrate_months",
            12,
            "months from one nitrate test to the next",
            NITRATE_SOURCE,
            1,
            240,
            whole=True,
        ),
    ),
    finds=judge,
)
