"""Chlorine for the water that stands in a well, against doses in print."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference_files import SERVICE, each

from wellbook.engineering.disinfection import (
    bleach_dose,
    column_gal,
    concentration_mgl,
    granules_g,
)

gallons = st.floats(min_value=1, max_value=10_000)
targets = st.floats(min_value=1, max_value=500)
strengths = st.floats(min_value=1, max_value=15)


def test_illinois() -> None:
    # 77 Ill. Adm. Code 925.50: 3 cups of 5.25 % to 100 gal for 100 mg/L.
    assert bleach_dose(100, 100, 5.25).cups == pytest.approx(3, abs=0.1)


def test_alberta() -> None:
    # 240 imperial gal (4.54609 l) at 200 mg/L: 4.2 l of 5.25 %, 1.8 l of 12 %.
    water = 240 * 4.54609 / 3.785411784
    assert bleach_dose(water, 200, 5.25).litres == pytest.approx(4.2, abs=0.05)
    assert bleach_dose(water, 200, 12).litres == pytest.approx(1.8, abs=0.05)
    # And 312 g of 70 %.
    assert granules_g(water, 200, 70) == pytest.approx(312, abs=0.5)


def test_a_dug_well() -> None:
    # A federal health agency: 5 ft across, 30 ft of water, 135 cups of 5.25 % for 100 mg/L.
    assert bleach_dose(column_gal(60, 30), 100, 5.25).cups == pytest.approx(135, rel=0.01)


def test_texas_takes_the_column_and_not_the_depth() -> None:
    # Hickory Underground Water Conservation District: 6 in, 120 ft deep, water at 20 ft: 100 ft,
    # 150 gal (at 1.5 gal/ft), 4.5 cups.
    assert bleach_dose(column_gal(6, 120 - 20), 100, 5.25).cups == pytest.approx(4.5, abs=0.05)
    assert column_gal(6, 100) == pytest.approx(150, rel=0.025)


def test_where_a_table_in_print_differs_the_arithmetic_stands() -> None:
    # 327 IAC 8-3.4-24 prints 11,690 gal for 100 ft of 60 in and 106.09 for 5 in: a rule of cubic
    # feet gives others, and those are what a dose is for.
    for diameter_in, printed in ((60, 11_690), (5, 106.09)):
        cubic_ft = math.pi * (diameter_in / 24) ** 2 * 100
        assert column_gal(diameter_in, 100) == pytest.approx(7.4805 * cubic_ft, rel=1e-4)
        assert abs(column_gal(diameter_in, 100) / printed - 1) > 0.03


def test_a_quart_to_fifty_gallons() -> None:
    # A national ground water trust: 200 to 300 ppm.
    assert 200 < concentration_mgl(50, 3.785411784 / 4, 5.25) < 300


def test_a_handbooks_hundred_is_a_hundred_and_thirty_one() -> None:
    # MIL-HDBK-1164: a quart of 5.25 % or 2 oz of 65 % to 100 gal are both called 100 mg/L.
    assert concentration_mgl(100, 3.785411784 / 4, 5.25) == pytest.approx(131, abs=2)
    assert granules_g(100, 97, 65) == pytest.approx(2 * 28.35, rel=0.02)


def _is_a_dose(check: dict[str, Any]) -> bool:
    # The others of that name are hours of contact and the like.
    of_bleach = any(name.startswith("strength") for name in check["inputs"])
    return bool(check["id"].startswith("dose-")) and of_bleach


@pytest.mark.parametrize("check", each(SERVICE, _is_a_dose))
def test_doses_of_the_reference_file(check: dict[str, Any]) -> None:
    i, tolerance = check["inputs"], check["tolerance"]
    strength = next(i[name] for name in i if name.startswith("strength"))
    water = i["gal"] if "gal" in i else column_gal(i["casing_id_in"], i["water_ft"])
    for name, expected in check["expected"].items():
        if name == "mgL":
            found = concentration_mgl(water, i["quart"] * 3.785411784 / 4, strength)
        elif name == "oz_wt":
            found = granules_g(water, i["target_mgL"], strength) / 28.349523
        else:
            dose = bleach_dose(water, i["target_mgL"], strength)
            found = {"cups": dose.cups, "fl_oz": dose.fl_oz, "us_fl_oz": dose.fl_oz}[name]
        assert found == pytest.approx(expected, abs=tolerance[name])


# ------------------------------------------------------------------------------- always


@given(gallons, targets, strengths)
def test_the_dose_makes_what_was_wanted(water: float, target: float, strength: float) -> None:
    dose = bleach_dose(water, target, strength)
    assert concentration_mgl(water, dose.litres, strength) == pytest.approx(target)
    # A US gallon is 128 fluid ounces and 16 cups.
    assert dose.fl_oz == pytest.approx(8 * dose.cups)
    assert dose.cups == pytest.approx(16 * dose.litres / 3.785411784)


@given(gallons, targets, strengths)
def test_stronger_bleach_is_less_and_more_water_is_more(
    water: float, target: float, strength: float
) -> None:
    litres = bleach_dose(water, target, strength).litres
    assert bleach_dose(water, target, strength * 1.1).litres < litres
    assert bleach_dose(water * 1.1, target, strength).litres > litres
    assert bleach_dose(water, target * 1.1, strength).litres > litres


# ------------------------------------------------------------------------------- refused


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf, 1e12])
def test_wrong_numbers_name_their_field(bad: float) -> None:
    for field, call in {
        "gallons": lambda: bleach_dose(bad, 100, 5.25),
        "target_mgl": lambda: bleach_dose(100, bad, 5.25),
        "strength_percent": lambda: bleach_dose(100, 100, bad),
        "diameter_in": lambda: column_gal(bad, 100),
        "water_ft": lambda: column_gal(6, bad),
    }.items():
        with pytest.raises(ValueError, match=rf"^{field}: "):
            call()
    for call in (
        lambda: granules_g(bad, 100, 65),
        lambda: granules_g(100, bad, 65),
        lambda: granules_g(100, 100, bad),
    ):
        with pytest.raises(ValueError, match=r"^(gallons|target_mgl|strength_percent): "):
            call()
    if bad != 0:
        with pytest.raises(ValueError, match=r"^bleach_litres: "):
            concentration_mgl(100, bad, 5.25)


def test_granules_are_not_reckoned_as_a_liquid() -> None:
    with pytest.raises(ValueError, match=r"^strength_percent: 65 is more than 20.*by weight"):
        bleach_dose(100, 100, 65)
