"""The desk calculators of pressure and flow: published answers, and errors that name the option."""

from typing import Any

import pytest

from wellbook.calculators.calculator import Answer
from wellbook.calculators.shelf import the_calculator

CURVE = "0:330, 5:300, 10:230"
# A case that works for each, to change one option of.
WORKS: dict[str, dict[str, Any]] = {
    "column-pressure": {"height_ft": 330, "cut_out_psi": 50, "rise_ft": 5},
    "pipe-limit": {"rating_psi": 160, "material": "pe3408", "temperature_f": 60, "rise_ft": 5},
    "friction": {"gpm": 5, "id_in": 1.049, "c": 150, "length_ft": 300},
    "total-head": {
        "pumping_level_ft": 250,
        "rise_ft": 10,
        "cut_out_psi": 50,
        "gpm": 10,
        "id_in": 1.38,
        "length_ft": 500,
    },
    "pump-lift": {"hp": 0.75, "rated_gpm": 10, "cut_out_psi": 50, "service_factor": 1.5},
    "operating-point": {
        "curve": CURVE,
        "level_ft": 100,
        "cut_out_psi": 50,
        "length_ft": 300,
        "id_in": 1.049,
        "specific_capacity": 0.5,
    },
}


def work_out(name: str, **given: Any) -> Answer:
    return the_calculator(name).work_out(given)


def results(name: str, **given: Any) -> dict[str, Any]:
    return dict(work_out(name, **given).results)


@pytest.mark.parametrize(
    ("given", "rating_psi", "bare_ft", "drawn_down_ft"),
    [
        ({"rating_psi": 160}, 160, 369, 369),
        ({"rating_psi": 160, "cut_out_psi": 50}, 160, 369, 253),
        ({"rating_psi": 200, "cut_out_psi": 60, "rise_ft": 10}, 200, 451, 312),
        ({"material": "pe3408", "sidr": 9, "cut_out_psi": 50}, 160, 369, 253),
        ({"material": "pe4710", "sidr": "9"}, 200, 461, 461),
        ({"material": "PE4710", "dr": 13.5}, 160, 369, 369),
        # Machinery's Handbook, 31st ed., p. 2770: 1 in schedule 80 is 630 psi; 0.40 at 120 F.
        ({"material": "pvc", "schedule": 80, "nominal": "1"}, 630, 1453, 1453),
        ({"material": "pvc", "schedule": "80", "nominal": "1", "threaded": "yes"}, 315, 726, 726),
        (
            {"material": "pvc", "schedule": "80", "nominal": "1", "temperature_f": "120 F"},
            *(252, 581, 581),
        ),
        ({"rating_psi": 160, "material": "pe3408", "temperature_f": 40}, 160, 369, 369),
        # Of a material that is not told, the one that suffers most: PVC keeps 0.75 at 90 F.
        ({"rating_psi": 160, "temperature_f": 90}, 120, 276, 276),
        ({"rating_psi": 160, "temperature_f": 50}, 160, 369, 369),
        ({"material": "pvc", "schedule": "sch 80", "nominal": "1 1/4"}, 520, 1199, 1199),
        ({"rating_psi": 100, "cut_out_psi": 100}, 100, 230, 0),
    ],
)
def test_pipe_limits(
    given: dict[str, Any], rating_psi: float, bare_ft: int, drawn_down_ft: int
) -> None:
    found = results("pipe-limit", **given)
    assert found["rating_psi"] == pytest.approx(rating_psi)
    assert (found["bare_column_ft"], found["drawn_down_ft"]) == (bare_ft, drawn_down_ft)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({}, "rating_psi: missing"),
        ({"rating_psi": 160, "sidr": 9}, "rating_psi: give this or sidr, not both"),
        ({"rating_psi": 160, "threaded": "yes"}, "rating_psi: give this or threaded, not both"),
        ({"material": "pe3408"}, "sidr: missing"),
        ({"material": "pvc"}, "schedule: missing"),
        ({"material": "pvc", "schedule": "80"}, "nominal: missing"),
        (
            {"material": "pvc", "schedule": "80", "nominal": "7/8"},
            "nominal: '7/8' is no size of pipe here",
        ),
        ({"material": "pvc", "schedule": "90", "nominal": "1"}, "schedule: PVC: wall 'sch 90'"),
        ({"material": "pe3408", "sidr": 8}, "sidr: polyethylene: wall 'SIDR 8'"),
        ({"material": "pe3408", "sidr": 9, "dr": 11}, "sidr: give this or dr, not both"),
        ({"material": "pe3408", "sidr": 9, "threaded": "yes"}, "threaded: counts for PVC only"),
        ({"material": "stainless_steel", "schedule": "40"}, "material: steel: no rating"),
        ({"material": "rubber", "sidr": 9}, "material: 'rubber' is not one of"),
        ({"rating_psi": 160, "material": "pvc", "temperature_f": 150}, "temperature_f: 150 F is"),
    ],
)
def test_a_pipe_that_cannot_be_is_named(given: dict[str, Any], says: str) -> None:
    with pytest.raises(ValueError, match=f"^{says}"):
        work_out("pipe-limit", **given)


