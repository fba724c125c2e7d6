"""What to load for a plan: the lengths, the small things, and only what the plan moves."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from rule_holes import cable, component, depth, hole, interval, level, pipe, pump, visit

from wellbook.hole.component import Component
from wellbook.hole.hole import Hole
from wellbook.hole.parts import (
    CheckValve,
    Control,
    Motor,
    Seal,
    Switch,
    Tank,
    TorqueArrestor,
)
from wellbook.rules.finding import Settings
from wellbook.rules.loading import Item, to_load
from wellbook.terms import ControlType, LevelState, PumpType, Reason, SealType, TankType

OLD, NEW = date(2015, 5, 4), date(2026, 11, 25)


def listed(before: Hole, planned: Hole, **changed: float) -> dict[str, Item]:
    settings = Settings({name.replace("__", "."): value for name, value in changed.items()})
    items = to_load(before, planned, settings)
    return {item.what: item for item in items}


def string(
    set_ft: float = 320,
    *more: Component,
    material: str = "pe4710",
    joint_ft: float | None = None,
    type: PumpType | None = PumpType.SUBMERSIBLE,
) -> list[Component]:
    """A pump on pipe of one kind, with its cable."""
    return [
        pipe(NEW, uid="d", material=material, from_ft=0, to_ft=set_ft, joint_ft=joint_ft),
        cable(NEW, uid="k", awg=10, conductors=3, ground_wire=True, from_ft=0, to_ft=set_ft),
        pump(NEW, uid="p", type=type, hp=1, set_depth_ft=set_ft),
        *more,
    ]


def planned(*parts: Component, **changed: float) -> dict[str, Item]:
    """The list for parts that all are new in an empty well."""
    return listed(hole(), hole(components=parts), **changed)


def changed(new: Component, *out: str, **facts: object) -> dict[str, Item]:
    """The list for one new part in a string that hangs, of which some parts come out for it."""
    hangs = [
        *string(320, component(CheckValve("brass", 150), uid="v")),
        component(Seal(SealType.PITLESS_ADAPTER, "brass", 5), uid="s"),
        component(Tank(TankType.PRESSURE, 44, 38), uid="t"),
        component(Control(ControlType.CONTROL_BOX, hp=1), uid="b"),
        component(Switch(40, 60), uid="w"),
    ]
    after = [c for c in hangs if c.uid not in out]
    return listed(hole(components=hangs, **facts), hole(components=[*after, new], **facts))


# -- the shop's own numbers ----------------------------------------------------------------------


def test_the_run_to_the_supply_is_the_shops() -> None:
    # 320 ft, 3 per cent of slack, 10 ft of tail: 339.6, and the run; up to the next 5 ft.
    for run_ft, length_ft in ((0, 340), (50, 390), (300, 640)):
        item = planned(*string(320), **{"voltage-drop__usual_supply_run_ft": run_ft})["cable"]
        assert (item.length_ft, item.down_ft, item.supply_run_ft) == (length_ft, 320, run_ft)


def test_valves_stand_at_the_shops_spacing() -> None:
    well = hole(components=string(320), observations=[level(300, LevelState.PUMPING)])
    # 25 ft above the pumping level, then at the spacing (The Driller 85101).
    assert listed(hole(), well)["valves"].depths_ft == (275, 75)
    closer = listed(hole(), well, **{"check-valve-spacing__spacing_ft": 100})["valves"]
    assert closer.depths_ft == (275, 175, 75)
    assert closer.count == 4


def test_a_string_for_which_the_pumps_own_valve_is_enough_gets_no_other() -> None:
    # The rule on the second check valve begins at 300 ft, or where the shop has it begin.
    assert planned(*string(299.9))["valves"].depths_ft == ()
    assert planned(*string(300))["valves"].depths_ft == (275, 75)
    sooner = planned(*string(200), **{"string-fittings__second_check_from_ft": 200})
    assert sooner["valves"].depths_ft == (175,)


# -- lengths at their boundaries -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("feet", "joint_ft", "count"),
    [
        (320, 20, 17),
        (320.01, 20, 18),
        (319, 20, 17),
        # 96.012 m is 315 ft, 15 joints of 21 ft, and not one more.
        (96.012 / 0.3048, 21, 16),
    ],
)
def test_joints_are_counted_up_to_whole_ones_and_one_is_to_spare(
    feet: float, joint_ft: float, count: int
) -> None:
    item = planned(*string(feet, material="galvanized_steel", joint_ft=joint_ft))["pipe"]
    assert (item.count, item.spare, item.each_ft) == (count, 1, joint_ft)


def test_a_joint_of_no_known_length_is_taken_as_the_usual_one_and_said() -> None:
    item = planned(*string(320, material="pvc"))["pipe"]
    assert (item.count, item.each_ft) == (17, 20)
    assert item.notes == ("length of a joint not said",)


@pytest.mark.parametrize(
    ("feet", "coil_ft"), [(400, 400), (400.1, 500), (1000, 1000), (1000.1, None)]
)
def test_a_coil_is_the_next_one_that_is_sold(feet: float, coil_ft: float | None) -> None:
    item = planned(*string(feet))["pipe"]
    assert item.each_ft == coil_ft
    assert item.count == (None if coil_ft is None else 1)


@pytest.mark.parametrize("word", ["polyethylene", "pe3408", "PE 2406"])
def test_polyethylene_of_any_grade_comes_in_a_coil(word: str) -> None:
    assert planned(*string(320, material=word))["pipe"].each_ft == 400
    assert "clamps" in planned(*string(320, material=word))


def test_pipe_of_unknown_length_is_listed_without_one() -> None:
    items = planned(pipe(NEW, material="pvc"), pump(NEW, type=PumpType.SUBMERSIBLE, hp=1))
    assert items["pipe"].length_ft is None
    assert items["ties"].count is None
    assert items["rope"].length_ft is None


def test_ties_tape_and_guards_go_by_the_length() -> None:
    items = planned(*string(320))
    assert [items[w].count for w in ("ties", "tape", "guards")] == [32, 4, 8]
    items = planned(*string(320.5))
    assert [items[w].count for w in ("ties", "tape", "guards")] == [33, 4, 9]


# -- splices, clamps -----------------------------------------------------------------------------


def test_a_splice_at_the_motor_and_one_to_spare() -> None:
    item = planned(*string())["splices"]
    assert (item.count, item.spare) == (2, 1)


def test_cable_of_two_sections_is_spliced_once_more() -> None:
    lower = cable(NEW, uid="k2", awg=12, from_ft=200, to_ft=320)
    parts = string()
    upper = replace(parts[1], part=replace(parts[1].part, to_ft=200))
    items = planned(parts[0], upper, lower, parts[2])
    assert items["splices"].count == 3
    # The one that comes out of the well has the run to the supply, and only that one.
    cables = [
        i for i in to_load(hole(), hole(components=[upper, lower]), Settings()) if i.what == "cable"
    ]
    assert [i.supply_run_ft for i in cables] == [50, 0]


def test_an_end_of_a_coil_has_two_clamps_and_a_valve_makes_two_ends() -> None:
    assert planned(*string(200))["clamps"].count == 4
    one = component(CheckValve("brass", 150), uid="v")
    assert planned(*string(200, one))["clamps"].count == 8
    two = component(CheckValve("brass", 60), uid="v2")
    assert planned(*string(200, one, two))["clamps"].count == 12
    unplaced = component(CheckValve("brass"), uid="v3")
    assert planned(*string(200, unplaced))["clamps"].count == 8
    # By the spacing rule at 295 and 95 ft.
    assert planned(*string(320))["clamps"].count == 12


def test_a_valve_between_joints_of_steel_takes_no_clamps() -> None:
    upper = pipe(NEW, uid="u", material="galvanized_steel", from_ft=0, to_ft=100, joint_ft=20)
    lower = pipe(NEW, uid="l", material="pe4710", from_ft=100, to_ft=200)
    valves = [component(CheckValve("brass", d), uid=f"v{d}") for d in (60, 100)]
    items = planned(upper, lower, pump(NEW, type=None, hp=1, set_depth_ft=200), *valves)
    assert (items["clamps"].ends, items["clamps"].count) == (2, 4)
    assert "clamps" not in planned(*string(320, material="pvc"))


def test_a_coil_that_stays_is_cut_where_a_new_section_meets_it() -> None:
    upper = pipe(OLD, uid="u", material="pe3408", from_ft=0, to_ft=100)
    old = pipe(OLD, uid="o", material="pe3408", from_ft=100, to_ft=200)
    new = pipe(NEW, uid="n", material="pe4710", from_ft=100, to_ft=200)
    hangs = pump(OLD, type=None, hp=1, set_depth_ft=200, uid="p")
    items = listed(hole(components=[upper, old, hangs]), hole(components=[upper, new, hangs]))
    assert items["clamps"].ends == 3


def test_only_plastic_twists() -> None:
    assert {"torque_arrestor", "rope"} <= set(planned(*string(material="pvc")))
    steel = planned(*string(material="galvanized_steel"))
    assert not {"torque_arrestor", "rope", "clamps"} & set(steel)
    assert "sealant" in steel
    own = planned(*string(320, component(TorqueArrestor(315), uid="a")))
    assert own["torque_arrestor"].part is not None


# -- only what the plan moves --------------------------------------------------------------------


OPENED = {"gaskets", "chlorine"}


def test_a_new_pump_alone() -> None:
    items = changed(pump(NEW, type=PumpType.SUBMERSIBLE, hp=1, set_depth_ft=320, uid="p2"), "p")
    assert OPENED | {"pump", "splices", "ties", "valves", "clamps", "rope"} <= set(items)
    assert not {"pipe", "cable", "guards", "control_box", "air", "seal"} & set(items)
    # The end at the pump alone is made anew; the valve on record goes back.
    assert items["clamps"].ends == 1
    assert items["valves"].count == 1
    assert any("go back" in note for note in items["valves"].notes)


def test_a_new_pump_of_another_power_takes_another_box() -> None:
    items = changed(pump(NEW, type=PumpType.SUBMERSIBLE, hp=2, set_depth_ft=320, uid="p2"), "p")
    assert items["control_box"].count == 1


def test_new_cable_alone() -> None:
    items = changed(cable(NEW, awg=8, from_ft=0, to_ft=320, uid="k2"), "k")
    assert OPENED | {"cable", "splices", "ties", "guards"} <= set(items)
    assert not {"pipe", "pump", "clamps", "rope", "torque_arrestor", "sealant"} & set(items)
    assert items["valves"].count == 0


def test_new_pipe_alone() -> None:
    new = pipe(NEW, material="pe4710", from_ft=0, to_ft=320, uid="d2")
    items = changed(new, "d", "v")
    assert OPENED | {"pipe", "ties", "valves", "clamps", "torque_arrestor", "rope"} <= set(items)
    assert not {"cable", "splices", "pump"} & set(items)
    # The pump stays on its own valve: only those above it, at 295 and 95 ft.
    assert items["valves"].count == 2


def test_a_new_switch_alone_opens_no_well() -> None:
    items = changed(component(Switch(30, 50), uid="w2"), "w")
    assert set(items) == {"switch", "air", "safety"}
    # Guides of tanks in print: 2 psi below cut-in.
    assert items["air"].psi == 28
    assert "voltage tester" in items["safety"].notes


def test_a_new_tank_is_set_to_the_switch_that_is_there() -> None:
    items = changed(component(Tank(TankType.PRESSURE, 82), uid="t2"), "t")
    assert set(items) == {"tank", "air", "safety"}
    assert items["air"].psi == 38
    cistern = changed(component(Tank(TankType.CISTERN, 500), uid="t2"), "t")
    assert "air" not in cistern


def test_new_valves_alone() -> None:
    items = changed(component(CheckValve("brass", 250), uid="v2"))
    assert (items["valves"].count, items["valves"].depths_ft) == (1, (250,))
    assert items["clamps"].ends == 2
    assert not {"pipe", "cable", "splices", "rope"} & set(items)


def test_a_new_pitless_is_itself_on_the_list() -> None:
    items = changed(component(Seal(SealType.PITLESS_UNIT, "steel"), uid="s2"), "s")
    assert set(items) == OPENED | {"seal", "safety"}


def test_a_part_that_comes_out_for_good_opens_the_well() -> None:
    parts = string(320, component(CheckValve("brass", 150), uid="v"))
    items = listed(hole(components=parts), hole(components=parts[:-1]))
    assert set(items) >= OPENED


def test_a_pump_that_goes_back_elsewhere_is_on_no_list_but_opens_the_well() -> None:
    parts = string(200)
    raised = replace(parts[2], part=replace(parts[2].part, set_depth_ft=195))
    items = listed(hole(components=parts), hole(components=[*parts[:2], raised]))
    assert set(items) == OPENED | {"ties", "tape", "sealant", "safety"}


def test_a_switch_that_is_set_otherwise_asks_for_the_tanks_air() -> None:
    tank, switch = component(Tank(volume_gal=44)), component(Switch(30, 50), uid="w")
    up = replace(switch, part=Switch(40, 60))
    items = listed(hole(components=[tank, switch]), hole(components=[tank, up]))
    assert items["air"].psi == 38


def test_what_goes_back_from_store_is_said_to() -> None:
    parts = string(200)
    away = [replace(c, pulled_on=c.set_on, pulled_by="x") if c.uid == "p" else c for c in parts]
    items = listed(hole(components=away), hole(components=parts))
    assert items["pump"].notes == ("from store: it goes back",)
    assert items["splices"].count == 2


def test_nothing_moved_is_nothing_to_load() -> None:
    parts = string()
    assert listed(hole(components=parts), hole(components=parts)) == {}


def test_a_switch_in_winter_does_not_bring_the_pump_out() -> None:
    closing = visit(date(2026, 10, 1), Reason.CLOSING_DOWN, uid="x", opened=True)
    away = [
        replace(c, pulled_on=replace(c.set_on), pulled_by="x") if c.uid == "p" else c
        for c in string()
    ]
    before = hole(components=away, visits=[closing])
    after = hole(components=[*away, component(Switch(30, 50), uid="w")], visits=[closing])
    assert "pump" not in listed(before, after)
    assert "gaskets" not in listed(before, after)


# -- other pumps, other wells --------------------------------------------------------------------


def test_a_hand_pump_has_no_cable_and_no_arrestor() -> None:
    parts = [
        pipe(NEW, material="galvanized_steel", from_ft=0, to_ft=40, joint_ft=10),
        pump(NEW, type=PumpType.HAND, set_depth_ft=40),
    ]
    items = planned(*parts)
    assert set(items) == {"pump", "pipe", "sealant", "gaskets", "chlorine", "safety"}
    assert items["safety"].notes == ("gloves and goggles for the bleach",)


def test_a_jet_has_a_foot_valve() -> None:
    parts = [
        pipe(NEW, material="pe3408", from_ft=0, to_ft=24),
        pump(NEW, type=PumpType.SHALLOW_JET, hp=0.5, set_depth_ft=24),
    ]
    items = planned(*parts)
    assert items["foot_valve"].count == 1
    assert items["clamps"].count == 4
    assert not {"splices", "ties", "torque_arrestor", "rope", "valves"} & set(items)
    assert "voltage tester" in items["safety"].notes


def test_bleach_is_for_the_column_and_never_for_the_depth() -> None:
    bore = {"intervals": [interval(0, 300)]}
    well = hole(
        components=string(), observations=[depth(300), level(100, LevelState.STATIC)], **bore
    )
    item = listed(hole(), well)["chlorine"]
    # 6 in holds 1.469 gal a foot (0.0408 d^2); litres = gallons x 3.785 x 100 / (6 x 10,000).
    assert item.gallons == pytest.approx(200 * 0.0408 * 36, rel=1e-3)
    assert item.litres == pytest.approx(200 * 0.0408 * 36 * 3.785 * 100 / 60_000, rel=1e-3)


@pytest.mark.parametrize(
    "known",
    [
        [],
        [depth(300)],
        [level(100, LevelState.STATIC)],
        [depth(100), level(100, LevelState.STATIC)],
    ],
)
def test_a_column_that_is_not_known_has_no_dose(known: list[object]) -> None:
    well = hole(components=string(), observations=known, intervals=[interval(0, 300)])
    assert listed(hole(), well)["chlorine"].litres is None


def test_a_flowing_well_carries_its_bleach_off() -> None:
    well = hole(
        components=string(),
        observations=[depth(300), level(-3, LevelState.FLOWING)],
        intervals=[interval(0, 300)],
        flowing=True,
    )
    item = listed(hole(), well)["chlorine"]
    # The water stands to the ground: 300 ft of it.
    assert item.gallons == pytest.approx(300 * 0.0408 * 36, rel=1e-3)
    assert any("flows" in note for note in item.notes)


def test_a_motor_alone_is_spliced() -> None:
    items = changed(component(Motor(hp=1, wires=3), uid="m"))
    assert items["splices"].count == 2
    assert "motor" in items
