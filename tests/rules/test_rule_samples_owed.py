"""Samples owed.

Published: disinfection and a sample after a well was opened, Wisconsin NR 812.41 and 812.46; 5
days before the sample, Hickory Underground Water Conservation District (Texas); two clean
samples at least 24 h apart, Maryland COMAR 26.04.04.30 D(1)(a), with a positive between breaking
the run; one, Virginia 12VAC5-630-431; nitrate 10 mg/L and arsenic 0.010 mg/L, 40 CFR
141.62(b)(7) and (16).
"""

from datetime import date

import pytest
from rule_holes import hole, judged, sample, the_one, visit

from wellbook.engineering.analytes import Result
from wellbook.rules.samples_owed import RULE
from wellbook.terms import Bacteria, Occasion, Reason, Severity, SheetKind

OPENED = date(2026, 3, 10)
CLEAN, COLIFORM = Bacteria.ABSENT, Bacteria.COLIFORM_PRESENT


def opened(**more):
    return visit(OPENED, Reason.REPLACEMENT, uid="job", opened=True, **more)


def march(day):
    return date(2026, 3, day)


def subjects(well, **changed):
    return [f.subject for f in judged(RULE, well, **changed)]


# -- after an opening ----------------------------------------------------------------------------


def test_an_opened_well_owes_disinfection_at_once_and_a_sample_5_days_later():
    disinfection, owed = judged(RULE, hole(visits=[opened()]))
    assert disinfection.subject == "disinfection owed"
    assert disinfection.may_from == disinfection.surely_from == march(10)
    assert owed.subject == "bacteria sample owed"
    assert owed.may_from == owed.surely_from == march(15)
    for found in (disinfection, owed):
        assert (found.severity, found.occasion) == (Severity.PLAN, Occasion.NEXT_VISIT)
        assert found.counts_from == "job"


def test_disinfected_at_the_job_only_the_sample_is_owed():
    assert subjects(hole(visits=[opened(disinfected=True)])) == ["bacteria sample owed"]


def test_a_later_disinfection_begins_the_wait_anew():
    later = visit(march(20), Reason.DISINFECTION)
    assert the_one(RULE, hole(visits=[opened(), later])).may_from == march(25)


def test_a_disinfection_before_the_job_is_none_for_it():
    before = visit(march(9), Reason.DISINFECTION)
    assert len(judged(RULE, hole(visits=[before, opened()]))) == 2


def test_a_job_of_several_days_counts_from_its_end():
    well = hole(visits=[opened(end=march(12), disinfected=True)])
    assert the_one(RULE, well).may_from == march(17)


@pytest.mark.parametrize(("day", "owed"), [(9, 2), (10, 2), (14, 2), (15, 0), (30, 0)])
def test_a_clean_sample_counts_from_the_fifth_day(day, owed):
    """Of a well where nobody wrote down a disinfection: a clean sample shows what it is for."""
    well = hole(visits=[opened()], samples=[sample(march(day), CLEAN)])
    assert len(judged(RULE, well)) == owed


@pytest.mark.parametrize(("day", "owed"), [(24, 1), (25, 0)])
def test_a_sample_within_the_wait_after_a_later_disinfection_does_not_count(day, owed):
    later = visit(march(20), Reason.DISINFECTION)
    well = hole(visits=[opened(), later], samples=[sample(march(day), CLEAN)])
    assert len(judged(RULE, well)) == owed


def test_a_shop_that_samples_on_the_day():
    well = hole(visits=[opened(disinfected=True)], samples=[sample(march(10), CLEAN)])
    assert judged(RULE, well, wait_days=0) == []
    assert the_one(RULE, hole(visits=[opened(disinfected=True)]), wait_days=14).may_from == march(
        24
    )


def test_a_sample_without_a_result_for_bacteria_settles_nothing():
    well = hole(visits=[opened(disinfected=True)], samples=[sample(march(20), nitrate=2.0)])
    assert subjects(well) == ["bacteria sample owed"]


def test_a_sample_that_may_have_been_taken_in_time_leaves_it_owed_but_not_surely():
    well = hole(visits=[opened(disinfected=True)], samples=[sample("March 2026", CLEAN)])
    found = the_one(RULE, well)
    assert (found.may_from, found.surely_from) == (march(15), None)


def test_while_the_job_is_open_nobody_can_be_sure():
    found = judged(RULE, hole(visits=[opened(still_open=True)]))
    assert [f.surely_from for f in found] == [None, None]


def test_the_last_opening_counts():
    again = visit(march(20), Reason.REPLACEMENT, opened=True, uid="again")
    assert {f.counts_from for f in judged(RULE, hole(visits=[opened(), again]))} == {"again"}


