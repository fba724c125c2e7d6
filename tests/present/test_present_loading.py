"""The words of the list for the truck."""

from __future__ import annotations

from dataclasses import replace

import pytest
from present_holes import component, dug, rich, thin

from wellbook.hole.hole import Hole
from wellbook.hole.parts import Cable, CheckValve, Part, Pipe, Pump, Switch, Tank
from wellbook.present.materials_to_load import loading_line
from wellbook.rules.finding import Settings
from wellbook.rules.loading import Item, to_load
from wellbook.terms import PumpType


def words(*parts: Part, **more: object) -> dict[str, str]:
    """Label -> words, for parts that all are new in an empty well."""
    hole = thin(components=tuple(component(str(n), p) for n, p in enumerate(parts)), **more)
    lines = [loading_line(hole, i) for i in to_load(thin(), hole, Settings())]
    return {line.label: line.text for line in lines}


PUMP = Pump(PumpType.SUBMERSIBLE, hp=1, set_depth_ft=200)


def test_every_item_of_a_whole_string_has_its_words() -> None:
    hole = rich()
    empty = replace(hole, components=())
    lines = [loading_line(hole, i) for i in to_load(empty, hole, Settings())]
    said = {line.label: line.text for line in lines}
    assert all(said.values())
    assert "pipe" in said and "check" not in said
    assert max(len(label) for label in said) <= 9
    assert said["splices"] == "2 splice kits for 3-wire + ground cable (1 to make, one to spare)"
    assert said["valves"] == "2 check valves: 1 at 180 ft; one for the pump, unless it has its own"
    assert said["arrestor"] == "at 255 ft"


@pytest.mark.parametrize(
    ("pipe", "said"),
    [
        (
            Pipe("pe4710", "1", "SIDR 9", None, 0, 200),
            "200 ft of 1 in pe4710 SIDR 9: a coil of 200 ft",
        ),
        (Pipe("pe4710", "1", None, None, 0, 1200), "1,200 ft of 1 in pe4710: coils, coupled"),
        (
            Pipe("galvanized_steel", "1", "sch 40", None, 0, 200, 21),
            "200 ft of 1 in galvanized steel sch 40: 10 joints of 21 ft, and one to spare",
        ),
        (
            Pipe("pvc", "1", "sch 80", None, 0, 200),
            "200 ft of 1 in pvc sch 80: 10 joints of 20 ft, and one to spare; length of a joint not said",
        ),
        (
            Pipe(None, None, None, None, 0, 200, 20),
            "200 ft of pipe: 10 joints of 20 ft, and one to spare",
        ),
        (Pipe("pvc"), "pvc, length unknown"),
    ],
)
def test_pipe(pipe: Pipe, said: str) -> None:
    assert words(pipe)["pipe"] == said


def test_cable() -> None:
    # 200 ft, 3 per cent of slack, 10 ft of tail and 50 ft of run: 266, to the next 5 ft.
    assert words(PUMP, Cable(12, 3, True, None, 0, 200))["cable"] == (
        "270 ft of #12 3-wire + ground cable: 200 ft down, slack and tail, and 50 ft to the supply"
        " (usual run: not on record; measure it)"
    )
    assert words(PUMP, Cable(12, 3, True, None, 100, 200))["cable"] == (
        "115 ft of #12 3-wire + ground cable: 100 ft down, slack and tail"
    )
    assert words(Cable(jacket="flat"))["cable"] == "gauge not said, flat cable, length unknown"


def test_a_length_that_is_not_known_is_said_to_be() -> None:
    said = words(Pump(PumpType.SUBMERSIBLE, hp=1), Pipe("pvc"), Cable(12))
    for label in ("ties", "tape", "guards", "rope"):
        assert "(length of the string not known)" in said[label]
    assert said["splices"] == "2 splice kits (1 to make, one to spare)"


def test_valves_and_clamps() -> None:
    one = words(PUMP, Pipe("pe4710", "1", None, None, 0, 200))
    assert one["valves"] == "1 check valve: one for the pump, unless it has its own"
    assert one["clamps"] == "4 stainless clamps (2 ends of pipe, 2 each); insert fittings to fit"
    some = words(PUMP, Pipe("pvc"), CheckValve(None, 60), CheckValve(), CheckValve(None, 160))
    assert some["valves"] == (
        "4 check valves: 2 at 160, 60 ft; 1 of depth not said; one for the pump, unless it has its own"
    )
    deep = words(replace(PUMP, set_depth_ft=320))
    assert deep["valves"] == (
        "3 check valves: 2 at 295, 95 ft; not in the plan, but wanted by the spacing rule, the well taken"
        " as drawn down to the pump; one for the pump, unless it has its own"
    )


def test_the_tanks_air() -> None:
    said = words(Tank(volume_gal=44), Switch(30, 50))
    assert said["air"].startswith("gauge and pump: set the tank's air to 28 psi; power off")
    assert set(said) == {"tank", "switch", "air", "safety"}


@pytest.mark.parametrize(
    ("litres", "said"),
    [(2.4, "2.4 litres (10 cups) of"), (1.0, "1.0 litres (4 cups) of"), (0.25, "250 ml of")],
)
def test_bleach(litres: float, said: str) -> None:
    text = loading_line(thin(), Item("chlorine", litres=litres, gallons=384.0)).text
    assert text.startswith(said)
    for caution in (
        "6 % bleach for 384 gal",
        "never with acid or ammonia",
        "the label and the local",
    ):
        assert caution in text


def test_a_column_that_is_not_known_has_the_cautions_all_the_same() -> None:
    text = loading_line(thin(), Item("chlorine", notes=("the well flows: x",))).text
    assert text.startswith("plain unscented bleach: the water column is not known")
    assert "never with acid or ammonia" in text
    assert text.endswith("; the well flows: x")


def test_a_hand_pump() -> None:
    hole: Hole = dug()
    lines = [loading_line(hole, i) for i in to_load(replace(hole, components=()), hole, Settings())]
    assert [line.label for line in lines] == ["pump", "gaskets", "chlorine", "safety"]
