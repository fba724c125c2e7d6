"""What is missing on a call: common practice, no published source."""

from datetime import date

import pytest
from rule_holes import ENTERED, hole, judged, level, pipe, pump, reading, the_one, visit

from wellbook.rules.record_gap import RULE
from wellbook.terms import LevelState, Occasion, PumpType, Quantity, Reason, Severity

LEVEL = level(140, LevelState.STATIC)
PIPE = pipe(rating_psi=160.0, to_ft=200.0)


def full(**fields):
    return pump(**{"set_depth_ft": 200.0, "rated_gpm": 10.0, **fields})


def gaps(**facts):
    return [f.subject for f in judged(RULE, hole(**facts))]


def test_nothing_is_missing():
    assert gaps(components=[full(), PIPE], observations=[LEVEL]) == []


@pytest.mark.parametrize(
    ("parts", "readings", "missing"),
    [
        ([full(set_depth_ft=None), PIPE], [LEVEL], "set depth"),
        ([full(), pipe(to_ft=200.0)], [LEVEL], "pipe rating"),
        ([full()], [LEVEL], "pipe rating"),
        ([full(rated_gpm=None), PIPE], [LEVEL], "pump flow"),
        ([full(), PIPE], [], "water level"),
        ([], [LEVEL], "pump"),
    ],
)
def test_each_gap_by_itself(parts, readings, missing):
    found = the_one(RULE, hole(components=parts, observations=readings))
    assert found.subject == missing
    assert (found.severity, found.occasion) == (Severity.ASK, Occasion.NEXT_VISIT)
    assert (found.may_from, found.surely_from) == (ENTERED, ENTERED)


def test_all_at_once_with_one_question_each():
    found = judged(RULE, hole(components=[pump()]))
    assert [f.subject for f in found] == ["set depth", "pump flow", "pipe rating", "water level"]
    assert len({f.occurrence for f in found}) == 4
    assert all("ask" in f.action for f in found)


def test_a_rating_that_follows_from_material_and_wall_is_no_gap():
    """SIDR 9 in PE4710 is 200 psi (ASTM D2239 by the published formula)."""
    section = pipe(material="pe4710", wall="SIDR 9", to_ft=200.0)
    assert gaps(components=[full(), section], observations=[LEVEL]) == []


def test_steel_pipe_bears_no_rating():
    section = pipe(material="galvanized_steel", wall="sch 40", to_ft=200.0)
    assert gaps(components=[full(), section], observations=[LEVEL]) == []


def test_each_section_without_a_rating():
    parts = [full(), PIPE, pipe(from_ft=200.0, to_ft=260.0), pipe(from_ft=260.0, to_ft=300.0)]
    assert gaps(components=parts, observations=[LEVEL]) == ["pipe rating"] * 2


def test_a_measured_flow_answers_the_question():
    seen = [LEVEL, reading(Quantity.FLOW_GPM, 7.0)]
    assert gaps(components=[full(rated_gpm=None), PIPE], observations=seen) == []


@pytest.mark.parametrize(
    ("kind", "missing"),
    [
        (PumpType.SUBMERSIBLE, ["set depth", "pump flow", "pipe rating"]),
        (PumpType.LINESHAFT, ["set depth", "pump flow"]),
        (PumpType.DEEP_JET, ["set depth", "pump flow"]),
        (PumpType.SHALLOW_JET, ["pump flow"]),
        (PumpType.HAND, []),
    ],
)
def test_only_gaps_that_make_sense_for_the_pump(kind, missing):
    assert gaps(components=[pump(type=kind)], observations=[LEVEL]) == missing


@pytest.mark.parametrize(
    ("seen", "missing"),
    [
        (level(None, LevelState.DRY), []),
        (level(None, LevelState.FLOWING), []),
        (level(None, LevelState.OBSTRUCTED), ["water level"]),
    ],
)
def test_what_tells_of_a_level(seen, missing):
    assert gaps(components=[full(), PIPE], observations=[seen]) == missing


def test_a_flowing_well_may_need_neither_pump_nor_level():
    assert gaps(flowing=True) == []


def test_a_well_whose_pump_is_out_is_another_rule_s():
    assert gaps(components=[pump("1990", pulled_on="2005")], observations=[LEVEL]) == []


def test_a_level_from_before_the_hole_was_deepened_is_none():
    deepened = visit(date(2022, 1, 1), Reason.DEEPENING)
    seen = [level(140, LevelState.STATIC, date(2010, 1, 1))]
    well = hole(components=[full(), PIPE], observations=seen, visits=[deepened])
    assert the_one(RULE, well).may_from == date(2022, 1, 1)


def test_a_pump_that_came_later_is_asked_about_from_then():
    later = date(2024, 1, 1)
    well = hole(components=[full(set_depth_ft=None, noted_on=later), PIPE], observations=[LEVEL])
    assert the_one(RULE, well).may_from == later


@pytest.mark.parametrize(
    ("read", "asks"),
    [(date(2018, 1, 1), True), (date(2019, 6, 3), False), (date(2024, 1, 1), False)],
)
def test_a_flow_of_the_pump_before_says_nothing_of_this_one(read, asks):
    parts = [pump(date(2019, 6, 3), set_depth_ft=200)]
    well = hole(components=parts, observations=[reading(Quantity.FLOW_GPM, 6, read)])
    assert ("pump flow" in [f.subject for f in judged(RULE, well)]) is asks
