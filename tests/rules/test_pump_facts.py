"""What the pump is: one answer, and of its two horsepowers each rule takes its own on purpose.

That a pump end of 3/4 hp on a motor of 1 hp lifts like 3/4 hp, and takes the box and the cable of 1 hp,
is common practice, no published source.
"""

from dataclasses import replace
from datetime import date

import pytest
from lift_holes import CURVE, checked
from rule_holes import cable, component, hole, judged, level, pump, reading

from wellbook.hole.parts import Control, Motor, Switch, Tank
from wellbook.hole.records import PumpModel
from wellbook.rules import control_box, record_gap, short_cycling, voltage_drop, yield_protection
from wellbook.rules.lift import lifter_of
from wellbook.rules.motor_facts import motor_facts
from wellbook.rules.pump_facts import pump_facts
from wellbook.rules.pump_flow import flow_of
from wellbook.terms import ControlType, LevelState, PumpType, Quantity, TankType, Verdict

SET, CHANGED = date(2019, 6, 3), date(2022, 4, 1)
MODEL = PumpModel(
    *("Oskerby", "O-510", 0.75, 5.0),
    service_factor=1.5,
    service_factor_a=10.4,
    supply_v=230.0,
    phases=1,
)


def well(*more, motor_hp=None, model=None, **pumped):
    parts = [pump(SET, uid="p", set_depth_ft=300.0, **pumped), *more]
    if motor_hp is not None:
        parts.append(component(Motor(hp=motor_hp), set_on=SET))
    seen = [level(100.0, LevelState.STATIC, SET), reading(Quantity.YIELD_GPM, 2.8, SET)]
    models = {"p": model} if model else {}
    return hole(components=parts, observations=seen, pump_models=models)


@pytest.mark.parametrize(
    ("pump_hp", "motor_hp", "model", "both"),
    [
        (0.75, 1.0, None, (0.75, 1.0)),
        (0.75, None, None, (0.75, 0.75)),
        (None, 1.0, None, (1.0, 1.0)),
        # A stronger motor than it is sold with makes no other pump end of it.
        (None, 1.0, MODEL, (0.75, 1.0)),
        (None, None, MODEL, (0.75, 0.75)),
        (0.5, None, MODEL, (0.5, 0.5)),
        (None, None, None, (None, None)),
    ],
)
def test_the_pump_end_and_its_motor_have_each_their_horsepower(pump_hp, motor_hp, model, both):
    facts = pump_facts(well(hp=pump_hp, motor_hp=motor_hp, model=model))
    assert (facts.pump_hp.value, facts.motor_hp.value) == both


def test_each_rule_takes_the_one_that_it_is_about():
    there = well(
        component(Control(ControlType.CONTROL_BOX, hp=1.0), set_on=SET),
        component(Tank(TankType.PRESSURE, volume_gal=85.0, precharge_psi=28.0), set_on=SET),
        component(Switch(30.0, 50.0), set_on=SET),
        cable(SET, awg=12, to_ft=300.0),
        type=PumpType.SUBMERSIBLE,
        hp=0.75,
        rated_gpm=13.0,
        motor_hp=1.0,
    )
    assert lifter_of(there).rests_on == "estimate from 3/4 hp, rated 13 gpm"
    assert motor_facts(there).hp == 1.0
    assert checked(control_box.RULE, there)["control box"].verdict is Verdict.PASS
    assert "1 hp" in checked(voltage_drop.RULE, there)["voltage drop"].says
    # 25.1 gal at 13 gpm are 1.9 minutes: enough for 3/4 hp, and 1 hp wants 2.
    assert checked(short_cycling.RULE, there)["run time"].verdict is Verdict.FAIL


def test_what_the_record_lacks_is_the_list_s_for_every_rule():
    there = well(model=MODEL)
    facts = pump_facts(there)
    assert facts.kind.value is PumpType.SUBMERSIBLE
    assert (facts.rated_gpm.value, facts.supply_v.value, facts.phases.value) == (5.0, 230.0, 1)
    assert facts.service_factor_a.value == 10.4
    assert lifter_of(there).rests_on == "estimate from 3/4 hp, rated 5 gpm"
    check = checked(yield_protection.RULE, there)["rated flow against yield"]
    assert (check.value, check.missing) == (5.0, ("low-water protection",))
    assert "pump flow" not in {f.subject for f in judged(record_gap.RULE, there)}
    assert flow_of(there, motor_facts(there), None, None)[0] == 5.0
    assert "pump flow" in {f.subject for f in judged(record_gap.RULE, well())}


def test_the_record_goes_before_the_list():
    facts = pump_facts(well(hp=0.5, rated_gpm=7.0, type=PumpType.DEEP_JET, model=MODEL))
    assert (facts.rated_gpm.value, facts.kind.value) == (7.0, PumpType.DEEP_JET)
    curved = pump_facts(well(model=replace(MODEL, curve=CURVE)))
    assert (curved.curves.low, curved.rests_on) == (CURVE, "curve of Oskerby O-510")


def test_the_amperes_of_the_list_are_not_those_of_another_motor():
    assert pump_facts(well(motor_hp=1.0, model=MODEL)).service_factor_a.value is None
    assert pump_facts(well(motor_hp=0.75, model=MODEL)).service_factor_a.value == 10.4


def test_it_holds_since_the_part_that_says_it_was_set():
    motor = component(Motor(hp=1.0), set_on=CHANGED, noted_on=CHANGED)
    facts = pump_facts(hole(components=[pump(SET, hp=0.75), motor]))
    assert facts.pump_hp.since[0] == SET
    assert facts.motor_hp.since == (CHANGED, CHANGED)
    gone = component(Motor(hp=1.0), set_on=SET, pulled_on=CHANGED)
    assert pump_facts(hole(components=[pump(SET, hp=0.75), gone])).motor_hp.since[0] == CHANGED


def test_no_pump_no_facts():
    assert pump_facts(hole()) is None
