"""A static level that falls over the years, and the pump that it will come to.

A level swings with seasons and dry summers, and one low reading frightens nobody. When the readings
of several years fall so steadily that chance cannot explain it, the owner wants to know it while
there is time: a pump can be hung lower, or a hole deepened, when the string is up anyway, and not
on the day on which it draws air.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from wellbook.engineering.trend import Reach, Trend, trend, yearly
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules.check import Check, cannot_say, judged_by
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    Rule,
    Threshold,
    occurrence,
)
from wellbook.rules.levels import (
    AtRest,
    DrawnDown,
    at_rest,
    day_of,
    drawn_down,
    last_work,
    steps,
    worked_since,
    year_of,
)
from wellbook.rules.spans import Span, both, hangs_since
from wellbook.terms import Occasion, PumpType, Quantity, Severity, Verdict

NAME = "falling-level"
SOURCE = (
    "median of the slopes between yearly levels, with the interval of 95 per cent: Theil 1950, Sen"
    " 1968"
)
OVER_THE_YEARS, AT_THE_PUMP = "static level over the years", "years until the water is at the pump"
MISSING = "five static levels in different years"

_NOT_IN_THE_WATER = frozenset({PumpType.SHALLOW_JET, PumpType.HAND})
_LOOK_AHEAD_YEARS = 100
"""What a line of some years says of a later century is no reason to do anything."""


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The trend of the measured static levels; and where they fall, when the pump is reached."""
    readings = at_rest(hole)
    found = _trend(readings)
    if found is None:
        yield cannot_say(NAME, OVER_THE_YEARS, "static level", MISSING, source=SOURCE)
        return
    yield _over_the_years(hole, readings, found)
    if found.falling:
        yield from _at_the_pump(hole, readings, found, numbers["years_ahead"])


def _trend(readings: list[AtRest]) -> Trend | None:
    try:
        return trend(yearly(r.point for r in readings))
    except ValueError:
        # Levels that cannot be: nothing follows from them.
        return None


# -- the trend -----------------------------------------------------------------------------------


def _over_the_years(hole: Hole, readings: list[AtRest], found: Trend) -> Check:
    slope, low, high = _slopes(found)
    way = "falls" if found.falling else "rises" if found.clear else "does not clearly fall:"
    says = (
        f"static level {way} {abs(slope) if found.clear else slope:g} ft a year ({_interval(found)};"
        f" levels of {found.n} years)"
    )
    return Check(
        rule=NAME,
        aspect=OVER_THE_YEARS,
        subject="static level",
        verdict=Verdict.FAIL if found.falling else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=slope,
        unit="ft a year",
        finding=_falls(hole, readings, found, says) if found.falling else None,
    )


