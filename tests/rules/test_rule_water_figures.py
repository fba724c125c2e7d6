"""Water results above a published figure.

Published: 40 CFR 141.62(b)(1), (7), (8), (9), (16); 141.66(b), (c), (e); 141.2 and 141.80; 143.3; 89
Fed. Reg. 32532; Minnesota Department of Health RAA12; Office of Surface Mining 2001. How urgent
each is: common practice, no published source (nitrate acts on infants within days, the other limits
are set for a lifetime).
"""

from __future__ import annotations

from datetime import date

import pytest
from rule_holes import hole, judged, sample, the_one

from wellbook.engineering.analytes import Result
from wellbook.rules.finding import Finding
from wellbook.rules.samples_owed import RULE as SAMPLES_OWED
from wellbook.rules.water_figures import RULE
from wellbook.terms import Bacteria, Occasion, Severity

ACT, PLAN, WATCH = Severity.ACT, Severity.PLAN, Severity.WATCH

EDGES = [
    ("nitrate_mg_l", 10, 10.1, ACT),
    ("nitrite_mg_l", 1, 1.1, ACT),
    ("nitrate_nitrite_mg_l", 10, 10.1, ACT),
    ("arsenic_mg_l", 0.010, 0.0101, PLAN),
    ("lead_mg_l", 0.010, 0.0101, PLAN),
    ("copper_mg_l", 1.3, 1.31, PLAN),
    ("copper_mg_l", 1.0, 1.01, WATCH),
    ("uranium_ug_l", 30, 30.1, PLAN),
    ("radium_pci_l", 5, 5.1, PLAN),
    ("gross_alpha_pci_l", 15, 15.1, PLAN),
    ("fluoride_mg_l", 4.0, 4.1, PLAN),
    ("fluoride_mg_l", 2.0, 2.1, WATCH),
    ("pfoa_ng_l", 4.0, 4.1, PLAN),
    ("pfos_ng_l", 4.0, 4.1, PLAN),
    ("methane_mg_l", 28, 28.1, ACT),
    ("methane_mg_l", 9.9, 10, PLAN),
    ("manganese_mg_l", 0.3, 0.31, PLAN),
    ("manganese_mg_l", 0.1, 0.11, PLAN),
    ("manganese_mg_l", 0.05, 0.051, WATCH),
    ("iron_mg_l", 0.3, 0.31, WATCH),
    ("ph", 8.5, 8.6, WATCH),
    ("ph", 6.5, 6.4, WATCH),
    ("chloride_mg_l", 250, 251, WATCH),
    ("sulfate_mg_l", 250, 251, WATCH),
    ("tds_mg_l", 500, 501, WATCH),
    ("zinc_mg_l", 5, 5.1, WATCH),
    ("silver_mg_l", 0.1, 0.11, WATCH),
    ("aluminum_mg_l", 0.2, 0.21, WATCH),
    ("foaming_agents_mg_l", 0.5, 0.51, WATCH),
    ("color_units", 15, 16, WATCH),
    ("odor_ton", 3, 4, WATCH),
]
"""Analyte, a result at its figure, one past it, and how it is then told."""


def march(day: int) -> date:
    return date(2026, 3, day)


def with_results(**results: float | Result):
    return hole(samples=[sample(march(1), **results)])


def told(found: Finding) -> tuple[str, Severity]:
    """With what it is compared, and how urgent it is."""
    return found.reason.partition("compared with")[2], found.severity


@pytest.mark.parametrize(("word", "at", "past", "severity"), EDGES)
def test_both_sides_of_every_figure(word, at, past, severity):
    found = the_one(RULE, with_results(**{word: past}))
    assert found.severity is severity
    assert found.may_from == found.surely_from == march(1)
    assert "compared with" in found.reason
    # At one figure a result may be past a milder one.
    before = judged(RULE, with_results(**{word: at}))
    assert told(found) not in [told(f) for f in before]


def test_the_occasion_follows_from_how_grave_it_is():
    assert the_one(RULE, with_results(nitrate_mg_l=11)).occasion is Occasion.NOW
    assert the_one(RULE, with_results(methane_mg_l=30)).occasion is Occasion.NOW
    assert the_one(RULE, with_results(arsenic_mg_l=0.02)).occasion is Occasion.NEXT_VISIT
    assert the_one(RULE, with_results(iron_mg_l=1)).occasion is Occasion.NEXT_VISIT


@pytest.mark.parametrize(
    "result", [Result(None, below=True), Result(20, below=True), Result(0.5, below=True)]
)
def test_what_was_not_detected_is_never_above(result):
    assert judged(RULE, with_results(nitrate_mg_l=result)) == []


def test_a_result_that_cannot_say_does_not_end_one_that_was_above():
    high = sample(march(1), nitrate=12.0, uid="high")
    blurred = sample(march(9), nitrate_mg_l=Result(20, below=True))
    assert the_one(RULE, hole(samples=[high, blurred])).counts_from == "high"


