"""Insulation of motor and cable in the well, by the bands of two makers' tables: 2 and 0.5 megohm in
both, 0.02 and 0.01 in the older one only. That a fall to half is worth a line is a proposal.
"""

from datetime import date

import pytest
from rule_holes import cable, component, hole, judged, pump, reading, the_one

from wellbook.hole.facts import OVER_THE_SCALE
from wellbook.hole.parts import Motor
from wellbook.rules.finding import Settings
from wellbook.rules.insulation import READING, RULE, TREND
from wellbook.terms import Basis, Occasion, PumpType, Quantity, Severity, Verdict

SET, FIRST, NEXT = date(2019, 6, 3), date(2021, 5, 4), date(2025, 5, 6)
DAYS = (FIRST, date(2023, 5, 5), NEXT)


def read(megohm, on=NEXT, **more):
    return reading(Quantity.INSULATION_MEGOHM, megohm, on, **more)


def hung(*megohms, **facts):
    """A pump set in 2019 with its readings, the last of them in 2025."""
    days = DAYS[len(DAYS) - len(megohms) :]
    seen = [read(m, day) for m, day in zip(megohms, days, strict=True)]
    parts = [pump(SET, hp=1.0, uid="p"), cable(SET, awg=12)]
    return hole(**{"components": parts, "observations": seen, **facts})


def checked(well):
    return {check.aspect: check for check in RULE.checks(well, Settings().numbers(RULE))}


@pytest.mark.parametrize(
    ("megohm", "severity", "occasion"),
    [
        (0.0, Severity.ACT, Occasion.NOW),
        (0.0099, Severity.ACT, Occasion.NOW),
        (0.01, Severity.ACT, Occasion.NEXT_VISIT),
        (0.0199, Severity.ACT, Occasion.NEXT_VISIT),
        (0.02, Severity.PLAN, Occasion.NEXT_PULL),
        (0.499, Severity.PLAN, Occasion.NEXT_PULL),
        (0.5, None, None),
        (2.0, None, None),
        (500.0, None, None),
    ],
)
def test_one_reading(megohm, severity, occasion):
    well = hung(megohm)
    found = judged(RULE, well)
    assert [(f.severity, f.occasion) for f in found] == ([(severity, occasion)] if severity else [])
    assert checked(well)[READING].verdict is (Verdict.FAIL if severity else Verdict.PASS)
    for one in found:
        assert (one.may_from, one.surely_from) == (NEXT, NEXT)
        assert "locked out" in one.action and "electrician" in one.action


def test_where_the_tables_disagree_both_are_shown_and_nobody_pulls_for_it_alone():
    found = the_one(RULE, hung(0.3))
    assert "by the current table of 3 bands damage" in found.reason
    assert "by the older table of 5 bands doubtful" in found.reason
    assert "do not pull for this alone" in found.action


def test_where_they_agree_both_are_named_once():
    says = checked(hung(4.0))[READING].says
    assert "by both tables" in says and "3 bands" in says and "5, new" in says


def test_the_trend_is_weighed_where_the_tables_disagree():
    steady, falls = the_one(RULE, hung(0.5, 0.4)), the_one(RULE, hung(40.0, 0.4))
    assert (steady.severity, steady.occasion) == (Severity.PLAN, Occasion.NEXT_PULL)
    assert (falls.severity, falls.occasion) == (Severity.PLAN, Occasion.NEXT_VISIT)
    assert "not falling: 0.5 megohm before" in steady.reason
    assert "falling: 40 megohm before" in falls.reason
    assert "measure again" in falls.action and "do not pull for one reading" in falls.action


@pytest.mark.parametrize(
    ("readings", "falls"),
    [
        ((200.0, 100.0), True),
        ((200.0, 101.0), False),
        ((100.0, 200.0), False),
        # The middle of 300 and 100 is 200; one odd reading alone makes no trend.
        ((300.0, 100.0, 100.0), True),
        ((300.0, 100.0, 101.0), False),
    ],
)
def test_falling_by_half(readings, falls):
    well = hung(*readings)
    found = judged(RULE, well)
    assert [(f.severity, f.occasion) for f in found] == [
        (Severity.WATCH, Occasion.NEXT_VISIT)
    ] * falls
    check = checked(well)[TREND]
    assert check.verdict is (Verdict.FAIL if falls else Verdict.PASS)
    assert (check.margin <= 0) is falls
    assert all("measure again" in f.action for f in found)


