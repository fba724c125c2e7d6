"""`wellbook checkups` as a user meets it: what it lists, what it writes, how it refuses."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from commands import Commands
from rich.cells import cell_len

from wellbook import cli

pytestmark = pytest.mark.usefixtures("at_the_demo")
FROM = ("--from", "42.05,-101.45")
MARCH = ("--month", "2027-03")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Commands:
    return Commands(capsys, "checkups")


def shape(run: Commands, *words: str) -> dict[str, Any]:
    status, out, err = run(*words, "--json")
    assert status == 0, err
    found: dict[str, Any] = json.loads(out)
    return found


def test_a_property_is_one_entry_with_all_its_wells(run: Commands) -> None:
    stops = shape(run, *MARCH)["days"][0]["stops"]
    assert len({stop["site"] for stop in stops if stop["site"]}) == len(
        [stop for stop in stops if stop["site"]]
    )
    showcase = next(stop for stop in stops if stop["wells"] == ["TF-0031"])
    assert showcase["customer"] == "Orla Venterick"
    assert any(text.startswith("coliform bacteria present") for text in showcase["due"])
    assert "check-up due since 2026-09-09" in showcase["due"]
    assert any("cable is 25 to 26 years old" in text for text in showcase["look_at"])
    assert {item["rule"] for item in showcase["items"]} >= {"check-up", "samples-owed"}


def test_an_insulation_that_fell_says_what_to_bring(run: Commands) -> None:
    status, out, _ = run(*MARCH, "--town", "Thistleford")
    assert status == 0
    assert "insulation fell from 200 to 90 megohm: bring the tester" in out


def test_the_month_is_this_one_unless_another_is_asked_for(run: Commands) -> None:
    assert shape(run)["by"] == "2026-11-30"
    assert shape(run, *MARCH)["by"] == "2027-03-31"


def test_days_keep_their_room_and_what_is_left_over_is_named(run: Commands) -> None:
    found = shape(run, *MARCH, *FROM, "--days", "3", "--per-day", "6")
    assert [len(day["stops"]) for day in found["days"]] == [6, 6, 6]
    everything = shape(run, *MARCH)["days"][0]["stops"]
    names = [s["wells"][0] for d in found["days"] for s in d["stops"]]
    names += [stop["wells"][0] for stop in found["left_over"]]
    assert sorted(names) == sorted(stop["wells"][0] for stop in everything)
    _, out, _ = run(*MARCH, *FROM, "--days", "3", "--per-day", "6")
    assert "Day 3 · 6 stops · " in out
    assert f"{len(everything) - 18} more are due and find no room" in out


def test_what_it_does_not_know_is_said(run: Commands, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["shop", "set", "place", "default"]) == 0
    capsys.readouterr()
    _, by_road, _ = run(*MARCH)
    assert "by town and road; --from LAT,LON puts the stops in driving order" in by_road
    _, driven, _ = run(*MARCH, *FROM)
    assert "as the crow flies" in driven
    assert "no coordinates: " in driven
    assert "TF-0035" in driven.partition("no coordinates: ")[2]
    _, far, _ = run(*MARCH, "--from=-42.05,101.45")
    assert "over 300 mi from the start: " in far


def test_the_days_begin_at_the_shop_unless_another_place_is_given(
    run: Commands, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["shop", "set", "place", "42.05,-101.45"]) == 0
    capsys.readouterr()
    assert shape(run, *MARCH) == shape(run, *MARCH, *FROM)
    other = shape(run, *MARCH, "--from", "42.2,-101.2")
    assert other["start"] == {"latitude": 42.2, "longitude": -101.2}


def test_a_late_paper_alone_is_no_reason_to_drive(run: Commands) -> None:
    """TF-0092 owes a pump report, and has no visit due before the next summer."""
    stops = shape(run, *MARCH)["days"][0]["stops"]
    assert not [stop for stop in stops if "TF-0092" in stop["wells"]]
    rules = {item["rule"] for stop in stops for item in stop["items"]}
    assert "papers-owed" not in rules


def test_what_was_said_to_the_customer_stands_beside_what_is_due(
    run: Commands, capsys: pytest.CaptureFixture[str]
) -> None:
    booked = ["contact", "TF-0031", "--booked", "2026-12-03", "--at", "09:00", "--crew", "Marit"]
    assert cli.run([*booked, "--about", "check-up"]) == 0
    capsys.readouterr()
    where = (*MARCH, "--town", "Nettlewick")
    assert "    said       booked for 2026-12-03 09:00 Marit: check-up\n" in run(*where)[1]
    row = next(row for row in rows_of(run(*where, "--csv", "-")[1]) if row["wells"] == "TF-0031")
    assert row["said"] == "booked for 2026-12-03 09:00 Marit: check-up"


def test_cautions_stand_on_the_list(run: Commands) -> None:
    assert "power off, locked out and tried dead" in run(*MARCH)[1]


def test_a_quiet_month_says_so(
    run: Commands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / "new.book"))
    assert cli.run(["init"]) == 0
    status, out, _ = run()
    assert status == 0
    assert "Nobody is to be visited by 2026-11-30." in out


@pytest.mark.parametrize("width", [40, 80, 100])
def test_no_line_is_wider_than_the_terminal(
    run: Commands, width: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wellbook.cli.checkups.screen_width", lambda: width)
    monkeypatch.setattr("wellbook.cli.session.screen_width", lambda: width)
    _, out, _ = run(*MARCH, *FROM, "--days", "2", "--per-day", "6")
    assert all(cell_len(line) <= width for line in out.splitlines())
    assert "Orla Venterick" in out


# -- CSV -------------------------------------------------------------------------------------------


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_a_spreadsheet_has_one_row_a_property(run: Commands, tmp_path: Path) -> None:
    status, out, _ = run(*MARCH, *FROM, "--days", "2", "--per-day", "5", "--csv", "-")
    rows = rows_of(out)
    assert status == 0
    assert [row["day"] for row in rows[:10]] == ["1"] * 5 + ["2"] * 5
    assert [row["stop"] for row in rows[:5]] == ["1", "2", "3", "4", "5"]
    assert all(row["day"] == row["stop"] == row["miles"] == "" for row in rows[10:])
    assert len(rows) == len(shape(run, *MARCH)["days"][0]["stops"])
    assert all(len(row["due from"]) == 10 for row in rows if row["due from"])
    assert float(next(row["longitude"] for row in rows if row["longitude"])) < -101
    file = tmp_path / "list.csv"
    status, said, _ = run(*MARCH, "--csv", str(file))
    assert status == 0
    assert f"{len(rows)} properties" in said
    assert len(rows_of(file.read_text("utf-8"))) == len(rows)


def test_a_cell_that_looks_like_a_formula_is_text(
    run: Commands, capsys: pytest.CaptureFixture[str]
) -> None:
    edits = ('=HYPERLINK("x")', "@now", "-2+3", "+1", "\t=1")
    for edit in edits:
        assert cli.run(["site", "edit", "4 Larkspur Bend", "--access", edit]) == 0
        capsys.readouterr()
        _, out, _ = run(*MARCH, "--town", "Nettlewick", "--csv", "-")
        row = next(row for row in rows_of(out) if row["wells"] == "TF-0031")
        assert row["access"].startswith("'")
        assert row["access"].endswith(edit.strip())


def test_a_list_that_cannot_be_written_leaves_nothing(run: Commands, tmp_path: Path) -> None:
    status, out, err = run(*MARCH, "--csv", str(tmp_path / "none" / "list.csv"))
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert list(tmp_path.glob("none*")) == []


# -- what is refused -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--month", "March"], "--month: 'March' is no month; write it as 2027-03"),
        (["--month", "2027-13"], "there is no month 13"),
        (["--month", "2026-10"], "--month: 2026-10 is over; the list looks ahead"),
        (["--days", "3"], "--days and --per-day go together, such as --days 3 --per-day 6"),
        (["--per-day", "6"], "--days and --per-day go together, such as --days 3 --per-day 6"),
        (["--days", "0", "--per-day", "6"], "--days: 0 is too few; give one or more"),
        (["--days", "3", "--per-day", "-1"], "--per-day: -1 is too few; give one or more"),
        (["--days", "100", "--per-day", "6"], "are more than 500 stops; give fewer"),
        (["--from", "Dravel"], "--from: 'Dravel' is no place; write latitude and longitude"),
        (["--from", "42.05"], "--from: '42.05' is no place; write latitude and longitude"),
        (["--from", "95,0"], "--from: latitude: 95 is not between -90 and 90 degrees"),
        (["--from", "42,-190"], "--from: longitude: -190 is not between -180 and 180 degrees"),
        (["--from", "9" * 400 + ",0"], "--from: latitude:"),
        (["--csv", "-", "--json"], "give one of --csv and --json"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_one_line(
    run: Commands, words: list[str], message: str
) -> None:
    status, out, err = run(*words)
    assert status == 2
    assert message in out + err
    assert (out + err).count("\n") == 1


def test_an_unknown_town_names_those_there_are(run: Commands) -> None:
    status, _, err = run("--town", "Nowhere")
    assert status == 1
    assert "no well is in 'Nowhere'; there are: Ambelow, " in err
