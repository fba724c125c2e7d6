"""Cable wear: five splices are far too many, and so are a dozen rubs. Common practice, no published
source; so are the counts from which to plan."""

from datetime import date

import pytest
from rule_holes import cable, hole, inspection, judged, the_one

from wellbook.dates import When
from wellbook.rules.cable_wear import RULE
from wellbook.terms import Occasion, Severity

ON = date(2026, 5, 14)
NEW = date(2024, 6, 3)


def worn(set_on=NEW, **counted):
    part = cable(set_on)
    return hole(components=[part], inspections=[inspection(part, ON, **counted)])


@pytest.mark.parametrize(
    ("splices", "severity"),
    [(0, None), (2, None), (3, Severity.PLAN), (4, Severity.PLAN), (5, Severity.ACT)],
)
def test_splices(splices, severity):
    found = judged(RULE, worn(splices=splices))
    by_count = [f for f in found if f.subject == "cable splices"]
    assert [f.severity for f in by_count] == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("rubs", "severity"),
    [
        (3, None),
        (4, Severity.PLAN),
        (9, Severity.PLAN),
        (10, Severity.ACT),
        (12, Severity.ACT),
    ],
)
def test_rubs(rubs, severity):
    found = judged(RULE, worn(rubs=rubs))
    assert [f.severity for f in found] == ([severity] if severity else [])


def test_it_holds_from_the_inspection_and_is_worth_something_at_the_next_pull():
    found = the_one(RULE, worn(rubs=12))
    assert (found.may_from, found.surely_from, found.occasion) == (ON, ON, Occasion.NEXT_PULL)


def test_splices_added_since_the_count_are_counted():
    part = cable(NEW)
    seen = [
        inspection(part, date(2025, 1, 1), splices=2),
        inspection(part, date(2026, 1, 1), added=1),
    ]
    found = judged(RULE, hole(components=[part], inspections=seen))
    assert found[0].numbers["splices"] == 3
    assert found[0].may_from == date(2026, 1, 1)


def test_the_latest_count_replaces_older_ones():
    part = cable(NEW)
    seen = [
        inspection(part, date(2026, 1, 1), splices=1),
        inspection(part, date(2025, 1, 1), splices=5),
    ]
    found = judged(RULE, hole(components=[part], inspections=seen))
    assert [f.subject for f in found] == ["cable, old and spliced"]


def test_it_holds_from_the_first_of_the_counts_that_were_all_as_high():
    part = cable(NEW)
    years = [(2025, 3), (2026, 4)]
    seen = [inspection(part, date(y, 5, 1), splices=n) for y, n in years]
    found = judged(RULE, hole(components=[part], inspections=seen))[0]
    assert (found.may_from, found.numbers["splices"]) == (date(2025, 5, 1), 4)
    spliced_anew = [*seen, inspection(part, date(2026, 6, 1), splices=5)]
    found = judged(RULE, hole(components=[part], inspections=spliced_anew))[0]
    assert (found.severity, found.may_from) == (Severity.ACT, date(2026, 6, 1))


def test_a_lower_count_between_begins_it_anew():
    part = cable(NEW)
    years = [(2024, 4), (2025, 1), (2026, 3)]
    seen = [inspection(part, date(y, 7, 1), splices=n) for y, n in years]
    found = judged(RULE, hole(components=[part], inspections=seen))[0]
    assert found.may_from == date(2026, 7, 1)


def test_old_and_spliced_counts_from_its_first_splice():
    part = cable(date(2005, 5, 14))
    seen = [inspection(part, date(y, 5, 1), splices=n) for y, n in ((2015, 1), (2026, 2))]
    found = the_one(RULE, hole(components=[part], inspections=seen))
    assert (found.may_from, found.surely_from) == (date(2020, 5, 14), date(2020, 5, 14))
    assert found.numbers["splices"] == 2


def test_another_cable_s_splices_are_its_own():
    old, new = cable(date(2000, 1, 1), pulled_on=NEW), cable(NEW)
    seen = [inspection(old, date(2020, 1, 1), splices=7, rubs=20)]
    assert judged(RULE, hole(components=[old, new], inspections=seen)) == []


def test_an_old_cable_with_a_splice_is_not_worth_sending_back_down():
    found = the_one(RULE, worn(date(2009, 5, 14), splices=1))
    assert found.severity is Severity.ACT
    assert (found.may_from, found.surely_from) == (ON, ON)


def test_old_and_spliced_from_the_later_of_the_two():
    found = the_one(RULE, worn(date(2011, 5, 15), splices=1))
    assert (found.may_from, found.surely_from) == (date(2026, 5, 15), date(2026, 5, 15))


def test_what_only_may_be_past_its_years_is_planned_for_until_it_surely_is():
    may, sure = judged(RULE, worn("about 2020", splices=1))
    assert may.occurrence == sure.occurrence
    assert (may.severity, sure.severity) == (Severity.PLAN, Severity.ACT)
    assert "so it may be past 15 years, and has 1 splice" in may.reason
    assert "so past 15 years, and has 1 splice" in sure.reason
    assert (may.may_from, may.surely_from) == (date(2034, 1, 1), date(2036, 12, 31))
    assert may.until == sure.may_from == sure.surely_from == date(2036, 12, 31)
    days = [date(2033, 12, 31), date(2034, 1, 1), date(2036, 12, 30), date(2036, 12, 31)]
    assert [[f.severity.value for f in (may, sure) if f.holds(day)] for day in days] == [
        [],
        ["plan"],
        ["plan"],
        ["act"],
    ]


def test_a_cable_that_was_only_seen_may_be_of_any_age():
    seen = When.between(None, ON)
    may, sure = judged(RULE, worn(seen, splices=1))
    assert (may.severity, may.may_from, may.until) == (Severity.PLAN, ON, date(2041, 5, 14))
    assert (sure.severity, sure.may_from) == (Severity.ACT, date(2041, 5, 14))


def test_what_can_never_be_sure_is_never_more_than_planned_for():
    after = When.between(date(2009, 1, 1), None)
    found = the_one(RULE, worn(after, splices=1))
    assert (found.severity, found.may_from, found.surely_from) == (Severity.PLAN, ON, None)
    assert found.until is None


@pytest.mark.parametrize("counted", [{}, {"splices": 0, "rubs": 0}])
def test_never_counted_or_nothing_found(counted):
    assert judged(RULE, worn(date(1990, 1, 1), **counted)) == []


def test_an_unknown_age_with_a_splice_is_no_finding():
    assert judged(RULE, worn(None, splices=1)) == []
