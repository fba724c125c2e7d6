"""The commands as a user meets them: what they answer, how they fail, with which status."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from commands import Commands

SHEET = """
date = 2026-11-25
reason = "no water"
[pulled.pump]
why = "winding to ground"
cause = "lightning"
[set.pump]
hp = "1/2"
rated_gpm = 7
set_depth_ft = "122 m"
"""


pytestmark = pytest.mark.usefixtures("at_the_demo")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Commands:
    return Commands(capsys)


@pytest.mark.parametrize(
    "words",
    [
        "venterick", "Larkspur", "555-0131", "(555) 0131", "0131", "99-0284",
        "vnterick", "ventreick", "venterrick", "larkspur nettlewick", "TF-0031", "tf-0031",
    ],
)  # fmt: skip
def test_find_by_whatever_is_remembered(run: Commands, words: str) -> None:
    found = run.json("find", *words.split())["wells"]
    assert isinstance(found, list)
    assert found[0]["tag"] == "TF-0031"


def test_find_nothing_is_a_no(run: Commands) -> None:
    status, out, err = run("find", "zzzzqqq")
    assert (status, out) == (1, "")
    assert "no well fits" in err


def test_several_wells_are_listed_and_never_guessed_between(run: Commands) -> None:
    status, _, err = run("hole", "nettlewick")
    assert status == 2
    assert "fits several wells" in err
    assert "TF-0031" in err


def test_the_hole_fits_a_hundred_columns(run: Commands) -> None:
    status, out, _ = run("hole", "TF-0031")
    assert status == 0
    assert max(map(len, out.splitlines())) <= 100
    for part in ("pipe", "cable", "pump", "WRONG OR DUE", "ASK", "TO PULL"):
        assert part in out


def test_every_demo_well_has_a_page_a_history_and_json(run: Commands) -> None:
    for well in run.json("well", "list")["wells"]:  # type: ignore[attr-defined]
        for command in ("hole", "history"):
            status, out, err = run(command, well["tag"])
            assert status == 0, err
            assert max(map(len, out.splitlines())) <= 100, well["tag"]
        assert run.json("hole", well["tag"])["schema"] == {"name": "wellbook.hole", "version": 1}


def test_the_hole_on_a_past_day_is_as_it_was(run: Commands) -> None:
    now = run("hole", "TF-0031")[1]
    then = run("hole", "TF-0031", "--on", "2005-01-01")[1]
    assert "2018" in now
    assert "set 2018-08-30" not in then
    assert run("hole", "TF-0031", "--on", "2027-01-01")[0] == 2


def test_due_json_has_the_promised_keys(run: Commands) -> None:
    items = run.json("due", "--occasion", "next_pull")["items"]
    assert isinstance(items, list)
    assert set(items[0]) == {
        "well", "rule", "subject", "occurrence", "may_from", "surely_from", "severity",
        "occasion", "reason", "action", "source", "numbers", "to_customer", "standing", "for_day",
    }  # fmt: skip
    order = ["act", "plan", "watch", "ask"]
    ranks = [order.index(i["severity"]) for i in items]
    assert ranks == sorted(ranks)


def test_what_waits_for_the_next_pull_is_left_out_unless_asked(run: Commands) -> None:
    listed = run.json("due")["items"]
    assert isinstance(listed, list)
    assert {i["occasion"] for i in listed} == {"now", "next_visit"}


def test_due_in_a_month_is_what_begins_in_it(run: Commands) -> None:
    items = run.json("due", "--month", "2027-03")["items"]
    assert isinstance(items, list)
    assert items
    assert all("2027-03-01" <= i["may_from"] <= "2027-03-31" for i in items)


@pytest.mark.parametrize(
    ("words", "where"),
    [
        (["due", "--month", "2027-13"], "--month"),
        (["due", "--within", "soon"], "--within"),
        (["due", "--severity", "bad"], "--severity"),
        (["well", "edit", "TF-0031", "--stick-up", "160"], "--stick-up"),
        (["rules", "set", "pump-age.may_years", "-1"], "from 1 to 100"),
        (["due", "--severity", "act", "--occasion", "bad"], "--occasion"),
        (["due", "--month", "9999-12"], "--month"),
        (["due", "--by", "03/04/2027"], "--by"),
        (["hole", "TF-0031", "--on", "whenever"], "--on"),
        (["visit", "TF-0031", "--from", "/none/there.toml"], "/none/there.toml"),
        (["call", "TF-0031", "--told", "depth"], "--told"),
        (["call", "TF-0031", "--told", "pump.hp=7 gpm"], "pump.hp"),
        (["rules", "set", "pump-age.may_years", "old"], "pump-age.may_years"),
        (["rules", "explain", "no-such"], "no-such"),
        (["due", "--month", "9999-12"], "--month"),
        (["call", "TF-0031"], "--symptom"),
        (["call", "TF-0031", "--told", "=3"], "--told"),
        (["correct", "99999999999999999999"], "no visit's number"),
        (["correct", "9999", "--yes"], "9999"),
        (["withdraw", "last"], "no visit's number"),
        (["well", "edit", "TF-0031"], "well edit --help"),
        (["well", "list", "--status", "lost"], "--status"),
        (["well", "add", "X-1", "--known", "depth"], "--known"),
        (["well", "add", "X-1", "--known", "depth_ft=x"], "--known depth_ft"),
        (["customer", "list", "zzqq"], "no customers"),
        (["site", "add", "--latitude", "north"], "--latitude"),
        (["visit", "TF-0031", "--from", "x", "--ask"], "one of --from and --ask"),
        (["find", "--limit", "x", "orla"], "no whole number"),
        (["--book", "sqlite://missing", "find", "orla"], "sqlite://missing"),
        (["hole"], ""),
        (["nonsense"], "nonsense"),
    ],
)
def test_bad_input_is_one_clear_line_and_no_traceback(
    run: Commands, words: list[str], where: str
) -> None:
    status, out, err = run(*words)
    assert status in (1, 2)
    assert out == ""
    assert where in err
    assert err.count("\n") == 1
    assert "Traceback" not in err


def test_an_error_in_json_is_an_object(run: Commands) -> None:
    status, out, _ = run("hole", "zzzzqqq", "--json")
    assert status == 1
    assert set(json.loads(out)["error"]) == {"code", "message", "where"}


def test_a_visit_from_a_file_dry_then_written(run: Commands, tmp_path: Path) -> None:
    sheet = tmp_path / "visit.toml"
    sheet.write_text(SHEET)
    before = run.json("hole", "TF-0031")
    status, out, _ = run("visit", "TF-0031", "--from", str(sheet), "--dry-run")
    assert status == 0
    assert "nothing was written" in out
    assert run.json("hole", "TF-0031") == before
    status, out, _ = run("visit", "TF-0031", "--from", str(sheet))
    assert status == 0
    assert "is recorded" in out
    text = run("hole", "TF-0031")[1]
    assert "400.3 ft" in text or "400 ft" in text
    assert "lightning" in run("history", "TF-0031")[1]


def test_mistakes_in_a_sheet_are_named_by_file_and_line(run: Commands, tmp_path: Path) -> None:
    sheet = tmp_path / "visit.toml"
    sheet.write_text(SHEET.replace("lightning", "magic").replace("1/2", "7 gpm"))
    status, _, err = run("visit", "TF-0031", "--from", str(sheet))
    assert status == 2
    assert f"{sheet}:6: pulled.pump.cause" in err
    assert f"{sheet}:8: set.pump.hp" in err


def test_a_dry_run_says_each_reading_and_finding(run: Commands, tmp_path: Path) -> None:
    sheet = tmp_path / "visit.toml"
    sheet.write_text(
        'date = 2026-11-25\nreason = "check up"\n[measured]\nflow_gpm = 7\n'
        'static_level_ft = { value = 171, point = "casing top" }\n'
        '[[found]]\nwhat = "rub"\npart = "cable"\ncount = 8\n'
        '[[sample]]\nbacteria = "absent"\n'
    )
    out = run("visit", "TF-0031", "--from", str(sheet), "--dry-run")[1]
    assert "note: flow 7 gpm" in out
    assert "note: static water level 171 ft from casing top" in out
    assert "note: 8 x rub (cable)" in out
    assert "bacteria absent" in out


def test_history_shows_the_numbers_by_which_sheets_are_corrected(run: Commands) -> None:
    status, out, _ = run("history", "TF-0031")
    numbers = re.findall(r"^\S+ +no\. (\d+), ", out, re.MULTILINE)
    assert status == 0
    assert len(numbers) == len(set(numbers)) > 5
    assert run("withdraw", numbers[0], "--dry-run")[0] == 0


def test_correct_and_withdraw_by_the_number_that_history_shows(
    run: Commands, tmp_path: Path
) -> None:
    sheet = tmp_path / "visit.toml"
    sheet.write_text(SHEET)
    number = str(run.json("visit", "TF-0031", "--from", str(sheet))["visit"])
    sheet.write_text(SHEET.replace("lightning", "sand"))
    changed = str(run.json("correct", number, "--from", str(sheet), "--because", "slip")["visit"])
    assert "sand" in run("history", "TF-0031")[1]
    assert run("correct", number, "--from", str(sheet))[0] == 2
    assert run("withdraw", changed, "--because", "never happened")[0] == 0
    assert "sand" not in run("history", "TF-0031")[1].splitlines()[1]


def test_a_call_about_a_well_that_is_not_in_the_book_starts_one(run: Commands) -> None:
    status, out, _ = run(
        "call", "halloway", "--new", "--name", "B. Halloway", "--road", "9 Quarry Lane",
        "--told", "depth_ft=300", "--told", "pump.set_on=10-12 years ago", "--symptom", "no water",
    )  # fmt: skip
    assert status == 0, out
    page = run("hole", "halloway")[1]
    assert "300 ft" in page
    assert "○" in page


def test_a_setting_shows_what_it_adds_and_drops_and_is_kept(run: Commands) -> None:
    shape = run.json("rules", "set", "check-up.months", "36")
    assert shape["written"] is True
    assert shape["dropped"]
    assert "months 36*" in run("rules")[1]
    assert run("rules", "set", "check-up.months", "default", "--yes")[0] == 0
    assert "36" not in run("rules")[1]


def test_a_silenced_rule_is_quiet_for_that_well_until_it_speaks_again(run: Commands) -> None:
    def wells() -> set[str]:
        items = run.json("due", "--rule", "check-up")["items"]
        assert isinstance(items, list)
        return {i["well"] for i in items}

    assert "TF-0030" in wells()
    assert run("rules", "silence", "check-up", "TF-0030", "--because", "does it himself")[0] == 0
    assert "TF-0030" not in wells()
    assert run("rules", "unsilence", "check-up", "TF-0030")[0] == 0
    assert "TF-0030" in wells()


def test_customers_properties_and_wells_from_nothing(
    run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / "own.book"))
    assert run("hole", "A-1")[0] == 2
    assert run("init", "--shop", "Ours")[0] == 0
    assert run("init")[0] == 2
    assert run("customer", "add", "Jo Marsh", "--phone", "(555) 010-2233")[0] == 0
    assert run("customer", "add", "Pat Reed")[0] == 0
    assert run("site", "add", "--road", "1 Elm St", "--town", "Ayer", "--customer", "jo")[0] == 0
    known = ["--known", "depth_ft=310", "--known", "pump.hp=1/2", "--basis", "drillers_log"]
    assert run("well", "add", "A-1", "--site", "elm", *known)[0] == 0
    assert run("well", "add", "a-1")[0] == 2
    assert run("well", "add", "A-2", "--site", "elm", "--shares-tank-with", "A-1")[0] == 0
    assert run.json("well", "show", "A-2")["well"]["shares_tank_with"] == ["A-1"]  # type: ignore[index]
    assert run("site", "moved-in", "elm", "--customer", "pat", "--since", "May 2020")[0] == 0
    page = run("hole", "A-1")[1]
    assert "Pat Reed" in page
    assert "310 ft" in page
    assert run.json("find", "5550102233")["wells"]
    assert run("customer", "edit", "jo", "--name", "Joan Marsh")[0] == 0
    assert "Joan Marsh" in run("customer", "list")[1]
    assert "until May 2020" in run("site", "show", "elm")[1]
    assert run("well", "edit", "A-1", "--status", "sealed")[0] == 0
    due = run.json("due")["items"]
    assert isinstance(due, list)
    assert "A-1" not in {i["well"] for i in due}


def test_the_demo_twice_is_harmless(
    run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / "demo.book"))
    assert run("demo")[0] == 0
    size = (tmp_path / "demo.book").stat().st_size
    status, out, _ = run("demo")
    assert status == 0
    assert "wellbook hole TF-0031" in out
    assert (tmp_path / "demo.book").stat().st_size == size
    assert [p.name for p in tmp_path.glob("*.making*")] == []


@pytest.mark.parametrize(
    ("said", "yield_gpm"),
    [
        (["--drilled", "1998", "--basis", "drillers log"], 2),
        ([], 2),
        (["--as-of", "May 2017"], 2),
        (["--as-of", "May 2019"], 8),
        (["--basis", "measured"], 8),
    ],
)
def test_what_paper_says_is_as_old_as_the_paper(
    run: Commands, tmp_path: Path, said: list[str], yield_gpm: float
) -> None:
    assert run("well", "add", "P-1", "--known", "yield_gpm=8", *said)[0] == 0
    sheet = tmp_path / "sheet.toml"
    sheet.write_text("date = 2018-05-04\nreason = 'yield_test'\n[measured]\nyield_gpm = 2\n")
    assert run("visit", "P-1", "--from", str(sheet), "--yes")[0] == 0
    facts = run.json("hole", "P-1")["readings"]
    assert facts["yield_gpm"]["value"] == yield_gpm  # type: ignore[index,call-overload]


def test_a_day_of_moving_in_is_put_right_and_spans_stay_in_order(run: Commands) -> None:
    assert run("site", "add", "--road", "8 Quince Ct", "--town", "Ambelow")[0] == 0
    for name in ("Ivo Thrupp", "Nell Sandry"):
        assert run("customer", "add", name)[0] == 0
    move = ("site", "moved-in", "8 Quince", "--customer")
    assert run(*move, "thrupp", "--since", "2000")[0] == 0
    status, _, err = run(*move, "sandry", "--since", "1990")
    assert status == 2
    assert "Ivo Thrupp has been there since 2000, which is later than '1990'" in err
    assert run(*move, "sandry", "--since", "about 2014")[0] == 0
    assert run(*move, "sandry", "--since", "May 2015")[0] == 0
    assert "nothing to change" in run(*move, "sandry", "--since", "May 2015")[1]
    assert "nothing to change" in run(*move, "sandry")[1]
    shown = run("site", "show", "8 Quince")[1]
    assert "Ivo Thrupp: since 2000, until May 2015" in shown
    assert "Nell Sandry: since May 2015" in shown
    occupants = run.json("site", "show", "8 Quince")["site"]["occupants"]  # type: ignore[index,call-overload]
    assert occupants[0]["until"] == {
        "earliest": "2015-05-01",
        "latest": "2015-05-31",
        "text": "May 2015",
    }


@pytest.mark.parametrize("words", ["31", "TF-31", "tf31"])
def test_find_reads_a_tag_as_other_commands_do(run: Commands, words: str) -> None:
    found = run.json("find", words)["wells"]
    assert found[0]["tag"] == "TF-0031"  # type: ignore[index]


@pytest.mark.parametrize(
    "options",
    [
        ["--as-of", "2020"],
        ["--basis", "measured"],
        ["--shares-tank-with", "TF-0030", "--own-tank"],
    ],
)
def test_options_that_say_nothing_together_are_refused(run: Commands, options: list[str]) -> None:
    status, out, err = run("well", "edit", "TF-0031", *options)
    assert (status, out) == (2, "")
    assert options[-1 if "--own-tank" in options else 0] in err


def test_undated_paper_is_no_older_than_what_it_tells(run: Commands, tmp_path: Path) -> None:
    assert run("well", "add", "P-2", "--known", "pump.hp=1", "--known", "pump.set_on=2012")[0] == 0
    sheet = tmp_path / "sheet.toml"
    sheet.write_text("date = 2005-06-03\nreason = 'replacement'\n[set.pump]\nhp = 2\n")
    assert run("visit", "P-2", "--from", str(sheet), "--yes")[0] == 0
    assert "1 hp" in run("hole", "P-2")[1]
    assert "2 hp" in run("hole", "P-2", "--on", "2008-01-01")[1]


def test_the_rise_to_the_tank_goes_along_into_a_shared_system_and_out_of_it(run: Commands) -> None:
    assert run("well", "add", "S-1")[0] == 0
    assert run("well", "add", "S-2", "--rise-to-tank", "40")[0] == 0
    assert run("well", "edit", "S-2", "--shares-tank-with", "S-1")[0] == 0
    assert run("well", "edit", "S-2", "--own-tank")[0] == 0
    assert run.json("well", "show", "S-2")["well"]["rise_to_tank_ft"] == 40  # type: ignore[index,call-overload]


def test_a_town_without_wells_is_no_empty_list(run: Commands) -> None:
    status, out, err = run("due", "--town", "nowhere")
    assert (status, out) == (1, "")
    assert "there are: Ambelow, " in err
    assert run("due", "--town", "dravel")[0] == 0


def test_a_new_pump_is_not_taken_for_the_one_that_paper_knew(run: Commands, tmp_path: Path) -> None:
    known = ["pump.hp=1", "pump.set_depth_ft=200", "pump.serial=OLD1", "cable.made=2001"]
    told = [word for one in known for word in ("--known", one)]
    assert run("well", "add", "P-1", *told, "--as-of", "2001-06-01")[0] == 0
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(
        "date = 2018-06-03\nreason = 'replacement'\n[pulled.pump]\n[set.pump]\nhp = 2\n"
        "[pulled.cable]\n[set.cable]\nawg = 10\nto_ft = 300\n"
    )
    shown = run("visit", "P-1", "--from", str(sheet), "--yes")[1]
    assert "out:  pump: 1 hp, serial OLD1, at 200 ft" in shown
    assert "in:   pump: 2 hp\n" in shown
    assert "set by 2001-06-01" in run("hole", "P-1", "--on", "2012-01-01")[1]
    # Another paper, of no day, is of the pump that paper knew; with its day, of what hung then.
    assert "--as-of gives its date" in run("well", "edit", "P-1", "--known", "pump.maker=Ostrel")[1]
    dated = run("well", "edit", "P-1", "--known", "pump.maker=Ostrel", "--as-of", "2020")[1]
    assert "now:  pump: Ostrel, 2 hp" in dated


def test_a_shared_tank_is_shown_and_can_be_taken_back(run: Commands, tmp_path: Path) -> None:
    for tag, gallons in (("P-1", 44), ("P-2", 86)):
        assert run("well", "add", tag, "--known", f"tank.volume_gal={gallons}")[0] == 0
    status, shown, _ = run("well", "edit", "P-2", "--shares-tank-with", "P-1")
    assert status == 0
    assert "in:   tank: volume 44 gal" in shown
    assert "one system with P-1; to take that back: --own-tank" in shown
    status, _, err = run("well", "edit", "P-2", "--shares-tank-with", "P-1")
    assert status == 2
    assert "feed one system already" in err
    status, shown, _ = run("well", "edit", "P-2", "--own-tank")
    assert status == 0
    assert "out:  tank: volume 44 gal" in shown
    assert run("well", "edit", "P-2", "--own-tank")[0] == 2
    assert run.json("well", "show", "P-2")["well"]["shares_tank_with"] == []  # type: ignore[index]


def test_whoever_draws_on_a_well_is_found_with_it(run: Commands) -> None:
    for road in ("1 Quince Ct", "3 Quince Ct", "5 Quince Ct"):
        assert run("site", "add", "--road", road, "--town", "Ambelow")[0] == 0
    assert run("customer", "add", "Ivo Thrupp", "--phone", "555-7781")[0] == 0
    assert run("well", "add", "M-1", "--site", "1 Quince", "--also-serves", "3 Quince")[0] == 0
    assert run("well", "edit", "M-1", "--also-serves", "5 Quince")[0] == 0
    assert run("site", "moved-in", "5 Quince", "--customer", "thrupp")[0] == 0
    for words in ("thrupp", "555-7781", "3 quince ct"):
        found = run.json("find", words)["wells"]
        assert [w["tag"] for w in found] == ["M-1"]  # type: ignore[attr-defined]


def test_the_demo_leaves_the_shops_own_book_alone(
    run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own, copy, demo = (tmp_path / n for n in ("own.book", "own.book.copy", "demo.book"))
    monkeypatch.setenv("WELLBOOK_BOOK", str(own))
    assert run("init", "--shop", "Fenwick Pumps")[0] == 0
    copy.write_bytes(own.read_bytes())
    before = own.read_bytes()
    assert run("demo")[0] == 0
    assert run("demo", "--again")[0] == 0
    assert str(demo) in run("demo", "--path")[1]
    assert (own.read_bytes(), copy.read_bytes()) == (before, before)
    # A file that happens to have the demo's name is somebody's too.
    demo.write_bytes(before)
    status, _, err = run("demo", "--again")
    assert (status, demo.read_bytes()) == (2, before)
    assert "not the demo" in err


@pytest.mark.parametrize("words", ["TF-31", "tf31", "TF 31", "tf-0031", "99-0284", "0131"])
def test_a_well_is_named_by_its_tag_or_number(run: Commands, words: str) -> None:
    assert run.json("hole", words)["well"]["tag"] == "TF-0031"  # type: ignore[index]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("TF-0131", "no well has the tag or permit 'TF-0131'"),
        ("KT-0152", "no well has the tag or permit 'KT-0152'"),
        ("orla jones", "near to it: TF-0031, Orla Venterick"),
        ("vnterick", "near to it: TF-0031, Orla Venterick"),
        ("nettlewick zzz", "no well fits 'nettlewick zzz'; near to it"),
    ],
)
def test_a_well_that_does_not_quite_fit_is_named_and_not_taken(
    run: Commands, words: str, said: str
) -> None:
    for command in (["hole"], ["call", "--symptom", "dry"]):
        status, out, err = run(*command, words)
        assert (status, out) == (1, "")
        assert said in err


def test_a_bare_number_may_be_that_of_a_tag_or_of_a_house(run: Commands) -> None:
    status, out, err = run("call", "--symptom", "dry", "31")
    assert (status, out) == (2, "")
    assert "TF-0031" in err
    assert "31 Linden Way" in err
    assert run.json("hole", "30")["well"]["tag"] == "TF-0030"  # type: ignore[index]


def test_a_call_says_something_and_starts_no_well_twice(run: Commands) -> None:
    assert "--symptom" in run("call", "TF-0031")[2]
    assert run("call", "quibell", "--new", "--told", "depth_ft=300")[0] == 0
    status, _, err = run("call", "quibell", "--new")
    assert status == 2
    assert "is in the book already" in err
    assert run("call", "quibell", "--new", "--road", "9 Weir Ln")[0] == 0


def test_a_list_as_far_ahead_as_there_are_days(run: Commands) -> None:
    assert run("due", "--within", "9999y")[0] == 0


def test_book_may_stand_anywhere_on_the_line(run: Commands, shop: Path) -> None:
    assert run("--book", str(shop), "find", "orla")[0] == 0
    assert run("find", "orla", "--book", str(shop))[0] == 0
    assert run("find", f"--book={shop}", "orla")[0] == 0


def test_brackets_and_escapes_in_what_people_wrote_stay_harmless(run: Commands) -> None:
    assert run("call", "TF-0031", "--symptom", "[red]dry[/red] \x1b[2J \u202eabc")[0] == 0
    out = run("hole", "TF-0031")[1] + run("history", "TF-0031")[1]
    assert "[red]dry[/red]" in out
    assert "\x1b" not in out
    assert "\u202e" not in out


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no full disk to try")
def test_an_answer_that_cannot_be_written_is_one_line() -> None:
    program = [sys.executable, "-m", "wellbook", "find", "orla"]
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(program, stdout=full, stderr=subprocess.PIPE, text=True)
    assert done.returncode == 2
    assert done.stderr == "wellbook: no space left on device\n"


def test_a_demo_that_was_broken_off_is_begun_again(
    run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / "demo.book"))
    (tmp_path / "demo.making").write_text("half a book")
    assert run("demo")[0] == 0
    assert not (tmp_path / "demo.making").exists()
