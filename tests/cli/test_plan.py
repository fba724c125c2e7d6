"""`wellbook plan` and `wellbook check`: a string judged before it goes down, and while it hangs."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from wellbook import cli

pytestmark = pytest.mark.usefixtures("at_the_demo")

PLAN = """
[set.pump]
maker = "Oskerby"
model = "O-510"
set_depth_ft = 360

[[set.pipe]]
material = "pe4710"
nominal_in = "1-1/4"
wall = "SIDR 7"
from_ft = 0
to_ft = 360

[[set.cable]]
awg = 8
conductors = 3
ground_wire = true
from_ft = 0
to_ft = 360

[[set.check_valve]]
depth_ft = 160
"""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Any:
    def run(*words: str) -> tuple[int, str, str]:
        status = cli.run(list(words))
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


@pytest.fixture
def plan(tmp_path: Path) -> str:
    path = tmp_path / "plan.toml"
    path.write_text(PLAN, "utf-8")
    return str(path)


def checks(out: str) -> dict[str, dict[str, Any]]:
    return {c["aspect"]: c for c in json.loads(out)["checks"]}


def test_what_hangs_there_fails_as_the_page_says(run: Any) -> None:
    status, out, _ = run("check", "TF-0031", "--json")
    assert status == 1
    found = checks(out)["column alone"]
    # 402 ft and 6 ft of rise at 0.4335 psi a foot (62.42 lb/ft3 / 144) in pipe rated 160 psi.
    assert found["verdict"] == "fail"
    assert math.isclose(found["value"], 408 * 0.4335, abs_tol=0.01)
    assert found["limit"] == 160
    assert math.isclose(found["margin"], 160 - 408 * 0.4335, abs_tol=0.01)


def test_a_plan_is_judged_and_nothing_is_written(run: Any, plan: str) -> None:
    before = run("hole", "TF-0031", "--json")[1]
    status, out, _ = run("plan", "TF-0031", plan, "--json")
    found = checks(out)
    assert found["column alone"]["verdict"] == "pass"
    # 2 x 1000 / (7 + 1) = 250 psi (PE4710, SIDR 7); 366 ft x 0.4335 + 60 psi of the switch.
    assert found["column and cut-out, drawn down"]["limit"] == 250
    assert math.isclose(
        found["column and cut-out, drawn down"]["value"], 366 * 0.4335 + 60, abs_tol=0.01
    )
    assert (status == 1) == (json.loads(out)["verdict"] == "fail")
    assert run("hole", "TF-0031", "--json")[1] == before


def test_the_status_says_whether_it_passes(run: Any) -> None:
    hang = ("plan", "TF-0031", "--hp", "1", "--gpm", "5", "--depth", "360")
    weak = run(*hang, "--pipe", "0-360 pe3408 SIDR 9 1", "--json")
    assert (weak[0], json.loads(weak[1])["verdict"]) == (1, "fail")


def test_a_section_split_in_two_of_the_same_kind_changes_nothing(run: Any) -> None:
    hang = ("plan", "TF-0031", "--pump", "O-510", "--depth", "360", "--awg", "10", "--json")
    whole = json.loads(run(*hang, "--pipe", "0-360 pe4710 SIDR 9 1-1/4")[1])
    parts = "0-150 pe4710 SIDR 9 1-1/4; 150-360 pe4710 SIDR 9 1-1/4"
    split = json.loads(run(*hang, "--pipe", parts)[1])
    for what in ("verdict", "checks", "gives", "weight", "missing"):
        assert split[what] == whole[what]


def test_a_plan_says_what_to_load_and_what_it_weighs(run: Any, plan: str) -> None:
    _, out, _ = run("plan", "TF-0031", plan, "--json")
    shape = json.loads(out)
    loads = {line["what"]: line["text"] for line in shape["to_load"]}
    assert "a coil of 400 ft" in loads["pipe"]
    # 360 ft, 3 per cent of slack, 10 ft of tail and 50 ft to the house, up to the next 5 ft.
    assert loads["cable"].startswith(f"{5 * math.ceil((360 * 1.03 + 10 + 50) / 5)} ft of #8")
    small = {"splices", "ties", "tape", "valves", "clamps", "rope", "gaskets", "chlorine", "safety"}
    assert small | {"torque_arrestor"} <= set(loads)
    # 360 ft of 1-1/4 in SIDR 7 at 0.404 lb/ft, its water at 0.648 lb/ft, four #8 in a jacket at
    # twice 0.0510 lb/ft each, a pump of 1 hp: no less than these.
    assert shape["weight"]["at_most_lb"] >= 360 * (0.404 + 0.648 + 8 * 0.051) + 34
    assert any("overhead" in caution for caution in shape["cautions"])


def test_what_goes_back_is_not_loaded(run: Any) -> None:
    _, out, _ = run("plan", "TF-0031", "--pump", "O-510", "--depth", "400", "--json")
    assert "pipe" not in {line["what"] for line in json.loads(out)["to_load"]}


def test_beside_what_hangs_there(run: Any, plan: str) -> None:
    _, out, _ = run("plan", "TF-0031", plan, "--compare", "--json")
    rows = {row["aspect"]: row for row in json.loads(out)["beside"]}
    row = rows["column alone"]
    assert (row["now"]["verdict"], row["planned"]["verdict"]) == ("fail", "pass")
    screen = run("plan", "TF-0031", plan, "--compare")[1]
    assert "BESIDE WHAT HANGS THERE" in screen
    assert max(map(len, screen.splitlines())) <= 100


def test_the_options_count_before_the_file(run: Any, plan: str) -> None:
    _, out, _ = run("plan", "TF-0031", plan, "--depth", "355", "--json")
    gives = {g["where"]: g["level_ft"] for g in json.loads(out)["gives"]}
    assert gives["drawn down to the pump"] == 355


def test_more_water_over_the_pump_is_never_less_flow(run: Any, plan: str) -> None:
    _, out, _ = run("plan", "TF-0031", plan, "--json")
    gives = json.loads(out)["gives"]
    by_level = sorted(gives, key=lambda g: g["level_ft"])
    flows = [g["high_gpm"] for g in by_level]
    assert flows == sorted(flows, reverse=True)
    assert len(gives) == 3


def test_after_the_job_the_same_file_is_the_visit_sheet(
    run: Any, tmp_path: Path, plan: str
) -> None:
    sheet = tmp_path / "visit.toml"
    text = 'date = 2026-11-25\nreason = "replacement"\n' + PLAN
    sheet.write_text(text.replace("[set.pump]", "[set.pump]\nhp = 1\nrated_gpm = 5"), "utf-8")
    assert run("visit", "TF-0031", "--from", str(sheet))[0] == 0
    now = checks(run("check", "TF-0031", "--json")[1])
    planned = checks(run("plan", "TF-0031", plan, "--json")[1])
    assert now["column alone"]["value"] == planned["column alone"]["value"]


@pytest.mark.parametrize(
    ("words", "status", "line"),
    [
        (("--depth", "-5"), 2, "--depth: set depth cannot be less than nothing (-5)"),
        (("--depth", "deep"), 2, "--depth: 'deep' is not a quantity"),
        (("--pump", "no such"), 2, "--pump: no pump model fits 'no such'"),
        (("--pipe", "300 ft"), 2, "--pipe: '300 ft' is no section of pipe"),
        (("--depth", "99999"), 2, "--depth: set depth 99,999 ft cannot be"),
        (("--setpoint", "high", "--depth", "300"), 2, "--setpoint: 'high' is not a quantity"),
        (("--awg", "thin", "--depth", "300"), 2, "--awg: 'thin' is not a whole number"),
        ((), 2, "a plan says what is to hang there"),
        (("no.toml",), 2, "no.toml: No such file"),
    ],
)
def test_what_is_wrong_is_one_line(
    run: Any, words: tuple[str, ...], status: int, line: str
) -> None:
    got, out, err = run("plan", "TF-0031", *words)
    assert (got, out) == (status, "")
    assert line in err
    assert len(err.splitlines()) == 1


def test_a_wrong_file_names_each_line(run: Any, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text('[set.pump]\nset_depth_ft = -3\n[[set.pipe]]\nto_ft = "x"\n', "utf-8")
    status, _, err = run("plan", "TF-0031", str(path))
    assert status == 2
    assert f"{path}:2: set.pump.set_depth_ft" in err
    assert f"{path}:4: set.pipe[1].to_ft" in err


def test_a_plan_for_another_well_is_refused(run: Any, tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text('well = "TF-0002"\n[set.pump]\nset_depth_ft = 100\n', "utf-8")
    status, _, err = run("plan", "TF-0031", str(path))
    assert status == 2
    assert "the plan is for TF-0002" in err


def test_a_well_of_which_nothing_is_known_says_what_to_find_out(run: Any) -> None:
    status, out, _ = run("check", "TF-0060", "--json")
    shape = json.loads(out)
    assert (status, shape["verdict"]) == (0, "cannot_say")
    assert shape["missing"]


def test_each_check_on_the_screen_has_its_source(run: Any, plan: str) -> None:
    for command in (("plan", "TF-0031", plan), ("check", "TF-0031")):
        made = json.loads(run(*command, "--json")[1])["checks"]
        screen = " ".join(run(*command)[1].split())
        for check in made:
            name = check["source"].split(": ")[0].removesuffix(", no published source")
            assert check["aspect"] in screen
            # Where a fact is missing there is no number yet that could rest on anything.
            assert name in screen or check["says"].startswith("cannot say: missing")


def test_on_a_wide_screen_what_passes_stands_in_rows(run: Any, plan: str) -> None:
    _, out, _ = run("plan", "TF-0031", plan)
    rows = [line for line in out.splitlines() if line.startswith("off the bottom ")]
    assert len(rows) == 1
    # A hole of 428 ft, a pump at 360 ft: 68 ft, and 58 more than the 10 that are common practice.
    assert rows[0].split()[3:] == [
        *("68", "ft", "min.", "10", "ft", "58", "ft", "common", "practice"),
    ]


def test_a_silenced_rule_is_shown_and_fails_nothing(run: Any) -> None:
    before = json.loads(run("check", "TF-0017", "--json")[1])
    failed = {c["rule"] for c in before["checks"] if c["decides"]}
    assert "pipe-rating" in failed
    for rule in failed:
        run("rules", "silence", rule, "TF-0017", "--because", "the owner knows")
    status, screen, _ = run("check", "TF-0017")
    assert status == 0
    assert "quiet       pipe-rating: silenced here, the owner knows" in screen
    assert "column alone" in screen


def test_a_sealed_well_has_no_string_to_be_judged(run: Any) -> None:
    status, out, _ = run("check", "TF-0063")
    assert status == 0
    assert "nothing is known that could be held against a limit" in out
    status, _, err = run("plan", "TF-0063", "--depth", "100")
    assert status == 2
    assert "sealed" in err


def test_a_plan_is_not_asked_for_what_is_read_when_it_hangs(run: Any, plan: str) -> None:
    now = {c["rule"] for c in json.loads(run("check", "TF-0031", "--json")[1])["checks"]}
    planned = {c["rule"] for c in json.loads(run("plan", "TF-0031", plan, "--json")[1])["checks"]}
    assert {"insulation", "motor-load"} <= now
    assert not {"insulation", "motor-load", "observed-stall"} & planned


def test_pvc_joints_are_rated_with_threads(run: Any) -> None:
    # 1-1/4 in schedule 80 is 520 psi with plain ends (Machinery's Handbook, 31st ed., p. 2770); threads
    # halve it (a pipe maker's derating page).
    words = ("--pump", "O-510", "--depth", "600", "--awg", "6", "--valves", "275,75")
    status, out, _ = run("plan", "TF-0031", *words, "--pipe", "0-600 pvc sch 80 1-1/4", "--json")
    found = checks(out)["column alone"]
    assert (status, found["verdict"], found["limit"]) == (1, "fail", 260)


def test_valves_are_loaded_for_every_place_of_the_spacing_rule(run: Any) -> None:
    words = ("--pump", "O-510", "--depth", "400", "--pipe", "0-400 pe4710 SIDR 7 1", "--awg", "8")
    loads = {
        line["what"]: line["text"]
        for line in json.loads(run("plan", "TF-0031", *words, "--json")[1])["to_load"]
    }
    # 25 ft above the pumping level of 294.4 ft, then every 200 ft (The Driller 85101).
    assert loads["valves"].startswith(
        "3 check valves: 2 at 270, 70 ft; not in the plan, but wanted by the spacing rule"
    )
    # Each valve that is cut in has two ends more, and an end two clamps.
    assert loads["clamps"].startswith("12 stainless clamps")


def test_what_to_load_follows_the_shops_own_numbers(run: Any) -> None:
    words = ("--pump", "O-510", "--depth", "400", "--pipe", "0-400 pe4710 SIDR 7 1", "--awg", "8")
    assert run("rules", "set", "voltage-drop.usual_supply_run_ft", "300", "--yes")[0] == 0
    assert run("rules", "set", "check-valve-spacing.spacing_ft", "100", "--yes")[0] == 0
    loads = {
        i["what"]: i for i in json.loads(run("plan", "TF-0031", *words, "--json")[1])["to_load"]
    }
    assert loads["cable"]["supply_run_ft"] == 300
    assert loads["cable"]["down_ft"] == 400
    # 412 ft with 3 per cent of slack, 10 ft of tail and the run, up to the next 5 ft.
    assert loads["cable"]["length_ft"] == 725
    # 25 ft above the pumping level of 294.4 ft, then every 100 ft.
    assert loads["valves"]["depths_ft"] == [270, 170, 70]
    assert (loads["clamps"]["count"], loads["clamps"]["ends"]) == (16, 8)
    screen = " ".join(run("plan", "TF-0031", *words)[1].split())
    assert "and 300 ft to the supply" in screen
    assert "3 at 270, 170, 70 ft" in screen


def test_what_opens_no_well_takes_no_chlorine(run: Any) -> None:
    _, out, _ = run("plan", "TF-0031", "--cut-in", "30", "--cut-out", "50", "--json")
    assert [i["what"] for i in json.loads(out)["to_load"]] == ["switch", "air", "safety"]


def test_a_plan_and_the_page_weigh_one_string_in_the_same_words(run: Any) -> None:
    page = json.loads(run("hole", "TF-0031", "--json")[1])["load"]
    weight = json.loads(run("check", "TF-0031", "--json")[1])["weight"]
    assert weight["at_most_lb"] == page["hook_lb"]
    assert weight["told"] == page["told"]
    said = "at most 350 lb full and hanging free"
    assert said in run("check", "TF-0031")[1]
    assert said in " ".join(line["text"] for line in page["lines"])


def test_a_weight_that_is_not_known_says_what_to_do(run: Any) -> None:
    words = ("--hp", "7-1/2", "--depth", "402", "--pipe", "0-402 pvc sch 80 1-1/4")
    screen = " ".join(run("plan", "TF-0031", *words)[1].split())
    assert "WEIGHT UNKNOWN (a pump of 7.5 hp): weigh it or ask before you choose a hoist" in screen
    assert "surely more than 220 lb" in screen


def test_a_cable_that_does_not_reach_the_pump_is_refused(run: Any) -> None:
    words = ("--pump", "O-707", "--depth", "230", "--pipe", "0-230 pe4710 SIDR 9 1")
    status, out, err = run("plan", "TF-0002", *words)
    assert (status, out) == (2, "")
    assert "its cable ends at 200 ft" in err


def test_a_jet_of_the_list_stays_a_jet(run: Any) -> None:
    _, out, _ = run("plan", "TF-0059", "--pump", "J-50", "--depth", "20", "--json")
    shape = json.loads(out)
    assert not any("submersible" in line["text"] for line in shape["to_load"])
    assert not any(c["rule"] in ("lift-limit", "voltage-drop") for c in shape["checks"])


def test_a_switch_that_starts_above_where_it_stops_is_refused(run: Any) -> None:
    words = ("--depth", "200", "--cut-in", "60", "--cut-out", "40")
    status, _, err = run("plan", "TF-0002", *words)
    assert status == 2
    assert "--cut-in: cut-in 60 psi is not below cut-out, 40 psi" in err


def test_a_pump_that_does_not_reach_the_cut_out_is_not_said_to_stall(run: Any) -> None:
    _, out, _ = run("check", "TF-0001")
    assert "drawn down to the pump, 195 ft: does not reach 50 psi, and runs on" in out


def string_of(out: str) -> dict[str, str]:
    """The lines of the planned string by their label; of several the first."""
    lines = out.split("THE STRING AS PLANNED\n")[1].split("\n\n", maxsplit=1)[0].splitlines()
    said: dict[str, str] = {}
    for line in lines:
        said.setdefault(line[:10].strip(), line[10:].strip())
    return said


@pytest.mark.parametrize(
    ("options", "part", "stays", "changes"),
    [
        # The same pump goes back, higher or lower.
        (("--depth", "195"), "pump", "Oskerby O-707 2011 model", "at 195 ft"),
        # Another motor hangs where the pump hung, and gives what it gave.
        (("--hp", "1"), "pump", "7 gpm, at 200 ft", "1 hp"),
        (("--cut-out", "45"), "switch", "in at 30 psi", "out at 45 psi"),
        (("--awg", "10"), "cable", "3-wire + ground", "#10"),
        (("--rating", "250"), "pipe", "1 in PE4710", "250 psi"),
    ],
)
def test_what_no_option_says_stays_as_it_hangs(
    run: Any, options: tuple[str, ...], part: str, stays: str, changes: str
) -> None:
    said = string_of(run("plan", "TF-0002", *options)[1])
    assert stays in said[part]
    assert changes in said[part]
    assert {"pump", "pipe", "cable", "switch", "tank"} <= set(said)


def test_the_valves_that_are_said_are_all_there_are(run: Any) -> None:
    two = run("plan", "TF-0031", "--valves", "269,69")[1]
    assert "at 201 ft" not in two
    assert "check     at 69 ft\ncheck     at 269 ft\n" in two
    assert "check " not in string_of(run("plan", "TF-0031", "--valves", "none")[1])


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (("--valves", "5000"), "a check valve is to hang at 5000 ft"),
        (("--valves", "0"), "a check valve is to hang at 0 ft"),
        (("--awg", "11"), "--awg: there is no gauge 11"),
        (("--joint", "0"), "--joint: joint 0 ft cannot be"),
        (("--rating", "0"), "--rating: rating 0 psi cannot be"),
        (("--setpoint", "0"), "--setpoint: setpoint 0 psi cannot be"),
        (("--setpoint", "60", "--cut-out", "50"), "a drive holds one pressure"),
        (("--cut-out", "500"), "--cut-out: cut out 500 psi cannot be"),
    ],
)
def test_no_such_string_is_planned(run: Any, options: tuple[str, ...], line: str) -> None:
    status, out, err = run("plan", "TF-0002", *options)
    assert (status, out) == (2, "")
    assert line in err
    assert len(err.splitlines()) == 1


def test_for_programs_a_mistake_has_its_place_by_itself(run: Any) -> None:
    _, out, err = run("plan", "TF-0002", "--depth", "deep", "--json")
    error = json.loads(out or err)["error"]
    assert error["where"] == "--depth"
    assert "--depth" not in error["message"]


def test_the_string_in_store_is_what_goes_back(run: Any) -> None:
    said = string_of(run("plan", "TF-0064", "--awg", "10")[1])
    assert "#10 3-wire" in said["cable"]
    assert "Oskerby O-705" in said["pump"]
    assert "IN STORE" not in " ".join(said.values())
    assert run("check", "TF-0064")[1].count("; IN STORE") == 3


def test_pipe_that_goes_back_is_cut_to_the_pump(run: Any) -> None:
    said = string_of(run("plan", "TF-0031", "--depth", "380")[1])
    assert "at 380 ft" in said["pump"]
    # It hung 6 ft above the pump, and does again.
    assert said["arrestor"] == "at 374 ft"
    status, _, err = run("plan", "TF-0031", "--depth", "450")
    assert status == 2
    assert "say what pipe goes with it" in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("TF-0002", "--pump", "O-510", "--hp", "2"), "--hp: the list knows it of a model"),
        (("TF-0040", "--cut-out", "60"), "a drive holds one pressure"),
        (("TF-0031", "--valves", "100,100"), "two check valves are to hang at 100 ft"),
        (("TF-0031", "--conductors", "1"), "--conductors: conductors 1 cannot be"),
        (("TF-9999", "--depth", "100"), "no well has the tag"),
    ],
)
def test_what_contradicts_itself_is_refused(run: Any, words: tuple[str, ...], said: str) -> None:
    status, out, err = run("plan", *words)
    assert (status, out) == (2, "")
    assert said in err


def test_a_model_that_is_not_listed_is_said_to_be_so(run: Any, tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text('[set.pump]\nmodel = "ZZ-9"\nset_depth_ft = 402\n', "utf-8")
    assert "ZZ-9 is not in the shop's list of pumps" in run("plan", "TF-0031", str(path))[1]


def test_no_pump_on_record_is_not_no_pump(run: Any) -> None:
    assert "NO PUMP ON RECORD" in run("check", "TF-0051")[1]
    assert "NO PUMP HANGS THERE" in run("check", "TF-0048")[1]


def test_nothing_hangs_deeper_than_its_hole(run: Any) -> None:
    status, out, _ = run("plan", "TF-0042", "--depth", "140", "--json")
    assert status == 1
    assert checks(out)["off the bottom"]["verdict"] == "fail"


def test_nothing_is_asked_of_a_well_that_is_not_there(
    run: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def ask(_: str) -> str:
        raise AssertionError("it asked")

    monkeypatch.setattr("wellbook.cli.plan.prompt", ask)
    status, _, err = run("plan", "TF-9999", "--ask")
    assert status == 2
    assert "no well has the tag" in err
