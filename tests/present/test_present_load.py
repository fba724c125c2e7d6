"""The weight on the hook: a hoist is chosen by it, so it is a bound or it is not told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from present_holes import CHECKED, TODAY, component, level, seen, thin

from wellbook.dates import When
from wellbook.hole.component import Claim
from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, Motor, Part, Pipe, Pump, Switch
from wellbook.present.cautions import cautions
from wellbook.present.load_lines import load_lines
from wellbook.rules.catalogue import judge
from wellbook.rules.finding import Settings
from wellbook.rules.hoist import Load, load
from wellbook.terms import Basis, LevelState, PumpType, Quantity, WellStatus

SUBMERSIBLE = Pump(type=PumpType.SUBMERSIBLE, hp=1, set_depth_ft=300)
PIPE = Pipe("galvanized_steel", "1-1/4", "sch 40", None, 0, 300)
CABLE = Cable(awg=12, conductors=3, ground_wire=True, from_ft=0, to_ft=300)


def holding(*parts: Part, **more: object) -> Hole:
    """A well with these parts down it."""
    return thin(components=tuple(component(str(n), p) for n, p in enumerate(parts)), **more)


def weighed(*parts: Part) -> Load:
    return load(holding(*parts))


def said(hole: Hole) -> str:
    return next(iter(load_lines(hole, []))).text


def test_a_string_that_is_known_weighs_what_its_parts_weigh() -> None:
    # 1-1/4 in schedule 40: 2.27 lb/ft (ASME B36.10); 1.380 in inside holds 0.3405 x 1.380^2 lb/ft of
    # water; #12 copper 20.16 lb a 1000 ft, four wires, twice that with the jackets; 40 lb of pump.
    # Couplings add 2 per cent to the pipe.
    exact = 300 * (1.02 * 2.27 + 0.3405 * 1.380**2 + 2 * 4 * 0.02016) + 40
    assert exact <= weighed(SUBMERSIBLE, PIPE, CABLE).weight_lb <= exact + 10
    assert "at most 980 lb full and hanging free" in said(holding(SUBMERSIBLE, PIPE, CABLE))


@pytest.mark.parametrize(
    ("parts", "missing"),
    [
        ((Pump(type=PumpType.LINESHAFT, hp=10, set_depth_ft=300), PIPE), "the shaft and bowls"),
        ((Pump(type=PumpType.HAND, set_depth_ft=300), PIPE), "the rods and cylinder"),
        ((Pump(hp=1, set_depth_ft=300), PIPE), "what kind of pump"),
        ((PIPE,), "what kind of pump"),
        ((replace(SUBMERSIBLE, hp=None), PIPE, CABLE), "the pump's horsepower"),
        ((replace(SUBMERSIBLE, hp=10), PIPE, CABLE), "a pump of 10 hp"),
        # The motor's plate says more than what the pump is called by.
        ((SUBMERSIBLE, Motor(hp=7.5), PIPE, CABLE), "a pump of 7.5 hp"),
        ((SUBMERSIBLE, CABLE), "the pipe"),
        ((SUBMERSIBLE, replace(PIPE, material=None), CABLE), "the pipe's material and size"),
        ((SUBMERSIBLE, replace(PIPE, nominal_in=None), CABLE), "the pipe's material and size"),
        # Of a size that is in no table, nothing is known.
        ((SUBMERSIBLE, replace(PIPE, nominal_in="7"), CABLE), "the pipe's material and size"),
        ((replace(SUBMERSIBLE, set_depth_ft=450), PIPE, CABLE), "the pipe from 300 to 450 ft"),
        ((SUBMERSIBLE, replace(PIPE, from_ft=100), CABLE), "the pipe from 0 to 100 ft"),
        ((Pump(type=PumpType.SHALLOW_JET), replace(PIPE, nominal_in=None)), "material and size"),
    ],
)
def test_where_a_main_part_is_not_known_no_weight_is_told(
    parts: tuple[Part, ...], missing: str
) -> None:
    found = weighed(*parts)
    assert found.weight_lb is None
    assert missing in ", ".join(found.unknown)
    text = said(holding(*parts))
    assert "WEIGHT UNKNOWN" in text
    assert "weigh it or ask" in text
    assert "at most" not in text


def test_what_is_surely_exceeded_is_the_known_pipe_alone_and_empty() -> None:
    # 4 in schedule 40: 10.79 lb/ft (ASME B36.10); shaft, tubes, bowls and water come on top.
    bowls = Pump(type=PumpType.LINESHAFT, hp=10, set_depth_ft=140)
    column = Pipe("galvanized_steel", "4", None, None, 0, 140)
    assert weighed(bowls, column).more_than_lb == 1510
    assert "surely more than 1,510 lb, the pipe alone and empty" in said(holding(bowls, column))
    assert weighed(bowls).more_than_lb is None
    assert "more than" not in said(holding(bowls))


details = st.fixed_dictionaries(
    {},
    optional={
        "wall": st.none(),
        "awg": st.none(),
        "conductors": st.none(),
        "ground_wire": st.none(),
        "cable": st.none(),
    },
)
pipes = st.sampled_from(
    [
        ("galvanized_steel", "sch 40"),
        ("galvanized_steel", "sch 80"),
        ("pvc", "sch 80"),
        ("pvc", "sch 120"),
        ("pe3408", "SIDR 7"),
        ("pe4710", "SIDR 5.3"),
        ("pe4710", "SIDR 11.5"),
    ]
)


@given(
    details,
    pipes,
    st.sampled_from(["1", "1-1/4", "2"]),
    st.sampled_from([4, 8, 12, 14]),
    st.sampled_from([0.5, 1.5, 5]),
)
def test_less_knowledge_never_makes_a_string_lighter(hidden, made_of, size, awg, hp) -> None:
    material, wall = made_of
    pump = replace(SUBMERSIBLE, hp=hp)
    pipe = Pipe(material, size, wall, None, 0, 300)
    cable = replace(CABLE, awg=awg)
    full = weighed(pump, pipe, cable)
    pipe = replace(pipe, wall=None) if "wall" in hidden else pipe
    cable = replace(cable, **{n: None for n in ("awg", "conductors", "ground_wire") if n in hidden})
    poorer = weighed(pump, pipe, *(() if "cable" in hidden else (cable,)))
    assert full.weight_lb is not None
    assert poorer.weight_lb is not None
    assert poorer.weight_lb >= full.weight_lb


@given(st.sampled_from(["pump", "pipe"]))
def test_what_is_surely_exceeded_lies_below_the_whole_weight(without: str) -> None:
    full = weighed(SUBMERSIBLE, PIPE, CABLE).weight_lb
    pump = replace(SUBMERSIBLE, hp=None) if without == "pump" else SUBMERSIBLE
    pipe = replace(PIPE, nominal_in=None) if without == "pipe" else PIPE
    assert (weighed(pump, pipe, CABLE).more_than_lb or 0) < full


def test_a_jet_has_its_end_and_a_deep_one_its_second_pipe() -> None:
    shallow = weighed(Pump(type=PumpType.SHALLOW_JET), PIPE)
    deep = weighed(Pump(type=PumpType.DEEP_JET), PIPE)
    assert shallow.taken == ("foot valve 50 lb",)
    assert "a second pipe like the first" in deep.taken
    assert shallow.weight_lb is not None
    assert deep.weight_lb is not None
    assert deep.weight_lb > 2 * (shallow.weight_lb - 60)
    both = weighed(Pump(type=PumpType.DEEP_JET), PIPE, replace(PIPE, nominal_in="1"))
    assert "a second pipe like the first" not in both.taken


def test_without_a_setting_it_is_taken_to_hang_to_the_bottom() -> None:
    hole = holding(
        replace(SUBMERSIBLE, set_depth_ft=None),
        replace(PIPE, to_ft=None),
        replace(CABLE, to_ft=None),
        observations=(seen("d", Quantity.DEPTH_FT, 400, CHECKED),),
    )
    found = load(hole)
    assert found.feet == 400
    assert "hanging to the bottom" in found.taken


def test_a_weight_from_what_was_only_told_says_so() -> None:
    told = tuple(
        component(str(n), p, basis=Basis.CUSTOMER_TOLD)
        for n, p in enumerate((SUBMERSIBLE, PIPE, CABLE))
    )
    assert "if what was only told is right" in said(thin(components=told))
    assert "told" not in said(holding(SUBMERSIBLE, PIPE, CABLE))


def test_nothing_hangs_in_a_well_that_flows_by_itself() -> None:
    flows = level("o", None, CHECKED, LevelState.FLOWING)
    assert said(thin(observations=(flows,), flowing=True)) == "nothing on record"
    assert "unknown" in said(thin())


def test_a_pump_that_was_told_to_be_a_bigger_one_is_weighed_as_that() -> None:
    def weight(*claims: Claim) -> int | None:
        pump = component("p", Pump(PumpType.SUBMERSIBLE, hp=0.5, set_depth_ft=200), claims=claims)
        pipe = component("d", Pipe("pvc", "1-1/4", "sch 80", None, 0, 200))
        return load(thin(components=(pipe, pump))).weight_lb

    def told(hp: float) -> Claim:
        return Claim("hp", hp, Basis.CUSTOMER_TOLD, CHECKED, False, "c")

    known, bigger, smaller = weight(), weight(told(2.0)), weight(told(0.33))
    assert known is not None
    assert bigger is not None
    assert bigger > known
    assert smaller == known


def test_a_length_that_was_taken_from_the_depth_says_so_though_the_weight_is_unknown() -> None:
    hole = thin(
        observations=(seen("a", Quantity.DEPTH_FT, 24, CHECKED),),
        components=(component("p", Pump(PumpType.HAND)),),
    )
    text = next(iter(load_lines(hole, []))).text
    assert text.startswith("24 ft of pipe; WEIGHT UNKNOWN")
    assert text.endswith("(unknown, taken: hanging to the bottom)")


def test_where_nothing_is_pulled_there_is_nothing_to_mind() -> None:
    assert list(cautions(thin(status=WellStatus.SEALED), CHECKED)) == []
    assert list(cautions(thin(), CHECKED)) != []


# -- what to bring -------------------------------------------------------------------------------


def brought(hole: Hole) -> str:
    """What is to be brought, by the findings of the rules themselves."""
    found = [f for f in judge(hole, Settings()) if f.holds(TODAY)]
    return list(load_lines(hole, found))[1].text


NEW = {"set_on": When.on(date(2024, 1, 1)), "noted_on": date(2024, 1, 1)}
OLD = {"set_on": When.on(date(2001, 1, 1)), "noted_on": date(2001, 1, 1)}


def pulled_up(*parts: Part, when: dict[str, object]) -> Hole:
    return thin(components=tuple(component(str(n), p, **when) for n, p in enumerate(parts)))


def test_pipe_that_is_rated_below_its_load_is_named_by_what_it_has_to_hold() -> None:
    # 0.4335 psi/ft x 402 ft = 174.3 psi, and 60 psi cut-out above it: 234.3 psi.
    pump, switch = replace(SUBMERSIBLE, set_depth_ft=402), Switch(40, 60)
    upper = Pipe("pe3408", "1", None, 160, 0, 380)
    lower = Pipe("pe3408", "1", None, 160, 380, 402)
    thick = replace(CABLE, awg=8, to_ft=402)
    deep = pulled_up(pump, upper, lower, thick, switch, when=NEW)
    psi = 0.4335 * 402 + 60
    said = brought(deep)
    assert said.startswith(f"to replace: 402 ft of 1 in pipe rated over {psi:.0f} psi; in case: ")
    # Only the section that is too weak is to be replaced.
    strong = replace(upper, rating_psi=250)
    mixed = pulled_up(pump, strong, replace(lower, nominal_in=None), thick, switch, when=NEW)
    assert brought(mixed).startswith(f"to replace: 22 ft of pipe rated over {psi:.0f} psi; ")


def test_cable_that_is_to_be_replaced_is_told_from_cable_in_case() -> None:
    cable = "300 ft of #12 3-wire + ground cable"
    assert brought(pulled_up(SUBMERSIBLE, CABLE, when=OLD)).startswith(f"to replace: {cable}; sp")
    assert brought(pulled_up(SUBMERSIBLE, CABLE, when=NEW)).startswith(f"in case: {cable}; sp")
    assert list(load_lines(pulled_up(SUBMERSIBLE, CABLE, when=OLD), []))[1].text.startswith("in c")


def test_cable_that_is_too_thin_for_its_run_is_not_brought_again() -> None:
    # A maker's chart of 1-1/2 hp at 230 V and 5 %: #12 is good for 310 ft, #10 for 480.
    pump = replace(SUBMERSIBLE, hp=1.5, set_depth_ft=402)
    said = brought(pulled_up(pump, replace(CABLE, to_ft=402), when=NEW))
    assert said.startswith("to replace: 402 ft of #10 3-wire + ground cable; splice kit")


def test_a_jet_has_no_cable_to_bring() -> None:
    jet = pulled_up(Pump(type=PumpType.SHALLOW_JET, set_depth_ft=20), when=NEW)
    assert brought(jet).startswith("foot valve, ")
