"""Where a pump starts and stops: both ends of a switch are read in one order."""

from datetime import date

import pytest
from rule_holes import component, hole, reading

from wellbook.hole.parts import Booster, Control, Switch, Tank
from wellbook.rules.finding import Settings
from wellbook.rules.pressures import cut_in, cut_out, stop_of, usual_cut_out
from wellbook.terms import Basis, ControlType, Quantity, TankType

SET, REPLACED = date(2010, 5, 1), date(2024, 3, 1)


def seen(cut_in_psi, cut_out_psi, on, **more):
    return [
        reading(Quantity.CUT_IN_PSI, cut_in_psi, on, **more),
        reading(Quantity.CUT_OUT_PSI, cut_out_psi, on, **more),
    ]


def both_ends(well):
    return cut_in(well)[0], cut_out(well)[0]


def test_what_was_measured_of_the_switch_that_was_pulled_is_not_of_the_new_one():
    old = component(
        Switch(20.0, 40.0), set_on=SET, pulled_on=REPLACED, pulled_by="v", set_by="opening"
    )
    new = component(Switch(40.0, 60.0), set_on=REPLACED, noted_on=REPLACED, set_by="v")
    well = hole(components=[old, new], observations=seen(20.0, 40.0, REPLACED, sheet_uid="v"))
    assert both_ends(well) == (40, 60)
    assert stop_of(well, 50).known


@pytest.mark.parametrize(
    ("on", "basis", "ends"),
    [
        (date(2023, 1, 1), Basis.MEASURED, (38, 58)),
        (date(2023, 1, 1), Basis.CUSTOMER_TOLD, (30, 50)),
        (date(2012, 1, 1), Basis.MEASURED, (30, 50)),
    ],
)
def test_one_that_was_turned_up_since_it_was_written_down(on, basis, ends):
    switch = component(Switch(30.0, 50.0), set_on=SET, noted_on=date(2020, 1, 15))
    well = hole(components=[switch], observations=seen(38.0, 58.0, on, basis=basis))
    assert both_ends(well) == ends


def test_a_switch_that_nobody_wrote_down_is_as_measured():
    assert both_ends(hole(observations=seen(38.0, 58.0, SET))) == (38, 58)
    blank = component(Switch(), set_on=SET)
    assert both_ends(hole(components=[blank], observations=seen(38.0, 58.0, REPLACED))) == (38, 58)


def test_a_drive_stops_at_its_setpoint_or_as_measured_since():
    drive = component(Control(ControlType.DRIVE, setpoint_psi=55.0), set_on=SET, noted_on=SET)
    assert both_ends(hole(components=[drive])) == (None, 55)
    assert cut_out(hole(components=[drive], observations=seen(0, 62.0, REPLACED)))[0] == 62


def test_where_nobody_knows_the_usual_one_is_taken_and_said():
    stop = stop_of(hole(), 50)
    assert (stop.psi, stop.known) == (50, False)
    assert "usual one taken" in stop.assumed
    assert usual_cut_out(Settings()) == 50
    assert usual_cut_out(Settings({"pipe-rating.usual_cut_out_psi": 40})) == 40


def cistern(*more):
    return hole(components=[component(Tank(type=TankType.CISTERN), set_on=SET), *more])


def test_into_an_open_cistern_there_is_no_pressure_and_the_switch_is_the_booster_s():
    switch = component(Switch(30.0, 50.0), set_on=SET)
    boosted = cistern(switch, component(Booster(hp=0.75), set_on=REPLACED, noted_on=REPLACED))
    stop = stop_of(boosted, 50)
    assert (stop.psi, stop.known, stop.words) == (0, True, "the open cistern")
    assert stop.since == (REPLACED, REPLACED)
    assert stop_of(cistern(), 50).psi == 0
    # A switch without a booster is the pump's own: the cistern is a store beside it.
    assert stop_of(cistern(switch), 40).psi == 50


def test_a_cistern_that_is_gone_says_nothing_after():
    old = component(Tank(type=TankType.CISTERN), set_on=SET, pulled_on=REPLACED, pulled_by="v")
    stop = stop_of(hole(components=[old, component(Switch(30.0, 50.0), set_on=SET)]), 40)
    assert (stop.psi, stop.since) == (50, (REPLACED, REPLACED))
