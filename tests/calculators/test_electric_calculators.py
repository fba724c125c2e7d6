"""The desk calculators of cable and phases: as they are typed, and what they refuse."""

from __future__ import annotations

from typing import Any

import pytest

from wellbook.calculators.calculator import Answer
from wellbook.calculators.electrics import cable_size, voltage_drop_of
from wellbook.calculators.shelf import the_calculator

BAD = [0, -1, "nan", 1e12]


def answer(name: str, **given: Any) -> Answer:
    return the_calculator(name).work_out(given)


def notes(found: Answer) -> str:
    return " ".join(found.notes)


def test_the_options_and_results_are_those_of_the_trade() -> None:
    drop, size = the_calculator("voltage-drop"), the_calculator("cable-size")
    assert [o.flag for o in drop.options] == [
        *(
            "--amps",
            "--hp",
            "--phase",
            "--volts",
            "--awg",
            "--length-ft",
            "--percent",
            "--conductor",
        ),
    ]
    assert [o.flag for o in size.options] == [o.flag for o in drop.options]
    assert drop.results == size.results == ("drop_v", "drop_percent", "max_length_ft", "awg")
    balance = the_calculator("unbalance")
    assert [o.flag for o in balance.options] == ["--readings"]
    assert balance.results == ("percent",)
    for calculator in (drop, size, balance):
        said = " ".join(calculator.cautions)
        assert all(word in said for word in ("240 V", "locked out", "licensed", "local code"))


def test_a_published_drop_as_it_is_typed() -> None:
    # A published exam guide: 20 A at 120 V over 100 ft of #8: 3.1 V, 2.6 %.
    found = answer("voltage-drop", amps="20 A", awg="8", length_ft="100 ft", volts="120 V")
    assert found.results["drop_v"] == pytest.approx(3.1, abs=0.05)
    assert found.results["drop_percent"] == pytest.approx(2.6, abs=0.05)
    assert found.results["awg"] == 8
    assert found.inputs["phase"] == 1


@pytest.mark.parametrize(
    ("hp", "awg", "feet"),
    # A maker's chart at 230 V and 5 %, within the 12 % that charts differ by.
    [("1/2", 14, 400), ("3/4", 10, 760), ("1", 8, 990), ("1-1/2 hp", 12, 310), ("5", 8, 280)],
)
def test_the_longest_run_needs_no_length(hp: str, awg: int, feet: float) -> None:
    found = answer("voltage-drop", hp=hp, awg=awg)
    assert found.results["max_length_ft"] == pytest.approx(feet, rel=0.12)
    assert found.results["drop_v"] is None
    assert "NEC" in notes(found)
    assert "fifth" in notes(found)


def test_a_limit_is_rounded_down() -> None:
    longest = answer("voltage-drop", amps=10, awg=14).results["max_length_ft"]
    assert longest == 183
    within = answer("voltage-drop", amps=10, awg=14, length_ft=longest)
    assert within.results["drop_percent"] <= 5
    assert "No more than 5 % is lost over this run; #14 is the thinnest" in notes(within)
    over = answer("voltage-drop", amps=10, awg=14, length_ft=longest + 1)
    assert over.results["drop_percent"] > 5
    assert "#12 is the thinnest that does" in notes(over)


def test_a_run_that_no_gauge_does() -> None:
    over = answer("voltage-drop", amps=28, awg=2, length_ft=3000)
    assert "#2 is not enough" in notes(over)
    none = answer("cable-size", amps=28, length_ft=3000)
    assert dict(none.results) == dict.fromkeys(none.results)
    assert "No gauge up to #2 is enough for 28 A" in notes(none)


def test_the_larger_of_nameplate_and_table_counts() -> None:
    by_plate, by_table = (answer("voltage-drop", hp=1, amps=a, awg=12) for a in (9.8, 6))
    assert by_plate.results == answer("voltage-drop", amps=9.8, awg=12).results
    assert by_table.results == answer("voltage-drop", amps=8, awg=12).results
    assert "8 A by the NEC's table is more" in notes(by_table)


def test_the_gauge_of_a_published_run() -> None:
    # Published inputs: 40 A, 240 V, 230 ft, 3 %: 32,967 circular mils, so #4.
    found = answer("cable-size", amps=40, volts=240, length_ft=230, percent="3 %")
    assert found.results["awg"] == 4
    assert found.results["drop_percent"] < 3
    assert found.results["max_length_ft"] >= 230


