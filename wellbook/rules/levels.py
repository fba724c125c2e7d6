"""Water levels as the rules take them: at rest over the years, and drawn down by a test."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from wellbook.engineering.yield_tests import YieldTest
from wellbook.hole.hole import Hole
from wellbook.hole.records import Observation, Visit
from wellbook.rules.spans import Span, both, read_since
from wellbook.terms import REWORKED, TOLD, Basis, LevelState, Quantity

_YEAR = timedelta(days=366)


@dataclass(frozen=True, slots=True)
class AtRest:
    """A measured static level: the first and the last day that it can be of, and its depth."""

    first: date
    last: date
    below_ground_ft: float

    @property
    def point(self) -> tuple[float, float]:
        """The middle of its days as a year with its fraction, and the depth."""
        return year_of(self.first + (self.last - self.first) / 2), self.below_ground_ft


def year_of(day: date) -> float:
    """A day as a year with its fraction.

    >>> year_of(date(2021, 7, 2))
    2021.499
    """
    begins = date(day.year, 1, 1)
    return day.year + (day - begins).days / ((date(day.year, 12, 31) - begins).days + 1)


def day_of(year: float) -> date | None:
    """The day on which a year with its fraction falls; None after the calendar's end.

    >>> day_of(2021.5), day_of(12_000)
    (datetime.date(2021, 7, 2), None)
    """
    if not 1 <= year < date.max.year:
        return None
    begins = date(int(year), 1, 1)
    days = (date(int(year), 12, 31) - begins).days + 1
    return begins + timedelta(days=int((year - int(year)) * days))


def at_rest(hole: Hole) -> list[AtRest]:
    """The static levels that were measured since the hole was last worked on, oldest first.

    One of which not even the year is known tells nothing of a trend.
    """
    found = []
    for o in hole.valid_observations(Quantity.WATER_LEVEL_FT):
        first, last = o.when.earliest, o.when.latest
        if o.state is not LevelState.STATIC or o.basis is not Basis.MEASURED or o.value is None:
            continue
        if first is not None and last is not None and last - first <= _YEAR:
            found.append(AtRest(first, last, hole.below_ground(o.fact())))
    return sorted(found, key=lambda r: (r.first, r.last, r.below_ground_ft))


@dataclass(frozen=True, slots=True)
class DrawnDown:
    """A pumping level, and the static level of the same day that it was drawn down from."""

    pumping: Observation
    static: Observation
    drawdown_ft: float

    @property
    def test(self) -> YieldTest | None:
        """The test that it was; None where the rate is not known, or cannot be."""
        if self.pumping.at_gpm is None:
            return None
        try:
            return YieldTest(self.pumping.at_gpm, self.drawdown_ft, self.pumping.minutes)
        except ValueError:
            return None

    def since(self, hole: Hole) -> Span:
        """From when both levels are what the record says."""
        return both(*(read_since(hole, o.uid) for o in (self.static, self.pumping)))


def drawn_down(hole: Hole, seen: Iterable[Observation]) -> list[DrawnDown]:
    """The drawdowns among some water levels, in their order; what was only told is none."""
    levels = [o for o in seen if o.value is not None and o.basis not in TOLD]
    rest = [o for o in levels if o.state is LevelState.STATIC]
    found = []
    for pumping in (o for o in levels if o.state is LevelState.PUMPING):
        statics = [o for o in rest if _same_day(o, pumping)]
        if not statics:
            continue
        # Where it was read twice, the higher one is the one before the test.
        static = min(statics, key=lambda o: (hole.below_ground(o.fact()), o.uid))
        fell = hole.below_ground(pumping.fact()) - hole.below_ground(static.fact())
        if fell > 0:
            found.append(DrawnDown(pumping, static, fell))
    return found


def _same_day(one: Observation, other: Observation) -> bool:
    bounds = (one.when.earliest, one.when.latest)
    if bounds != (other.when.earliest, other.when.latest):
        return False
    return one.when.exact or (one.sheet_uid is not None and one.sheet_uid == other.sheet_uid)


def last_work(hole: Hole) -> Visit | None:
    """The last work on the hole that ended what was known of its levels."""
    done = [v for v in hole.visits if v.reason in REWORKED]
    return max(done, key=lambda v: v.end or v.start, default=None)


def worked_since(hole: Hole) -> Span:
    """From when the hole is as that work left it; for ever where there was none."""
    worked = hole.worked_on(Quantity.WATER_LEVEL_FT)
    return (None, date.min) if worked is None else (worked, worked)


def steps(readings: list[AtRest]) -> list[int]:
    """How many readings there were after each day on which one was added, oldest first.

    >>> one, two = (AtRest(date(2020, 1, n), date(2020, 1, n), 40) for n in (1, 2))
    >>> steps([one, one, two])
    [2, 3]
    """
    new = [n for n, (one, after) in enumerate(pairwise(readings), 1) if after.first > one.first]
    return [*new, len(readings)] if readings else []
