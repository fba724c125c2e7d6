"""Short cycling: drawdown by Boyle's law. The Driller (Feb 2006): 85 gal at 28, 30 and 50 psi give 25.1
gal. Least run of 1 minute up to 3/4 hp and 2 above, as several vendors print it.
"""

from dataclasses import replace
from datetime import date

import pytest
from rule_holes import component, hole, judged, pump, reading, the_one

from wellbook.engineering.curves import HeadCurve
from wellbook.hole.parts import Booster, Control, Motor, Switch, Tank
from wellbook.hole.records import PumpModel, System
from wellbook.rules.finding import Settings
from wellbook.rules.short_cycling import RULE, RUN_TIME, STARTS
from wellbook.rules.tank_air import PRECHARGE
from wellbook.terms import (
    Basis,
    ControlType,
    LevelState,
    Occasion,
    PumpType,
    Quantity,
    Severity,
    TankType,
    Verdict,
)

SET, READ = date(2019, 6, 3), date(2024, 5, 7)


def tank(volume_gal=85.0, precharge_psi=28.0, **more):
    outer = {"set_on": more.pop("set_on", SET), **{k: more.pop(k) for k in ("uid",) if k in more}}
    known = {"type": TankType.PRESSURE, **more}
    return component(Tank(volume_gal=volume_gal, precharge_psi=precharge_psi, **known), **outer)


def fed(gpm=10.0, hp=1.0, *more, tanks=None, seen=(), switch=(30.0, 50.0), **pumped):
    parts = [
        pump(SET, hp=hp, rated_gpm=gpm, **pumped),
        component(Switch(*switch), set_on=SET),
        *([tank()] if tanks is None else tanks),
    ]
    return hole(components=[*parts, *more], observations=seen)


def checked(well):
    return {check.aspect: check for check in RULE.checks(well, Settings().numbers(RULE))}


@pytest.mark.parametrize(
    ("gpm", "hp", "fails"),
    [
        # 25.1 gal last 2 minutes at 12.55 gpm, and 1 minute at 25.1.
        (12.5, 1.0, False),
        (12.6, 1.0, True),
        (25.0, 0.75, False),
        (25.2, 0.75, True),
        (25.0, 0.8, True),
    ],
)
def test_the_pump_runs_long_enough_at_each_start(gpm, hp, fails):
    well = fed(gpm, hp)
    found = judged(RULE, well)
    assert [(f.severity, f.occasion) for f in found] == [
        (Severity.PLAN, Occasion.NEXT_VISIT)
    ] * fails
    check = checked(well)[RUN_TIME]
    assert check.verdict is (Verdict.FAIL if fails else Verdict.PASS)
    assert (check.margin < 0) is fails
    assert "25.1 gal" in check.says and "(rated)" in check.says


def test_the_finding_says_what_would_mend_it():
    small = the_one(RULE, fed(tanks=[tank(32.0)]))
    assert "a larger tank" in small.action and "20 gal are wanted" in small.action
    assert "locked out" in small.action and "tank's plate" in small.action
    assert (small.may_from, small.surely_from) == (SET, SET)
    airless = the_one(RULE, fed(tanks=[tank(85.0, 9.0)]))
    assert airless.action.startswith("set the air to 28 psi: that alone is enough")


def test_the_place_may_lie_high_so_a_hair_is_never_sure():
    """At 6,000 ft the same tank gives 26.2 gal (The Driller, Feb 2006)."""
    assert the_one(RULE, fed(12.6)).surely_from is None
    assert the_one(RULE, fed(16.0)).surely_from == SET


@pytest.mark.parametrize(
    ("gpm", "hp", "verdict"),
    [
        # 360 / (drawdown / gpm) a day: 300 at 20.9 gpm, 100 at 6.97 (a maker's table of starts).
        (20.8, 0.75, Verdict.PASS),
        (21.0, 0.75, Verdict.FAIL),
        (6.9, 1.0, Verdict.PASS),
        (7.1, 1.0, Verdict.FAIL),
    ],
)
def test_starts_at_the_worst_draw(gpm, hp, verdict):
    well = fed(gpm, hp)
    check = checked(well)[STARTS]
    assert check.verdict is verdict
    assert check.taken == ("single-phase",)
    # Whether anybody draws like that is not known: nothing goes on the list for it.
    assert judged(RULE, well) == []


