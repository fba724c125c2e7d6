"""`wellbook sample` on the demo book, as a user types it."""

from __future__ import annotations

import json
import re
import tomllib
from itertools import combinations
from pathlib import Path
from statistics import median

import pytest

from wellbook import cli
from wellbook.exchange.shop_files import sample_folder

pytestmark = pytest.mark.usefixtures("at_the_demo")


def said(capsys: pytest.CaptureFixture[str], *words: str, status: int = 0) -> str:
    capsys.readouterr()
    assert cli.run(list(words)) == status
    captured = capsys.readouterr()
    return captured.out if status == 0 else captured.err


def test_a_result_is_recorded_and_compared(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(
        capsys, "sample", "add", "TF-0037", "bacteria=absent", "NO3-N=14.1", "Fe=<0.05 mg/L"
    )
    assert re.search(r"TF-0037: visit \d+ is recorded: the sample of 2026-11-25", text)
    assert "14.1 mg/L (was 12.4 mg/L, 2026-10-20); compared with 10 mg/L (MCL, 40 CFR" in text
    assert (
        "< 0.05 mg/L; compared with 0.3 mg/L (secondary standard, 40 CFR 143.3): not above" in text
    )
    assert "act   now         nitrate 14.1 mg/L" in text
    assert "for the health department to say" in text
    assert "safe" not in text.lower()
    listed = said(capsys, "sample", "list", "TF-0037")
    assert "2026-11-25  2026-10-20  2013-04-02" in listed
    page = said(capsys, "hole", "TF-0037")
    assert "bacteria absent, nitrate 14.1 mg/L, iron < 0.05" in page
    history = said(capsys, "history", "TF-0037")
    assert "bacteria absent, nitrate 14.1 mg/L, iron < 0.05 mg/L" in " ".join(history.split())


def test_bacteria_owe_disinfection_and_a_sample_with_the_cautions(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = said(capsys, "sample", "add", "TF-0036", "coliform=present", "E. coli=3 MPN/100 mL")
    assert "E. coli present" in text
    assert "compared with: E. coli must be absent (MCL, 40 CFR 141.63)" in text
    assert "disinfect as the product's label and the local code say" in text
    assert "after disinfection, take a sample for bacteria" in text
    assert "never with ammonia or acid" in text
    assert "nobody in a pit" in text
    text = said(capsys, "sample", "add", "TF-0036", "total coliform=present", "ecoli=absent")
    assert "coliform present (was E. coli present, 2026-11-25)" in text
    assert "142.63(b)" in text
    assert "was on record already" in text


def test_a_dry_run_writes_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    before = said(capsys, "sample", "list", "TF-0037")
    text = said(capsys, "sample", "add", "TF-0037", "arsenic=12 ppb", "--dry-run")
    assert "nothing was written; this would be the sample of 2026-11-25" in text
    assert "0.012 mg/L; compared with 0.01 mg/L (MCL, 40 CFR 141.62(b)(16)): above" in text
    assert said(capsys, "sample", "list", "TF-0037") == before


def test_the_day_the_laboratory_and_a_note(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(
        capsys, "sample", "add", "TF-0038", "ph=7", "--taken", "2026-11-20",
        "--laboratory", "Dravel County Water Lab", "--note", "at the kitchen tap",
    )  # fmt: skip
    assert "the sample of 2026-11-20, Dravel County Water Lab" in text
    text = said(capsys, "sample", "add", "TF-0038", "nitrate=ND", "--taken", "spring 2026")
    assert "the sample of spring 2026" in text
    history = " ".join(said(capsys, "history", "TF-0038").split())
    assert "pH 7, Dravel County Water Lab: at the kitchen tap" in history
    assert "nitrate not detected, taken spring 2026" in history


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["ph=40"], "ph: pH 40 cannot be; it lies between 0 and 14"),
        (["bacteria=7"], "bacteria: '7' is no result for bacteria; write absent, coliform present"),
        (["E. coli=absent"], "E. coli: 'E. coli absent' says nothing of other coliform"),
        (["nitrat=4"], "'nitrat' is not looked for in a water; near it: nitrate, nitrite"),
        (["NO3=18"], "'NO3' is told in two ways; write nitrate=4.1 for so much as N"),
        (["Fe=lots"], "Fe: 'lots' is not a quantity; this field wants milligrams per litre"),
        (["iron=0.3", "Fe=0.4"], "iron and Fe are the same; give it once"),
        (["iron=0.3", "iron=0.4"], "iron stands there twice; give it once"),
        (["iron="], "'iron=' is not ANALYTE=VALUE, such as nitrate=4.1"),
        ([], "say a result, such as nitrate=4.1"),
        (
            ["As=0.004", "--taken", "2027-01-01"],
            "--taken: '2027-01-01' lies after 2026-11-25, today",
        ),
        (["As=0.004", "--taken", "once"], "--taken: "),
        (["As=12000"], "As: arsenic 12,000 mg/L cannot be; it lies between 0 mg/L and 20 mg/L"),
    ],
)
def test_what_is_wrong_is_one_line(
    capsys: pytest.CaptureFixture[str], words: list[str], line: str
) -> None:
    before = said(capsys, "history", "TF-0037")
    text = said(capsys, "sample", "add", "TF-0037", *words, status=2)
    assert text.startswith(f"wellbook: {line}")
    assert text.count("\n") == 1
    assert said(capsys, "history", "TF-0037") == before


