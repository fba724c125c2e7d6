"""Observed stall: a pump stalls at its shut-off head less the rise (its curve; 315.5 ft here).

That 15 % either way is left alone is common practice, no published source.
"""

from datetime import date

import pytest
from lift_holes import CURVE, SET, checked, lifting
from rule_holes import judged, reading, the_one

from wellbook.engineering.curves import HeadCurve
from wellbook.rules.observed_stall import ASPECT, RULE
from wellbook.terms import Occasion, Quantity, Severity, Verdict

SEEN = date(2024, 5, 1)


def stalled(feet, on=SEEN, **more):
    seen = [reading(Quantity.STALL_LEVEL_FT, feet, on)]
    return lifting(400, **{"curve": CURVE, **more}, observations=seen)


@pytest.mark.parametrize(
    ("feet", "severity"),
    [
        # 315 ft in whole feet; 85 % are 267.75 ft, 115 % 362.25 ft.
        (267.7, Severity.PLAN),
        (267.8, None),
        (315, None),
        (362.2, None),
        (362.3, Severity.ASK),
    ],
)
def test_both_sides_of_the_tolerance(feet, severity):
    well = stalled(feet)
    assert [f.severity for f in judged(RULE, well)] == ([severity] if severity else [])
    wanted = Verdict.FAIL if severity else Verdict.PASS
    made = checked(RULE, well)[ASPECT]
    assert made.verdict is wanted
    assert made.margin is not None and (made.margin >= 0) is (wanted is Verdict.PASS)


@pytest.mark.parametrize(
    # 3/4 hp rated 10 gpm is estimated to stall at 289 to 400 ft: 245.65 and 460 ft.
    ("feet", "severity"),
    [(245, Severity.PLAN), (246, None), (460, None), (461, Severity.ASK)],
)
def test_by_an_estimate(feet, severity):
    found = judged(RULE, stalled(feet, curve=None))
    assert [f.severity for f in found] == ([severity] if severity else [])


def test_it_says_what_it_may_be_and_warns():
    found = the_one(RULE, stalled(200))
    assert found.occasion is Occasion.NEXT_VISIT
    for cause in ("worn", "leaks", "record is wrong"):
        assert cause in found.reason
    assert "overheats" in found.action
    assert (found.may_from, found.surely_from) == (SEEN, SEEN)


def test_the_switch_has_no_part_in_it():
    assert judged(RULE, stalled(300, cut_out_psi=None)) == []
    assert the_one(RULE, stalled(200, cut_out_psi=None)).surely_from == SEEN


@pytest.mark.parametrize(
    ("on", "count", "sure"),
    [
        (date(2018, 1, 1), 0, None),
        ("2019", 1, None),
        ("2021/2023", 1, date(2023, 12, 31)),
        (None, 1, None),
    ],
    ids=["of the pump before", "perhaps before", "some year", "nobody knows when"],
)
def test_only_a_stall_of_this_pump_counts(on, count, sure):
    found = judged(RULE, stalled(200, on))
    assert len(found) == count
    assert [f.surely_from for f in found] == [sure] * count
    assert all(f.may_from is None or f.may_from >= SET for f in found)


def test_without_a_stall_there_is_nothing_to_say():
    assert checked(RULE, lifting(400, curve=CURVE)) == {}


def test_what_is_missing_is_said():
    assert checked(RULE, stalled(200, curve=None, hp=None))[ASPECT].missing == ("horsepower",)
    begun = HeadCurve(((2, 300), (10, 220)))
    assert checked(RULE, stalled(200, curve=begun))[ASPECT].missing == (
        "curve of the pump at no flow",
    )
