"""`wellbook contact` as a user meets it, on the demo book."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from reminding import Reminding

pytestmark = pytest.mark.usefixtures("at_the_demo")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Reminding:
    return Reminding(capsys)


def _due(run: Reminding, well: str = "TF-0014") -> dict[str, str]:
    return {d["subject"]: d["standing"] for d in run.json("contact", well)["due"]}


def test_it_shows_what_is_due_and_what_was_said(run: Reminding) -> None:
    said = run.fine("contact", "ravenhale")
    assert said.startswith("TF-0014 · Jory Ravenhale · 555-0112 · 15 Chapel Steps, Dravel")
    assert "check-up: due from 2026-12-02" in said
    assert said.endswith("Nothing was said so far.\n")


def test_told_booked_moved_declined(run: Reminding) -> None:
    assert "told 2026-11-24 by call" in run.fine(
        "contact", "TF-0014", "--told", "--by", "phone", "--on", "2026-11-24"
    )
    booked = run.fine("contact", "TF-0014", "--booked", "2026-12-03", "--at", "9", "--crew", "Lu")
    assert booked.count("booked for 2026-12-03 09:00 Lu") == 4
    assert set(_due(run).values()) == {"booked"}
    moved = run.fine("contact", "TF-0014", "--booked", "2026-12-04", "--note", "child is ill")
    assert (
        "booked for 2026-12-04 Lu · check-up, bacteria test, nitrate test · child is ill" in moved
    )
    assert "declined 2026-11-25" in run.fine("contact", "TF-0014", "--declined")
    assert set(_due(run).values()) == {"declined"}


def test_what_was_told_once_more_is_still_booked(run: Reminding) -> None:
    run.fine("contact", "TF-0014", "--booked", "2026-12-03")
    run.fine("contact", "TF-0014", "--told", "--note", "rang him the day before")
    assert set(_due(run).values()) == {"booked"}


@pytest.mark.parametrize("what", ["check-up", "check up", "Check_Up"])
def test_one_thing_of_several(run: Reminding, what: str) -> None:
    run.fine("contact", "TF-0014", "--put-off", "2027-03-01", "--about", what)
    assert _due(run) == {
        "check-up": "put_off", "bacteria test": "due", "nitrate test": "due",
    }  # fmt: skip


def test_put_off_comes_back_by_itself(run: Reminding, monkeypatch: pytest.MonkeyPatch) -> None:
    run.fine("contact", "TF-0014", "--put-off", "2027-03-01", "--note", "after the thaw")
    assert "Ravenhale" not in run.fine("remind")
    assert "TF-0014" not in run.fine("due", "--within", "30d")
    monkeypatch.setenv("WELLBOOK_TODAY", "2027-03-01")
    assert "Jory Ravenhale" in run.fine("remind")
    assert set(_due(run).values()) == {"due"}


def test_a_visit_that_was_asked_for_is_moved_and_called_off(run: Reminding) -> None:
    """Nothing is due there, and the customer wants somebody to come."""
    well = "TF-0068"
    assert "nothing is due there by" in run.refused("contact", well, "--told", status=1)
    run.fine("contact", well, "--booked", "2026-12-03", "--note", "wants a hose bib")
    said = run.json("contact", well, "--booked", "2026-12-04")["said"]
    assert "a visit besides: booked for 2026-12-04" in run.fine("contact", well)
    assert "move it by --booked" in run.refused("contact", well, "--put-off", "2027-01-10")
    run.fine("contact", well, "--declined")
    assert [line["said"] for line in said] == ["booked", "booked"]
    assert "nothing is due there by" in run.refused("contact", well, "--declined", status=1)


def test_a_safety_matter_still_shows_on_the_hole(run: Reminding) -> None:
    run.fine("contact", "TF-0031", "--declined")
    assert "coliform bacteria present" in run.fine("hole", "TF-0031")
    assert "Orla Venterick" not in run.fine("remind")


WRONG: list[tuple[list[str], int, str]] = [
    (["TF-9999", "--told"], 1, "TF-9999"),
    (["TF-0014", "--told", "--declined"], 2, "give one of --told, --booked"),
    (["TF-0014", "--booked", "2026-11-20"], 2, "2026-11-20 is not ahead"),
    (["TF-0014", "--booked", "2026-12"], 2, "--booked: '2026-12' is not one day"),
    (["TF-0014", "--booked", "2046-12-01"], 2, "more than 5 years ahead"),
    (["TF-0014", "--booked", "2026-12-03", "--at", "25"], 2, "--at: '25' is no hour"),
    (["TF-0014", "--put-off", "2026-11-25"], 2, "2026-11-25 is not ahead"),
    (["TF-0014", "--told", "--on", "2026-11-26"], 2, "--on: 2026-11-26 lies ahead"),
    (["TF-0014", "--told", "--at", "9"], 2, "--at: goes with --booked"),
    (["TF-0014", "--declined", "--crew", "Lu"], 2, "--crew: goes with --booked"),
    (["TF-0014", "--note", "x"], 2, "--note: goes with --told"),
    (["TF-0014", "--on", "2026-11-20"], 2, "--on: goes with --told"),
    (["TF-0014", "--about", "check-up"], 2, "--about: goes with --told"),
    (["TF-0014", "--told", "--by", "fax"], 2, "--by: 'fax' is not one of"),
    (["TF-0014", "--told", "--about", "roof"], 1, "due is: check-up, bacteria test, nitrate test"),
]


@pytest.mark.parametrize(("words", "status", "says"), WRONG, ids=str)
def test_a_slip_is_one_clear_line_and_nothing_is_written(
    run: Reminding, words: list[str], status: int, says: str
) -> None:
    assert says in run.refused("contact", *words, status=status)
    shape: Any = run.json("contact", "TF-0014")
    assert shape["said"] == []


def test_a_visit_to_a_well_that_was_sealed_since_is_called_off(
    run: Reminding, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is due there any more, and yet somebody would drive there."""
    monkeypatch.chdir(tmp_path)
    run.fine("contact", "TF-0058", "--booked", "2026-12-01")
    run.fine("well", "edit", "TF-0058", "--status", "sealed")
    said = run.fine("contact", "TF-0058")
    assert said.count("booked for 2026-12-01") == 2  # where it stands, and what was said
    run.fine("contact", "TF-0058", "--declined", "--note", "the well is sealed")
    run.fine("calendar", "out.ics")
    text = Path("out.ics").read_text("utf-8")
    (event,) = [e for e in text.split("BEGIN:VEVENT")[1:] if "TF-0058" in e]
    assert "STATUS:CANCELLED" in event