def test_the_check_valve_above_a_deep_pump_sees_more_than_200_psi() -> None:
    # Common practice, no published source: near 400 ft, with a switch's pressure on top.
    found = results("column-pressure", height_ft=400, cut_out_psi=50)
    assert found["column_psi"] < 200 < found["with_cut_out_psi"]


def test_friction() -> None:
    # Ill. Admin. Code tit. 77 pt. 906 App. A: 1.52 ft in 100 ft.
    found = results("friction", gpm=5, id_in=1.049, c=150, length_ft=300)
    assert found["ft_per_100ft"] == pytest.approx(1.52, abs=0.005)
    assert found["loss_ft"] == pytest.approx(3 * found["ft_per_100ft"])
    assert found["velocity_fps"] == pytest.approx(1.86, abs=0.005)
    assert not work_out("friction", gpm=5, id_in=1.049).notes
    assert "above the usual 5" in work_out("friction", gpm=15, id_in=1.049).notes[0]
    assert "too fast for a check valve" in work_out("friction", gpm=30, id_in=1.049).notes[0]


def test_total_head_of_a_textbook_and_of_another_program() -> None:
    # Example 9.21 of a textbook (holooly.com): 170.5 ft; no flow, no horsepower.
    found = results("total-head", pumping_level_ft=150, rise_ft=10, friction_ft=10.5)
    assert found == {"total_head_ft": 170.5, "water_hp": None}
    # EPANET: 383.7 ft and 0.969 hp.
    found = results("total-head", **WORKS["total-head"])
    assert found["total_head_ft"] == pytest.approx(383.7, abs=0.1)
    assert found["water_hp"] == pytest.approx(0.969, abs=0.001)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"gpm": 10, "id_in": 1.38}, "length_ft: missing"),
        ({"gpm": 10, "length_ft": 100}, "id_in: missing"),
        ({"id_in": 1.38, "length_ft": 100}, "gpm: missing"),
        (
            {"gpm": 10, "id_in": 1.38, "length_ft": 100, "friction_ft": 5},
            "friction_ft: give this or id_in, length_ft, not both",
        ),
    ],
)
def test_half_a_pipe_is_named(given: dict[str, Any], says: str) -> None:
    with pytest.raises(ValueError, match=f"^{says}"):
        work_out("total-head", pumping_level_ft=100, **given)


def test_pump_lift_from_a_curve_has_no_band() -> None:
    found = results("pump-lift", curve=CURVE, rated_gpm=10, cut_out_psi=50)
    assert (found["at_rated_flow_ft"], found["reaches_cut_out_ft"]) == (114.5, 214.5)
    assert found["stalls_ft"] == 330
    assert [v for n, v in found.items() if "_low_" in n or "_high_" in n] == [None] * 6


def test_pump_lift_without_a_curve_is_a_band_and_says_so() -> None:
    # Common practice, no published source: 3/4 hp rated 10 gpm lifts from about 280 ft.
    answer = work_out("pump-lift", hp="3/4", rated_gpm="10 gpm", cut_out_psi=50)
    found = answer.results
    assert found["reaches_cut_out_ft"] <= 280 <= found["stalls_ft"]
    for depth in ("at_rated_flow", "reaches_cut_out", "stalls"):
        low, middle, high = (found[f"{depth}{part}_ft"] for part in ("_low", "", "_high"))
        assert low < middle < high
    assert answer.notes[0].startswith("estimated from horsepower")


