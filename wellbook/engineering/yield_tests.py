"""Two tests of one well: whether they can be compared, and what changed between them.

A well's specific capacity is not one number. It falls as the test goes on, because the drawdown
still grows with the logarithm of time, and it falls with the rate, because the losses at the well's
wall grow with its square. Two tests that differ in these say little about the well.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from wellbook.engineering._checks import MAX_DEPTH_FT, MAX_MINUTES, finite, non_negative, positive
from wellbook.engineering.bore import MAX_GPM, specific_capacity_gpm_per_ft

# Common practice, no published source. A test twice as long adds 0.30 to a logarithm that is 6 to 8
# in a drilled well (2.25 T t / r^2 S), so some 4 per cent of drawdown: less than the lowest trigger.
RATE_PERCENT: Final = 25.0
LENGTH_PERCENT: Final = 100.0
# Published triggers of a decline: Houben and Treskatis (2003) as quoted by a well-cleaning firm, and
# a hydrogeology consultancy.
DECLINE_PERCENT: Final = (10.0, 15.0)


@dataclass(frozen=True, slots=True)
class YieldTest:
    """A well pumped at a rate, and how far that drew it down.

    Parameters
    ----------
    gpm
        Rate, US gallons per minute.
    drawdown_ft
        Pumping level less static level, feet; None where it was not measured.
    minutes
        How long it was pumped; None where nobody wrote it down.

    Raises
    ------
    ValueError
        Where one of them is not above zero, not finite or absurd; it names the field.

    Source: none, a record of three measurements.

    >>> YieldTest(20, 40, 240).specific_capacity_gpm_per_ft
    0.5
    """

    gpm: float
    drawdown_ft: float | None = None
    minutes: float | None = None

    def __post_init__(self) -> None:
        positive(self.gpm, "gpm", at_most=MAX_GPM)
        if self.drawdown_ft is not None:
            positive(self.drawdown_ft, "drawdown_ft", at_most=MAX_DEPTH_FT)
        if self.minutes is not None:
            positive(self.minutes, "minutes", at_most=MAX_MINUTES)

    @property
    def specific_capacity_gpm_per_ft(self) -> float | None:
        """gpm per foot of drawdown; None where the drawdown is not known."""
        if self.drawdown_ft is None:
            return None
        return specific_capacity_gpm_per_ft(self.gpm, self.drawdown_ft)


@dataclass(frozen=True, slots=True)
class Change:
    """What changed from one test of a well to another, as before and after a cleaning.

    Parameters
    ----------
    rate_percent
        Gain of the rate, per cent; below zero where it fell.
    specific_capacity_percent
        Gain of the specific capacity, per cent; None where a drawdown is not known.
    alike
        Whether the tests can be compared (`alike`).

    Source: none, a record of what `compare` works out.
    """

    rate_percent: float
    specific_capacity_percent: float | None
    alike: bool | None


def decline_percent(before: float, now: float) -> float:
    """How much less it is than it was.

    Parameters
    ----------
    before, now
        Two specific capacities (gpm/ft) or two rates (gpm).

    Returns
    -------
    float
        Per cent of what it was; below zero where it rose.

    Raises
    ------
    ValueError
        Where before is not above zero, now is below it, or either is not finite.

    Source: the definition. Published triggers are 10 per cent (Houben and Treskatis 2003) and 15 per
    cent.

    >>> decline_percent(0.5, 0.425)
    15.0
    """
    was = positive(before, "before")
    return 100 * (was - non_negative(now, "now")) / was


def alike(
    before: YieldTest,
    now: YieldTest,
    *,
    rate_percent: float = RATE_PERCENT,
    length_percent: float = LENGTH_PERCENT,
) -> bool | None:
    """Whether two tests were of like rate and like length, so that they can be compared.

    Parameters
    ----------
    before, now
        The tests.
    rate_percent
        How much the larger rate may be over the smaller, per cent.
    length_percent
        How much the longer test may be over the shorter, per cent; 100 is twice as long.

    Returns
    -------
    bool or None
        None where the rates are alike and a length is missing: it cannot be said.

    Raises
    ------
    ValueError
        Where a tolerance is below zero or not finite.

    Source: that they have to be alike is Driscoll's (1986, as quoted by a consultancy). The
    tolerances are common practice, no published source.

    >>> alike(YieldTest(10, 40, 240), YieldTest(12, 55, 300))
    True
    >>> alike(YieldTest(10, 40, 240), YieldTest(5, 15, 240))
    False
    >>> alike(YieldTest(10, 40, 240), YieldTest(10, 55)) is None
    True
    """
    rates = _within(before.gpm, now.gpm, non_negative(rate_percent, "rate_percent"))
    longest = non_negative(length_percent, "length_percent")
    if not rates:
        return False
    if before.minutes is None or now.minutes is None:
        return None
    return _within(before.minutes, now.minutes, longest)


def compare(
    before: YieldTest,
    after: YieldTest,
    *,
    rate_percent: float = RATE_PERCENT,
    length_percent: float = LENGTH_PERCENT,
) -> Change:
    """What a well gained, as by hydrofracturing or cleaning.

    After hydrofracturing the rates differ by intent: then the gain of the rate is the answer, and
    that of the specific capacity is no more than a hint.

    Parameters
    ----------
    before, after
        The tests.
    rate_percent, length_percent
        As `alike`.

    Returns
    -------
    Change
        In per cent of what was before.

    Raises
    ------
    ValueError
        Where a tolerance is below zero or not finite.

    Source: the definition. Computed: 0.5 gpm before, 3 gpm after is six times as much.

    >>> compare(YieldTest(0.5, 200, 240), YieldTest(3, 200, 240))
    Change(rate_percent=500.0, specific_capacity_percent=500.0, alike=False)
    """
    was, is_now = before.specific_capacity_gpm_per_ft, after.specific_capacity_gpm_per_ft
    gained = None if was is None or is_now is None else _gain(was, is_now)
    like = alike(before, after, rate_percent=rate_percent, length_percent=length_percent)
    return Change(_gain(before.gpm, after.gpm), gained, like)


def _gain(before: float, after: float) -> float:
    return finite(-decline_percent(before, after), "after") + 0.0


def _within(one: float, other: float, percent: float) -> bool:
    # The last bits of a float must not part two tests that are just alike.
    return max(one, other) <= min(one, other) * (1 + percent / 100) * (1 + 1e-12)
