"""What a user sees of a sheet before it is written, and of the people who draw on a well."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from wellbook import cli


@pytest.fixture(autouse=True)
def a_book_of_ones_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("WELLBOOK_TODAY", "2026-11-25")
    monkeypatch.setenv("WELLBOOK_WHO", "Ida")
    monkeypatch.setenv("WELLBOOK_BOOK", str(tmp_path / "own.book"))


class Said:
    """Runs commands, and gives what the last one said."""

    def __init__(self, capsys: pytest.CaptureFixture[str], folder: Path) -> None:
        self._capsys, self._folder = capsys, folder
        self("init")

    def __call__(self, *words: str) -> str:
        status = cli.run(list(words))
        said = self._capsys.readouterr()
        assert status == 0, said.err
        return said.out

    def sheet(self, text: str, *words: str) -> str:
        file = self._folder / "sheet.toml"
        file.write_text(text)
        return self("visit", "C-1", "--from", str(file), *words)


@pytest.fixture
def said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Said:
    return Said(capsys, tmp_path)


def test_a_sheet_is_shown_whole_before_it_is_written(said: Said) -> None:
    said("well", "add", "C-1")
    said.sheet('date = 2015-05-05\nreason = "new well"\n[set.pump]\nhp = 2\n[set.cable]\nawg = 10')
    text = """
date = 2026-06-01
reason = "pull and inspect"
crew = ["Ida", "Ben"]
disinfected = true
left_for_next_time = "new tank"
notes = "gate sticks"
[back.cable]
splices_added = 1
"""
    dry = said.sheet(text, "--dry-run")
    assert dry.splitlines() == [
        "C-1: nothing was written; this would change (pull and inspect by Ida, Ben, 2026-06-01):",
        "  note: 1 splice added to the cable",
        "  note: the well was disinfected",
        "  note: left for next time: new tank",
        "  note: gate sticks",
    ]
    changes = json.loads(said.sheet(text, "--dry-run", "--json"))["changes"]
    assert [f"  {line}" for line in changes] == dry.splitlines()[1:]
    written = said.sheet(text).splitlines()
    assert written[0] == "C-1: visit 2 of 2026-06-01 is recorded: pull and inspect by Ida, Ben"
    assert written[1:] == dry.splitlines()[1:]


def test_a_slip_from_the_glovebox_says_what_it_adds_to_the_history(said: Said) -> None:
    said("well", "add", "C-1")
    said.sheet('date = 2018-06-06\nreason = "replacement"\n[set.pump]\nhp = 3\n[pulled.pump]')
    slip = 'date = 2012-03-03\nreason = "replacement"\n[set.pump]\nhp = 2\nset_depth_ft = 280'
    dry = said.sheet(slip, "--dry-run")
    assert "pump: 2 hp, at 280 ft; set 2012-03-03, pulled 2018-06-06" in dry
    nothing = said.sheet('date = 2012-03-03\nreason = "check up"', "--dry-run")
    assert "nothing changes in the record of the well" in nothing


def test_whoever_rings_from_another_place_on_the_well_is_named_with_a_telephone(
    said: Said,
) -> None:
    for road in ("1 Alder Ct", "2 Birch Ct", "3 Cedar Ct"):
        said("site", "add", "--road", road, "--town", "Ambelow")
    said("customer", "add", "Cid Marrable", "--phone", "207-555-0103")
    said("customer", "add", "Una Poltrick", "--phone", "207-555-0104")
    said("site", "moved-in", "3 Cedar", "--customer", "cid", "--since", "2010")
    said("well", "add", "C-1", "--site", "1 Alder", "--also-serves", "2 Birch")
    said("well", "edit", "C-1", "--also-serves", "3 Cedar")
    feeds = " ".join(said("hole", "C-1").split())
    assert (
        "2 other places: 2 Birch Ct, Ambelow, 3 Cedar Ct, Ambelow (Cid Marrable 207-555-0103)"
    ) in feeds
    system = json.loads(said("hole", "C-1", "--json"))["well"]["system"]
    assert system["other_sites"] == ["2 Birch Ct, Ambelow", "3 Cedar Ct, Ambelow"]
    assert [(c["site"], c["name"]) for c in system["other_customers"]] == [
        ("3 Cedar Ct, Ambelow", "Cid Marrable")
    ]
    # On a day, whoever was there then.
    said("site", "moved-in", "3 Cedar", "--customer", "una", "--since", "2020-05-01")
    now, then = (
        " ".join(said("hole", "C-1", *day).split()) for day in ((), ("--on", "2015-01-01"))
    )
    assert ("Una" in now, "Cid" in now) == (True, False)
    assert ("Una" in then, "Cid" in then) == (False, True)
