"""Voltage drop: 2 I L R / 1000 with NEC chapter 9 table 8 (#12 stranded 1.98 ohm/kft), computed here.
The 5 % is that of NEC 210.19(A), informational note; that a run to the supply is about 50 ft is
common practice, no published source.
"""

from dataclasses import replace
from datetime import date

import pytest
from rule_holes import cable, component, hole, judged, pump, the_one, visit

from wellbook.hole.component import Claim
from wellbook.hole.parts import Control, Motor
from wellbook.hole.records import PumpModel
from wellbook.rules.finding import Settings
from wellbook.rules.voltage_drop import AMPACITY, DROP, RULE
from wellbook.terms import Basis, ControlType, Occasion, PumpType, Reason, Severity, Verdict

SET = date(2019, 6, 3)


def motor(**known):
    facts = {"hp": 1.0, "supply_v": 230.0, "phases": 1, "service_factor_a": 9.8}
    return component(Motor(**{**facts, **known}), set_on=SET)


def hung(to_ft=245.0, awg=12, *more, **facts):
    parts = [
        pump(SET, hp=1.0, set_depth_ft=to_ft, uid="p"),
        cable(SET, awg=awg, from_ft=0.0, to_ft=to_ft),
        *(more or [motor()]),
    ]
    return hole(components=parts, **facts)


def checked(well, **changed):
    numbers = Settings({f"{RULE.name}.{n}": v for n, v in changed.items()}).numbers(RULE)
    return {check.aspect: check for check in RULE.checks(well, numbers)}


@pytest.mark.parametrize(
    ("to_ft", "fails"),
    # 2 x 9.8 A x 1.98 ohm / 1000 ft is 5 % of 230 V at 296.3 ft, of which 50 to the supply.
    [(245.0, False), (246.0, False), (247.0, True), (250.0, True)],
)
def test_the_run_is_to_the_supply_and_down(to_ft, fails):
    found = judged(RULE, hung(to_ft))
    assert [f.severity for f in found] == [Severity.PLAN] * fails
    check = checked(hung(to_ft))[DROP]
    assert check.verdict is (Verdict.FAIL if fails else Verdict.PASS)
    assert (check.margin < 0) is fails
    assert f"{to_ft:g} ft of #12 and 50 ft from the supply (usual run: not on record)" in check.says


def test_the_finding_waits_for_the_pull_and_says_what_would_do():
    found = the_one(RULE, hung(250.0))
    assert found.occasion is Occasion.NEXT_PULL
    assert "#10 or thicker" in found.action
    assert "locked out" in found.action and "electrician" in found.action
    assert found.numbers["awg_wanted"] == 10


def test_the_shop_s_own_numbers_count():
    assert judged(RULE, hung(250.0), usual_supply_run_ft=0.0) == []
    assert len(judged(RULE, hung(160.0), most_drop_percent=3.0)) == 1


def test_surely_only_where_the_cable_in_the_well_alone_takes_too_much():
    assert the_one(RULE, hung(250.0)).surely_from is None
    found = the_one(RULE, hung(300.0))
    assert (found.may_from, found.surely_from) == (SET, SET)


def test_of_nameplate_and_table_the_larger_counts():
    """NEC 430.248 has 8.0 A for 1 hp at 230 V."""
    assert "9.8 A" in checked(hung())[DROP].says
    assert "8 A" in checked(hung(245.0, 12, motor(service_factor_a=7.0)))[DROP].says


def test_what_is_taken_is_said_and_never_sure():
    found = the_one(RULE, hung(500.0, 12, component(Motor(), set_on=SET)))
    assert "(230 V and single-phase taken: not on record)" in found.reason
    assert found.surely_from is None


def test_the_model_of_the_shop_s_list_fills_what_the_record_lacks():
    model = PumpModel("Pellwin", "P1", 1.0, 7.0, 1.4, 9.8, None, 230.0, 1)
    well = hole(
        components=[pump(SET, set_depth_ft=300.0, uid="p"), cable(SET, awg=12, to_ft=300.0)],
        pump_models={"p": model},
    )
    found = the_one(RULE, well)
    assert "1 hp, 9.8 A at 230 V single-phase loses" in found.reason
    # The amps of the model are not those of a motor for another supply.
    other = replace(well, components=(*well.components, component(Motor(phases=3), set_on=SET)))
    assert "4.2 A" in checked(other)[DROP].says


def test_mixed_gauges_add_up_and_each_is_named():
    """A motor maker's example of 3 hp: 160 ft of #10 with 310 ft of #8 is too much."""
    well = hole(
        components=[
            pump(SET, hp=3.0, set_depth_ft=470.0),
            cable(SET, awg=10, from_ft=0.0, to_ft=160.0),
            cable(SET, awg=8, from_ft=160.0, to_ft=470.0),
            motor(hp=3.0, service_factor_a=17.0),
        ]
    )
    found = the_one(RULE, well, usual_supply_run_ft=0.0)
    assert "160 ft of #10 and 310 ft of #8" in found.reason
    percent = 2 * 17 * (160 * 1.24 + 310 * 0.778) / 1000 / 230 * 100
    assert found.numbers["drop_percent"] == pytest.approx(percent, abs=0.05)