def test_the_newest_result_counts():
    low = sample(march(9), nitrate=3.0)
    assert judged(RULE, hole(samples=[sample(march(1), nitrate=12.0), low])) == []
    high = sample(march(20), nitrate=11.0, uid="again")
    found = the_one(RULE, hole(samples=[sample(march(1), nitrate=12.0), low, high]))
    assert (found.counts_from, found.may_from) == ("again", march(20))


def test_above_in_one_test_after_the_other_is_one_matter():
    """What was told once is not told anew by the next year's result."""
    samples = [sample(date(y, 3, 1), arsenic=0.012, uid=f"s{y}") for y in (2024, 2025, 2026)]
    found = the_one(RULE, hole(samples=samples))
    assert found.counts_from == "s2024"
    assert found.may_from == date(2024, 3, 1)
    assert "2026-03-01" in found.reason
    assert "above since 2024-03-01" in found.reason
    first = the_one(RULE, hole(samples=samples[:1]))
    assert first.occurrence == found.occurrence


def test_a_graver_figure_is_another_matter():
    milder = the_one(RULE, with_results(fluoride_mg_l=3))
    assert milder.occurrence != the_one(RULE, with_results(fluoride_mg_l=5)).occurrence
    samples = [
        sample(march(1), methane_mg_l=15, uid="a"),
        sample(march(9), methane_mg_l=30, uid="b"),
    ]
    graver = the_one(RULE, hole(samples=samples))
    assert (graver.severity, graver.counts_from) == (ACT, "b")


def test_back_under_the_graver_figure_the_milder_one_is_told_of_from_then():
    results = [3, 5, 3.1]
    samples = [sample(march(n), fluoride_mg_l=x, uid=f"s{n}") for n, x in enumerate(results, 1)]
    found = the_one(RULE, hole(samples=samples))
    assert (found.severity, found.counts_from) == (WATCH, "s3")


def test_nitrate_and_nitrite_of_one_sample_are_compared_together():
    """40 CFR 141.62(b)(9)."""
    found = the_one(RULE, with_results(nitrate_mg_l=9.5, nitrite_mg_l=0.6))
    assert found.subject == "nitrate and nitrite above a figure"
    assert "10.1 mg/L" in found.reason
    assert judged(RULE, with_results(nitrate_mg_l=9.5, nitrite_mg_l=0.5)) == []
    alone = judged(RULE, with_results(nitrate_mg_l=11, nitrite_mg_l=0.6))
    assert [f.subject for f in alone] == ["nitrate above a figure"]


def test_each_thing_is_asked_once():
    """The second sample of nitrate and of arsenic is owed by samples-owed, advice by this rule."""
    for word in ("nitrate_mg_l", "arsenic_mg_l"):
        well = with_results(**{word: 12})
        (owed,) = judged(SAMPLES_OWED, well)
        assert "second sample" in owed.action
        found = the_one(RULE, well)
        assert "again" not in found.action
        assert "health department" in found.action
    assert "test it again" in the_one(RULE, with_results(uranium_ug_l=40)).action


def test_bacteria_are_not_this_rules():
    assert judged(RULE, hole(samples=[sample(march(1), Bacteria.ECOLI_PRESENT)])) == []


def test_the_health_department_advises_and_licensed_people_treat():
    for word, _, past, severity in EDGES:
        found = the_one(RULE, with_results(**{word: past}))
        if severity is WATCH:
            continue
        assert "licensed people" in found.action
        assert "health department" in found.action or word == "methane_mg_l"
    assert "boiling" in the_one(RULE, with_results(nitrate_mg_l=11)).action


def test_the_shop_goes_by_the_text_for_lead_that_it_chooses():
    between = with_results(lead_mg_l=0.012)
    assert len(judged(RULE, between)) == 1
    assert judged(RULE, between, lead_mg_l="0.015") == []
    assert len(judged(RULE, with_results(lead_mg_l=0.016), lead_mg_l="0.015")) == 1


def test_a_shop_may_leave_out_what_is_only_tasted():
    well = with_results(iron_mg_l=1, arsenic_mg_l=0.02, manganese_mg_l=0.06)
    assert len(judged(RULE, well)) == 3
    assert [f.subject for f in judged(RULE, well, secondary="none")] == ["arsenic above a figure"]


def test_uncertain_days():
    found = the_one(RULE, hole(samples=[sample("2025", iron_mg_l=1)]))
    assert (found.may_from, found.surely_from) == (date(2025, 1, 1), date(2025, 12, 31))
    low = sample(date(2025, 6, 1), iron_mg_l=0.1)
    unsure = the_one(RULE, hole(samples=[sample("2025", iron_mg_l=1), low]))
    assert unsure.surely_from is None


def test_a_sample_of_no_known_day():
    found = the_one(RULE, hole(samples=[sample(None, iron_mg_l=1)]))
    assert (found.may_from, found.surely_from) == (None, None)


def test_no_sample_no_finding():
    assert judged(RULE, hole()) == []
    assert judged(RULE, hole(samples=[sample(march(1), Bacteria.ABSENT)])) == []
