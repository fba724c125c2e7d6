"""Disinfections and samples that a well owes for what was done to it or found in it.

A well that was opened is disinfected, and then a sample shows whether that was enough. Bacteria in
a sample owe both again, nitrate or arsenic above its figure owes a second look. These are not on
the calendar, so they are what gets forgotten once the truck has left.

The figures bind public systems; for a private well they are what a result is compared with.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import permutations

from wellbook.engineering.analytes import ANALYTES
from wellbook.engineering.water_figures import FIGURES
from wellbook.hole.hole import Hole
from wellbook.hole.records import Sample, Visit
from wellbook.rules import names
from wellbook.rules.customer_words import DEPARTMENT, INFANTS_FIRST, day_words, in_words
from wellbook.rules.finding import Finding, Number, Numbers, Rule, Threshold, later, occurrence
from wellbook.rules.sample_order import after, first_day, last_day, place
from wellbook.rules.spans import Span
from wellbook.terms import Bacteria, Occasion, Reason, Severity

NAME = names.SAMPLES_OWED
OPENED_SOURCE = (
    "Wisconsin Administrative Code NR 812.41 (disinfect whenever a pump installer opens the well)"
    " and NR 812.46 (then take a sample)"
)
BACTERIA_SOURCE = (
    "40 CFR 141.63 (E. coli absent); total coliform present: retest, no limit of its own since 2016"
    " (40 CFR 142.63(b))"
)
WAIT_SOURCE = (
    "Hickory Underground Water Conservation District (Texas): 5 days of normal use (Vermont"
    " Department of Health: 2 to 3 days after the smell is gone; Nebraska Extension: 1 to 2 weeks)"
)
CLEAN_SOURCE = (
    "one: Virginia 12VAC5-630-431, where none was positive in the 12 months before;"
    " two_in_a_row: at least 24 h apart, Maryland COMAR 26.04.04.30"
)
NITRATE_SOURCE = "40 CFR 141.62(b)(7): 10 mg/L as nitrogen"
ARSENIC_SOURCE = "40 CFR 141.62(b)(16): 0.010 mg/L"

DISINFECT = (
    "disinfect as the product's label and the local code say; power off and locked out;"
    " nobody drinks or bathes until it is flushed and tested"
)


def judge(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    """What the last bacteria and the last opening still owe, and what the figures do."""
    positive = _last_positive(hole)
    owed: dict[str, Finding] = {}
    if positive and not _clean_since(hole, positive, numbers, sure=True):
        owed = {f.subject: f for f in _after_bacteria(hole, positive, numbers)}
    for found in _after_opening(hole, numbers):
        graver = owed.get(found.subject)
        owed[found.subject] = found if graver is None else _for_both(graver, found)
    yield from owed.values()
    yield from _retest(hole, "nitrate", numbers["nitrate_mg_l"], NITRATE_SOURCE)
    yield from _retest(hole, "arsenic", numbers["arsenic_mg_l"], ARSENIC_SOURCE)


# -- what came before what -----------------------------------------------------------------------
#
# A sample's day may be uncertain (see `sample_order`): what only may have come after leaves it owed,
# though nobody can say so for sure.


def _day(visit: Visit) -> date:
    return visit.end or visit.start


def _disinfections(hole: Hole) -> list[date]:
    """The days on which the well was disinfected."""
    done = [v for v in hole.visited() if v.disinfected or v.reason is Reason.DISINFECTION]
    return sorted(_day(v) for v in done)


def _last_positive(hole: Hole) -> Sample | None:
    found = [s for s in hole.samples if s.bacteria not in (None, Bacteria.ABSENT)]
    return max(found, key=place, default=None)


def _opening(hole: Hole) -> Visit | None:
    """The last visit that opened the well. The opening record of the book opened nothing.

    While a seasonal place is closed and its pump in store, nobody drinks there and no sample can be
    taken: it is opened again when it is opened up, and owes both from then.
    """
    if hole.closed_without_pump is not None:
        return None
    opened = [v for v in hole.visited() if v.opened and v.reason is not Reason.DECOMMISSIONING]
    return max(opened, key=lambda v: (_day(v), v.start), default=None)


def _waited(sample: Sample, days: list[date], wait: int, sure: bool) -> bool:
    """Whether a sample was taken outside the waiting time that begins on each of some days."""
    spans = [(day, later(day, days=wait)) for day in days]
    if sure:
        return all(last_day(sample) < begin or first_day(sample) >= end for begin, end in spans)
    return not any(begin <= first_day(sample) and last_day(sample) < end for begin, end in spans)


def _enough(negative: list[Sample], numbers: Numbers, sure: bool) -> bool:
    """Whether clean samples, with no other between them, are as many as the shop asks for.

    Days are what the book keeps: two samples of different days count as 24 h apart.
    """
    if numbers.word("clean") == "one":
        return bool(negative)
    return any(after(two, one, sure) for one, two in permutations(negative, 2))


def _clean_since(hole: Hole, positive: Sample, numbers: Numbers, *, sure: bool) -> bool:
    wait, days = round(numbers["wait_days"]), _disinfections(hole)
    negative = [
        s
        for s in hole.samples
        if s.bacteria is Bacteria.ABSENT
        and after(s, positive, sure)
        and _waited(s, days, wait, sure)
    ]
    return _enough(negative, numbers, sure)


def _clean_after_opening(hole: Hole, opening: Visit, numbers: Numbers, *, sure: bool) -> bool:
    wait, begin = round(numbers["wait_days"]), _day(opening)
    days = [begin, *_disinfections(hole)]
    negative = [
        s
        for s in hole.samples
        if s.bacteria is Bacteria.ABSENT
        and (first_day(s) if sure else last_day(s)) >= begin
        and _waited(s, days, wait, sure)
    ]
    return _enough(negative, numbers, sure)


# -- what is owed --------------------------------------------------------------------------------


def _after_bacteria(hole: Hole, positive: Sample, numbers: Numbers) -> Iterator[Finding]:
    maybe_clean = _clean_since(hole, positive, numbers, sure=False)
    # What was disinfected on the day of the sample came before it, or the bacteria outlived it.
    days = _disinfections(hole)
    done = [day for day in days if day > last_day(positive)]
    maybe = [day for day in days if day > first_day(positive)]
    since = (
        f"whether the disinfection of {maybe[-1]} came after it is not known"
        if maybe
        else "no disinfection on record since"
    )
    unknown = "whether it was disinfected since is not" if maybe else "no disinfection since is"
    kind = "E. coli" if positive.bacteria is Bacteria.ECOLI_PRESENT else "coliform bacteria"
    what = f"{kind} present in the sample of {positive.taken_on}"
    told = (
        f"{kind[0].upper()}{kind[1:]} {'was' if kind == 'E. coli' else 'were'} present in the sample"
        f" taken from this well {in_words(positive.taken_on)}"
    )
    # While it is not disinfected, one sentence tells of what both ask for: it is written once.
    to_customer = (
        f"{told}, and the well was disinfected on {day_words(done[-1])}: a new sample is due;"
        f" {DEPARTMENT}."
        if done
        else f"{told}, and {unknown} on record: {DEPARTMENT}; let us disinfect the well, and then"
        " take a new sample."
    )
    taken: Span = (positive.taken_on.earliest, positive.taken_on.latest)
    if not done:
        yield _finding(
            "disinfection",
            positive.uid,
            (taken[0], None if maybe_clean or maybe else taken[1]),
            f"{what}; {since}",
            DISINFECT,
            source=BACTERIA_SOURCE,
            numbers={},
            grave=True,
            to_customer=to_customer,
        )
    wait = round(numbers["wait_days"])
    base: Span = (done[-1], done[-1]) if done else taken
    may, surely = (later(day, days=wait) for day in base)
    yield _finding(
        "bacteria sample",
        positive.uid,
        (may, None if maybe_clean else surely),
        f"{what}; clean is {_wanted(numbers)}, {wait} days or more after disinfection",
        "after disinfection, take a sample for bacteria",
        source=BACTERIA_SOURCE,
        numbers={"wait_days": wait, "clean": numbers.word("clean")},
        grave=True,
        to_customer=to_customer,
    )


def _for_both(bacteria: Finding, opening: Finding) -> Finding:
    """One disinfection and one sample serve both: they are owed from when either owes them."""
    sure = [day for day in (bacteria.surely_from, opening.surely_from) if day is not None]
    may = None
    if bacteria.may_from is not None and opening.may_from is not None:
        may = min(bacteria.may_from, opening.may_from)
    return replace(bacteria, may_from=may, surely_from=min(sure, default=None))


def _after_opening(hole: Hole, numbers: Numbers) -> Iterator[Finding]:
    opening = _opening(hole)
    if opening is None or _clean_after_opening(hole, opening, numbers, sure=True):
        # A clean sample shows what a disinfection is for, whether or not one was written down.
        return
    begin = _day(opening)
    done = [day for day in _disinfections(hole) if day >= begin]
    # While the job is open nobody can say when it will have been owed from.
    unsure = opening.end is None or _clean_after_opening(hole, opening, numbers, sure=False)
    wait = round(numbers["wait_days"])
    due = later(done[-1] if done else begin, days=wait)
    what = f"well opened {begin} ({opening.reason.label})"
    to_customer = (
        f"This well was {_opened_and_disinfected(begin, done[-1])}: a sample for bacteria is due."
        if done
        else f"This well was opened on {day_words(begin)}, and no disinfection is on record since: it"
        " is due, and then a sample for bacteria."
    )
    if not done:
        yield _finding(
            "disinfection",
            opening.uid,
            (begin, None if unsure else begin),
            f"{what}; no disinfection on record since",
            DISINFECT,
            source=OPENED_SOURCE,
            numbers={},
            to_customer=to_customer,
        )
    yield _finding(
        "bacteria sample",
        opening.uid,
        (due, None if unsure else due),
        f"{what}; clean is {_wanted(numbers)}, {wait} days or more after disinfection",
        "take a sample for bacteria",
        source=OPENED_SOURCE,
        numbers={"wait_days": wait, "clean": numbers.word("clean")},
        to_customer=to_customer,
    )


def _opened_and_disinfected(opened: date, disinfected: date) -> str:
    if opened == disinfected:
        return f"opened and disinfected on {day_words(opened)}"
    return f"opened on {day_words(opened)} and disinfected on {day_words(disinfected)}"


def _wanted(numbers: Numbers) -> str:
    if numbers.word("clean") == "one":
        return "one sample without bacteria"
    return "two samples in a row without bacteria, 24 h or more apart"


def _known(hole: Hole, word: str, limit: float) -> Iterator[tuple[Sample, float]]:
    """The samples that say on which side of a limit an analyte is.

    What was not found by a laboratory whose reporting limit lies above it says nothing.
    """
    for sample in hole.samples:
        found = sample.results.get(word)
        if found and found.value is not None and not (found.below and found.value > limit):
            yield sample, found.value


def _retest(hole: Hole, what: str, limit: float, source: str) -> Iterator[Finding]:
    """A figure above its limit is looked at a second time; what the second look says, stands."""
    known = list(_known(hole, f"{what}_mg_l", limit))
    above = [(s, n) for s, n in known if n > limit]
    if not above:
        return
    sample, number = max(above, key=lambda one: place(one[0]))
    others = [(s, n) for s, n in known if s is not sample]
    if any(after(s, sample, sure=True) for s, _ in others):
        return
    unsure = [(s, n) for s, n in others if not after(sample, s, sure=True)]
    before = [(s, n) for s, n in others if after(sample, s, sure=True)]
    last = [(s, n) for s, n in before if not any(after(newer, s, sure=True) for newer, _ in before)]
    previous = [n for _, n in (*last, *unsure)]
    if previous and min(previous) > limit:
        # Whichever came last before it was above as well: this was the second look.
        return
    sure = not unsure and (not previous or max(previous) <= limit)
    taken = sample.taken_on
    acute = what == "nitrate" and number > FIGURES[f"{what}_mg_l"][0].most
    asked = INFANTS_FIRST if acute else DEPARTMENT
    yield _finding(
        f"{what} sample",
        sample.uid,
        (taken.earliest, taken.latest if sure else None),
        f"{what} {number:g} mg/L in the sample of {taken}, compared with {limit:g} mg/L",
        f"take a second sample for {what}",
        source=source,
        numbers={f"{what}_mg_l": number, f"{what}_limit_mg_l": limit},
        to_customer=(
            f"The sample taken from this well {in_words(taken)} had {number:g} mg/L of {what}, compared"
            f" with {_figure(f'{what}_mg_l', limit)}: a second sample is due; {asked}."
        ),
    )


def _figure(word: str, limit: float) -> str:
    """The published figure; a limit that the shop has set is its own, and no section's."""
    published = FIGURES[word][0]
    if limit == published.most:
        return published.for_the_owner
    return f"{ANALYTES[word].shown(limit)}, from which we take a second one"