def test_another_well_on_the_same_tank_fills_it_sooner():
    system = System("s", "", None, ("TF-0056",), ())
    alone = fed(12.5, 1.0)
    assert checked(alone)[RUN_TIME].verdict is Verdict.PASS
    together = checked(replace(alone, system=system))[RUN_TIME]
    assert together.verdict is Verdict.CANNOT_SAY
    assert together.missing == ("what TF-0056 gives into the same tank",)
    # What is too short for one is shorter for two.
    assert checked(replace(fed(12.6, 1.0), system=system))[RUN_TIME].verdict is Verdict.FAIL


def test_three_phases_may_start_more_often():
    motor = component(Motor(hp=1.0, phases=3), set_on=SET)
    assert checked(fed(12.0, 1.0, motor))[STARTS].verdict is Verdict.PASS


@pytest.mark.parametrize(("psi", "fails"), [(28.0, False), (30.0, False), (30.5, True)])
def test_air_above_cut_in_is_its_own_failing(psi, fails):
    well = fed(5.0, tanks=[tank(85.0, psi, uid="t")])
    found, made = judged(RULE, well), checked(well)
    assert [f.subject for f in found] == ["tank's air"] * fails
    assert made[PRECHARGE].verdict is (Verdict.FAIL if fails else Verdict.PASS)
    assert (RUN_TIME in made) is not fails
    for one in found:
        assert "empty before the pump starts" in one.reason
        assert one.action.startswith("set the air to 28 psi") and "drained" in one.action


def test_what_was_measured_since_counts():
    air = reading(Quantity.PRECHARGE_PSI, 9.0, READ)
    flow = reading(Quantity.FLOW_GPM, 11.0, READ)
    found = the_one(RULE, fed(5.0, seen=[air, flow]))
    assert "9 psi of air" in found.reason and "11 gpm (measured)" in found.reason
    assert (found.may_from, found.surely_from) == (READ, READ)


def test_what_was_measured_of_the_tank_and_pump_before_does_not():
    old = date(2018, 1, 1)
    seen = [reading(Quantity.PRECHARGE_PSI, 9.0, old), reading(Quantity.FLOW_GPM, 40.0, old)]
    assert judged(RULE, fed(5.0, seen=seen)) == []


def test_a_switch_that_was_turned_up_is_as_it_was_read():
    seen = [reading(Quantity.CUT_IN_PSI, 40.0, READ), reading(Quantity.CUT_OUT_PSI, 60.0, READ)]
    assert "from 60 psi down to 40 psi" in checked(fed(seen=seen))[RUN_TIME].says


def test_a_told_flow_takes_no_place_of_the_rated_one():
    told = reading(Quantity.FLOW_GPM, 40.0, READ, basis=Basis.CUSTOMER_TOLD)
    assert "10 gpm (rated)" in checked(fed(seen=[told]))[RUN_TIME].says


def test_two_tanks_give_together():
    two = fed(12.6, tanks=[tank(42.5), tank(42.5)])
    one = fed(12.6)
    assert checked(two)[RUN_TIME].value == pytest.approx(checked(one)[RUN_TIME].value)
    # Of which of them the air was read nobody knows.
    read = fed(tanks=[tank(), tank()], seen=[reading(Quantity.PRECHARGE_PSI, 2.0, READ)])
    assert judged(RULE, read) == []


@pytest.mark.parametrize(
    ("well", "missing"),
    [
        (fed(tanks=[]), "pressure tank"),
        (fed(tanks=[tank(None)]), "volume of the tank"),
        (fed(tanks=[tank(85.0, None)]), "precharge"),
        (fed(switch=(None, 50.0)), "cut-in"),
        (fed(switch=(30.0, None)), "cut-out"),
        (fed(None), "flow of the pump"),
        (fed(10.0, None), "horsepower"),
    ],
)
def test_cannot_say(well, missing):
    check = checked(well)[RUN_TIME]
    assert (check.verdict, check.missing) == (Verdict.CANNOT_SAY, (missing,))
    assert judged(RULE, well) == []