@pytest.mark.parametrize(
    "visits",
    [
        [],
        [visit(OPENED, Reason.CHECK_UP)],
        [visit(OPENED, opened=True, kind=SheetKind.OPENING)],
        [visit(OPENED, Reason.DECOMMISSIONING, opened=True)],
    ],
    ids=["no visit", "not opened", "the opening record", "sealed for good"],
)
def test_what_owes_nothing(visits):
    assert judged(RULE, hole(visits=visits)) == []


# -- after bacteria ------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [COLIFORM, Bacteria.ECOLI_PRESENT])
def test_bacteria_owe_disinfection_and_a_retest_now(kind):
    disinfection, retest = judged(RULE, hole(samples=[sample(march(1), kind, uid="bad")]))
    assert disinfection.may_from == disinfection.surely_from == march(1)
    assert retest.may_from == retest.surely_from == march(6)
    for found in (disinfection, retest):
        assert (found.severity, found.occasion) == (Severity.ACT, Occasion.NOW)
        assert found.counts_from == "bad"


def test_the_label_and_the_code_have_the_last_word_on_chlorine():
    disinfection = judged(RULE, hole(samples=[sample(march(1), COLIFORM)]))[0]
    assert "label" in disinfection.action
    assert "local code" in disinfection.action
    assert "power off" in disinfection.action


def test_after_disinfection_the_retest_is_owed_when_the_wait_is_over():
    well = hole(samples=[sample(march(1), COLIFORM)], visits=[visit(march(8), Reason.DISINFECTION)])
    assert the_one(RULE, well).may_from == march(13)


def test_a_disinfection_on_the_day_of_the_sample_came_before_it():
    well = hole(samples=[sample(march(1), COLIFORM)], visits=[visit(march(1), Reason.DISINFECTION)])
    assert len(judged(RULE, well)) == 2


@pytest.mark.parametrize(("day", "owed"), [(12, 1), (13, 0)])
def test_a_clean_retest_settles_it(day, owed):
    well = hole(
        samples=[sample(march(1), COLIFORM), sample(march(day), CLEAN)],
        visits=[visit(march(8), Reason.DISINFECTION)],
    )
    assert len(judged(RULE, well)) == owed


def test_a_clean_sample_before_or_on_the_day_settles_nothing():
    for day in (1, 2):
        samples = [sample(march(2), COLIFORM), sample(march(day), CLEAN)]
        assert len(judged(RULE, hole(samples=samples))) == 2


def test_bacteria_after_an_opening_take_its_place():
    well = hole(visits=[opened(disinfected=True)], samples=[sample(march(16), COLIFORM)])
    assert all(f.severity is Severity.ACT for f in judged(RULE, well))


def test_an_opening_after_a_disinfection_that_was_never_tested_owes_one_of_its_own():
    """Bacteria 2020, disinfected, not tested; the pump replaced in 2026 and not disinfected."""
    well = hole(
        samples=[sample(date(2020, 3, 1), COLIFORM, uid="bad")],
        visits=[visit(date(2020, 3, 10), Reason.DISINFECTION), opened()],
    )
    retest, disinfection = judged(RULE, well)
    assert (retest.subject, retest.counts_from) == ("bacteria sample owed", "bad")
    assert (retest.severity, retest.may_from) == (Severity.ACT, date(2020, 3, 15))
    assert (disinfection.subject, disinfection.counts_from) == ("disinfection owed", "job")
    assert (disinfection.severity, disinfection.surely_from) == (Severity.PLAN, OPENED)


def test_disinfected_after_the_opening_both_owe_the_one_sample():
    well = hole(
        samples=[sample(date(2020, 3, 1), COLIFORM, uid="bad")],
        visits=[visit(date(2020, 3, 10), Reason.DISINFECTION), opened(disinfected=True)],
    )
    found = the_one(RULE, well)
    assert (found.subject, found.counts_from) == ("bacteria sample owed", "bad")
    assert (found.may_from, found.surely_from) == (march(15), march(15))


@pytest.mark.parametrize("disinfected", [date(2026, 2, 20), march(12), None])
@pytest.mark.parametrize("positive", [date(2026, 2, 10), march(11), "2026", None])
def test_one_thing_to_do_is_owed_once(positive, disinfected):
    samples = [sample(positive, COLIFORM)]
    visits = [visit(disinfected, Reason.DISINFECTION)] if disinfected else []
    visits = sorted([opened(), *visits], key=lambda v: v.start)
    names = subjects(hole(samples=samples, visits=visits))
    assert len(names) == len(set(names))
    assert "bacteria sample owed" in names
    assert ("disinfection owed" in names) is (
        disinfected != march(12) or positive in ("2026", None)
    )


