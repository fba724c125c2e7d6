"""Season: opening in April, closing in October (common practice, no published source)."""

from datetime import date

import pytest
from rule_holes import ENTERED, hole, judged, visit

from wellbook.rules.season import RULE
from wellbook.terms import Reason, Severity, WellStatus

OPEN, CLOSE = Reason.OPENING_UP, Reason.CLOSING_DOWN


def place(*done, **facts):
    visits = [visit(day, reason, uid=f"v{day}") for day, reason in done]
    return hole(status=WellStatus.SEASONAL, visits=visits, **facts)


def due(well, **changed):
    return {f.subject: (f.may_from, f.counts_from) for f in judged(RULE, well, **changed)}


def test_only_seasonal_places_are_opened_and_closed():
    for status in (WellStatus.IN_USE, WellStatus.STANDBY):
        assert judged(RULE, hole(status=status)) == []


def test_an_ordinary_year():
    well = place((date(2026, 4, 20), OPEN), (date(2026, 10, 10), CLOSE))
    assert due(well) == {
        "opening": (date(2027, 4, 1), "v2026-10-10"),
        "closing": (date(2027, 10, 1), "v2026-10-10"),
    }


def test_a_place_that_stands_open_owes_its_closing():
    well = place((date(2025, 10, 7), CLOSE), (date(2026, 4, 28), OPEN))
    assert due(well)["closing"] == (date(2026, 10, 1), "v2026-04-28")
    (closing,) = (f for f in judged(RULE, well) if f.subject == "closing")
    assert [closing.holds(date(2026, 9, 30)), closing.holds(date(2026, 10, 1))] == [False, True]


def test_a_closing_ends_that_years_missed_opening():
    missed = place((date(2025, 4, 20), OPEN), (date(2025, 10, 10), CLOSE))
    assert due(missed)["opening"] == (date(2026, 4, 1), "v2025-10-10")
    closed = place(
        (date(2025, 4, 20), OPEN), (date(2025, 10, 10), CLOSE), (date(2026, 10, 2), CLOSE)
    )
    assert due(closed)["opening"] == (date(2027, 4, 1), "v2026-10-02")


def test_an_opening_ends_the_missed_closing_of_the_autumn_before():
    well = place((date(2025, 4, 20), OPEN), (date(2026, 4, 15), OPEN))
    assert due(well)["closing"] == (date(2026, 10, 1), "v2026-04-15")


@pytest.mark.parametrize("day", [date(2026, 3, 28), date(2026, 4, 1), date(2026, 6, 30)])
def test_where_nobody_wrote_of_a_closing_the_opening_still_comes_each_spring(day):
    assert due(place((day, OPEN)))["opening"] == (date(2027, 4, 1), f"v{day}")


def test_of_one_day_the_sheet_that_stands_later_was_done_later():
    day = date(2026, 5, 1)
    well = hole(
        status=WellStatus.SEASONAL, visits=[visit(day, CLOSE, uid="a"), visit(day, OPEN, uid="b")]
    )
    assert due(well)["closing"] == (date(2026, 10, 1), "b")


def test_never_done_is_a_question_from_the_first_month_after_the_well_was_entered():
    assert date(2020, 1, 15) == ENTERED
    found = judged(RULE, place())
    assert {f.subject: f.may_from for f in found} == {
        "opening": date(2020, 4, 1),
        "closing": date(2020, 10, 1),
    }
    assert {f.severity for f in found} == {Severity.ASK}
    assert {f.to_customer for f in found} == {""}


def test_the_frost_depth_is_said_or_asked_for():
    known = judged(RULE, place((date(2026, 4, 20), OPEN), frost_depth_ft=4.0))
    assert all("frost depth 4 ft on record" in f.reason for f in known)
    unknown = judged(RULE, place((date(2026, 4, 20), OPEN)))
    assert all("frost depth not on record: ask" in f.reason for f in unknown)
    assert all("locked out" in f.action for f in known)


def test_a_shop_may_have_other_months_or_none():
    well = place((date(2026, 6, 20), OPEN))
    assert due(well, opening_month=6, closing_month=9) == {
        "opening": (date(2027, 6, 1), "v2026-06-20"),
        "closing": (date(2026, 9, 1), "v2026-06-20"),
    }
    assert due(well, opening_month=0, closing_month=0) == {}


def test_a_winter_place_is_opened_in_autumn():
    well = place((date(2025, 11, 5), OPEN), (date(2026, 4, 10), CLOSE))
    assert due(well, opening_month=11, closing_month=4) == {
        "opening": (date(2026, 11, 1), "v2026-04-10"),
        "closing": (date(2027, 4, 1), "v2026-04-10"),
    }


def test_the_customer_hears_of_his_own_last_opening():
    (opening,) = (
        f for f in judged(RULE, place((date(2026, 4, 28), OPEN))) if f.subject == "opening"
    )
    assert opening.to_customer == (
        "This well was last opened for the season on April 28, 2026; its opening is due in April, and"
        " we would open it up and take a sample before the water is used."
    )
