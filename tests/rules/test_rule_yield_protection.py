"""A pump rated above the yield: common practice, no published source."""

from datetime import date

import pytest
from rule_holes import component, hole, judged, pump, reading, the_one, visit

from wellbook.hole.parts import Control
from wellbook.rules.finding import Settings
from wellbook.rules.yield_protection import RULE
from wellbook.terms import Occasion, PumpType, Quantity, Reason, Severity, Verdict

SET = date(2019, 6, 3)


def well(rated=10.0, gives=8.0, protection=False, on=date(2019, 6, 3), **fields):
    parts = [pump(SET, rated_gpm=rated, **fields)]
    if protection != "no control":
        parts.append(component(Control(low_water_protection=protection), set_on=SET))
    seen = [] if gives is None else [reading(Quantity.YIELD_GPM, gives, on)]
    return hole(components=parts, observations=seen)


@pytest.mark.parametrize(
    ("rated", "fires"), [(7.9, False), (8.0, False), (8.1, True), (None, False)]
)
def test_rated_above_the_yield(rated, fires):
    assert bool(judged(RULE, well(rated))) is fires


@pytest.mark.parametrize(
    ("protection", "severity"),
    [
        (False, Severity.PLAN),
        (None, Severity.WATCH),
        ("no control", Severity.WATCH),
        (True, None),
    ],
)
def test_protection(protection, severity):
    found = judged(RULE, well(protection=protection))
    assert [f.severity for f in found] == ([severity] if severity else [])
    assert all(f.occasion is Occasion.NEXT_VISIT for f in found)


def test_what_is_not_recorded_cannot_be_sure():
    found = the_one(RULE, well(protection=None))
    assert "not recorded" in found.reason
    assert (found.may_from, found.surely_from) == (SET, None)


def test_it_holds_from_the_later_of_setting_and_yield():
    found = the_one(RULE, well(on="1990"))
    assert (found.may_from, found.surely_from) == (SET, SET)
    found = the_one(RULE, well(on="before 2020"))
    assert (found.may_from, found.surely_from) == (SET, date(2019, 12, 31))


def test_the_newest_yield_counts():
    both = [
        reading(Quantity.YIELD_GPM, 5.0, date(2010, 1, 1)),
        reading(Quantity.YIELD_GPM, 12.0, date(2019, 1, 1)),
    ]
    parts = well().components
    assert judged(RULE, hole(components=parts, observations=both)) == []


def test_work_on_the_hole_ends_the_older_yield():
    cracked = visit(date(2022, 1, 1), Reason.HYDROFRACTURING)
    older = [reading(Quantity.YIELD_GPM, 2.0, date(2010, 1, 1))]
    well_ = hole(components=well().components, observations=older, visits=[cracked])
    assert judged(RULE, well_) == []


def test_nothing_to_judge():
    assert judged(RULE, hole()) == []
    assert judged(RULE, well(gives=None)) == []
    assert judged(RULE, well(type=PumpType.HAND)) == []


@pytest.mark.parametrize(("margin", "fires"), [(1.9, True), (2, False)])
def test_a_shop_may_leave_a_margin(margin, fires):
    assert bool(judged(RULE, well(), margin_gpm=margin)) is fires


def test_protection_that_was_taken_out_counts_from_that_day():
    out = date(2024, 2, 1)
    gone = component(Control(low_water_protection=True), set_on=SET, pulled_on=out)
    parts = [pump(SET, rated_gpm=10.0), gone]
    well = hole(components=parts, observations=[reading(Quantity.YIELD_GPM, 8.0, SET)])
    found = the_one(RULE, well)
    assert (found.may_from, found.surely_from) == (out, None)


def test_a_control_of_later_without_protection_counts_from_its_day():
    new = component(Control(low_water_protection=False), set_on=date(2024, 2, 1))
    parts = [pump(SET, rated_gpm=10.0), new]
    well = hole(components=parts, observations=[reading(Quantity.YIELD_GPM, 8.0, SET)])
    assert the_one(RULE, well).surely_from == date(2024, 2, 1)


@pytest.mark.parametrize(
    ("well_", "verdict", "missing"),
    [
        (well(8.0), Verdict.PASS, ()),
        (well(8.1), Verdict.FAIL, ()),
        (well(8.1, protection=None), Verdict.CANNOT_SAY, ("low-water protection",)),
        (well(8.0, protection=None), Verdict.PASS, ()),
        (well(8.1, protection=True), Verdict.PASS, ()),
        (well(None, protection=True), Verdict.PASS, ()),
        (well(None), Verdict.CANNOT_SAY, ("rated flow of the pump",)),
        (well(gives=None), Verdict.CANNOT_SAY, ("yield of the well",)),
    ],
)
def test_the_check(well_, verdict, missing):
    (made,) = RULE.checks(well_, Settings().numbers(RULE))
    assert (made.verdict, made.missing) == (verdict, missing)
    assert (made.margin or 0) >= 0 or verdict is not Verdict.PASS