def test_bacteria_that_may_be_gone_leave_an_opening_surely_owed():
    samples = [sample("May 2025", COLIFORM), sample(date(2025, 5, 20), CLEAN)]
    found = judged(RULE, hole(samples=samples, visits=[opened()]))
    assert [f.surely_from for f in found] == [march(10), march(15)]
    assert [f.may_from for f in found] == [date(2025, 5, 1), date(2025, 5, 6)]


def test_an_opening_after_bacteria_were_gone_owes_its_own():
    samples = [sample(march(1), COLIFORM), sample(march(8), CLEAN)]
    found = judged(RULE, hole(visits=[opened()], samples=samples))
    assert [f.counts_from for f in found] == ["job", "job"]


def test_an_uncertain_day_of_the_bacteria():
    retest = judged(RULE, hole(samples=[sample("May 2025", COLIFORM)]))[1]
    assert (retest.may_from, retest.surely_from) == (date(2025, 5, 6), date(2025, 6, 5))


def test_a_clean_sample_that_may_have_been_the_earlier_one():
    samples = [sample("May 2025", COLIFORM), sample(date(2025, 5, 20), CLEAN)]
    found = judged(RULE, hole(samples=samples))
    assert [f.surely_from for f in found] == [None, None]


# -- clean ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("results", "clean"),
    [
        ([(1, CLEAN), (2, CLEAN)], True),
        ([(1, CLEAN)], False),
        ([(1, CLEAN), (1, CLEAN)], False),
        ([(1, CLEAN), (3, COLIFORM), (5, CLEAN)], False),
    ],
    ids=["two", "one", "both on one day", "a positive between"],
)
def test_two_in_a_row(results, clean):
    """COMAR 26.04.04.30 D(1)(a), as published cases: 03-01 and 03-02; 03-01, positive, 03-05."""
    bad = sample(date(2026, 2, 1), COLIFORM)
    well = hole(samples=[bad, *(sample(march(day), result) for day, result in results)])
    assert (judged(RULE, well, clean="two_in_a_row") == []) is clean


def test_two_in_a_row_after_an_opening():
    one, two = sample(march(15), CLEAN), sample(march(16), CLEAN)
    job = opened(disinfected=True)
    owed = the_one(RULE, hole(visits=[job], samples=[one]), clean="two_in_a_row")
    assert "two samples in a row" in owed.reason
    assert judged(RULE, hole(visits=[job], samples=[one, two]), clean="two_in_a_row") == []
    early = sample(march(14), CLEAN)
    assert judged(RULE, hole(visits=[job], samples=[early, two]), clean="two_in_a_row") != []


def test_one_is_enough_by_default():
    """12VAC5-630-431 E.1: one, where none was positive in the 12 months before."""
    well = hole(visits=[opened(disinfected=True)], samples=[sample(march(15), CLEAN)])
    assert judged(RULE, well) == []


# -- nitrate and arsenic -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("result", "owed"),
    [
        ({"nitrate": 10}, []),
        ({"nitrate": 10.1}, ["nitrate sample owed"]),
        ({"arsenic": 0.010}, []),
        ({"arsenic": 0.011}, ["arsenic sample owed"]),
        ({"nitrate": 12, "arsenic": 0.02}, ["nitrate sample owed", "arsenic sample owed"]),
    ],
)
def test_a_figure_above_its_limit_owes_a_second_look(result, owed):
    found = judged(RULE, hole(samples=[sample(march(1), **result)]))
    assert [f.subject for f in found] == owed
    assert all(f.may_from == f.surely_from == march(1) for f in found)
    assert all("compared with" in f.reason for f in found)


@pytest.mark.parametrize(("limit", "owed"), [(None, 1), (20, 1), (10, 0), (0.5, 0)], ids=str)
def test_a_second_look_that_found_none_settles_it_where_it_could_have_found_it(limit, owed):
    """'< 0.5' is not above 10; '< 20' and 'not detected' without a limit cannot say."""
    none = Result(limit, below=True)
    assert judged(RULE, hole(samples=[sample(march(1), nitrate_mg_l=none)])) == []
    samples = [sample(march(1), nitrate=12.0), sample(march(9), nitrate_mg_l=none)]
    assert len(judged(RULE, hole(samples=samples))) == owed


@pytest.mark.parametrize("second", [3.0, 14.0])
def test_the_second_look_settles_it_whatever_it_says(second):
    samples = [sample(march(1), nitrate=12.0), sample(march(9), nitrate=second)]
    assert judged(RULE, hole(samples=samples)) == []


