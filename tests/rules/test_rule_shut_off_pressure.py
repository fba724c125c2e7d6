"""Shut-off pressure: 0.4335 psi a foot (62.4 lb a cubic foot); 315.5 ft are 136.8, shown as 137 psi."""

from datetime import date

import pytest
from lift_holes import CURVE, SET, checked, lifting
from rule_holes import judged, pipe, the_one

from wellbook.engineering.curves import HeadCurve
from wellbook.rules.shut_off_pressure import ASPECT, RULE
from wellbook.terms import Occasion, PumpType, Severity, Verdict


def on_pipe(rating, *more, set_on=SET, **facts):
    section = pipe(set_on, rating_psi=rating, to_ft=250.0, material="pe4710")
    return lifting(250, section, *more, **facts)


@pytest.mark.parametrize(("rating", "verdict"), [(137, Verdict.PASS), (136, Verdict.FAIL)])
def test_both_sides_by_its_curve(rating, verdict):
    well = on_pipe(rating, curve=CURVE)
    assert checked(RULE, well)[ASPECT].verdict is verdict
    assert len(judged(RULE, well)) == (verdict is Verdict.FAIL)


@pytest.mark.parametrize(
    ("rating", "verdict"),
    # 3/4 hp rated 10 gpm: 289.6 to 401 ft are 126 to 174 psi.
    [
        (174, Verdict.PASS),
        (173, Verdict.CANNOT_SAY),
        (126, Verdict.CANNOT_SAY),
        (125, Verdict.FAIL),
    ],
)
def test_both_sides_by_an_estimate(rating, verdict):
    well = on_pipe(rating)
    made = checked(RULE, well)[ASPECT]
    assert made.verdict is verdict
    assert len(judged(RULE, well)) == (verdict is Verdict.FAIL)
    assert ("curve of the pump" in made.missing) is (verdict is Verdict.CANNOT_SAY)


def test_nobody_pulls_a_pump_for_it():
    found = the_one(RULE, on_pipe(100, curve=CURVE))
    assert (found.severity, found.occasion) == (Severity.WATCH, Occasion.NEXT_PULL)
    assert (found.may_from, found.surely_from) == (SET, SET)


def test_an_uncertain_setting():
    found = the_one(RULE, on_pipe(100, set_on="2020/2021", curve=CURVE))
    # It hung there by the day it went on record.
    assert (found.may_from, found.surely_from) == (date(2020, 1, 1), date(2020, 1, 15))


def test_only_the_section_at_the_pump_counts():
    upper = pipe(SET, rating_psi=100.0, from_ft=0.0, to_ft=100.0)
    lower = pipe(SET, rating_psi=200.0, from_ft=100.0, to_ft=250.0)
    assert judged(RULE, lifting(250, upper, lower, curve=CURVE)) == []


@pytest.mark.parametrize(
    ("well", "missing"),
    [
        (on_pipe(None, curve=CURVE), ("rating of the pipe at the pump",)),
        (on_pipe(100, hp=None), ("horsepower",)),
        (
            on_pipe(100, curve=HeadCurve(((2, 300), (10, 220)))),
            ("curve of the pump at no flow",),
        ),
        (
            lifting(300, pipe(SET, rating_psi=100.0, to_ft=200.0), curve=CURVE),
            ("rating of the pipe at the pump",),
        ),
    ],
    ids=["rating", "horsepower", "curve", "pump below its pipe"],
)
def test_what_is_missing_is_said(well, missing):
    made = checked(RULE, well)[ASPECT]
    assert (made.verdict, made.missing) == (Verdict.CANNOT_SAY, missing)
    assert judged(RULE, well) == []


def test_nothing_to_judge():
    steel = pipe(SET, material="galvanized_steel", to_ft=250.0)
    assert checked(RULE, lifting(250, steel, curve=CURVE)) == {}
    assert checked(RULE, lifting(250, curve=CURVE)) == {}
    assert checked(RULE, on_pipe(100, type=PumpType.HAND)) == {}
