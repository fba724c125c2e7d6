"""Supply voltage within 10 % of the nameplate's (NEMA MG 1, 12.44.1; 207 to 253 V of 230 as a trade
association of motor repair shops prints it), and amps within the nameplate's at its service factor.
"""

from datetime import date

import pytest
from rule_holes import component, hole, judged, pump, reading, the_one

from wellbook.hole.parts import Control, Motor
from wellbook.rules.finding import Settings
from wellbook.rules.motor_load import AMPS, RULE, VOLTS
from wellbook.terms import Basis, ControlType, Occasion, PumpType, Quantity, Severity, Verdict

SET, READ = date(2019, 6, 3), date(2024, 5, 7)


def running(volts=None, amps=None, *, motor=None, on=READ, **facts):
    own = {"hp": 1.0, "supply_v": 230.0, "phases": 1, "service_factor_a": 9.8}
    seen = [
        reading(quantity, value, on)
        for quantity, value in ((Quantity.SUPPLY_V, volts), (Quantity.RUNNING_A, amps))
        if value is not None
    ]
    parts = [pump(SET, hp=1.0), component(Motor(**(own if motor is None else motor)), set_on=SET)]
    return hole(components=[*parts, *facts.pop("more", [])], observations=seen, **facts)


def checked(well):
    return {check.aspect: check for check in RULE.checks(well, Settings().numbers(RULE))}


@pytest.mark.parametrize(
    ("volts", "says"),
    [
        (206.9, "low"),
        (207.0, None),
        (230.0, None),
        (253.0, None),
        (253.1, "high"),
    ],
)
def test_volts_within_ten_per_cent(volts, says):
    found = judged(RULE, running(volts))
    assert [f.subject for f in found] == ([f"supply voltage {says}"] if says else [])
    check = checked(running(volts))[VOLTS]
    assert check.verdict is (Verdict.FAIL if says else Verdict.PASS)
    assert (check.margin < 0) is bool(says)
    for one in found:
        assert (one.severity, one.occasion) == (Severity.PLAN, Occasion.NEXT_VISIT)
        assert "locked out" in one.action and "live" in one.action
        assert (one.may_from, one.surely_from) == (READ, READ)


def test_a_supply_called_240_has_a_motor_of_230():
    motor = {"supply_v": 240.0}
    assert judged(RULE, running(208.0, motor=motor)) == []
    assert len(judged(RULE, running(206.0, motor=motor))) == 1


def test_volts_that_are_not_on_record_are_taken_and_never_sure():
    found = the_one(RULE, running(200.0, motor={}))
    assert "230 V taken: not on record" in found.reason
    assert found.surely_from is None


@pytest.mark.parametrize("volts", [118.0, 460.0])
def test_a_reading_of_another_kind_of_motor_says_what_is_missing(volts):
    check = checked(running(volts, motor={}))[VOLTS]
    assert (check.verdict, check.missing) == (Verdict.CANNOT_SAY, ("volts of the motor",))


@pytest.mark.parametrize(("amps", "fails"), [(9.8, False), (9.81, True), (12.4, True)])
def test_amps_within_the_nameplate(amps, fails):
    well = running(None, amps)
    assert len(judged(RULE, well)) == fails
    check = checked(well)[AMPS]
    assert check.verdict is (Verdict.FAIL if fails else Verdict.PASS)
    assert "9.8 A at its service factor" in check.says


def test_the_shop_s_own_limits():
    assert judged(RULE, running(None, 10.5), most_percent_of_nameplate=110.0) == []
    assert len(judged(RULE, running(220.0), voltage_tolerance_percent=4.0)) == 1


def test_cannot_say_without_readings_or_nameplate():
    made = checked(running())
    assert {c.verdict for c in made.values()} == {Verdict.CANNOT_SAY}
    assert made[AMPS].missing == ("a reading of the running amps",)
    unknown = checked(running(None, 9.0, motor={}))[AMPS]
    assert unknown.missing == ("service-factor amps of the nameplate",)


def test_behind_a_drive_nobody_knows_where_the_amps_were_read():
    drive = component(Control(type=ControlType.DRIVE), set_on=SET)
    well = running(None, 20.0, more=[drive])
    assert checked(well)[AMPS].verdict is Verdict.CANNOT_SAY
    assert judged(RULE, well) == []


def test_amps_of_the_motor_before_say_nothing_but_the_volts_do():
    well = running(200.0, 20.0, on=date(2018, 1, 1))
    found = the_one(RULE, well)
    assert found.subject == "supply voltage low"
    assert found.may_from == SET
    assert checked(well)[AMPS].verdict is Verdict.CANNOT_SAY


def test_what_was_read_as_the_motor_was_changed_is_of_either():
    new = component(Motor(service_factor_a=9.8), set_on=READ, set_by="v", noted_on=READ)
    old = component(Motor(), set_on=SET, pulled_on=READ, pulled_by="v")
    seen = reading(Quantity.RUNNING_A, 20.0, READ, sheet_uid="v")
    well = hole(components=[pump(SET, hp=1.0), old, new], observations=[seen])
    assert judged(RULE, well) == []


def test_an_uncertain_setting_or_a_told_reading_is_never_sure():
    later = date(2025, 3, 1)
    parts = [
        pump("2018/2025", hp=1.0, noted_on=later),
        component(Motor(service_factor_a=9.8), set_on="2018/2025", noted_on=later),
    ]
    seen = reading(Quantity.RUNNING_A, 12.0, READ)
    found = the_one(RULE, hole(components=parts, observations=[seen]))
    assert (found.may_from, found.surely_from) == (READ, None)
    # One that was seen there by then has no other before it.
    assert the_one(RULE, running(None, 12.0)).surely_from == READ
    told = reading(Quantity.RUNNING_A, 12.0, READ, basis=Basis.CUSTOMER_TOLD)
    sure = running(None, None)
    well = hole(components=sure.components, observations=[told])
    assert the_one(RULE, well).surely_from is None


@pytest.mark.parametrize("value", [40_000.0, 1e9])
def test_absurd_records_raise_nothing(value):
    well = running(value, value, motor={"supply_v": value, "service_factor_a": value})
    assert judged(RULE, well) == []


def test_a_hand_pump_has_no_motor():
    assert checked(hole(components=[pump(SET, type=PumpType.HAND)])) == {}
