"""Doubtful records: level below the bottom, depth under 25 ft or over 1000 ft are flagged in
Michigan's state file of well records (published). The rest is common practice, no published
source.
"""

from datetime import date

import pytest
from rule_holes import (
    ENTERED,
    cable,
    component,
    depth,
    hole,
    interval,
    judged,
    level,
    pipe,
    pump,
    the_one,
    visit,
)

from wellbook.dates import When
from wellbook.hole.parts import Motor, Tank
from wellbook.rules.doubtful_record import RULE
from wellbook.terms import (
    Construction,
    IntervalKind,
    LevelState,
    MeasuringPoint,
    Occasion,
    Reason,
    Severity,
)

STATIC, PUMPING = LevelState.STATIC, LevelState.PUMPING
SET = date(2019, 6, 3)


def subjects(**facts):
    return [f.subject for f in judged(RULE, hole(**facts))]


@pytest.mark.parametrize(
    ("feet", "construction", "fires"),
    [
        (24.9, Construction.DRILLED, True),
        (25, Construction.DRILLED, False),
        (24.9, Construction.UNKNOWN, True),
        (24.9, Construction.DUG, False),
        (24.9, Construction.DRIVEN, False),
        (1000, Construction.DRILLED, False),
        (1000.1, Construction.DRILLED, True),
        (1000.1, Construction.DUG, True),
    ],
)
def test_depth(feet, construction, fires):
    found = judged(RULE, hole(observations=[depth(feet, uid="d")], construction=construction))
    assert [f.subject for f in found] == (["depth"] if fires else [])
    for f in found:
        assert (f.severity, f.occasion) == (Severity.ASK, Occasion.NEXT_VISIT)
        assert f.counts_from == "d"


@pytest.mark.parametrize(("feet", "fires"), [(300, False), (300.1, True)])
def test_level_below_the_bottom(feet, fires):
    for state in (STATIC, PUMPING):
        well = {"observations": [depth(300), level(feet, state)]}
        assert subjects(**well) == (["level below the bottom"] if fires else [])


def test_a_level_from_the_casing_s_top_is_brought_to_the_ground():
    seen = [depth(300), level(301.5, STATIC, point=MeasuringPoint.CASING_TOP)]
    assert subjects(observations=seen, stick_up_ft=1.5) == []
    assert subjects(observations=seen, stick_up_ft=1.4) == ["level below the bottom"]


def test_levels_without_a_value_or_a_depth_to_compare():
    assert subjects(observations=[depth(300), level(None, LevelState.DRY)]) == []
    assert subjects(observations=[level(900, STATIC)]) == []


def test_a_level_from_before_the_hole_was_deepened_is_compared_with_nothing():
    deepened = visit(date(2022, 1, 1), Reason.DEEPENING)
    seen = [level(310, STATIC, date(2010, 1, 1)), depth(300, date(2023, 1, 1))]
    assert subjects(observations=seen, visits=[deepened]) == []


@pytest.mark.parametrize(("feet", "fires"), [(300, False), (300.1, True), (None, False)])
def test_pump_below_the_bottom(feet, fires):
    found = subjects(components=[pump(SET, set_depth_ft=feet)], observations=[depth(300)])
    assert found == (["pump below the bottom"] if fires else [])


@pytest.mark.parametrize(
    ("top", "bottom", "fires"),
    [(0, 64, False), (64, 64, False), (64, 63.9, True), (None, 5, False), (5, None, False)],
)
def test_casing_from_below_to(top, bottom, fires):
    assert subjects(intervals=[interval(top, bottom)]) == (["casing"] if fires else [])


def test_any_interval_and_its_open_beginning():
    found = the_one(RULE, hole(intervals=[interval(200, 180, IntervalKind.SCREEN)]))
    assert (found.may_from, found.surely_from) == (None, ENTERED)