def _falls(hole: Hole, readings: list[AtRest], found: Trend, says: str) -> Finding:
    may, surely = both(_clear_since(readings), worked_since(hole))
    work = last_work(hole)
    # It counts from the hole as it is, not from a reading: one that is added makes it no other fall.
    uid = work.uid if work else hole.uid
    slope, low, high = _slopes(found)
    return Finding(
        rule=NAME,
        subject="static level",
        occurrence=occurrence(NAME, "level", uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.WATCH,
        occasion=Occasion.NEXT_VISIT,
        reason=says,
        action=(
            "measure the level at rest at each visit, at the same season; tell the owner what it does"
        ),
        source=SOURCE,
        counts_from=uid,
        numbers={
            "slope_ft_per_year": slope,
            "low_ft_per_year": low,
            "high_ft_per_year": high,
            "n": found.n,
        },
    )


def _clear_since(readings: list[AtRest]) -> Span:
    """From when the levels known so far fell clearly, and went on to with each that was added."""
    begun = len(readings)
    for so_far in reversed(steps(readings)):
        found = _trend(readings[:so_far])
        if found is None or not found.falling:
            break
        begun = so_far
    return _known_since(readings[:begun])


def _known_since(readings: list[AtRest]) -> Span:
    return readings[-1].first, max(r.last for r in readings)


def _slopes(found: Trend) -> tuple[float, float, float]:
    slopes = (found.slope_ft_per_year, found.low_ft_per_year, found.high_ft_per_year)
    slope, low, high = (round(s, 2) + 0.0 for s in slopes)
    return slope, low, high


def _interval(found: Trend) -> str:
    _, low, high = _slopes(found)
    return f"{low:g} to {high:g}"


# -- the pump ------------------------------------------------------------------------------------


def _at_the_pump(
    hole: Hole, readings: list[AtRest], found: Trend, years_ahead: float
) -> Iterator[Check]:
    pump = hole.the(Pump)
    if pump is None or pump[1].type in _NOT_IN_THE_WATER:
        return
    component, set_ft = pump[0], pump[1].set_depth_ft
    if set_ft is None:
        yield cannot_say(NAME, AT_THE_PUMP, "pump", "set depth", source=SOURCE)
        return
    drawn = drawn_down(hole, hole.valid_observations(Quantity.WATER_LEVEL_FT))
    last = drawn[-1] if drawn else None
    reach = found.reaches(set_ft - (last.drawdown_ft if last else 0.0))
    if reach is None:
        return
    newest = year_of(readings[-1].first)
    # Judged as of the newest reading: no clock is read here.
    years = round(max(reach.earliest_year - newest, 0.0), 1)
    says = _reaching(found, reach, last, set_ft, newest)
    finding = None
    if years <= _LOOK_AHEAD_YEARS:
        span = _reached_since(hole, component, readings, reach, years_ahead)
        span = span if last is None else both(span, last.since(hole))
        finding = _reached(component, span, says, found, set_ft, last, years_ahead)
    yield Check(
        rule=NAME,
        aspect=AT_THE_PUMP,
        subject=f"pump at {set_ft:g} ft",
        verdict=Verdict.FAIL if years < years_ahead else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=years,
        limit=years_ahead,
        unit="years",
        at_least=True,
        finding=finding,
    )


def _reached_since(
    hole: Hole, component: Component, readings: list[AtRest], reach: Reach, years_ahead: float
) -> Span:
    """So many years before it is reached, and not before the newest reading that tells of it."""
    newest = year_of(readings[-1].first)
    may = day_of(max(reach.earliest_year - years_ahead, newest))
    surely = day_of(max(reach.latest_year - years_ahead, newest))
    return both(
        (may, surely),
        _known_since(readings),
        _clear_since(readings),
        worked_since(hole),
        hangs_since(hole, component, "set_depth_ft", Quantity.WATER_LEVEL_FT),
    )


def _reaching(
    found: Trend, reach: Reach, last: DrawnDown | None, set_ft: float, newest: float
) -> str:
    with_what = (
        "at rest (no drawdown on record)" if last is None else f"drawn down {last.drawdown_ft:g} ft"
    )
    when = f"is at the pump, {set_ft:g} ft, already"
    if reach.year > newest:
        first = max(reach.earliest_year, newest)
        when = (
            f"comes to the pump at {set_ft:g} ft about {_year(reach.year)} ({_year(first)} to"
            f" {_year(reach.latest_year)})"
        )
    return f"falling {_slopes(found)[0]:g} ft a year, the water {with_what} {when}"


def _year(year: float) -> str:
    return f"{math.floor(year)}" if year < 2200 else "after 2200"  # noqa: PLR2004


def _reached(
    component: Component,
    span: Span,
    says: str,
    found: Trend,
    set_ft: float,
    last: DrawnDown | None,
    years_ahead: float,
) -> Finding:
    may, surely = span
    return Finding(
        rule=NAME,
        subject="pump, reached by the falling level",
        occurrence=occurrence(NAME, "pump", component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=says,
        action=(
            "when the string is up, hang the pump lower if pipe, cable and lift allow; talk with the"
            " owner about storage or a deeper hole"
        ),
        source=SOURCE,
        counts_from=component.uid,
        numbers={
            "slope_ft_per_year": _slopes(found)[0],
            "set_depth_ft": set_ft,
            "years_ahead": years_ahead,
            **({} if last is None else {"drawdown_ft": last.drawdown_ft}),
        },
    )


RULE = Rule(
    name=NAME,
    title="static level that falls over the years",
    why=__doc__ or "",
    thresholds=(
        Threshold(
            "years_ahead",
            5,
            "so many years before the falling water reaches the pump it is planned for",
            COMMON_PRACTICE,
            0,
            50,
        ),
    ),
    judge=judged_by(checks),
    checks=checks,
)
