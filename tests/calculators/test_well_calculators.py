"""The calculators of the bore, of pumping tests and of the weight on the hook."""

import math
from typing import Any

import pytest

from wellbook.calculators.calculator import Answer
from wellbook.calculators.hoist import Sections
from wellbook.calculators.pumping import pumping_test
from wellbook.calculators.readings import Reading, Readings
from wellbook.calculators.shelf import the_calculator
from wellbook.engineering.pumping_tests import theis_drawdown_ft


def ask(name: str, **given: str | float) -> Answer:
    return the_calculator(name).work_out(given)


def refused(name: str, **given: str | float) -> str:
    with pytest.raises(ValueError) as caught:
        ask(name, **given)
    return str(caught.value)


# --------------------------------------------------------------------------- names of the issue


@pytest.mark.parametrize(
    ("name", "options", "results"),
    [
        ("bore", "diameter_in from_ft to_ft", "gal_per_ft gallons"),
        ("specific-capacity", "gpm drawdown_ft", "gpm_per_ft"),
        ("recovery", "rise_ft minutes diameter_in", "gpm"),
        ("pumping-test", "readings gpm radius_ft method", "transmissivity storativity fit"),
        (
            "string-weight",
            "sections length_ft id_in sidr awg conductors pump_lb",
            "hook_lb pipe_lb water_lb cable_lb pump_lb",
        ),
    ],
)
def test_options_and_results_have_their_public_names(name: str, options: str, results: str) -> None:
    calculator = the_calculator(name)
    assert set(options.split()) <= {o.name for o in calculator.options}
    assert set(results.split()) <= set(calculator.results)
    assert all(o.help for o in calculator.options)


# ------------------------------------------------------------------------------------- the bore


def test_bore() -> None:
    # Colorado DRMS file (2013): 1.47 gal/ft in 6 in. Computed: 411 gal from 60 to 340 ft.
    answer = ask("bore", diameter_in="6 in", from_ft=60, to_ft="340 ft")
    assert answer.results["gal_per_ft"] == pytest.approx(1.47, abs=0.006)
    assert answer.results["gallons"] == pytest.approx(411, abs=0.6)
    assert ask("bore", diameter_in=6).results["gallons"] is None


def test_specific_capacity_and_recovery() -> None:
    # A published example; and computed: 34 ft in 30 min in 6 in.
    assert ask("specific-capacity", gpm=20, drawdown_ft=40).results == {"gpm_per_ft": 0.5}
    answer = ask("recovery", rise_ft=34, minutes="0.5 h", diameter_in=6)
    assert answer.results["gpm"] == pytest.approx(1.66, abs=0.005)


# ----------------------------------------------------------------------------------- wrong input

RIGHT: dict[str, list[dict[str, str | float]]] = {
    "bore": [{"diameter_in": 6, "from_ft": 60, "to_ft": 340}],
    "specific-capacity": [{"gpm": 20, "drawdown_ft": 40}],
    "recovery": [{"rise_ft": 34, "minutes": 30, "diameter_in": 6}],
    "pumping-test": [
        {"readings": "30:1, 100:2, 300:2.9", "method": "cooper_jacob", "gpm": 20, "radius_ft": 1},
        {"readings": "1:3, 10:2, 100:1", "method": "recovery", "gpm": 20, "pumped_minutes": 240},
    ],
    "string-weight": [
        {"length_ft": 400, "sidr": 7, "nominal": "1-1/4", "awg": 10, "conductors": 4, "hp": 1},
        {"length_ft": 400, "dr": 11, "nominal": "1-1/4", "awg": 10, "cable_ft": 500, "pump_lb": 60},
        {"length_ft": 400, "schedule": 40, "nominal": 1.25, "cable_lb_per_ft": 0.2, "pump_lb": 60},
        {"length_ft": 400, "id_in": 1.38, "pipe_lb_per_ft": 2.3, "awg": 10, "pump_lb": 60},
        {"length_ft": 400, "id_in": 1.38, "sidr": 7, "awg": 10, "pump_lb": 60},
    ],
}
CASES = [
    pytest.param(name, right, option, id=f"{name}-{n}-{option}")
    for name, rights in RIGHT.items()
    for n, right in enumerate(rights)
    for option, value in right.items()
    if not isinstance(value, str) or option == "nominal"
]
# What may be nothing: depths, and what is not there.
MAY_BE_ZERO = {"from_ft", "to_ft", "pump_lb", "cable_ft", "cable_lb_per_ft"}


