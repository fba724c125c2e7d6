"""A well that gives less for each foot of drawdown than it did.

Slots and cracks close up with scale, slime and silt. A well that is cleaned while it has lost a
tenth comes back; one that is left until it has lost half often does not, and its pump has run dry
by then. Only tests of like rate and like length are compared: a longer or harder test draws any
well down further.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from wellbook.engineering.yield_tests import YieldTest, alike, compare, decline_percent
from wellbook.hole.hole import Hole
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import figure, over
from wellbook.rules.finding import Finding, Numbers, OfPlan, Rule, Threshold, occurrence
from wellbook.rules.levels import DrawnDown, drawn_down, last_work, worked_since
from wellbook.rules.spans import both
from wellbook.terms import Basis, Occasion, Quantity, Severity, Verdict

NAME = "falling-capacity"
WATCH_SOURCE = "Houben and Treskatis 2003: 10 per cent, as quoted by a well-cleaning firm"
PLAN_SOURCE = "a hydrogeology consultancy: 15 per cent"
SOURCE = f"{WATCH_SOURCE}; {PLAN_SOURCE}"
ASPECT, GAIN = "specific capacity", "gained by the work on the hole"
MISSING = "two tests of like rate and length"

_Tested = tuple[DrawnDown, YieldTest]


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The last test against the oldest like it, both since the hole was last worked on.

    The tests from before that work are held against it: they say what it gained.
    """
    tests = _tests(hole)
    yield from _gained(hole, tests)
    pair = _pair(tests)
    if pair is None:
        missing = "how long the tests ran" if _lacks_a_length(tests) else MISSING
        yield cannot_say(NAME, ASPECT, "well", missing, source=SOURCE)
        return
    (before, was), (last, now) = pair
    fell = decline_percent(_gpm_per_ft(was), _gpm_per_ft(now))
    lost = over(fell, 0)
    says = (
        f"{_said(last, now)}, {abs(lost):.0f} per cent {'less' if lost > 0 else 'more'} than"
        f" {_said(before, was)}"
    )
    fails = over(fell, numbers["watch_percent"]) >= 0
    yield Check(
        rule=NAME,
        aspect=ASPECT,
        subject="well",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=round(fell, 1) + 0.0,
        limit=numbers["watch_percent"],
        unit="per cent less",
        finding=_finding(hole, pair, says, numbers) if fails else None,
    )


def _tests(hole: Hole) -> list[_Tested]:
    """The tests since the last work on the hole, oldest first."""
    drawn = drawn_down(hole, hole.valid_observations(Quantity.WATER_LEVEL_FT))
    return [(d, test) for d in drawn if (test := d.test) is not None]


def _pair(tests: list[_Tested]) -> tuple[_Tested, _Tested] | None:
    """The oldest test that is like one of the last day, and that one; of steps the last that has."""
    for n in range(len(tests) - 1, -1, -1):
        if tests[n][0].pumping.when != tests[-1][0].pumping.when:
            break
        for one in tests[:n]:
            if one[0].pumping.when != tests[n][0].pumping.when and alike(one[1], tests[n][1]):
                return one, tests[n]
    return None


def _lacks_a_length(tests: list[_Tested]) -> bool:
    return any(alike(one, tests[-1][1]) is None for _, one in tests[:-1])


def _gpm_per_ft(test: YieldTest) -> float:
    return test.specific_capacity_gpm_per_ft or 0.0


def _said(drawn: DrawnDown, test: YieldTest) -> str:
    basis = "" if drawn.pumping.basis is Basis.MEASURED else f", {drawn.pumping.basis.label}"
    return (
        f"{_rounded(_gpm_per_ft(test)):g} gpm per foot ({test.gpm:g} gpm drew it down"
        f" {figure(drawn.drawdown_ft)} ft in {test.minutes:g} minutes, {drawn.pumping.when}{basis})"
    )


def _rounded(gpm_per_ft: float) -> float:
    return float(f"{gpm_per_ft:.3g}")


def _gained(hole: Hole, tests: list[_Tested]) -> Iterator[Check]:
    work, water = last_work(hole), Quantity.WATER_LEVEL_FT
    if work is None or not tests:
        return
    valid = {o.uid for o in hole.valid_observations(water)}
    old = sorted(
        (o for o in hole.observations if o.quantity is water and o.uid not in valid),
        key=lambda o: (o.when.latest or date.min, o.uid),
    )
    before = [test for d in drawn_down(hole, old) if (test := d.test) is not None]
    if not before:
        return
    was, now = before[-1], tests[0][1]
    change = compare(was, now)
    gained = change.specific_capacity_percent or 0.0
    # A well that was opened up is pumped harder: then the gain is in the rate.
    best = gained if change.alike else max(gained, change.rate_percent)
    yield Check(
        rule=NAME,
        aspect=GAIN,
        subject=f"{work.reason.label} of {work.start}",
        verdict=Verdict.PASS if best >= 0 else Verdict.FAIL,
        says=(
            f"before {_short(was)}, after {_short(now)}: {gained:+.0f} per cent a foot"
            f"{'' if change.alike else ' (the tests are not alike in rate and length)'}"
        ),
        source="before and after, as measured",
        value=round(gained, 1) + 0.0,
        unit="per cent more",
    )


def _short(test: YieldTest) -> str:
    return f"{test.gpm:g} gpm at {figure(test.drawdown_ft or 0.0)} ft of drawdown"


def _finding(hole: Hole, pair: tuple[_Tested, _Tested], says: str, numbers: Numbers) -> Finding:
    (before, was), (last, now) = pair
    fell = decline_percent(_gpm_per_ft(was), _gpm_per_ft(now))
    grave = over(fell, numbers["plan_percent"]) >= 0
    may, surely = both(before.since(hole), last.since(hole), worked_since(hole))
    return Finding(
        rule=NAME,
        subject="specific capacity",
        occurrence=occurrence(NAME, "well", before.pumping.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN if grave else Severity.WATCH,
        occasion=Occasion.NEXT_PULL if grave else Occasion.NEXT_VISIT,
        reason=says,
        action=(
            "when the string is up, look at pump, screen and walls for scale and slime, and talk with"
            " the owner about cleaning; test again at the same rate and length"
            if grave
            else "test again at the same rate and length before anything is done about it"
        ),
        source=SOURCE,
        counts_from=before.pumping.uid,
        numbers={
            "before_gpm_per_ft": _rounded(_gpm_per_ft(was)),
            "now_gpm_per_ft": _rounded(_gpm_per_ft(now)),
            "before_gpm": was.gpm,
            "now_gpm": now.gpm,
            "before_drawdown_ft": before.drawdown_ft,
            "now_drawdown_ft": last.drawdown_ft,
            "decline_percent": round(fell, 1),
            "watch_percent": numbers["watch_percent"],
            "plan_percent": numbers["plan_percent"],
        },
    )


RULE = Rule(
    name=NAME,
    title="specific capacity that falls",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "watch_percent",
            10,
            "from this decline of the specific capacity it is watched",
            WATCH_SOURCE,
            1,
            100,
        ),
        Threshold(
            "plan_percent",
            15,
            "from this decline a cleaning is planned",
            PLAN_SOURCE,
            1,
            100,
        ),
    ),
    checks=checks,
    of_a_plan=OfPlan.KNOWN_ONLY,
    in_order=(("watch_percent", "plan_percent"),),
)
