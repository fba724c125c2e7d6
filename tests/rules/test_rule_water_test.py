"""Water test: bacteria and nitrate every year (Centers for Disease Control and Prevention;
Minnesota Department of Health).
"""

from datetime import date

import pytest
from rule_holes import ENTERED, hole, judged, sample

from wellbook.engineering.analytes import Result
from wellbook.rules.water_test import RULE
from wellbook.terms import Bacteria, Severity

DAY = date(2025, 5, 14)
CLEAN = Bacteria.ABSENT


def both(*samples, **changed):
    bacteria, nitrate = judged(RULE, hole(samples=samples), **changed)
    assert (bacteria.subject, nitrate.subject) == ("bacteria test", "nitrate test")
    return bacteria, nitrate


def test_each_is_due_a_year_after_the_last_sample_with_its_result():
    bacteria, nitrate = both(
        sample(DAY, CLEAN), sample(date(2024, 3, 1), CLEAN, nitrate=2.0, uid="n")
    )
    assert bacteria.may_from == bacteria.surely_from == date(2026, 5, 14)
    assert nitrate.may_from == nitrate.surely_from == date(2025, 3, 1)
    assert nitrate.counts_from == "n"
    assert bacteria.severity is Severity.PLAN


@pytest.mark.parametrize(("day", "holds"), [(date(2026, 5, 13), False), (date(2026, 5, 14), True)])
def test_the_day_from_which_it_holds(day, holds):
    assert both(sample(DAY, CLEAN))[0].holds(day) is holds


def test_a_sample_with_bacteria_was_a_test_too():
    assert both(sample(DAY, Bacteria.ECOLI_PRESENT))[0].may_from == date(2026, 5, 14)


def test_a_sample_without_the_result_is_none():
    bacteria, nitrate = both(sample(DAY, arsenic=0.002))
    assert bacteria.severity is nitrate.severity is Severity.ASK


def test_never_tested_is_a_question_from_the_day_the_well_was_entered():
    for found in both():
        assert (found.may_from, found.surely_from) == (ENTERED, ENTERED)
        assert (found.severity, found.counts_from) == (Severity.ASK, "w")


def test_an_uncertain_sample():
    found = both(sample("May 2025", CLEAN))[0]
    assert (found.may_from, found.surely_from) == (date(2026, 5, 1), date(2026, 5, 31))
    found = both(sample(None, CLEAN))[0]
    assert (found.may_from, found.surely_from) == (None, None)


def test_the_last_of_several_uncertain_samples():
    """One of 2023 and one of 2022 to 2024: the last was in 2023 at the earliest."""
    found = both(sample("2023", CLEAN), sample("2022/2024", CLEAN))[0]
    assert (found.may_from, found.surely_from) == (date(2024, 1, 1), date(2025, 12, 31))


def test_nitrate_every_other_year_as_a_shop_may_have_it():
    nitrate = both(sample(DAY, nitrate=2.0), nitrate_months=24)[1]
    assert nitrate.may_from == date(2027, 5, 14)
    bacteria = both(sample(DAY, CLEAN), bacteria_months=6)[0]
    assert bacteria.may_from == date(2025, 11, 14)


@pytest.mark.parametrize("limit", [None, 0.5, 20])
def test_tested_is_tested_whatever_came_out(limit):
    none = Result(limit, below=True)
    for word in ("nitrate_mg_l", "nitrate_nitrite_mg_l"):
        assert both(sample(DAY, **{word: none}))[1].severity is Severity.PLAN


def test_what_one_sample_was_the_last_of_is_told_in_one_sentence():
    bacteria, nitrate = both(sample(DAY, CLEAN, nitrate=2.0))
    assert bacteria.to_customer == nitrate.to_customer
    assert "for bacteria and nitrate was on May 14, 2025" in bacteria.to_customer


def test_tests_of_two_samples_or_of_two_intervals_are_told_apart():
    apart = both(sample(DAY, CLEAN), sample(date(2024, 3, 1), nitrate=2.0, uid="n"))
    assert [f.to_customer.count(" and nitrate") for f in apart] == [0, 0]
    apart = both(sample(DAY, CLEAN, nitrate=2.0), nitrate_months=24)
    assert apart[0].to_customer != apart[1].to_customer