def _finding(
    subject: str,
    uid: str,
    span: Span,
    reason: str,
    action: str,
    *,
    source: str,
    numbers: dict[str, Number],
    to_customer: str,
    grave: bool = False,
) -> Finding:
    return Finding(
        rule=NAME,
        subject=f"{subject} owed",
        occurrence=occurrence(NAME, subject.replace(" ", "-"), uid),
        may_from=span[0],
        surely_from=span[1],
        severity=Severity.ACT if grave else Severity.PLAN,
        occasion=Occasion.NOW if grave else Occasion.NEXT_VISIT,
        reason=reason,
        action=action,
        source=source,
        counts_from=uid,
        numbers=numbers,
        to_customer=to_customer,
    )


RULE = Rule(
    name=NAME,
    title="disinfection or sample owed",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "wait_days",
            5,
            "days after disinfection before a sample says anything",
            WAIT_SOURCE,
            0,
            90,
            whole=True,
        ),
        Threshold(
            "clean",
            "one",
            "how many samples without bacteria make a well clean",
            CLEAN_SOURCE,
            choices=("one", "two_in_a_row"),
        ),
        Threshold(
            "nitrate_mg_l", 10, "nitrate above this owes a second sample", NITRATE_SOURCE, 0, 100
        ),
        Threshold(
            "arsenic_mg_l", 0.010, "arsenic above this owes a second sample", ARSENIC_SOURCE, 0, 1
        ),
    ),
    finds=judge,
)
