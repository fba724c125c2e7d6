"""`wellbook history` as a user meets it: numbers to correct by, and sheets that stay readable."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from wellbook import cli

SHEET = """
date = 2026-11-25
reason = "yield test"
notes = "clear all the way"
[measured]
yield_gpm = 3
static_level_ft = {{ value = 170, point = "casing top" }}
[[found]]
what = "sand"
note = "{found}"
"""


pytestmark = pytest.mark.usefixtures("at_the_demo")


class Answer:
    """Runs a command, and gives what it said."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def __call__(self, *words: str, status: int = 0) -> str:
        assert cli.run(list(words)) == status
        said = self._capsys.readouterr()
        return said.err if status else said.out


@pytest.fixture
def answer(capsys: pytest.CaptureFixture[str]) -> Answer:
    return Answer(capsys)


def entered(answer: Answer, tmp_path: Path, found: str) -> str:
    """The number of a sheet that was just recorded, as the history prints it."""
    sheet = tmp_path / "visit.toml"
    sheet.write_text(SHEET.format(found=found))
    answer("visit", "TF-0031", "--from", str(sheet))
    line = next(x for x in answer("history", "TF-0031").splitlines() if "yield test" in x)
    return line.split("no. ")[1].split(",")[0]


def test_a_sheet_is_corrected_and_withdrawn_by_the_printed_number_and_stays_readable(
    answer: Answer, tmp_path: Path
) -> None:
    first = entered(answer, tmp_path, "a cupful")
    text = answer("history", "TF-0031")
    assert "measured yield 3 gpm; static 170 ft below casing top" in " ".join(text.split())
    assert "found sand: a cupful" in text

    sheet = tmp_path / "again.toml"
    sheet.write_text(SHEET.format(found="a bucketful"))
    answer("correct", first, "--from", str(sheet), "--because", "misread")
    text = answer("history", "TF-0031")
    assert "found sand: a cupful" not in text
    assert f"corrects no. {first} of 2026-11-25" in text
    assert "by Ida: misread" in text
    both = answer("history", "TF-0031", "--visit", first)
    assert both.index("a bucketful") < both.index("a cupful")
    assert "by Ida: misread" in both

    second = next(x for x in text.splitlines() if "yield test" in x).split("no. ")[1].split(",")[0]
    answer("withdraw", second, "--because", "another well")
    text = answer("history", "TF-0031")
    assert "found sand: a" not in text
    assert f"no. {second}, yield test, WITHDRAWN" in text
    assert "by Ida: another well" in text
    assert "a bucketful" in answer("history", "TF-0031", "--visit", second)

    shape = json.loads(answer("history", "TF-0031", "--visit", second, "--json"))
    assert [(s["status"], s["why"]) for s in shape["sheets"]] == [
        ("superseded", "misread"),
        ("withdrawn", "another well"),
    ]


def test_a_number_of_another_well_is_a_no(answer: Answer, tmp_path: Path) -> None:
    number = entered(answer, tmp_path, "a cupful")
    said = answer("history", "TF-0001", "--visit", number, status=1)
    assert f"--visit: TF-0001 has no sheet of the number {number}" in said


def test_a_call_is_read_with_what_the_caller_said(answer: Answer) -> None:
    answer("call", "TF-0031", "--symptom", "spits air", "--told", "yield_gpm=2")
    text = answer("history", "TF-0031")
    assert "told yield 2 gpm" in text
    number = next(x for x in text.splitlines() if "spits air" in x).split("no. ")[1].split(",")[0]
    assert 'symptom = "spits air"' in answer("history", "TF-0031", "--visit", number)


def test_every_sheet_of_the_demo_can_be_read(answer: Answer) -> None:
    for sheet in json.loads(answer("history", "TF-0061", "--json"))["sheets"]:
        text = answer("history", "TF-0061", "--visit", str(sheet["number"]))
        assert f"no. {sheet['number']}, " in text
    assert "pressure_psi" in answer("history", "TF-0061", "--visit", _fractured(answer))


def _fractured(answer: Answer) -> str:
    lines = answer("history", "TF-0061").splitlines()
    return next(x for x in lines if "hydrofracturing" in x).split("no. ")[1].split(",")[0]