def test_two_mistakes_are_two_lines(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "sample", "add", "TF-0037", "ph=40", "Fe=x", status=2)
    assert [line.split(":")[1].strip() for line in text.splitlines()] == ["ph", "Fe"]


def test_a_well_is_named_and_found(capsys: pytest.CaptureFixture[str]) -> None:
    assert "say the well" in said(capsys, "sample", "add", "ph=7", status=2)
    assert "TF-9999" in said(capsys, "sample", "add", "TF-9999", "ph=7", status=1)
    assert said(capsys, "sample", "add", "lorcan", "fieldhouse", "ph=7").startswith("TF-0037")


def test_json_of_a_sample_and_of_the_years(capsys: pytest.CaptureFixture[str]) -> None:
    shape = json.loads(said(capsys, "sample", "add", "TF-0088", "arsenic=0.012", "ph=<7", "--json"))
    assert shape["schema"] == {"name": "wellbook.sample", "version": 1}
    assert set(shape) == {"schema", "well", "visit", "written", "sample", "due"}
    arsenic, ph = shape["sample"]["results"]
    assert set(arsenic) == {"analyte", "label", "unit", "value", "below", "compared_with", "before"}
    assert (arsenic["value"], arsenic["below"]) == (0.012, False)
    assert arsenic["before"]["value"] == 0.014
    (figure,) = arsenic["compared_with"]
    assert figure == {
        "most": 0.01, "least": None, "begins": None, "kind": "MCL", "section": "40 CFR 141.62(b)(16)",
        "year": 2001, "for": "", "stands": "above", "why": "",
    }  # fmt: skip
    assert ph["compared_with"][0]["stands"] == "cannot be said"
    assert {f["rule"] for f in shape["due"]} == {"water-figures"}
    years = json.loads(said(capsys, "sample", "list", "TF-0088", "--json"))
    assert years["schema"] == {"name": "wellbook.samples", "version": 1}
    assert years["samples"][0]["taken_on"]["text"] == "2026-11-25"
    assert years["trends"]["chloride_mg_l"]["clear"] is True
    assert "nitrate_mg_l" not in years["trends"]
    page = json.loads(said(capsys, "hole", "TF-0088", "--json"))
    assert page["schema"] == {"name": "wellbook.hole", "version": 1}
    newest = page["samples"][-1]
    assert newest["arsenic_mg_l"] == 0.012
    assert newest["results"]["ph"] == {"value": 7.0, "below": True}
    assert newest["nitrate_mg_l"] is None


def test_a_well_without_samples_says_how_to_add_one(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "sample", "list", "TF-0050", status=1)
    assert "add one: wellbook sample add TF-0050 bacteria=absent nitrate=4.1" in text


def test_a_silenced_rule_is_not_shown_as_owed(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("silence", "water-figures", "TF-0088", "--because", "filter fitted")
    said(capsys, "rules", *words)
    assert "Nothing is owed" in said(capsys, "sample", "add", "TF-0088", "arsenic=0.013")


def test_a_trend_that_can_be_said_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """Theil 1950: the median of the slopes between all pairs, reckoned here from the sheets.

    Sen 1968: of 15 slopes of six results the interval of 95 per cent has all but the outermost two
    (Kendall's S for n = 6: 13 or more has odds of 0.0083, 11 or more 0.028).
    """
    sheets = tomllib.loads((sample_folder() / "TF-0088.toml").read_text("utf-8"))["visit"]
    points = [
        (v["date"].toordinal() / 365.25, s["chloride_mg_l"])
        for v in sheets
        for s in v.get("sample", [])
        if "chloride_mg_l" in s
    ]
    slopes = sorted((y1 - y0) / (x1 - x0) for (x0, y0), (x1, y1) in combinations(points, 2))
    assert len(slopes) == 15
    text = said(capsys, "sample", "list", "TF-0088")
    found = re.search(r"rises (\S+) mg/L a year \((\S+) to (\S+); results of 6 years\)", text)
    assert found
    wanted = (median(slopes), slopes[1], slopes[-2])
    assert [float(n) for n in found.groups()] == pytest.approx(wanted, rel=0.01)


def test_a_visit_sheet_with_results_goes_the_same_way(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "sheet.toml"
    file.write_text(
        'date = 2026-11-20\nreason = "water sample"\n[[sample]]\niron_mg_l = "< 0.05"\nph = 40\n'
    )
    text = said(capsys, "visit", "TF-0037", "--from", str(file), status=2)
    assert "sheet.toml:5: sample[1].ph: pH 40 cannot be; it lies between 0 and 14" in text
    file.write_text(file.read_text().replace("ph = 40", "ph = 6.9"))
    text = said(capsys, "visit", "TF-0037", "--from", str(file), "--yes")
    assert "note: sample of 2026-11-20: iron < 0.05 mg/L, pH 6.9" in text