def test_operating_point() -> None:
    found = results("operating-point", **WORKS["operating-point"], check_valves=2, elbows=1)
    assert found["pumping_level_ft"] == pytest.approx(100 + found["gpm"] / 0.5)
    assert 0 < found["gpm"] < 10
    assert found["low_gpm"] is None
    estimated = results(
        "operating-point", hp=0.75, rated_gpm=10, level_ft=120, cut_out_psi=50, id_in=1.049,
        length_ft=300,
    )  # fmt: skip
    assert estimated["low_gpm"] < estimated["gpm"] < estimated["high_gpm"]


def test_a_pump_that_cannot_lift_gives_no_water_and_says_why() -> None:
    answer = work_out("operating-point", curve=CURVE, level_ft=300, cut_out_psi=50)
    assert answer.results["gpm"] == 0
    assert answer.results["head_ft"] is None
    assert answer.notes[-1].startswith("cannot lift: the pump makes 330 ft at no flow")


def test_a_flow_past_the_curve_is_not_guessed() -> None:
    answer = work_out("operating-point", curve=CURVE, level_ft=50)
    assert answer.results["gpm"] is None
    assert answer.notes[-1].startswith("more than 10 gpm")


@pytest.mark.parametrize("name", ["pipe-limit", "total-head", "pump-lift", "operating-point"])
def test_an_open_discharge_is_said(name: str) -> None:
    given = {n: v for n, v in WORKS[name].items() if n != "cut_out_psi"}
    assert any("open discharge" in note for note in work_out(name, **given).notes)


@pytest.mark.parametrize(
    ("name", "option", "bad"),
    [
        (name, option.name, bad)
        for name in WORKS
        for option in the_calculator(name).options
        if option.kind in (float, int)
        for bad in (-1, "nan", 1e12, "water")
    ],
)
def test_a_number_that_cannot_be_names_its_option(name: str, option: str, bad: Any) -> None:
    given = dict(WORKS[name])
    if (name, option) in (("pipe-limit", "sidr"), ("pipe-limit", "dr")):
        del given["rating_psi"]
    if (name, option) == ("total-head", "friction_ft"):
        del given["length_ft"], given["id_in"]
    if name == "operating-point" and option in ("hp", "rated_gpm", "service_factor"):
        given = {**given, "hp": 0.75, "rated_gpm": 10}
        del given["curve"]
    with pytest.raises(ValueError, match=rf"^{option}: "):
        work_out(name, **{**given, option: bad})


@pytest.mark.parametrize(
    ("name", "option"),
    [
        *(("column-pressure", "height_ft"), ("pipe-limit", "rating_psi"), ("friction", "id_in")),
        *(("friction", "c"), ("total-head", "id_in"), ("pump-lift", "hp")),
        *(("pump-lift", "rated_gpm"), ("pump-lift", "service_factor")),
        *(("operating-point", "id_in"), ("operating-point", "specific_capacity")),
    ],
)
def test_zero_names_its_option_where_it_cannot_be(name: str, option: str) -> None:
    with pytest.raises(ValueError, match=rf"^{option}: 0 is not above zero"):
        work_out(name, **{**WORKS[name], option: 0})


@pytest.mark.parametrize(
    ("name", "option"),
    [
        *(("column-pressure", "height_ft"), ("friction", "gpm"), ("friction", "id_in")),
        *(("total-head", "pumping_level_ft"), ("pump-lift", "hp"), ("pump-lift", "rated_gpm")),
        ("operating-point", "level_ft"),
    ],
)
def test_what_is_needed_is_named_where_it_is_missing(name: str, option: str) -> None:
    given = {n: v for n, v in WORKS[name].items() if n != option}
    with pytest.raises(ValueError, match=rf"^{option}: missing"):
        work_out(name, **given)


@pytest.mark.parametrize("bad", ["330", "0:330", "0:330, 5:340", "0:330, 5:nan", "a:b, 1:2"])
def test_a_curve_that_cannot_be_names_its_option(bad: str) -> None:
    with pytest.raises(ValueError, match=r"^curve: (?!points)"):
        work_out("pump-lift", curve=bad)


@pytest.mark.parametrize("given", [{"id_in": 1e-7}, {"c": 1e-7}])
def test_friction_that_cannot_be_names_what_was_given(given: dict[str, float]) -> None:
    asked = {"gpm": 10, "id_in": 1.38, "length_ft": 300, **given}
    for name, more in (("friction", {}), ("total-head", {"pumping_level_ft": 100})):
        with pytest.raises(ValueError, match=r"^gpm, id_in, c, length_ft: such a pipe would lose"):
            work_out(name, **asked, **more)
