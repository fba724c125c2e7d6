"""String fittings: steel or brass, and a second check valve, from 300 ft. Common practice, no
published source.
"""

from datetime import date

import pytest
from rule_holes import component, hole, judged, pipe, pump, the_one, visit

from wellbook.hole.parts import CheckValve, Seal
from wellbook.rules.finding import Settings
from wellbook.rules.string_fittings import RULE
from wellbook.terms import Occasion, PumpType, Reason, SealType, Severity, Verdict

SET = date(2019, 6, 3)
JOB = visit(SET, Reason.REPLACEMENT, uid="job", opened=True)


def sealed(material, set_depth_ft=300.0, **more):
    seal = component(Seal(type=SealType.PITLESS_ADAPTER, material=material), set_on=SET)
    return hole(components=[seal, pump(SET, set_depth_ft=set_depth_ft)], **more)


def seen(set_depth_ft, *parts, **fields):
    """A pump that a crew of the shop's own set."""
    down = pump(SET, set_depth_ft=set_depth_ft, set_by="job", noted_on=SET, **fields)
    return hole(components=[down, *parts], visits=[JOB])


@pytest.mark.parametrize(
    ("material", "fires"),
    [
        ("plastic", True),
        ("PVC", True),
        ("polyethylene", True),
        ("ABS", True),
        ("brass", False),
        ("steel", False),
        ("plastic-coated steel", False),
        ("copper", False),
        (None, False),
    ],
)
def test_materials(material, fires):
    assert bool(judged(RULE, sealed(material))) is fires


@pytest.mark.parametrize(("set_depth_ft", "fires"), [(299.9, False), (300, True), (None, False)])
def test_plastic_from_300_ft(set_depth_ft, fires):
    found = judged(RULE, sealed("plastic", set_depth_ft))
    assert bool(found) is fires
    assert all((f.severity, f.occasion) == (Severity.PLAN, Occasion.NEXT_PULL) for f in found)


def test_the_pipe_tells_the_length_where_the_pump_does_not():
    seal = component(Seal(material="plastic"), set_on=SET)
    parts = [seal, pipe(SET, to_ft=200.0), pipe(SET, from_ft=200.0, to_ft=320.0)]
    assert the_one(RULE, hole(components=parts)).numbers["string_ft"] == 320.0


def test_an_uncertain_seal_on_a_certain_pump():
    seal = component(Seal(material="plastic"), set_on="about 2020")
    found = the_one(RULE, hole(components=[seal, pump(SET, set_depth_ft=300.0)]))
    # On record since it was entered (2020-01-15): it cannot be of a later day.
    assert (found.may_from, found.surely_from) == (SET, date(2020, 1, 15))


@pytest.mark.parametrize(("set_depth_ft", "fires"), [(299.9, False), (300, True), (None, False)])
def test_a_second_check_valve_from_300_ft(set_depth_ft, fires):
    found = judged(RULE, seen(set_depth_ft))
    assert bool(found) is fires
    assert all((f.may_from, f.surely_from) == (SET, SET) for f in found)


def test_a_second_check_valve_is_enough():
    assert judged(RULE, seen(400.0, component(CheckValve(depth_ft=200.0), set_on=SET))) == []


def test_a_pulled_check_valve_is_none():
    gone = component(CheckValve(depth_ft=200.0), set_on="2005", pulled_on=SET)
    assert the_one(RULE, seen(400.0, gone)).subject == "check valve"


def test_on_paper_no_valve_written_down_is_not_known():
    assert judged(RULE, hole(components=[pump(SET, set_depth_ft=400.0)], visits=[JOB])) == []


def test_other_pumps_have_other_valves():
    assert judged(RULE, seen(400.0, type=PumpType.LINESHAFT)) == []
    assert judged(RULE, seen(400.0, type=PumpType.SUBMERSIBLE)) != []


def test_missing_facts():
    assert judged(RULE, hole()) == []
    assert judged(RULE, hole(components=[component(Seal(material="plastic"))])) == []


def test_a_shop_may_change_the_lengths():
    assert judged(RULE, sealed("plastic"), metal_seal_from_ft=301) == []
    assert judged(RULE, seen(400.0), second_check_from_ft=401) == []


def test_300_ft_that_were_metres_on_the_sheet():
    """91.44 m is 300 ft, 0.3048 m to the foot by definition."""
    assert judged(RULE, sealed("plastic", 91.44 / 0.3048)) != []


def test_without_a_second_check_valve_since_the_last_one_came_out():
    valve = component(CheckValve(depth_ft=150.0), set_on=SET, pulled_on=date(2022, 5, 1))
    found = the_one(RULE, seen(300, valve))
    assert (found.may_from, found.surely_from) == (date(2022, 5, 1), date(2022, 5, 1))


def test_work_on_the_hole_itself_changes_nothing_for_the_string():
    deepened = visit(date(2023, 1, 1), Reason.DEEPENING)
    assert the_one(RULE, sealed("plastic", visits=[deepened])).surely_from == SET


SECOND = component(CheckValve(depth_ft=200.0), set_on=SET)


@pytest.mark.parametrize(
    ("well", "aspect", "verdict", "missing"),
    [
        (sealed("plastic", 299.0), "seal", Verdict.PASS, ()),
        (sealed("plastic"), "seal", Verdict.FAIL, ()),
        (sealed("brass"), "seal", Verdict.PASS, ()),
        (sealed(None), "seal", Verdict.CANNOT_SAY, ("material of the seal or pitless",)),
        (sealed("brass", None), "seal", Verdict.CANNOT_SAY, ("length of the string",)),
        (seen(299.0), "one check valve", Verdict.PASS, ()),
        (seen(300.0), "one check valve", Verdict.FAIL, ()),
        (seen(400.0, SECOND), "one check valve", Verdict.PASS, ()),
        (
            sealed("brass"),
            "one check valve",
            Verdict.CANNOT_SAY,
            ("check valves of the string, seen by a crew",),
        ),
        (seen(None), "one check valve", Verdict.CANNOT_SAY, ("length of the string",)),
    ],
)
def test_the_checks(well, aspect, verdict, missing):
    made = next(c for c in RULE.checks(well, Settings().numbers(RULE)) if aspect in c.aspect)
    assert (made.verdict, made.missing) == (verdict, missing)
    assert (made.margin or 0) >= 0 or verdict is not Verdict.PASS


def test_no_string_no_checks():
    jet = pump(SET, type=PumpType.SHALLOW_JET)
    for well in (hole(), hole(components=[jet])):
        assert list(RULE.checks(well, Settings().numbers(RULE))) == []