def test_a_section_split_in_two_changes_nothing():
    whole = checked(hung(240.0))[DROP]
    split = hole(
        components=[
            pump(SET, hp=1.0, set_depth_ft=240.0),
            cable(SET, awg=12, to_ft=100.0),
            cable(SET, awg=12, from_ft=100.0, to_ft=240.0),
            motor(),
        ]
    )
    assert checked(split)[DROP].value == pytest.approx(whole.value)


def test_the_cable_reaches_the_pump_whatever_was_written_of_its_end():
    well = hole(
        components=[pump(SET, hp=1.0, set_depth_ft=300.0), cable(SET, awg=12), motor()],
    )
    assert "300 ft of #12" in the_one(RULE, well).reason


@pytest.mark.parametrize(
    ("hp", "amps", "awg", "severity"),
    [
        # 125 % of 17 A is 21.25: #12 has 20 A at 60 C, 25 at 75 C; #10 has 30 (NEC table 310.16).
        (3.0, 17.0, 10, None),
        (3.0, 17.0, 12, Severity.WATCH),
        (3.0, 17.0, 14, Severity.PLAN),
        (1.0, 12.0, 14, None),
        (1.0, 12.1, 14, Severity.WATCH),
    ],
)
def test_what_the_conductor_may_carry(hp, amps, awg, severity):
    well = hung(20.0, awg, motor(hp=hp, service_factor_a=amps))
    found = judged(RULE, well)
    assert [f.severity for f in found] == ([severity] if severity else [])
    assert (checked(well)[AMPACITY].verdict is Verdict.FAIL) is bool(severity)


@pytest.mark.parametrize(
    ("parts", "missing"),
    [
        ([pump(SET, hp=1.0, set_depth_ft=200.0)], "cable gauge"),
        ([pump(SET, hp=1.0, set_depth_ft=200.0), cable(SET, to_ft=200.0)], "cable gauge"),
        ([pump(SET, hp=1.0, set_depth_ft=200.0), cable(SET, awg=13)], "cable gauge"),
        ([pump(SET, set_depth_ft=200.0), cable(SET, awg=12)], "horsepower or amps of the motor"),
        ([pump(SET, hp=1.0), cable(SET, awg=12)], "how deep the cable goes"),
        (
            [pump(SET, hp=1.0, set_depth_ft=200.0), cable(SET, awg=12), cable(SET, awg=10)],
            "where the sections of cable meet",
        ),
        (
            [
                pump(SET, hp=1.0, set_depth_ft=200.0),
                cable(SET, awg=12),
                component(Control(type=ControlType.DRIVE), set_on=SET),
            ],
            "phases of the motor behind the drive",
        ),
    ],
)
def test_cannot_say(parts, missing):
    well = hole(components=parts)
    check = checked(well)[DROP]
    assert check.verdict is Verdict.CANNOT_SAY
    assert missing in check.missing and missing in check.says
    assert judged(RULE, well) == []


def test_three_phases_out_of_a_drive_lose_less():
    drive = component(Control(type=ControlType.DRIVE), set_on=SET)
    check = checked(hung(245.0, 12, motor(phases=3, service_factor_a=None), drive))[DROP]
    assert check.verdict is Verdict.PASS
    assert "three-phase" in check.says and "from the drive" in check.says


@pytest.mark.parametrize("kind", [PumpType.HAND, PumpType.SHALLOW_JET, PumpType.DEEP_JET])
def test_a_pump_whose_motor_stands_above_has_no_cable_down(kind):
    well = hole(components=[pump(SET, type=kind, hp=1.0, set_depth_ft=300.0), cable(awg=14)])
    assert checked(well) == {}


@pytest.mark.parametrize(
    "known", [{"phases": 7}, {"supply_v": 0.0}, {"service_factor_a": 40_000.0}, {"hp": 0.0}]
)
def test_what_cannot_be_is_a_slip_of_the_pen(known):
    assert checked(hung(300.0, 12, motor(**known))) == {}


# -- since when ----------------------------------------------------------------------------------


def test_a_pump_let_down_hangs_on_a_longer_cable_since_that_day():
    moved = date(2022, 5, 4)
    down = [
        Claim(field, 400.0, Basis.MEASURED, moved, True, "back", 200.0)
        for field in ("set_depth_ft", "to_ft")
    ]
    well = hole(
        components=[
            pump(SET, hp=1.0, set_depth_ft=400.0, claims=(down[0],)),
            cable(SET, awg=12, to_ft=400.0, claims=(down[1],)),
            motor(),
        ],
        visits=[visit(moved, Reason.PULL_AND_INSPECT, opened=True, uid="back")],
    )
    found = the_one(RULE, well)
    assert (found.may_from, found.surely_from) == (moved, moved)
    assert judged(RULE, well.on(date(2021, 1, 1))) == []


def test_an_uncertain_setting():
    well = hung(400.0)
    parts = (cable("2005/2009", awg=12, to_ft=400.0), pump("2005/2009", hp=1.0, set_depth_ft=400.0))
    found = the_one(
        RULE, replace(well, components=(*parts, component(motor().part, set_on="2004")))
    )
    assert (found.may_from, found.surely_from) == (date(2005, 1, 1), date(2009, 12, 31))


def test_a_cable_that_is_gone_was_another_run():
    gone = cable(date(2010, 1, 1), awg=8, to_ft=400.0, pulled_on=date(2021, 7, 1))
    well = hung(400.0)
    found = the_one(RULE, replace(well, components=(gone, *well.components)))
    assert (found.may_from, found.surely_from) == (date(2021, 7, 1), date(2021, 7, 1))
