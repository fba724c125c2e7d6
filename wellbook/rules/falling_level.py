"""A static level that falls over the years, and the pump that it will come to.

A level swings with seasons and dry summers, and one low reading frightens nobody. When the readings
of several years fall so steadily that chance cannot explain it, the owner wants to know it while
there is time: a pump can be hung lower, or a hole deepened, when the string is up anyway, and not
on the day on which it draws air.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wellbook.engineering.trend import Reach, Trend, trend, yearly
from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pump
from wellbook.rules import names
from wellbook.rules.check import Check, cannot_say
from wellbook.rules.figures import over
from wellbook.rules.finding import (
    COMMON_PRACTICE,
    Finding,
    Numbers,
    OfPlan,
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
from wellbook.rules.pump_facts import pump_kind
from wellbook.rules.spans import Span, both, hangs_since
from wellbook.terms import Occasion, PumpType, Quantity, Severity, Verdict

NAME = names.FALLING_LEVEL
SOURCE = (
    "Theil 1950, Sen 1968: median of the slopes between yearly levels, with the interval of 95 per"
    " cent"
)
OVER_THE_YEARS, AT_THE_PUMP = "static level over the years", "years until it is at the pump"
MISSING = "five static levels in different years"

_NOT_IN_THE_WATER = frozenset({PumpType.SHALLOW_JET, PumpType.HAND})
_LOOK_AHEAD_YEARS = 100
"""What a line of some years says of a later century is no reason to do anything."""

_TOO_FAR = 2200

_LOOKED_BACK = 60
"""A level that fell clearly by each of so many readings was known to fall long enough."""


def checks(hole: Hole, numbers: Numbers) -> Iterator[Check]:
    """The trend of the measured static levels; and where they fall, when the pump is reached."""
    readings = at_rest(hole)
    found = _trend([r.point for r in readings])
    if found is None:
        yield cannot_say(NAME, OVER_THE_YEARS, "static level", MISSING, source=SOURCE)
        return
    yield _over_the_years(hole, readings, found, numbers["least_ft_per_year"])
    if found.falling:
        yield from _at_the_pump(hole, readings, found, numbers["years_ahead"])


def _trend(points: list[tuple[float, float]]) -> Trend | None:
    try:
        return trend(yearly(points))
    except ValueError:
        # Levels that cannot be: nothing follows from them.
        return None


# -- the trend -----------------------------------------------------------------------------------


def _over_the_years(hole: Hole, readings: list[AtRest], found: Trend, least: float) -> Check:
    slope, fails = _slopes(found)[0], _falls(found, least)
    way = "falls" if found.falling else "rises" if found.clear else "does not clearly fall:"
    says = (
        f"static level {way} {abs(slope) if found.clear else slope:g} ft a year ({_interval(found)};"
        f" levels of {found.n} years)"
    )
    return Check(
        rule=NAME,
        aspect=OVER_THE_YEARS,
        subject="static level",
        verdict=Verdict.FAIL if fails else Verdict.PASS,
        says=says,
        source=SOURCE,
        value=slope,
        # What is not clear is not held against anything.
        limit=least if found.clear else None,
        unit="ft a year",
        finding=_falling(hole, readings, found, says, least) if fails else None,
    )


def _falls(found: Trend, least: float) -> bool:
    return found.falling and over(found.slope_ft_per_year, least) > 0


def _falling(hole: Hole, readings: list[AtRest], found: Trend, says: str, least: float) -> Finding:
    may, surely = both(_clear_since(readings, least), worked_since(hole))
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
            "least_ft_per_year": least,
            "n": found.n,
        },
        to_customer=(
            f"The water at rest in this well has fallen about {abs(slope):.1f} feet a year by the levels"
            f" of {found.n} years: we would measure it at each visit."
        ),
    )


def _clear_since(readings: list[AtRest], least: float) -> Span:
    """From when the levels known so far fell clearly, and went on to with each that was added."""
    points, begun = [r.point for r in readings], len(readings)
    for so_far in reversed(steps(readings)[-_LOOKED_BACK:]):
        found = _trend(points[:so_far])
        if found is None or not _falls(found, least):
            break
        begun = so_far
    return _known_since(readings[:begun])


def _known_since(readings: list[AtRest]) -> Span:
    return readings[-1].first, max(r.last for r in readings)


def _slopes(found: Trend) -> tuple[float, float, float]:
    slopes = (found.slope_ft_per_year, found.low_ft_per_year, found.high_ft_per_year)
    slope, low, high = (float(f"{s:.3g}") + 0.0 for s in slopes)
    return slope, low, high


def _interval(found: Trend) -> str:
    _, low, high = _slopes(found)
    return f"{low:g} to {high:g}"


# -- the pump ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Meeting:
    """When the falling water comes to the pump, drawn down as it was at the last test."""

    set_ft: float
    last: DrawnDown | None
    reach: Reach
    slope: float
    newest: float
    """The year of the newest reading."""

    def years_from(self, year: float) -> float:
        """How long it is to the first year that it may be."""
        return round(max(self.reach.earliest_year - year, 0.0), 1)

    @property
    def says(self) -> str:
        drawn = "at rest (no drawdown on record)"
        if self.last is not None:
            drawn = f"drawn down {self.last.drawdown_ft:g} ft"
        when = f"is at the pump, {self.set_ft:g} ft, already"
        if self.reach.year > self.newest:
            first = _year(max(self.reach.earliest_year, self.newest))
            when = (
                f"comes to the pump at {self.set_ft:g} ft about {_year(self.reach.year)} ({first} to"
                f" {_year(self.reach.latest_year)})"
            )
        return f"falling {self.slope:g} ft a year, the water {drawn} {when}"

    def span(self, years_ahead: float) -> Span:
        """So many years before it is reached, and not before the newest reading that tells of it."""
        ends = (self.reach.earliest_year, self.reach.latest_year)
        may, surely = (day_of(max(end - years_ahead, self.newest)) for end in ends)
        return may, surely


def _year(year: float) -> str:
    return f"{math.floor(year)}" if year < _TOO_FAR else f"after {_TOO_FAR}"


def _at_the_pump(
    hole: Hole, readings: list[AtRest], found: Trend, years_ahead: float
) -> Iterator[Check]:
    pump = hole.the(Pump)
    if pump is None or pump_kind(hole) in _NOT_IN_THE_WATER:
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
    meeting = _Meeting(set_ft, last, reach, _slopes(found)[0], year_of(readings[-1].first))
    span = both(
        meeting.span(years_ahead),
        _known_since(readings),
        worked_since(hole),
        hangs_since(hole, component, "set_depth_ft", Quantity.WATER_LEVEL_FT),
        *([] if last is None else [last.since(hole)]),
    )
    # As of the day that is shown, else of the newest reading: no clock is read here.
    years = meeting.years_from(meeting.newest if hole.day is None else year_of(hole.day))
    near = meeting.years_from(meeting.newest) <= _LOOK_AHEAD_YEARS
    yield Check(
        rule=NAME,
        aspect=AT_THE_PUMP,
        subject=f"pump at {set_ft:g} ft",
        verdict=Verdict.FAIL if years < years_ahead else Verdict.PASS,
        says=meeting.says,
        source=SOURCE,
        value=years,
        limit=years_ahead,
        unit="years",
        at_least=True,
        finding=_reached(component, span, meeting, years_ahead) if near else None,
    )


def _reached(component: Component, span: Span, meeting: _Meeting, years_ahead: float) -> Finding:
    may, surely = span
    last = meeting.last
    return Finding(
        rule=NAME,
        subject="pump, reached by the falling level",
        occurrence=occurrence(NAME, "pump", component.uid),
        may_from=may,
        surely_from=surely,
        severity=Severity.PLAN,
        occasion=Occasion.NEXT_PULL,
        reason=meeting.says,
        action=(
            "when the string is up, hang the pump lower if pipe, cable and lift allow; talk with the"
            " owner about storage or a deeper hole"
        ),
        source=SOURCE,
        counts_from=component.uid,
        numbers={
            "slope_ft_per_year": meeting.slope,
            "set_depth_ft": meeting.set_ft,
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
            "least_ft_per_year",
            0.5,
            "a level that falls no faster takes less than 10 ft in the 20 years of a pump",
            COMMON_PRACTICE,
            0,
            20,
        ),
        Threshold(
            "years_ahead",
            5,
            "so many years before the falling water reaches the pump it is planned for",
            COMMON_PRACTICE,
            0,
            50,
        ),
    ),
    checks=checks,
    of_a_plan=OfPlan.KNOWN_ONLY,
)
