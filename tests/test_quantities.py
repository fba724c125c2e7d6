"""Quantities as they are written: what is read, what is refused, and that showing loses nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wellbook.quantities import UNITS, read, show, split_suffix

units = st.sampled_from(list(UNITS))
amounts = st.floats(0, 100_000, allow_nan=False)


@pytest.mark.parametrize(
    ("same", "unit", "value"),
    [
        (["320 ft", "320'", "320", "320ft", "320 FEET", "320.0 ft.", "+320"], "ft", 320),
        (
            [
                *("49'6\"", "49' 6\"", "49'-6\"", "49'6''", "49\N{PRIME}6\N{DOUBLE PRIME}"),
                *("49'6", "49 ft 6 in", "49 ft. 6 in.", "49 feet, 6 inches", "49 ft and 6 in"),
                *("49.5", "594 in"),
            ],
            "ft",
            49.5,
        ),
        (["49 ft 6-1/4 in"], "ft", 49 + 6.25 / 12),
        (["49 ft .5 in"], "ft", 49 + 0.5 / 12),
        (["1/2 hp", "0.5 hp", ".5HP", "½ hp", "½", "1/2", "0.5 h.p."], "hp", 0.5),
        (["1-1/2 hp", "1 1/2", "1½", "1-½ hp", "1.5"], "hp", 1.5),
        (["7 gpm", "7 gal/min", "7 gal. per minute", "420 gph"], "gpm", 7),
        (["1,200 gal", "1200 gallons", "1,200.0"], "gal", 1200),
        (["160 psi", "160 PSI", "160 psig"], "psi", 160),
        (["6 in", '6"', "6 inches", "1/2 ft"], "in", 6),
        (["6 1/4 in", '6-1/4"', "6¼"], "in", 6.25),
        (["2.2 megohm", "2.2 MΩ", "2.2 M\N{OHM SIGN}", "2200 kohm", "2.2 Mohm"], "megohm", 2.2),
        (["4.1 ohm", "4.1 Ω"], "ohm", 4.1),
        (["230 V", "230 volts", "0.23 kV"], "v", 230),
        (["8 A", "8 amps", "8a"], "a", 8),
        (["-4 F", "-20 °C", "\N{MINUS SIGN}20 deg C"], "f", -4),
        (["0.3 mg/L", "0.3 ppm", "300 ug/L"], "mg_l", 0.3),
        (["8.25 %", "8.25%", "8.25 percent", "8.25 per cent", "8.25"], "percent", 8.25),
        (["100 mg/L", "100 ppm", "0.1 g/l"], "mgl", 100),
        (["8 A", "8 amps", "8000 mA"], "amps", 8),
        (["230 V", "0.23 kV"], "volts", 230),
        (["150 gal", "150 gallons"], "gallons", 150),
        (["16 fl oz", "2 cups", "16 fl. oz.", "0.125 gal"], "fl_oz", 16),
        (["5 lb 4 oz", "5.25 lbs"], "lb", 5.25),
        (["6 months", "0.5 years", "½ year"], "years", 0.5),
        (["1 year 6 months"], "years", 1.5),
        (["2 weeks", "14"], "days", 14),
        (["1 h 30 min", "1.5 hours", "90 min"], "minutes", 90),
        (["2011"], "", 2011),
    ],
)
def test_wordings_of_the_trade(same: list[str], unit: str, value: float) -> None:
    for text in same:
        assert read(text, unit) == pytest.approx(value, rel=1e-11), text


# NIST SP 811 (2008), appendix B.8, from memory: 1 ft = 0.3048 m, 1 in = 25.4 mm, 1 US gal =
# 3.785412 L, 1 psi = 6.894757 kPa, 1 hp (550 ft lbf/s) = 745.6999 W, 1 lb = 0.45359237 kg,
# and t/°F = 1.8 t/°C + 32.
@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("0.3048 m", "ft", 1),
        ("97.5 m", "ft", 319.8819),
        ("97.5 meters", "ft", 319.8819),
        ("25.4 mm", "in", 1),
        ("150 mm", "in", 5.905512),
        ("3.785411784 l", "gal", 1),
        ("1 m3", "gal", 264.1721),
        ("6.894757 kPa", "psi", 1),
        ("11 bar", "psi", 159.5415),
        ("745.6999 W", "hp", 1),
        ("0.37 kW", "hp", 0.4961782),
        ("25 l/min", "gpm", 6.604301),
        ("0.5 l/s", "gpm", 7.925162),
        ("3.2 m3/h", "gpm", 14.08918),
        ("3.2 m^3 / hr", "gpm", 14.08918),
        ("3.2 m³/h", "gpm", 14.08918),
        ("100 °C", "f", 212),
        ("0.45359237 kg", "lb", 1),
    ],
)
def test_conversions_of_the_standard(text: str, unit: str, value: float) -> None:
    assert read(text, unit) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize("value", [320, 320.0, "320"])
def test_plain_numbers_are_in_the_unit(value: float | str) -> None:
    assert read(value, "ft") == 320
    assert isinstance(read(value, "ft"), float)


@pytest.mark.parametrize(
    ("value", "unit", "why"),
    [
        ("7 gpm", "ft", "'7 gpm' is a flow; this field wants feet"),
        ("5 psi", "hp", "'5 psi' is a pressure; this field wants horsepower"),
        ("5 %", "volts", "'5 %' is a share; this field wants volts"),
        ("230 V", "percent", "'230 V' is a voltage; this field wants per cent"),
        ("16 oz", "fl_oz", "'16 oz' is a weight; this field wants fluid ounces"),
        ("12 ft", "", "'12 ft' is a length; this field wants a plain number"),
        ("7 furlongs", "ft", "'furlongs' is not a unit known here; this field wants feet"),
        ("2 mΩ", "megohm", "'mohm' is not a unit known here"),
        ("1,5", "ft", "can be a decimal point; write 1.5, or 1,500"),
        ("0,500", "gal", "can be a decimal point"),
        ("12,34", "gal", "can be a decimal point"),
        ("1.200,5", "gal", "can be a decimal point"),
        ("1.2.3", "ft", "not one number"),
        ("230/460 V", "v", "230/460 is not read as a fraction"),
        ("40/60 psi", "psi", "40/60 is not read as a fraction"),
        ("1/0 hp", "hp", "1/0 is not read as a fraction"),
        ("10-12 gpm", "gpm", "more than one value"),
        ("10 to 12 gpm", "gpm", "more than one value"),
        ("1 2 3", "hp", "more than one value"),
        ("6 in 49 ft", "ft", "more than one value"),
        ("49 ft 14 in", "ft", "not below 12"),
        ("", "ft", "not a quantity; this field wants feet, such as 12 ft"),
        ("about 320 ft", "ft", "not a quantity"),
        ("nan", "ft", "not a quantity"),
        ("inf", "ft", "not a quantity"),
        ("1" * 5000, "ft", "not a quantity"),
        ("\N{ARABIC-INDIC DIGIT THREE} ft", "ft", "not a quantity"),
        (float("nan"), "ft", "not a finite number"),
        (float("inf"), "ft", "not a finite number"),
        (10**400, "ft", "not a finite number"),
        (True, "ft", "True is not a number"),
        ("12", "furlong", "not a unit of a field"),
    ],
)
def test_refused_with_what_would_be_right(value: float | str, unit: str, why: str) -> None:
    with pytest.raises(ValueError, match=why) as caught:
        read(value, unit)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 250


def test_a_number_too_long_to_write_out_is_refused() -> None:
    with pytest.raises(ValueError, match="not a finite number"):
        read(10**9000, "ft")


def test_what_is_no_number_at_all_is_refused() -> None:
    with pytest.raises(ValueError, match="None is not a number"):
        read(None, "ft")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (320, "ft", "320 ft"),
        (319.88, "ft", "319.9 ft"),
        (0.5, "hp", "1/2 hp"),
        (0.75, "hp", "3/4 hp"),
        (1 / 3, "hp", "1/3 hp"),
        (1.5, "hp", "1-1/2 hp"),
        (5, "hp", "5 hp"),
        (0.4962, "hp", "0.496 hp"),
        (7, "gpm", "7 gpm"),
        (0.45, "gpm", "0.45 gpm"),
        (40, "psi", "40 psi"),
        (1.25, "in", "1-1/4 in"),
        (6, "in", "6 in"),
        (6.3, "in", "6.3 in"),
        (1200, "gal", "1,200 gal"),
        (-0.01, "gal", "0 gal"),
        (230, "v", "230 V"),
        (54, "f", "54 °F"),
        (0.3, "mg_l", "0.3 mg/L"),
        (8.25, "percent", "8.25 %"),
        (0.721, "litres", "0.72 litres"),
        (24.38, "fl_oz", "24.4 fl oz"),
        (3.0476, "cups", "3.05 cups"),
        (1, "years", "1 year"),
        (5, "years", "5 years"),
        (1, "minutes", "1 minute"),
        (2011, "", "2011"),
        (0, "hp", "0 hp"),
    ],
)
def test_shown_as_it_is_written(value: float, unit: str, shown: str) -> None:
    assert show(value, unit) == shown


@pytest.mark.parametrize("value", [float("nan"), float("-inf")])
def test_what_is_not_finite_cannot_be_shown(value: float) -> None:
    with pytest.raises(ValueError, match="must be a finite number"):
        show(value, "ft")


@pytest.mark.parametrize(
    ("name", "words", "unit"),
    [
        ("set_depth_ft", "set depth", "ft"),
        ("rating_psi", "rating", "psi"),
        ("iron_mg_l", "iron", "mg_l"),
        ("winding_ohm", "winding", "ohm"),
        ("insulation_megohm", "insulation", "megohm"),
        ("warranty_years", "warranty", "years"),
        ("drop_percent", "drop", "percent"),
        ("target_mgl", "target", "mgl"),
        ("fl_oz", "fl_oz", "fl_oz"),
        ("amps", "amps", "amps"),
        ("model_year", "model year", ""),
        ("driller", "driller", ""),
    ],
)
def test_the_unit_is_the_ending_of_the_name(name: str, words: str, unit: str) -> None:
    assert split_suffix(name) == (words, unit)


# ------------------------------------------------------------------------------- always


@given(amounts, units)
def test_what_is_shown_reads_back(value: float, unit: str) -> None:
    half_a_place = 0.5 * 10 ** -UNITS[unit].decimals
    back = read(show(value, unit), unit)
    # Twice half a place: a fraction is within half a place of the same rounded number.
    assert back == pytest.approx(value, rel=1e-12, abs=2 * half_a_place)
    assert show(back, unit) == show(value, unit)


@given(st.integers(1, 400), st.sampled_from([2, 4, 8]), st.sampled_from(["in", "hp"]))
def test_fractions_lose_nothing(top: int, bottom: int, unit: str) -> None:
    assert read(show(top / bottom, unit), unit) == top / bottom


@given(st.floats(0.01, 1e6))
def test_metres_and_feet_agree(metres: float) -> None:
    assert read(f"{metres:.6f} m", "ft") * 0.3048 == pytest.approx(metres, rel=1e-4, abs=1e-6)


@given(st.text(max_size=20) | st.text(alphabet="0129 -/.,'\"ftinmgp½Ω", max_size=12), units)
def test_any_text_is_read_or_refused_in_one_line(text: str, unit: str) -> None:
    try:
        number = read(text, unit)
    except ValueError as wrong:
        assert "\n" not in str(wrong)
    else:
        assert number == number  # noqa: PLR0124 - it is not NaN