@pytest.mark.parametrize(
    ("feet", "fires"), [(249.9, False), (250, True), (259, True), (260, True), (270, False)]
)
def test_static_level_within_10_ft_of_the_pump(feet, fires):
    found = subjects(components=[pump(SET, set_depth_ft=260.0)], observations=[level(feet, STATIC)])
    assert found == (["static level at the pump"] if fires else [])


@pytest.mark.parametrize("construction", [Construction.DUG, Construction.DRIVEN])
def test_in_a_dug_or_driven_well_the_water_stands_near_the_pump(construction):
    parts, seen = [pump(SET, set_depth_ft=20.0)], [level(15, STATIC)]
    assert subjects(components=parts, observations=seen, construction=construction) == []


def test_a_pumping_level_may_be_near_the_pump():
    parts, seen = [pump(SET, set_depth_ft=260.0)], [level(255, PUMPING)]
    assert subjects(components=parts, observations=seen) == []


def test_static_at_the_pump_holds_from_the_later_of_the_two():
    parts = [pump("before 2010", set_depth_ft=260.0)]
    well = hole(components=parts, observations=[level(255, STATIC, "about 2015")])
    found = the_one(RULE, well)
    assert (found.may_from, found.surely_from) == (date(2014, 1, 1), date(2016, 12, 31))


@pytest.mark.parametrize(("static_ft", "fires"), [(199, False), (200, False), (200.1, True)])
def test_static_level_below_that_day_s_pumping_level(static_ft, fires):
    seen = [level(static_ft, STATIC, SET), level(200, PUMPING, SET)]
    assert subjects(observations=seen) == (["static below pumping level"] if fires else [])


def test_steps_of_a_test_the_deepest_counts():
    seen = [
        level(180, STATIC, SET),
        level(170, PUMPING, SET),
        level(190, PUMPING, SET),
    ]
    assert subjects(observations=seen) == []


def test_levels_of_different_days_or_of_days_that_nobody_knows():
    other = [level(210, STATIC, SET), level(200, PUMPING, date(2019, 6, 4))]
    assert subjects(observations=other) == []
    unsure = [level(210, STATIC, "2019"), level(200, PUMPING, "2019")]
    assert subjects(observations=unsure) == []
    one_sheet = [
        level(210, STATIC, "2019", sheet_uid="v"),
        level(200, PUMPING, "2019", sheet_uid="v"),
    ]
    assert subjects(observations=one_sheet) == ["static below pumping level"]


@pytest.mark.parametrize(
    ("model_year", "set_on", "fires"),
    [
        ("2020", date(2019, 12, 31), True),
        ("2020", date(2020, 1, 1), False),
        ("about 2020", date(2019, 6, 3), False),
        ("2020", "2019/2020", False),
        ("2020", "since 2010", False),
        ("2020", None, False),
        ("unknown", SET, False),
        (None, SET, False),
    ],
)
def test_model_year_later_than_the_setting(model_year, set_on, fires):
    found = subjects(components=[pump(set_on, model_year=model_year)])
    assert found == (["pump model year"] if fires else [])


def test_other_parts_made_after_they_were_set():
    year = When.parse("2021", said_on=ENTERED)
    parts = [
        cable(SET, made="2020"),
        component(Motor(model_year=year), set_on=SET),
        component(Tank(made=year), set_on=SET),
    ]
    assert subjects(components=parts) == ["cable made", "motor model year", "tank made"]


def test_a_date_slip_holds_from_the_day_it_went_on_record():
    found = the_one(RULE, hole(components=[pump(SET, model_year="2020")]))
    assert (found.may_from, found.surely_from) == (ENTERED, ENTERED)


@pytest.mark.parametrize(
    ("pulled_on", "fires"), [(date(2019, 6, 2), True), (SET, False), ("2019", False)]
)
def test_pulled_before_set(pulled_on, fires):
    found = subjects(components=[pump(SET, pulled_on=pulled_on)])
    assert found == (["pump pulled before set"] if fires else [])


