"""A falling specific capacity: 10 per cent (Houben and Treskatis 2003) and 15 per cent (a hydrogeology
consultancy) are published. The specific capacities here are computed by hand.
"""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rule_holes import hole, judged, level, the_one, visit

from wellbook.dates import When
from wellbook.rules.falling_capacity import RULE
from wellbook.rules.finding import Settings
from wellbook.terms import Basis, LevelState, MeasuringPoint, Occasion, Reason, Severity, Verdict

FIRST, LAST = date(2015, 6, 1), date(2025, 6, 1)


def pumped(on, drawdown_ft, *, gpm=10.0, minutes=240.0, rest_ft=40.0, uid="", **more):
    """A level at rest and one drawn down, of one day."""
    names = {"uid": f"{uid}-rest"} if uid else {}
    drawn = {"uid": f"{uid}-drawn"} if uid else {}
    down = {"at_gpm": gpm, "minutes": minutes}
    return [
        level(rest_ft, LevelState.STATIC, on, **names, **more),
        level(rest_ft + drawdown_ft, LevelState.PUMPING, on, **down, **drawn, **more),
    ]


def well(*tests, **facts):
    return hole(observations=[o for test in tests for o in test], **facts)


def checked(well_, **changed):
    changed = {f"{RULE.name}.{name}": value for name, value in changed.items()}
    return {c.aspect: c for c in RULE.checks(well_, Settings(changed).numbers(RULE))}


def the_check(well_, **changed):
    return checked(well_, **changed)["specific capacity"]


@pytest.mark.parametrize(
    ("drawdown_ft", "severity"),
    [
        # 10 gpm at 45 ft is 0.2222 gpm/ft; a tenth less is at 50 ft, 15 per cent less at 52.94 ft.
        (40.0, None),
        (45.0, None),
        (49.9, None),
        (50.0, Severity.WATCH),
        (52.9, Severity.WATCH),
        (52.95, Severity.PLAN),
        (90.0, Severity.PLAN),
    ],
)
def test_both_triggers(drawdown_ft, severity):
    well_ = well(pumped(FIRST, 45.0), pumped(LAST, drawdown_ft))
    assert [f.severity for f in judged(RULE, well_)] == ([severity] if severity else [])
    assert the_check(well_).verdict is (Verdict.FAIL if severity else Verdict.PASS)


def test_it_says_both_tests():
    found = the_one(RULE, well(pumped(FIRST, 40.0), pumped(LAST, 80.0, gpm=9.0)))
    assert "10 gpm drew it down 40 ft in 240 minutes, 2015-06-01" in found.reason
    assert "9 gpm drew it down 80 ft in 240 minutes, 2025-06-01" in found.reason
    # 9/80 is 0.1125 and 10/40 is 0.25: 55 per cent less.
    assert "55 per cent less" in found.reason
    assert found.occasion is Occasion.NEXT_PULL
    assert (found.may_from, found.surely_from) == (LAST, LAST)


def test_a_passing_check_has_its_numbers():
    made = the_check(well(pumped(FIRST, 45.0), pumped(LAST, 45.0)))
    assert (made.value, made.limit, made.margin) == (0.0, 10, 10.0)
    assert made.finding is None


@pytest.mark.parametrize(
    ("tests", "missing"),
    [
        ([], "two tests of like rate and length"),
        ([pumped(FIRST, 45.0)], "two tests of like rate and length"),
        # A rate 30 per cent higher; three times as long.
        ([pumped(FIRST, 45.0), pumped(LAST, 90.0, gpm=13.0)], "two tests of like rate and length"),
        (
            [pumped(FIRST, 45.0), pumped(LAST, 90.0, minutes=720)],
            "two tests of like rate and length",
        ),
        ([pumped(FIRST, 45.0, minutes=None), pumped(LAST, 90.0)], "how long the tests ran"),
        ([pumped(FIRST, 45.0), pumped(LAST, 90.0, gpm=None)], "two tests of like rate and length"),
        ([pumped(FIRST, 45.0), pumped(LAST, -5.0)], "two tests of like rate and length"),
        ([pumped(FIRST, 45.0), pumped(LAST, 90.0, gpm=0.0)], "two tests of like rate and length"),
        (
            [pumped(FIRST, 45.0), pumped(LAST, 90.0, basis=Basis.CUSTOMER_TOLD)],
            "two tests of like rate and length",
        ),
    ],
)
def test_nothing_to_compare(tests, missing):
    made = the_check(well(*tests))
    assert made.verdict is Verdict.CANNOT_SAY
    assert made.missing == (missing,)
    assert judged(RULE, well(*tests)) == []