@pytest.mark.parametrize(("name", "right", "option"), CASES)
@pytest.mark.parametrize("bad", [0, -1, math.nan, 1e12, "some"])
def test_wrong_numbers_name_their_option(
    name: str, right: dict[str, Any], option: str, bad: float | str
) -> None:
    if bad == 0 and option in MAY_BE_ZERO:
        given = right | ({"from_ft": 0} if option == "to_ft" else {})
        assert ask(name, **(given | {option: bad})).results
        return
    message = refused(name, **(right | {option: bad}))
    assert message.startswith(f"{option}: "), message
    assert "\n" not in message


@pytest.mark.parametrize(
    ("name", "given", "missing"),
    [
        ("bore", {}, "diameter_in"),
        ("specific-capacity", {"gpm": 20}, "drawdown_ft"),
        ("recovery", {"rise_ft": 3}, "minutes, diameter_in"),
        ("pumping-test", {"gpm": 20}, "readings"),
        ("pumping-test", {"readings": "1:1, 2:2, 3:3"}, "gpm"),
        ("pumping-test", {"readings": "1:1, 2:2, 3:3", "gpm": 20}, "radius_ft"),
        (
            "pumping-test",
            {"readings": "1:1, 2:2, 3:3", "gpm": 20, "method": "recovery"},
            "pumped_minutes",
        ),
        ("string-weight", {}, "length_ft"),
        ("string-weight", {"length_ft": 400, "awg": 10, "hp": 1}, "nominal"),
        ("string-weight", {"length_ft": 400, "nominal": "1", "hp": 1}, "awg"),
        ("string-weight", {"length_ft": 400, "nominal": "1", "awg": 10}, "pump_lb"),
        ("string-weight", {"length_ft": 9, "id_in": 1, "awg": 10, "hp": 1}, "pipe_lb_per_ft"),
        ("string-weight", {"length_ft": 9, "pipe_lb_per_ft": 1, "awg": 10, "hp": 1}, "id_in"),
    ],
)
def test_what_is_missing_is_named(name: str, given: dict[str, str | float], missing: str) -> None:
    assert refused(name, **given).startswith(f"{missing}: missing")


# -------------------------------------------------------------------------------------- the hook


def test_the_worked_string_of_the_reference() -> None:
    # Computed in the project's reference notes, the cable as bare copper: 162 + 259 + 51 + 60.
    given = {"length_ft": 400, "id_in": 1.38, "sidr": 7, "pump_lb": 60}
    bare = ask("string-weight", **given, cable_lb_per_ft=0.1282).results
    parts = [bare[p] for p in ("pipe_lb", "water_lb", "cable_lb", "hook_lb")]
    assert parts == pytest.approx([161.8, 259.4, 51.3, 532.4], abs=1)
    # With insulation and jacket it is heavier, and that is what is taken for a gauge.
    jacketed = ask("string-weight", **given, awg=10)
    assert jacketed.results["hook_lb"] == pytest.approx(532.4 + 51.3, abs=1)
    assert any("2 times its copper" in note for note in jacketed.notes)


def test_a_string_of_two_pipes_is_the_sum_of_both() -> None:
    mixed = ask(
        "string-weight",
        sections="0-200 galvanized_steel sch 40 1-1/4; 200-380 pe4710 SIDR 9 1",
        awg=10,
        hp=1,
    ).results
    upper = ask(
        "string-weight",
        length_ft=200,
        material="galv",
        schedule=40,
        nominal="1-1/4",
        awg=10,
        pump_lb=0,
    ).results
    lower = ask(
        "string-weight", length_ft=180, material="pe4710", sidr=9, nominal=1, awg=10, pump_lb=40
    ).results
    for part in ("hook_lb", "pipe_lb", "water_lb", "cable_lb", "pump_lb"):
        assert mixed[part] == pytest.approx(upper[part] + lower[part]), part


def test_a_section_split_in_two_changes_nothing() -> None:
    whole = ask("string-weight", sections="0-380 pvc sch 80 1-1/4", awg=12, hp=0.75)
    split = ask(
        "string-weight", sections="0-99 pvc sch 80 1-1/4; 99-380 pvc sch 80 1-1/4", awg=12, hp=0.75
    )
    for part, pounds in whole.results.items():
        assert split.results[part] == pytest.approx(pounds), part