def test_a_figure_above_again_after_one_below_owes_a_look_again():
    results = [12.0, 3.0, 11.0]
    samples = [sample(march(day), nitrate=n) for day, n in enumerate(results, 1)]
    assert the_one(RULE, hole(samples=samples)).may_from == march(3)


def test_another_figure_s_sample_is_no_second_look():
    samples = [sample(march(1), nitrate=12.0), sample(march(9), arsenic=0.001)]
    assert subjects(hole(samples=samples)) == ["nitrate sample owed"]


def test_uncertain_days():
    found = the_one(RULE, hole(samples=[sample("2025", nitrate=12.0)]))
    assert (found.may_from, found.surely_from) == (date(2025, 1, 1), date(2025, 12, 31))
    samples = [sample("2025", nitrate=12.0), sample(date(2025, 6, 1), nitrate=3.0)]
    assert the_one(RULE, hole(samples=samples)).surely_from is None


def test_a_shop_may_look_earlier():
    samples = [sample(march(1), nitrate=6.0, arsenic=0.006)]
    changed = {"nitrate_mg_l": 5, "arsenic_mg_l": 0.005}
    assert len(judged(RULE, hole(samples=samples), **changed)) == 2


def test_a_place_closed_without_its_pump_owes_nothing_until_it_is_opened_up():
    closed = visit(date(2025, 10, 12), Reason.CLOSING_DOWN, opened=True, left_without_pump=True)
    earlier = visit(date(2024, 5, 1), Reason.REPLACEMENT, opened=True)
    assert judged(RULE, hole(visits=[earlier, closed])) == []
    opened = visit(date(2026, 5, 2), Reason.OPENING_UP, opened=True, uid="up")
    found = judged(RULE, hole(visits=[earlier, closed, opened]))
    assert {f.counts_from for f in found} == {"up"}
    assert [f.may_from for f in found] == [date(2026, 5, 2), date(2026, 5, 7)]


def test_a_disinfection_that_may_have_come_before_the_sample_is_not_denied():
    day = date(2026, 5, 20)
    done = visit(day, Reason.DISINFECTION)
    for taken, words in (
        ("May 2026", "whether the disinfection of 2026-05-20 came after it is not known"),
        ("June 2026", "no disinfection on record since"),
    ):
        positive = sample(taken, Bacteria.ECOLI_PRESENT)
        found = judged(RULE, hole(samples=[positive], visits=[done]))
        first = next(f for f in found if f.subject == "disinfection owed")
        assert first.reason.endswith(words)
        assert (first.surely_from is None) is ("not known" in words)


# -- what the customer is told --------------------------------------------------------------------


def told(well, **changed):
    return [f.to_customer for f in judged(RULE, well, **changed)]


def test_disinfection_and_sample_are_told_in_one_sentence():
    """A letter writes a sentence once: what belongs together says the same."""
    assert len(set(told(hole(visits=[opened()])))) == 1
    assert len(set(told(hole(samples=[sample(march(10), COLIFORM)])))) == 1


def test_a_customer_hears_that_his_well_was_disinfected():
    assert told(hole(visits=[opened(disinfected=True)])) == [
        "This well was opened and disinfected on March 10, 2026: a sample for bacteria is due."
    ]
    later = visit(march(20), Reason.DISINFECTION)
    assert told(hole(visits=[opened(), later])) == [
        "This well was opened on March 10, 2026 and disinfected on March 20, 2026: a sample for"
        " bacteria is due."
    ]
    (after,) = told(hole(visits=[later], samples=[sample(march(10), COLIFORM)]))
    assert "and the well was disinfected on March 20, 2026: a new sample is due" in after


def test_a_limit_of_the_shops_own_is_not_told_as_the_laws():
    """10 mg/L: 40 CFR 141.62(b)(7), which binds public systems."""
    well = hole(samples=[sample(march(10), nitrate=12.0)])
    (by_law,) = told(well)
    assert "10 mg/L (federal limit for public systems, 40 CFR 141.62(b)(7))" in by_law
    (own,) = told(well, nitrate_mg_l=5)
    assert "compared with 5 mg/L, from which we take a second one" in own
    assert "CFR" not in own
    (under,) = told(hole(samples=[sample(march(10), nitrate=7.0)]), nitrate_mg_l=5)
    assert "infants" not in under


@pytest.mark.parametrize(("results", "first"), [({"nitrate": 12.0}, 1), ({"arsenic": 0.02}, 0)])
def test_of_nitrate_a_letter_names_those_whom_it_harms_first(results, first):
    """Infants: 40 CFR 141 subpart Q, health effects of nitrate (from memory)."""
    (sentence,) = told(hole(samples=[sample(march(10), **results)]))
    assert sentence.count("where infants or expectant mothers drink it; boiling") == first
