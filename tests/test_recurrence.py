"""What comes round again, held against the rules of dateutil (RFC 5545) as another way to the same.

The sentences on contracts, seasons and quiet months are common practice, no published source.
"""

from datetime import date, datetime

from dateutil.relativedelta import relativedelta
from dateutil.rrule import DAILY, YEARLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from wellbook.recurrence import (
    first_in_month,
    in_contract_month,
    months_after,
    next_first,
    out_of_season,
)

DAYS = st.dates(date(1990, 1, 1), date(2200, 12, 31))
MONTHS = st.integers(1, 12)
INTERVALS = st.integers(1, 240)


def at(day: date) -> datetime:
    return datetime(day.year, day.month, day.day)


def firsts(day: date, month: int) -> list[date]:
    """The firsts of a month, from some years before a day to some after it."""
    begin = at(day) - relativedelta(years=3)
    rule = rrule(YEARLY, bymonth=month, bymonthday=1, dtstart=begin, count=30)
    return [one.date() for one in rule]


@given(done=DAYS, months=INTERVALS)
def test_months_are_counted_from_the_day_it_was_done(done, months):
    assert months_after(done, months) == done + relativedelta(months=months)


@given(day=st.dates(date(9998, 1, 1), date(9999, 12, 31)), months=INTERVALS)
def test_the_calendars_end_is_no_error(day, months):
    assert day <= months_after(day, months) <= date.max


@given(done=DAYS, months=INTERVALS, month=MONTHS)
def test_a_contract_falls_on_the_next_first_of_its_month_that_is_another_visits(
    done, months, month
):
    due = in_contract_month(done, months, month)
    early = done + relativedelta(months=max(months, 12) - 7)
    assert due == min(first for first in firsts(early, month) if first > early)
    # Never twice within five months, and never half a year later than the shop's own interval.
    assert due > done + relativedelta(months=5)
    assert due <= done + relativedelta(months=max(months, 12) + 5, days=1)


@given(done=DAYS, month=MONTHS, late=st.lists(st.integers(-60, 60), max_size=12))
def test_a_contract_comes_once_a_year_for_as_long_as_each_is_within_two_months(done, month, late):
    due = in_contract_month(done, 12, month)
    for days in late:
        following = in_contract_month(due + relativedelta(days=days), 12, month)
        assert following == due + relativedelta(years=1)
        due = following


@given(day=DAYS, month=MONTHS)
def test_the_next_first_of_a_month_is_the_rules(day, month):
    rule = rrule(YEARLY, bymonth=month, bymonthday=1, dtstart=at(day) - relativedelta(years=2))
    assert next_first(day, month) == rule.after(at(day)).date()
    first = first_in_month(day, month)
    assert first == (day if day.month == month else next_first(day, month))


@given(day=DAYS, begin=MONTHS, end=MONTHS)
def test_what_falls_into_a_quiet_season_comes_on_the_first_day_after_it(day, begin, end):
    quiet, month = [begin], begin
    while month != end:
        month = month % 12 + 1
        quiet.append(month)
    if len(quiet) == 12:
        assert out_of_season(day, begin, end) == day
        return
    open_months = [m for m in range(1, 13) if m not in quiet]
    rule = rrule(DAILY, bymonth=open_months, dtstart=at(day), count=1)
    assert out_of_season(day, begin, end) == rule[0].date()


@given(day=DAYS, month=MONTHS)
def test_half_a_season_is_none(day, month):
    assert out_of_season(day, month, 0) == out_of_season(day, 0, month) == day


@given(day=DAYS, begin=st.integers(0, 12), end=st.integers(0, 12))
def test_moving_twice_moves_once(day, begin, end):
    moved = out_of_season(day, begin, end)
    assert moved >= day
    assert out_of_season(moved, begin, end) == moved
