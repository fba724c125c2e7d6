"""The weight on the hook where not all is known of the pipe: the heaviest that it can be."""

from __future__ import annotations

from datetime import date

import pytest
from rule_holes import cable, hole, pipe, pump

from wellbook.engineering.weight import heaviest_run
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Pipe
from wellbook.rules.hoist import Load, load
from wellbook.rules.pcb import may_hold_pcb
from wellbook.rules.possible_pipe import heaviest, lightest_lb_per_ft
from wellbook.terms import PumpType

DAY = date(2026, 11, 25)


def hanging(
    material: str | None, nominal_in: str | None = "1-1/4", wall: str | None = None
) -> Hole:
    return hole(
        components=[
            pump(type=PumpType.SUBMERSIBLE, hp=1, set_depth_ft=300),
            pipe(material=material, nominal_in=nominal_in, wall=wall, from_ft=0, to_ft=300),
            cable(awg=10, conductors=3, ground_wire=True, from_ft=0, to_ft=300),
        ]
    )


def weighed(
    material: str | None, nominal_in: str | None = "1-1/4", wall: str | None = None
) -> Load:
    return load(hanging(material, nominal_in, wall))


def test_of_an_unknown_wall_the_thickest_and_the_widest_bore_count() -> None:
    # 1-1/4 in: schedule 80 weighs 3.00 lb/ft, schedule 40 is 1.380 in inside (ASME B36.10); the
    # calculator of weights takes the same run.
    made = heaviest(Pipe("galvanized_steel", "1-1/4"), 300)
    run = heaviest_run(300, material="galvanized_steel", wall=None, nominal_in="1-1/4")
    assert made == (run, ("the thickest wall and the widest bore",))
    least = 300 * (1.02 * 2.99 + 0.3405 * 1.380**2) + 300 * 8 * 0.03206 + 40
    assert (weighed("galvanized_steel").weight_lb or 0) >= least
    assert weighed("galvanized_steel").taken == ("the thickest wall and the widest bore",)
    assert weighed("galvanized_steel", wall="sch 40").taken == ()


@pytest.mark.parametrize("word", ["steel", "iron", "cast_iron"])
def test_plain_steel_and_iron_weigh_what_galvanized_does(word: str) -> None:
    assert weighed(word, wall="sch 40") == weighed("galvanized_steel", wall="sch 40")


def test_polyethylene_of_no_known_grade_weighs_what_its_grades_do() -> None:
    for wall in ("SIDR 7", "DR 11", None):
        assert weighed("polyethylene", wall=wall) == weighed("pe4710", wall=wall)


def test_plastic_may_be_either_and_a_metal_stainless() -> None:
    either = weighed("plastic")
    assert either.taken[0] == "the heaviest material"
    for known in ("pvc", "pe3408"):
        assert (either.weight_lb or 0) >= (weighed(known).weight_lb or 10**6)
    assert (weighed("metal", wall="sch 40").weight_lb or 0) >= (
        weighed("stainless_steel", wall="sch 40").weight_lb or 10**6
    )


@pytest.mark.parametrize("word", ["brass", "copper", "field stone", None])
def test_what_may_be_heavier_than_any_pipe_here_is_not_weighed(word: str | None) -> None:
    # Brass and copper are denser than steel.
    assert weighed(word).weight_lb is None
    assert "the pipe's material and size" in weighed(word).unknown


def test_a_wall_that_its_material_does_not_have_is_taken_as_unknown() -> None:
    assert weighed("pvc", wall="SIDR 7") == weighed("pvc")


def test_what_is_surely_exceeded_is_the_thinnest_pipe() -> None:
    # Stainless comes in 10S too (ASME B36.19): 1-1/4 in, 0.109 in of wall, 1.81 lb/ft.
    assert lightest_lb_per_ft(Pipe("stainless_steel", "1-1/4")) == pytest.approx(1.81, rel=0.03)
    assert lightest_lb_per_ft(Pipe("brass", "1-1/4")) is None
    assert lightest_lb_per_ft(Pipe("pvc", None)) is None


@pytest.mark.parametrize(
    ("year", "may"), [("1975", True), ("1978", True), ("1979", False), ("about 1979", None)]
)
def test_a_pump_from_before_1979_may_hold_pcb(year: str, may: bool | None) -> None:
    well = hole(components=[pump(year, type=PumpType.SUBMERSIBLE)])
    assert may_hold_pcb(well, DAY) is may


def test_a_pump_that_stands_above_holds_none() -> None:
    well = hole(components=[pump("1970", type=PumpType.SHALLOW_JET)])
    assert may_hold_pcb(well, DAY) is False
    assert may_hold_pcb(hole(), DAY) is False