def test_a_low_reading_that_falls_is_one_finding():
    well = hung(40.0, 0.3)
    assert len(judged(RULE, well)) == 1
    assert {c.verdict for c in checked(well).values()} == {Verdict.FAIL}


def test_the_shop_s_own_ratio():
    assert judged(RULE, hung(200.0, 100.0), falling_ratio=0.4) == []


def test_a_needle_past_the_last_mark_passes_and_never_falls():
    seen = [read(2000.0, FIRST), read(500.0, method=OVER_THE_SCALE)]
    well = hung(observations=seen)
    assert judged(RULE, well) == []
    made = checked(well)
    assert {c.verdict for c in made.values()} == {Verdict.PASS}
    assert made[READING].says.startswith("over 500 megohm")


def test_cannot_say_without_a_reading_or_an_earlier_one():
    assert checked(hung())[READING].verdict is Verdict.CANNOT_SAY
    one = checked(hung(20.0))
    assert one[READING].verdict is Verdict.PASS
    assert one[TREND].missing == ("an earlier insulation reading",)


@pytest.mark.parametrize("changed", ["pump", "motor", "cable"])
def test_a_reading_from_before_a_part_was_set_says_nothing_of_it(changed):
    later = date(2025, 5, 7)
    new = {
        "pump": pump(later, hp=1.0),
        "motor": component(Motor(), set_on=later),
        "cable": cable(later, awg=12),
    }[changed]
    well = hung(0.1, components=[pump(SET, hp=1.0), new])
    assert judged(RULE, well) == []
    assert checked(well)[READING].verdict is Verdict.CANNOT_SAY


def test_a_burnt_motor_is_read_before_it_is_pulled():
    """The reading of that visit is of either, so it is held against neither."""
    old = pump(SET, pulled_on=NEXT, pulled_by="v")
    new = pump(NEXT, hp=1.0, set_by="v", noted_on=NEXT)
    seen = read(0.0, sheet_uid="v")
    assert judged(RULE, hole(components=[old, new], observations=[seen])) == []
    # Where nothing was pulled it is of what was set.
    assert judged(RULE, hole(components=[new], observations=[seen]))


def test_an_uncertain_setting_is_never_sure():
    unsure = pump("2023/2026", hp=1.0, noted_on=date(2026, 8, 1))
    found = the_one(RULE, hung(0.1, components=[unsure]))
    assert (found.may_from, found.surely_from) == (NEXT, None)


def test_an_uncertain_day_of_reading():
    unsure = read(0.1, "2024")
    found = the_one(RULE, hung(observations=[unsure]))
    assert (found.may_from, found.surely_from) == (date(2024, 1, 1), date(2024, 12, 31))


def test_what_was_told_is_never_sure():
    told = read(0.1, basis=Basis.CUSTOMER_TOLD)
    assert the_one(RULE, hung(observations=[told])).surely_from is None


def test_as_of_a_day_between_two_readings():
    well = hung(0.3, 20.0)
    assert judged(RULE, well) == []
    assert the_one(RULE, well.on(date(2024, 1, 1))).may_from == DAYS[1]


@pytest.mark.parametrize("parts", [[], [pump(SET, type=PumpType.SHALLOW_JET)]])
def test_nothing_hangs_there(parts):
    assert checked(hung(0.1, components=parts)) == {}


def test_no_tester_shows_such_a_number():
    assert checked(hung(1e9)) == {}


def test_each_grade_is_a_thing_of_its_own():
    """A low one that was put off says nothing of a failed one."""
    names = {the_one(RULE, hung(m)).occurrence for m in (0.3, 0.001)}
    assert len(names) == 2