def test_what_is_not_known_is_taken_at_the_heaviest_and_said() -> None:
    known = ask("string-weight", sections="0-400 galvanized sch 40 1-1/4", awg=10, hp=1)
    unknown = ask("string-weight", sections="0-400 galvanized 1-1/4", awg=10, hp=1)
    nothing = ask("string-weight", sections="0-400 1-1/4", awg=10, hp=1)
    pounds = [a.results["hook_lb"] for a in (known, unknown, nothing)]
    assert pounds == sorted(pounds)
    assert not any("not known" in note for note in known.notes)
    assert any("0-400 ft: wall not known" in note for note in unknown.notes)
    assert any("0-400 ft: material and wall not known" in note for note in nothing.notes)
    assert any("taken as 40 lb" in note for note in known.notes)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (";", "no section is given"),
        ("two hundred feet", "is no section of pipe; write it like 0-200"),
        ("0-200 galv sch 40", "'40' is no size of pipe"),
        ("0-200 brass 1", "'brass' is not one of: pe3408"),
        ("0-200 pvc SIDR 7 1", "no such pipe is in the tables: pvc SIDR 7 1"),
        ("200-100 pvc sch 80 1", "has to end below its top"),
        ("0-20000 pvc sch 80 1", "not below 10000 ft"),
        ("0-200 pvc sch 80 1; 210-300 pvc sch 80 1", "does not begin where"),
        ("0-200 pvc sch 80 1; 190-300 pvc sch 80 1", "does not begin where"),
    ],
)
def test_sections_that_cannot_be_read(text: str, complaint: str) -> None:
    message = refused("string-weight", sections=text, awg=10, hp=1)
    assert message.startswith("sections: ")
    assert complaint in message


def test_pipe_is_told_one_way_at_a_time() -> None:
    both = refused("string-weight", sections="0-9 pvc sch 80 1", length_ft=9, awg=10, hp=1)
    assert both.startswith("sections: give this or length_ft, not both")
    walls = refused("string-weight", length_ft=9, sidr=7, dr=9, nominal=1, awg=10, hp=1)
    assert walls.startswith("sidr: give this or dr, not both")


@pytest.mark.parametrize(
    "text",
    [
        "0-200 galvanized_steel sch 40 1-1/4; 200-380 pe4710 SIDR 9 1",
        "0-380 1-1/4",
        "20-380.5 stainless_steel schedule 80 2",
    ],
)
def test_sections_are_written_as_they_are_read(text: str) -> None:
    assert str(Sections.parse(text)) == text


def test_the_hook_has_its_cautions() -> None:
    said = " ".join(the_calculator("string-weight").cautions)
    for word in ("rated", "overhead lines: 10 ft", "locked out", "never lift by the cable"):
        assert word in said


# ------------------------------------------------------------------------------- pumping tests

GRIDLEY = "3:0.3, 5:0.7, 8:1.3, 12:2.1, 20:3.2, 30:4.1, 60:5.7, 90:6.7, 130:7.5, 260:9.2, 500:10.9"


def test_theis_and_cooper_jacob_name_themselves() -> None:
    # The Gridley test, some of its readings, rounded: 125.9 m2/day (1355 ft2/day) by a published fit.
    fitted = ask("pumping-test", readings=GRIDLEY, gpm=220, radius_ft=824)
    assert fitted.results["transmissivity"] == pytest.approx(1355, rel=0.04)
    assert fitted.results["storativity"] == pytest.approx(2.04e-5, rel=0.06)
    assert fitted.results["fit"] < 0.1
    assert fitted.notes[0].startswith("Theis: transmissivity in ft2/day")
    line = ask("pumping-test", readings=GRIDLEY, gpm=220, radius_ft=824, method="Cooper-Jacob")
    assert line.results["transmissivity"] == pytest.approx(1355, rel=0.04)
    assert "4 of 11 readings are late enough (u below 0.05)" in line.notes


def test_the_pumped_well_gives_no_storativity_to_go_by() -> None:
    answer = ask("pumping-test", readings=GRIDLEY, gpm=220, radius_ft=0.25)
    assert "in the pumped well itself the storativity says nothing" in answer.notes


def test_recovery_of_a_test() -> None:
    # Todd (1980), some of his readings: 1140 m2/day (12,270 ft2/day) from a line drawn by hand.
    answer = ask(
        "pumping-test",
        readings="1:2.92, 5:2.23, 20:1.48, 60:0.92, 180:0.46",
        gpm=458.6,
        pumped_minutes="4 h",
        method="recovery",
    )
    assert answer.results["transmissivity"] == pytest.approx(12_270, rel=0.08)
    assert answer.results["storativity"] is None


