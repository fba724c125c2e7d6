"""The desk calculators of tank and chlorine: as they are typed, and what they refuse."""

from __future__ import annotations

from typing import Any

import pytest

from wellbook.calculators.calculator import Answer
from wellbook.calculators.shelf import the_calculator
from wellbook.calculators.tanks import disinfect, tank

TANK = {"volume_gal": 44, "precharge_psi": 38, "cut_in_psi": 40, "cut_out_psi": 60, "gpm": 10}
WELL = {"diameter_in": 6, "water_ft": 100, "target_mgl": 100, "strength_percent": 5.25}


def answer(name: str, **given: Any) -> Answer:
    return the_calculator(name).work_out(given)


def test_the_options_and_results_are_those_of_the_trade() -> None:
    tanks, chlorine = the_calculator("tank"), the_calculator("disinfect")
    assert [o.name for o in tanks.options] == [
        *("volume_gal", "precharge_psi", "cut_in_psi", "cut_out_psi", "altitude_ft", "gpm", "hp"),
    ]
    assert tanks.results == ("drawdown_gal", "run_minutes", "starts_per_day_worst")
    assert [o.name for o in chlorine.options] == [
        *("diameter_in", "water_ft", "gallons", "target_mgl", "strength_percent"),
    ]
    assert chlorine.results == ("litres", "fl_oz", "cups")
    said = " ".join(chlorine.cautions)
    for word in ("Ventilate", "acid", "ammonia", "unscented", "drinks", "health department"):
        assert word in said
    assert "locked out" in " ".join(tanks.cautions)


def test_a_published_drawdown_as_it_is_typed() -> None:
    # The Driller, Feb 2006.
    given = {"volume_gal": "85 gal", "precharge_psi": "28 psi", "cut_in_psi": 30, "cut_out_psi": 50}
    found = answer("tank", **given)
    assert found.results["drawdown_gal"] == pytest.approx(25.1, abs=0.05)
    assert found.results["run_minutes"] is None
    assert found.results["starts_per_day_worst"] is None
    high = answer("tank", **given, altitude_ft=6000)
    assert high.results["drawdown_gal"] == pytest.approx(26.2, abs=0.1)


def test_run_time_and_starts() -> None:
    found = answer("tank", **TANK)
    drawdown = found.results["drawdown_gal"]
    assert found.results["run_minutes"] == pytest.approx(drawdown / 10)
    assert found.results["starts_per_day_worst"] == pytest.approx(24 * 15 * 10 / drawdown)
    assert found.notes == ()


@pytest.mark.parametrize(
    ("volume_gal", "hp", "run", "starts"),
    [
        (44, "1/2", "it does", "more than that is possible, at a steady draw of 5 gpm"),
        (30, "3/4", "short cycle; 10 gal of drawdown", "300 times a day: more"),
        (44, "1", "short cycle; 20 gal of drawdown", "100 times a day: more"),
        (150, "1", "2 minutes at each start: it does", "100 times a day: no steady draw"),
        (150, "40", "it does", "no published limit of starts"),
    ],
)
def test_held_against_the_limits_of_the_motor(
    volume_gal: float, hp: str, run: str, starts: str
) -> None:
    said = answer("tank", **(TANK | {"volume_gal": volume_gal}), hp=hp).notes
    assert run in said[0]
    assert starts in said[1]


def test_a_published_dose_as_it_is_typed() -> None:
    # 77 Ill. Adm. Code 925.50: 3 cups (here 3.05) of 5.25 % to 100 gal for 100 mg/L.
    found = answer("disinfect", gallons="100 gal", target_mgl="100 mg/L", strength_percent="5.25 %")
    assert found.results["cups"] == pytest.approx(3, abs=0.1)
    assert found.results["fl_oz"] == pytest.approx(24.4, abs=0.05)
    assert found.results["litres"] == pytest.approx(0.721, abs=0.001)


def test_the_dose_of_a_column() -> None:
    # Computed: 6 in, 100 ft of water, 100 mg/L of 5.25 % is 35.8 fl oz.
    found = answer("disinfect", **WELL)
    assert found.results["fl_oz"] == pytest.approx(35.8, abs=0.18)
    assert "146.9 gal" in found.notes[0]


# ------------------------------------------------------------------------------- refused


@pytest.mark.parametrize("bad", [0, -1, "nan", 1e12])
@pytest.mark.parametrize("option", [*TANK, "altitude_ft", "hp"])
def test_wrong_numbers_of_a_tank_name_their_option(option: str, bad: Any) -> None:
    if (option, bad) in (("precharge_psi", 0), ("altitude_ft", 0), ("altitude_ft", -1)):
        answer("tank", **(TANK | {option: bad}))
        return
    with pytest.raises(ValueError, match=rf"^{option}: "):
        answer("tank", **(TANK | {option: bad}))


@pytest.mark.parametrize("bad", [0, -1, "nan", 1e12])
@pytest.mark.parametrize("option", [*WELL, "gallons"])
def test_wrong_numbers_of_a_dose_name_their_option(option: str, bad: Any) -> None:
    right = WELL if option in WELL else {"target_mgl": 100, "strength_percent": 5.25}
    with pytest.raises(ValueError, match=rf"^{option}: "):
        answer("disinfect", **(right | {option: bad}))


@pytest.mark.parametrize("option", [*TANK, *WELL])
def test_a_nan_is_refused_inside_too(option: str) -> None:
    reckon, right = (tank, TANK) if option in TANK else (disinfect, WELL)
    with pytest.raises(ValueError, match=rf"^{option}: "):
        reckon(**(right | {option: float("nan")}))


def test_what_is_missing_or_said_twice() -> None:
    for option in ("volume_gal", "precharge_psi", "cut_in_psi", "cut_out_psi"):
        with pytest.raises(ValueError, match=rf"^{option}: missing"):
            answer("tank", **(TANK | {option: ""}))
    without = answer("tank", **(TANK | {"gpm": ""}), hp=1)
    assert without.results["drawdown_gal"] == answer("tank", **TANK).results["drawdown_gal"]
    assert without.results["run_minutes"] is None
    for option in WELL:
        with pytest.raises(ValueError, match=rf"^{option}: missing"):
            answer("disinfect", **(WELL | {option: ""}))
    with pytest.raises(ValueError, match=r"^gallons: give this or diameter_in, water_ft, not both"):
        answer("disinfect", **WELL, gallons=100)
    with pytest.raises(ValueError, match=r"^strength_percent: 65 is more than 20"):
        answer("disinfect", **(WELL | {"strength_percent": 65}))
    with pytest.raises(ValueError, match=r"^precharge_psi: 41 is above cut_in_psi"):
        answer("tank", **(TANK | {"precharge_psi": 41}))