def test_a_pumping_level_without_a_level_at_rest_is_no_test():
    seen = [o for o in pumped(LAST, 90.0) if o.state is LevelState.PUMPING]
    assert the_check(well(pumped(FIRST, 45.0), seen)).verdict is Verdict.CANNOT_SAY


def test_two_points_of_one_day_are_one_datum():
    seen = pumped(LAST, 45.0, point=MeasuringPoint.CASING_TOP)
    made = the_check(well(pumped(FIRST, 45.0), seen, stick_up_ft=1.5))
    assert made.value == 0.0


def test_the_oldest_like_test_is_what_it_is_held_against():
    tests = [pumped(FIRST, 45.0, uid="a"), pumped(date(2020, 6, 1), 52.0), pumped(LAST, 52.0)]
    found = the_one(RULE, well(*tests))
    assert found.counts_from == "a-drawn"
    assert found.severity is Severity.WATCH
    # One of another rate between them changes nothing.
    other = pumped(date(2010, 6, 1), 10.0, gpm=4.0)
    assert the_one(RULE, well(other, *tests)).occurrence == found.occurrence


def test_a_log_s_test_counts_and_is_named():
    log = pumped(When.between(None, date(2004, 12, 31)), 40.0, basis=Basis.DRILLERS_LOG)
    log = [
        o.__class__(**{**{f: getattr(o, f) for f in o.__slots__}, "sheet_uid": "o"}) for o in log
    ]
    found = the_one(RULE, well(log, pumped(LAST, 60.0)))
    assert "drillers log" in found.reason
    assert found.may_from == LAST


def test_a_test_of_an_uncertain_day():
    found = the_one(RULE, well(pumped(FIRST, 45.0), pumped(LAST, 90.0)))
    assert found.surely_from == LAST
    assert judged(RULE, well(pumped("2015", 45.0), pumped(LAST, 90.0))) == []


def test_after_work_on_the_hole_it_counts_anew_and_says_what_was_gained():
    done = visit(date(2020, 1, 7), Reason.HYDROFRACTURING)
    tests = [pumped(FIRST, 80.0, gpm=1.0), pumped(LAST, 40.0, gpm=5.0)]
    made = checked(well(*tests, visits=[done]))
    assert made["specific capacity"].verdict is Verdict.CANNOT_SAY
    gained = made["gained by the work on the hole"]
    # 1 gpm at 80 ft is 0.0125, 5 gpm at 40 ft is 0.125: ten times as much.
    assert gained.value == pytest.approx(900)
    assert gained.verdict is Verdict.PASS
    assert "not alike" in gained.says
    worse = checked(well(pumped(FIRST, 40.0), pumped(LAST, 60.0), visits=[done]))
    assert worse["gained by the work on the hole"].verdict is Verdict.FAIL
    assert judged(RULE, well(pumped(FIRST, 40.0), pumped(LAST, 60.0), visits=[done])) == []


def test_a_shop_may_change_the_triggers():
    well_ = well(pumped(FIRST, 45.0), pumped(LAST, 52.0))
    assert judged(RULE, well_, watch_percent=14) == []
    assert the_one(RULE, well_, plan_percent=12).severity is Severity.PLAN
    with pytest.raises(ValueError, match="plan_percent"):
        changed = Settings({"falling-capacity.watch_percent": 20.0}).numbers(RULE)
        RULE.check_order("watch_percent", changed)


TESTS = st.lists(
    st.tuples(
        st.dates(date(2008, 1, 1), date(2024, 12, 1)),
        st.sampled_from([40.0, 46.0, 50.0, 60.0]),
        st.sampled_from([10.0, 10.0, 11.0, 20.0]),
    ),
    min_size=2,
    max_size=6,
    unique_by=lambda test: test[0],
)


@settings(max_examples=200)
@given(tests=TESTS, day=st.dates(date(2008, 1, 1), date(2026, 1, 1)), worked=st.booleans())
def test_what_was_due_by_a_day_is_there_as_of_that_day(tests, day, worked):
    done = [visit(date(2014, 3, 3), Reason.CLEANING_OUT)] if worked else []
    rows = [pumped(on, ft, gpm=gpm, uid=f"t{n}") for n, (on, ft, gpm) in enumerate(tests)]
    well_ = well(*rows, visits=done)
    then = {f.occurrence for f in judged(RULE, well_.on(day)) if f.holds(day)}
    for found in judged(RULE, well_):
        if found.holds(day):
            assert found.occurrence in then
