"""`wellbook papers` and a customer's contract, as a user meets them."""

from __future__ import annotations

import pytest
from commands import Commands

pytestmark = pytest.mark.usefixtures("at_the_demo")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Commands:
    return Commands(capsys)


def test_papers_in_json_have_the_promised_keys_worst_first(run: Commands) -> None:
    shape = run.json("papers")
    assert shape["schema"] == {"name": "wellbook.papers", "version": 1}
    assert [(p["well"], p["kind"]) for p in shape["papers"]] == [
        ("TF-0092", "pump_report"),
        ("TF-0048", "report"),
        ("TF-0092", "warranty_return"),
    ]
    first = shape["papers"][0]
    assert set(first) == {
        "well", "customer", "phone", "road", "town", "kind", "visit", "deadline", "days_left",
        "severity", "reason", "source",
    }  # fmt: skip
    assert (first["deadline"], first["days_left"]) == ("2026-10-24", -32)


def test_a_paper_leaves_the_list_when_sent_and_comes_back(run: Commands) -> None:
    assert run("papers", "sent", "TF-0092", "Pump report", "--to", "county")[0] == 0
    assert "TF-0092" not in [p["well"] for p in run.json("papers")["papers"][:1]]
    assert "pump report" not in run("hole", "TF-0092")[1]
    assert run("papers", "unsent", "TF-0092", "pump-report")[0] == 0
    assert run.json("papers")["papers"][0]["kind"] == "pump_report"


def test_an_empty_list_says_so(run: Commands) -> None:
    assert run("papers", "--town", "Marrowby")[:2] == (0, "No paper is owed.\n")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["papers", "--town", "Nowhere"], "no well is in 'Nowhere'"),
        (["papers", "sent", "TF-0092", "letter"], "KIND: 'letter' is not one of: report, lab"),
        (["papers", "sent", "TF-0092", "report"], "no report is owed at TF-0092"),
        (["papers", "sent", "TF-9999", "report"], "TF-9999"),
        (["papers", "sent", "TF-0092", "pump_report", "--on", "2027-01-01"], "--on: 2027-01-01"),
        (["papers", "sent", "TF-0092", "pump_report", "--on", "2026-08-24"], "before the visit"),
        (["papers", "sent", "TF-0092", "pump_report", "--on", "soon"], "--on"),
        (["papers", "sent", "TF-0092", "pump_report", "--visit", "x"], "--visit: 'x' is no number"),
        (["papers", "sent", "TF-0092", "pump_report", "--visit", "1"], "its papers: none"),
        (["papers", "unsent", "TF-0092", "pump_report"], "no pump report is marked as sent"),
        (["papers", "unsent", "TF-0092", "report"], "2 of them are marked as sent"),
        (
            ["papers", "--town", "Dravel", "sent", "TF-0092", "report"],
            "--town and --json are for the list",
        ),
        (["customer", "edit", "Orla", "--contract-month", "13"], "'13' is no month; give 1 to 12"),
        (["customer", "add", "Bo", "--contract-month", "-1"], "--contract-month: '-1' is no month"),
        (["rules", "set", "check-up.quiet_to_month", "13"], "from 0 to 12"),
        (["rules", "set", "season.closing_month", "1.5"], "whole number"),
    ],
)
def test_what_is_wrong_is_one_line(run: Commands, words: list[str], says: str) -> None:
    status, out, err = run(*words)
    assert status in (1, 2)
    assert out == ""
    assert says in err
    assert len(err.splitlines()) == 1


def _due(run: Commands, well: str) -> str:
    items = run.json("due", "--by", "2028-12-31", "--rule", "check-up")["items"]
    return str(next(i["may_from"] for i in items if i["well"] == well))


def test_a_contract_moves_the_check_up_and_none_takes_it_away(run: Commands) -> None:
    before = _due(run, "TF-0092")
    assert before == "2027-04-14"
    assert run("customer", "edit", "Cordelia Ashgrove", "--contract-month", "9")[0] == 0
    assert _due(run, "TF-0092") == "2027-09-01"
    assert run.json("customer", "show", "Cordelia Ashgrove")["customer"]["contract_month"] == 9
    assert "a check-up each September" in run("customer", "show", "Cordelia Ashgrove")[1]
    for none in ("0", "none"):
        assert run("customer", "edit", "Cordelia Ashgrove", "--contract-month", none)[0] == 0
        assert _due(run, "TF-0092") == before


def test_a_quiet_season_moves_and_loses_nothing(run: Commands) -> None:
    listed = run.json("due", "--by", "2028-12-31", "--rule", "check-up")["items"]
    in_winter = [
        i["well"] for i in listed if i["may_from"][:7] in ("2026-12", "2027-01", "2027-02")
    ]
    assert len(in_winter) > 3
    for name, month in (("from", "12"), ("to", "2")):
        assert run("rules", "set", f"check-up.quiet_{name}_month", month, "--yes")[0] == 0
    moved = run.json("due", "--by", "2028-12-31", "--rule", "check-up")["items"]
    assert {i["well"] for i in moved} == {i["well"] for i in listed}
    assert {i["may_from"] for i in moved if i["well"] in in_winter} == {"2027-03-01"}