@pytest.mark.parametrize(
    ("drilled", "fires"),
    [(date(2019, 6, 4), True), (SET, False), ("2019", False), ("2020", True), ("unknown", False)],
)
def test_drilled_after_something_was_set(drilled, fires):
    year = When.on(drilled) if isinstance(drilled, date) else When.parse(drilled, said_on=ENTERED)
    found = judged(RULE, hole(components=[cable(), pump(SET)], drilled_on=year))
    assert [f.subject for f in found] == (["drilled date"] if fires else [])


def test_a_tank_may_have_served_an_older_well():
    tank = component(Tank(), set_on="1990")
    year = When.parse("2005", said_on=ENTERED)
    assert subjects(components=[tank], drilled_on=year) == []


def test_each_doubt_has_its_own_subject_and_occurrence():
    well = hole(
        components=[pump(SET, set_depth_ft=350.0, model_year="2022")],
        observations=[depth(300), level(345, STATIC, SET), level(320, PUMPING, SET)],
        intervals=[interval(64, 0)],
    )
    found = judged(RULE, well)
    assert len(found) == 7
    assert len({f.occurrence for f in found}) == 7
    assert len({f.subject for f in found}) == 6


def test_a_shop_may_change_the_feet():
    parts, seen = [pump(SET, set_depth_ft=260.0)], [depth(300), level(245, STATIC)]
    well = hole(components=parts, observations=seen)
    assert judged(RULE, well) == []
    changed = {"near_pump_ft": 15, "shallow_ft": 301}
    assert len(judged(RULE, well, **changed)) == 2
    assert the_one(RULE, well, deep_ft=299).subject == "depth"


def test_nothing_is_known():
    assert judged(RULE, hole()) == []


@pytest.mark.parametrize(("metres", "fires"), [(304.8, False), (304.801, True), (7.62, False)])
def test_a_depth_that_was_metres_on_the_sheet(metres, fires):
    """1000 ft is 304.8 m and 25 ft is 7.62 m, 0.3048 m to the foot by definition."""
    found = judged(RULE, hole(observations=[depth(metres / 0.3048)]))
    assert bool(found) is fires
    assert all("1000.003 ft is doubtful: over 1000 ft" in f.reason for f in found)


# -- a pump below its pipe -----------------------------------------------------------------------


@pytest.mark.parametrize(("set_ft", "fires"), [(300, False), (310, False), (310.1, True)])
def test_a_pump_below_the_end_of_its_pipe(set_ft, fires):
    parts = [pipe(SET, to_ft=300.0), pump(SET, set_depth_ft=set_ft)]
    assert subjects(components=parts) == (["pump below its pipe"] if fires else [])


def test_it_says_how_far_below_and_counts_from_the_later_of_the_two():
    later = date(2025, 4, 1)
    new = pump(later, set_depth_ft=450.0, uid="new")
    found = the_one(RULE, hole(components=[pipe("1999", to_ft=300.0), new]))
    assert "hangs 150 ft below the end of its pipe on record, 300 ft" in found.reason
    assert (found.counts_from, found.severity) == ("new", Severity.ASK)
    assert (found.may_from, found.surely_from) == (later, later)


@pytest.mark.parametrize(
    "parts",
    [
        [pump(SET, set_depth_ft=450.0)],
        [pump(SET), pipe(SET, to_ft=300.0)],
        [pump(SET, set_depth_ft=450.0), pipe(SET)],
        [pump(SET, set_depth_ft=450.0), pipe(SET, to_ft=300.0), pipe(SET, from_ft=300.0)],
        [pipe(SET, to_ft=300.0)],
    ],
    ids=["no pipe", "no depth", "no end", "the lower one has no end", "no pump"],
)
def test_where_the_end_or_the_pump_is_unknown_there_is_no_doubt(parts):
    assert subjects(components=parts) == []