@pytest.mark.parametrize(
    "more",
    [
        component(Control(type=ControlType.DRIVE), set_on=SET),
        component(Control(setpoint_psi=55.0), set_on=SET),
        component(Booster(hp=0.5), set_on=SET),
        tank(500.0, None, type=TankType.CISTERN),
        tank(220.0, None, type=TankType.PLAIN),
    ],
    ids=["drive", "setpoint", "booster", "cistern", "plain"],
)
def test_not_judged_by_it(more):
    assert checked(fed(40.0, 1.0, more)) == {}


@pytest.mark.parametrize("kind", [PumpType.HAND, PumpType.SHALLOW_JET])
def test_the_limits_are_those_of_a_submersible_motor(kind):
    assert not {RUN_TIME, STARTS} & set(checked(fed(40.0, type=kind)))


@pytest.mark.parametrize(
    "well",
    [
        fed(switch=(50.0, 30.0), tanks=[tank(85.0, 20.0)]),
        fed(0.0),
        fed(10.0, 0.0),
        fed(tanks=[tank(0.0)]),
        fed(tanks=[tank(1e9)]),
    ],
)
def test_what_cannot_be_is_a_slip_of_the_pen(well):
    assert judged(RULE, well) == []


def test_an_uncertain_setting():
    found = the_one(RULE, fed(tanks=[tank(32.0, set_on="2020/2022")]))
    assert found.may_from == date(2020, 1, 1)
    assert found.surely_from == date(2020, 1, 15)  # the day it was written down


def test_a_tank_that_is_gone_stood_beside_it():
    gone = component(Tank(volume_gal=85.0), set_on=SET, pulled_on=READ)
    found = the_one(RULE, fed(10.0, 1.0, gone, tanks=[tank(32.0)]))
    assert (found.may_from, found.surely_from) == (READ, READ)


@pytest.mark.parametrize(("psi", "verdict"), [(23.0, Verdict.PASS), (22.9, Verdict.FAIL)])
def test_air_that_is_short_is_said_and_not_listed(psi, verdict):
    # 2 psi below cut-in is right (published guides of tanks); 5 psi of slack: common practice.
    well = fed(5.0, tanks=[tank(85.0, psi)])
    check = checked(well)[PRECHARGE]
    assert (check.verdict, check.finding) == (verdict, None)
    assert ("28 psi is right" in check.says) is (verdict is Verdict.FAIL)


def test_a_pump_with_a_curve_is_judged_by_what_it_gives():
    """Half way from 30 to 50 psi is 92.4 ft (2.31 ft a psi): with water at 100 ft and no pipe on record
    a straight curve from 392.4 ft by 10 ft a gpm gives 20 gpm, and 25.1 gal last 1.26 minutes."""
    level = reading(
        Quantity.WATER_LEVEL_FT, 100.0, READ, state=LevelState.STATIC, basis=Basis.MEASURED
    )
    well = fed(5.0, 1.0, seen=[level], uid="p", type=PumpType.SUBMERSIBLE, maker="Kesp", model="K")
    curve = HeadCurve(((0.0, 392.4), (30.0, 92.4)))
    model = PumpModel(maker="Kesp", model="K", hp=1.0, rated_gpm=5.0, curve=curve)
    check = checked(replace(well, pump_models={"p": model}))[RUN_TIME]
    assert check.verdict is Verdict.FAIL
    assert check.value == pytest.approx(25.1 / 20, rel=0.01)
    assert "by its curve" in check.says
    assert checked(well)[RUN_TIME].verdict is Verdict.PASS


def test_the_air_of_a_jet_s_tank_is_judged_too():
    jet = pump(SET, type=PumpType.SHALLOW_JET, hp=0.5, rated_gpm=8)
    parts = [jet, component(Switch(20.0, 40.0), set_on=SET), tank(precharge_psi=28.0)]
    made = checked(hole(components=parts))
    assert set(made) == {PRECHARGE}
    assert made[PRECHARGE].verdict is Verdict.FAIL