def test_what_a_gauge_carries_is_a_floor() -> None:
    # 5 hp: 125 % of 28 A is 35 A; #10 carries 30 by the 60 C column and 35 by the 75 C one.
    found = answer("cable-size", hp=5, length_ft=50)
    assert found.results["awg"] == 8
    assert "#10 carries 30 A" in notes(found)
    assert "75 C column" in notes(found)
    thin = answer("voltage-drop", hp=5, awg=14, length_ft=50)
    assert "#14 carries 15 A" in notes(thin)
    assert "75 C column" not in notes(thin)


def test_three_phases() -> None:
    one, three = (answer("voltage-drop", amps=10, awg=10, phase=p) for p in (1, 3))
    ratio = three.results["max_length_ft"] / one.results["max_length_ft"]
    assert ratio == pytest.approx(2 / 3**0.5, rel=0.01)
    assert answer("cable-size", hp=5, phase=3, volts=460, length_ft=400).results["awg"] == 14


def test_unbalance_as_it_is_typed() -> None:
    # A maker's manual, and a reading below the average that two pages in print leave out.
    assert answer("unbalance", readings="51,46,53").results["percent"] == pytest.approx(8)
    assert answer("unbalance", readings="208; 206; 199").results["percent"] == pytest.approx(
        2.61, abs=0.005
    )


# ------------------------------------------------------------------------------- refused


@pytest.mark.parametrize("bad", BAD)
@pytest.mark.parametrize("option", ["amps", "hp", "phase", "volts", "awg", "length_ft", "percent"])
def test_wrong_numbers_name_their_option(option: str, bad: Any) -> None:
    right = {"hp": 1, "awg": 12, "length_ft": 300}
    with pytest.raises(ValueError, match=rf"^{option}: "):
        answer("voltage-drop", **(right | {option: bad}))
    if option != "awg":
        with pytest.raises(ValueError, match=rf"^{option}: "):
            answer("cable-size", **({"hp": 1, "length_ft": 300} | {option: bad}))


@pytest.mark.parametrize("option", ["amps", "hp", "volts", "length_ft", "percent"])
def test_a_nan_is_refused_inside_too(option: str) -> None:
    right: dict[str, Any] = {"hp": 1, "length_ft": 300.0, option: float("nan")}
    with pytest.raises(ValueError, match=rf"^{option}: "):
        cable_size(**right)
    with pytest.raises(ValueError, match=rf"^{option}: "):
        voltage_drop_of(awg=12, **right)


def test_what_is_missing_or_not_there() -> None:
    with pytest.raises(ValueError, match=r"^amps: missing; give amps, or hp"):
        answer("voltage-drop", awg=12)
    with pytest.raises(ValueError, match=r"^awg: missing"):
        answer("voltage-drop", hp=1)
    with pytest.raises(ValueError, match=r"^length_ft: missing"):
        answer("cable-size", hp=1)
    with pytest.raises(ValueError, match=r"^hp: .*none for 20 hp at 230 V, single-phase; give"):
        answer("cable-size", hp=20, length_ft=300)
    with pytest.raises(ValueError, match=r"^readings: missing"):
        answer("unbalance")
    for readings in ("51,46", "51", "0,0,0", "51,-46,53", "51,nan,53", "51,,53", "1e12,1,1"):
        with pytest.raises(ValueError, match=r"^readings: "):
            answer("unbalance", readings=readings)


def test_a_winding_without_its_cable() -> None:
    # Makers' manuals: the reading less the cable there and back; ASTM: #12 is 0.311 ohm per
    # 100 ft there and back at 50 F.
    found = answer("winding", reading_ohm="2.5 ohm", awg=12, length_ft="300 ft")
    assert found.results["loop_ohm"] == pytest.approx(3 * 0.311, rel=0.01)
    assert found.results["winding_ohm"] == pytest.approx(2.5 - 3 * 0.311, rel=0.01)
    assert found.results["verdict"] == "cannot say"
    known = answer("winding", reading_ohm=2.5, awg=12, length_ft=300, low_ohm=1.4, high_ohm=1.9)
    assert known.results["verdict"] == "in range"
    shorted = answer("winding", reading_ohm=0.5, awg=12, length_ft=300)
    assert shorted.results["winding_ohm"] < 0
    assert shorted.results["verdict"] == "low"
    assert "splice" in notes(shorted)
    with pytest.raises(ValueError, match="low_ohm"):
        answer("winding", reading_ohm=2.5, awg=12, length_ft=300, low_ohm=3, high_ohm=2)