def test_a_step_test_by_its_last_readings() -> None:
    answer = ask("pumping-test", readings="60:11:100, 120:24:200, 180:39:300", method="step")
    assert answer.results["formation_loss_ft_per_gpm"] == pytest.approx(0.1)
    assert answer.results["well_loss_ft_per_gpm2"] == pytest.approx(1e-4)
    # 1e-4 ft/gpm2 over (0.002228 ft3/s a gpm) squared.
    assert answer.results["well_loss_sec2_per_ft5"] == pytest.approx(20.1, abs=0.1)
    assert answer.results["well_condition"] == "severe"
    assert answer.results["transmissivity"] is None
    assert answer.notes[0].startswith("Jacob's line, the last reading of each step")


def test_a_step_test_by_all_its_readings() -> None:
    rows = []
    for n, gpm in enumerate((20.0, 40.0, 60.0)):
        for within in (10, 30, 60):
            t = 60.0 * n + within
            h = 20 * sum(math.log10(t - 60 * k) for k in range(n + 1))
            rows.append(Reading(t, 0.2 * gpm + 0.1 * h + 1e-3 * gpm**2, gpm))
    found = pumping_test(readings=Readings(tuple(rows)), method="step")
    assert found.well_loss_ft_per_gpm2 == pytest.approx(1e-3)
    assert found.transmissivity is not None
    assert found.notes[0].startswith("Eden-Hazel, all readings")
    # As the command line hands them over.
    text = ask("pumping-test", readings=str(Readings(tuple(rows))), method="step")
    assert text.results["well_loss_ft_per_gpm2"] == pytest.approx(1e-3, rel=1e-6)


def test_no_well_loss_is_said_to_be_none() -> None:
    answer = ask("pumping-test", readings="60:10:10, 120:18:20, 180:30:40", method="step")
    assert answer.results["well_condition"] is None
    assert any("none can be read" in note for note in answer.notes)


@pytest.mark.parametrize(
    ("readings", "complaint"),
    [
        (", ;", "no reading is given; write minutes:feet"),
        ("1", "'1' is no reading"),
        ("1:2:3:4:5", "'1:2:3:4:5' is no reading"),
        ("1:x, 2:3", "in '1:x', 'x' is not a quantity"),
        ("1:3 gpm, 2:3", "is a flow; this field wants feet"),
        ("1:1, 2:2", "at least 3 at different times"),
        ("1:1, 2:2, -3:2", "minutes: -3 is not above zero"),
        ("1:1, 2:2, 3:-2", "drawdown_ft: -2 is below zero"),
        ("1:1, 2:2, 3:100000", "drawdown_ft"),
        ("1:1:5, 2:2:5, 3:3:5", "a rate at a reading is of a step test"),
        ("1:2, 2:2, 3:2", "do not bend"),
    ],
)
def test_readings_that_cannot_be_used(readings: str, complaint: str) -> None:
    message = refused("pumping-test", readings=readings, gpm=20, radius_ft=100)
    assert message.startswith("readings: ")
    assert complaint in message


def test_options_of_another_method_are_refused() -> None:
    three = "1:1, 2:2, 3:2.5"
    assert refused(
        "pumping-test", readings=three, gpm=20, radius_ft=9, pumped_minutes=9
    ).startswith("pumped_minutes: not used by theis")
    assert refused(
        "pumping-test", readings=three, gpm=2, radius_ft=9, pumped_minutes=9, method="recovery"
    ).startswith("radius_ft: not used by recovery")
    assert refused("pumping-test", readings="1:1:1", gpm=20, method="step").startswith(
        "gpm: not used by step"
    )
    assert "'60:11' has no rate" in refused("pumping-test", readings="60:11, 120:24", method="step")
    assert refused("pumping-test", readings=three, method="guess").startswith("method: ")


def test_rows_and_their_text_are_one() -> None:
    rows = Readings(
        tuple(
            Reading(
                m,
                theis_drawdown_ft(
                    20,
                    transmissivity_ft2_per_day=500,
                    storativity=1e-4,
                    radius_ft=100,
                    minutes=m,
                ),
            )
            for m in (1e-5, 1.0, 3.0, 10.0, 100.0 / 3)
        )
    )
    again = Readings.parse(str(rows))
    assert [r.drawdown_ft for r in again.rows] == pytest.approx(
        [r.drawdown_ft for r in rows.rows], abs=1e-9
    )
    found = pumping_test(readings=rows, gpm=20, radius_ft=100)
    assert found.transmissivity == pytest.approx(500, rel=1e-4)
    assert found.storativity == pytest.approx(1e-4, rel=1e-3)
