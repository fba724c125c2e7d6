"""`wellbook calc` as a user meets it: one case, a file of cases, mistakes."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Annotated, Any

import pytest

from wellbook import cli
from wellbook.calculators import shelf
from wellbook.calculators.calculator import Calculator, WholeFile
from wellbook.engineering.curves import HeadCurve
from wellbook.errors import NotFoundError
from wellbook.hole.records import PumpModel

COLUMN = ["calc", "column-pressure"]


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = cli.run(list(words))
    said = capsys.readouterr()
    return status, said.out, said.err


def a_file(folder: Path, content: str | bytes, name: str = "cases.csv") -> str:
    file = folder / name
    file.write_bytes(content if isinstance(content, bytes) else content.encode())
    return str(file)


def rows_of(text: str, delimiter: str = ",") -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text), delimiter=delimiter))


# -- one case ------------------------------------------------------------------------------------


def test_the_list_has_a_line_for_each(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "calc")
    assert status == 0
    assert [n for n in shelf.NAMES if n in out] == list(shelf.NAMES)
    shape = json.loads(run(capsys, "calc", "--json")[1])
    assert [c["name"] for c in shape["calculators"]] == list(shelf.NAMES)


def test_people_see_what_was_given_and_what_was_taken(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, *COLUMN, "--height-ft", "300", "--cut-out-psi", "50")
    assert status == 0
    lines = [" ".join(line.split()) for line in out.splitlines()]
    assert "given height 300 ft · cut out 50 psi" in lines
    assert "taken rise 0 ft" in lines
    assert "with cut out 180.1 psi" in lines


def test_programs_get_numbers_as_they_came_out(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, *COLUMN, "--height-ft", "97.5 m", "--json")
    shape = json.loads(out)
    assert status == 0
    assert shape["calculator"] == "column-pressure"
    assert shape["inputs"] == {
        "height_ft": pytest.approx(319.88, abs=0.01), "cut_out_psi": 0.0, "rise_ft": 0.0,
    }  # fmt: skip
    assert shape["results"]["column_psi"] == pytest.approx(0.4335 * 97.5 / 0.3048)
    assert (shape["notes"], shape["cautions"]) == ([], [])
    same = run(capsys, "calc", "--json", *COLUMN[1:], "--height-ft", "97.5 m")
    assert json.loads(same[1]) == shape
    assert shape["source"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "--height-ft: missing (see: wellbook calc column-pressure --help)"),
        (["--height-ft", "0"], "--height-ft: 0 is not above zero"),
        (["--height-ft", "-5"], "--height-ft: -5 is not above zero"),
        (["--height-ft", "1e9"], "--height-ft: 1e+09 is more than 10000, which cannot be meant"),
        (["--height-ft", "7 gpm"], "--height-ft: '7 gpm' is a flow; this field wants feet"),
        (["--height-ft", "300", "--rise-ft", "-1"], "--rise-ft: -1 is below zero"),
        (["--hight-ft", "3"], "No such option: --hight-ft"),
        (["--height-ft", "3", "4"], "Got unexpected extra argument(s) (4)"),
    ],
)
def test_a_mistake_is_one_line_that_names_the_option(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out, err = run(capsys, *COLUMN, *words)
    assert (status, out) == (2, "")
    assert err.startswith(f"wellbook: {said}")
    assert err.count("\n") == 1


def test_other_options_in_a_message_are_as_they_are_typed_too(
    capsys: pytest.CaptureFixture[str],
) -> None:
    _, _, err = run(capsys, "calc", "bore", "--diameter-in", "6", "--from-ft", "9", "--to-ft", "5")
    assert err == "wellbook: --to-ft: 5 is above --from-ft, 9\n"


def test_an_unknown_calculator_is_told_which_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = run(capsys, "calc", "rain")
    assert status == 2
    assert err.startswith("wellbook: no calculator is called 'rain'; there are: ")


def test_a_mistake_is_json_where_json_was_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, *COLUMN, "--height-ft", "0", "--json")
    assert status == 2
    assert json.loads(out)["error"]["where"] == "--height-ft"


# -- a file of cases -----------------------------------------------------------------------------


def test_a_column_of_cases_is_worked_out_row_by_row(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = 'id,height_ft,note\n007,300,"deep, dry"\n8,0,\n9,97.5 m,\n'
    file = a_file(tmp_path, text)
    status, out, err = run(capsys, *COLUMN, "--from", file, "--cut-out-psi", "50")
    assert status == 2
    first, second, third = rows_of(out)
    results = ["column_psi", "with_cut_out_psi", "notes", "error"]
    assert list(first) == ["id", "height_ft", "note", *results]
    assert (first["id"], first["note"], first["column_psi"]) == ("007", "deep, dry", "130.05")
    assert first["with_cut_out_psi"] == "180.05"
    assert second["error"] == "height_ft: 0 is not above zero"
    assert second["column_psi"] == ""
    assert third["height_ft"] == "97.5 m"
    assert third["column_psi"] == "138.668799213"
    assert err.splitlines() == [
        "wellbook: carried along, not used: id, note",
        f"wellbook: {file}:3: height_ft: 0 is not above zero",
        "wellbook: 1 of 3 cases could not be worked out",
    ]


def test_why_a_result_is_empty_stands_in_the_row(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = a_file(tmp_path, "curve;level_ft\n0:330,5:300;60\n0:330,5:300;400\n")
    status, out, err = run(capsys, "calc", "operating-point", "--from", file)
    off_the_curve, too_deep = rows_of(out, ";")
    assert (status, err) == (0, "")
    assert off_the_curve["gpm"] == ""
    assert "curve" in off_the_curve["notes"]
    assert too_deep["gpm"] == "0.0"
    assert [row["error"] for row in (off_the_curve, too_deep)] == ["", ""]


def test_all_right_is_nothing_on_the_other_stream(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = a_file(tmp_path, "height_ft\n300\n")
    status, out, err = run(capsys, *COLUMN, "--from", file)
    assert (status, err) == (0, "")
    assert [row["error"] for row in rows_of(out)] == [""]


@pytest.mark.parametrize(
    "header", ["height_ft", "Height ft", "height-ft", " HEIGHT_FT ", "--height-ft"]
)
def test_a_header_may_be_written_in_several_ways(
    header: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = a_file(tmp_path, f"\ufeff{header},tag\r\n300,#1\r\n\r\n400,#2\r\n")
    status, out, _ = run(capsys, *COLUMN, "--from", file)
    assert status == 0
    assert [(r["tag"], r["column_psi"]) for r in rows_of(out)] == [
        ("#1", "130.05"),
        ("#2", "173.4"),
    ]


def test_a_cell_that_begins_with_a_hash_is_no_comment(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = a_file(tmp_path, "# from the log of May\n#,height_ft\n#1,300\n#2,400\n")
    status, out, _ = run(capsys, *COLUMN, "--from", file)
    assert status == 0
    assert [row["#"] for row in rows_of(out)] == ["#1", "#2"]


def test_semicolons_in_semicolons_out(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = a_file(tmp_path, "id;height_ft;rise_ft\n1;300;6\n2;300;1,5\n".encode("cp1252"))
    status, out, _ = run(capsys, *COLUMN, "--from", file)
    right, wrong = rows_of(out, ";")
    assert status == 2
    assert right["column_psi"] == "132.651"
    assert wrong["error"].startswith("rise_ft: '1,5': the comma can be a decimal point")


def test_what_a_row_says_counts_and_an_option_fills(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = a_file(tmp_path, "height_ft,cut_out_psi\n100,\n100,60\n")
    _, out, _ = run(capsys, *COLUMN, "--from", file, "--cut-out-psi", "40")
    assert [row["with_cut_out_psi"] for row in rows_of(out)] == ["83.35", "103.35"]


def test_a_row_that_is_torn_or_too_long_is_set_aside(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = 'height_ft,a,b\n300,"open,1\n310,x,2\n320,x,3,4\n330\n'
    status, out, _ = run(capsys, *COLUMN, "--from", a_file(tmp_path, text))
    torn, right, long, short = rows_of(out)
    assert status == 2
    assert "quote" in torn["error"]
    assert (right["column_psi"], right["error"]) == ("134.385", "")
    assert long["error"] == "the row has 4 cells, the header 3"
    assert short["column_psi"] == "143.055"


def test_no_more_than_ten_are_named(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = a_file(tmp_path, "height_ft\n" + "0\n" * 12 + "1\n")
    status, out, err = run(capsys, *COLUMN, "--from", file)
    assert status == 2
    assert len(rows_of(out)) == 13
    *named, last = err.splitlines()
    assert len(named) == 10
    assert last.startswith("wellbook: 12 of 13 cases could not be worked out")


def test_a_file_as_json(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = a_file(tmp_path, "id,height_ft\nA,300\nB,deep\n")
    status, out, _ = run(capsys, *COLUMN, "--from", file, "--json")
    assert status == 2
    right, wrong = json.loads(out)["cases"]
    assert (right["line"], right["carried"], right["error"]) == (2, {"id": "A"}, None)
    assert right["inputs"] == {"height_ft": 300.0, "cut_out_psi": 0.0, "rise_ft": 0.0}
    assert right["results"]["column_psi"] == pytest.approx(130.05)
    assert (wrong["line"], wrong["inputs"], wrong["results"]) == (3, {"height_ft": "deep"}, {})
    assert wrong["error"].startswith("height_ft: 'deep' is not a quantity")


def test_standard_input_is_a_file_too(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    text = io.TextIOWrapper(io.BytesIO(b"height_ft\n0\n"))
    monkeypatch.setattr(sys, "stdin", text)
    status, _, err = run(capsys, *COLUMN, "--from", "-")
    assert status == 2
    assert err.startswith("wellbook: standard input:2: height_ft: 0 is not above zero")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "the file is empty"),
        (b"\n \n", "the file is empty"),
        (b"height_ft\n", "there is no row below the header"),
        (b"id,note\n1,x\n", "no column is headed by an option; there are: height_ft, cut_out_psi"),
        (b"300\n400\n", "no column is headed by an option"),
        (b"Height ft,height_ft\n1,2\n", "two columns are height_ft: 'Height ft' and 'height_ft'"),
        ("height_ft\n300\n".encode("utf-32-be"), "not readable text; save it as UTF-8"),
        (b"PK\x03\x04rest", "this is a spreadsheet; save it as CSV first"),
    ],
)
def test_a_file_that_is_none_is_one_clear_line(
    content: bytes, said: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = a_file(tmp_path, content)
    status, out, err = run(capsys, *COLUMN, "--from", file)
    assert (status, out) == (2, "")
    assert err.startswith(f"wellbook: {file}: {said}")
    assert err.count("\n") == 1


def test_no_such_file_and_an_option_that_cannot_be_read(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    status, _, err = run(capsys, *COLUMN, "--from", "none.csv")
    assert (status, err) == (2, "wellbook: none.csv: no such file or directory\n")
    file = a_file(tmp_path, "height_ft\n300\n400\n")
    status, out, err = run(capsys, *COLUMN, "--from", file, "--rise-ft", "x")
    assert (status, out, err.count("\n")) == (2, "", 1)
    assert err.startswith("wellbook: --rise-ft: 'x' is not a quantity")


# -- what is not needed is not loaded ------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "spared"),
    [
        (["--id-in", "1.38", "--json"], {"sqlalchemy", "alembic", "rich"}),
        (["--id-in", "1.38"], {"sqlalchemy", "alembic", "rich.console"}),
        (["--from", "cases.csv"], {"sqlalchemy", "alembic", "rich"}),
    ],
    ids=["for programs", "for people", "a file"],
)
def test_neither_database_nor_screen_is_loaded_for_nothing(
    words: list[str], spared: set[str], tmp_path: Path
) -> None:
    a_file(tmp_path, "id_in\n1.38\n")
    asked = ["calc", "friction", "--gpm", "10", *words]
    code = (
        f"import sys; from wellbook import cli; status = cli.run({asked!r});"
        f" bad = {spared!r} & set(sys.modules); sys.exit(f'imported: {{bad}}' if bad else status)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=tmp_path
    )
    assert done.returncode == 0, done.stderr


# -- what a calculator may ask for ---------------------------------------------------------------


@dataclass(frozen=True)
class Readings:
    """Pairs of a time and a level."""

    count: int

    @classmethod
    def parse(cls, text: str) -> Readings:
        return cls(len(text.split(",")))

    @classmethod
    def from_rows(cls, rows: Sequence[Mapping[str, str]], lines: Sequence[int]) -> WholeFile:
        if not all("level_ft" in row for row in rows):
            raise ValueError("no column is headed level_ft")
        assert len(lines) == len(rows)
        return WholeFile({"readings": cls(len(rows))}, ())

    def __str__(self) -> str:
        return f"{self.count} readings"


@dataclass(frozen=True)
class Counted:
    """How many."""

    count: int
    gpm_per_ft: float | None
    notes: tuple[str, ...] = ()


def count_them(
    *,
    readings: Annotated[Readings, "the readings"],
    twice: Annotated[bool, "whether each counts twice"] = False,
    gpm: Annotated[float | None, "rate"] = None,
) -> Counted:
    """How many there are."""
    return Counted(readings.count * (2 if twice else 1), gpm, ("None was left out.",))


@dataclass(frozen=True)
class Lifted:
    """How high."""

    stalls_ft: float | None
    stalls_low_ft: float | None = None
    stalls_high_ft: float | None = None


def lift(
    *,
    curve: Annotated[HeadCurve, "head-capacity points, gpm:ft"],
    sag_ft: Annotated[float, "what is lost"] = 0.0,
) -> Lifted:
    """The head at no flow."""
    if sag_ft < 0:
        raise ValueError(f"sag_ft: {sag_ft:g} is below zero")
    stalls_ft = (curve.shut_off_ft or 0) - sag_ft
    return Lifted(stalls_ft, stalls_ft - 10, stalls_ft + 10) if sag_ft else Lifted(stalls_ft)


@pytest.fixture
def two_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two calculators more, and a list of one pump."""
    module: Any = ModuleType("wellbook.calculators.trial")
    module.COUNT_THEM = Calculator("count-them", "how many", count_them, "counting", ("Sit down.",))
    module.LIFT = Calculator("lift", "how high", lift, "the curve", example="--curve 0:330,5:300")
    monkeypatch.setitem(sys.modules, module.__name__, module)
    monkeypatch.setitem(shelf.NAMES, "count-them", "trial")
    monkeypatch.setitem(shelf.NAMES, "lift", "trial")
    pumps: Any = ModuleType("wellbook.store.pumps")

    def the_pump(connection: Any, words: str) -> PumpModel:
        if words != "Q7-15":
            raise NotFoundError(f"no pump on the list is called '{words}'", where="MODEL")
        return PumpModel("", words, 1, 7, curve=HeadCurve(((0, 333.3333333), (7, 200))))

    pumps.the_pump = the_pump
    monkeypatch.setitem(sys.modules, pumps.__name__, pumps)


@pytest.mark.usefixtures("two_more")
class TestWhatACalculatorMayAskFor:
    """Switches, lists, whole files, pumps by name."""

    def test_a_file_is_the_option_that_is_made_from_rows(
        self, capsys: pytest.CaptureFixture[str], tmp_path: Path
    ) -> None:
        file = a_file(tmp_path, "Time min,Level ft\n1,20\n2,21\n3,22\n")
        status, out, _ = run(capsys, "calc", "count-them", "--from", file, "--twice", "--json")
        shape = json.loads(out)
        assert status == 0
        assert shape["results"] == {"count": 6, "gpm_per_ft": None}
        assert shape["inputs"] == {"readings": "3 readings", "twice": True}
        assert shape["notes"] == ["None was left out."]

    def test_a_file_that_does_not_fit_is_named(
        self, capsys: pytest.CaptureFixture[str], tmp_path: Path
    ) -> None:
        file = a_file(tmp_path, "a,b\n1,2\n")
        status, _, err = run(capsys, "calc", "count-them", "--from", file)
        assert (status, err) == (2, f"wellbook: {file}: no column is headed level_ft\n")
        _, _, err = run(capsys, "calc", "count-them", "--from", file, "--readings", "1,2")
        assert err == "wellbook: --from: give this or --readings, not both\n"

    def test_notes_cautions_and_what_cannot_be_said_are_shown(
        self, capsys: pytest.CaptureFixture[str]
    ) -> None:
        _, out, _ = run(capsys, "calc", "count-them", "--readings", "1,2", "--no-twice")
        lines = [" ".join(line.split()) for line in out.splitlines()]
        assert "given readings 2 readings · twice no" in lines
        assert "cannot say gpm per ft" in lines
        assert "note None was left out." in lines
        assert "mind Sit down." in lines

    @pytest.mark.usefixtures("at_the_demo")
    def test_a_pump_of_the_list_brings_its_curve(self, capsys: pytest.CaptureFixture[str]) -> None:
        status, out, _ = run(capsys, "calc", "lift", "--pump", "Q7-15", "--json")
        shape = json.loads(out)
        assert status == 0
        assert shape["results"]["stalls_ft"] == 333.3333333
        assert shape["inputs"]["pump"] == "Q7-15"
        _, out, _ = run(capsys, "calc", "lift", "--pump", "Q7-15")
        assert "given    pump Q7-15" in out

    @pytest.mark.usefixtures("at_the_demo")
    def test_a_pump_that_is_not_there_or_is_given_twice(
        self, capsys: pytest.CaptureFixture[str]
    ) -> None:
        status, _, err = run(capsys, "calc", "lift", "--pump", "Z")
        assert (status, err) == (2, "wellbook: --pump: no pump on the list is called 'Z'\n")
        _, _, err = run(capsys, "calc", "lift", "--pump", "Q7-15", "--curve", "0:3,1:2")
        assert err == "wellbook: --pump: give this or --curve, not both\n"
        _, _, err = run(capsys, "calc", "lift")
        assert err.startswith("wellbook: --curve: missing")

    @pytest.mark.usefixtures("at_the_demo")
    def test_what_the_list_has_of_a_pump_is_not_told_again(
        self, capsys: pytest.CaptureFixture[str]
    ) -> None:
        words = ("calc", "operating-point", "--level-ft", "60", "--pump", "Q7-15")
        status, out, _ = run(capsys, *words, "--json")
        assert status == 0
        assert set(json.loads(out)["inputs"]) >= {"pump", "curve", "level_ft"}
        plain = json.loads(out)
        assert not [note for note in plain["notes"] if "not needed" in note]
        status, _, err = run(capsys, *words, "--hp", "2")
        assert (status, err) == (2, "wellbook: --pump: give this or --hp, not both\n")
        status, out, _ = run(capsys, *words, "--rated-gpm", "2", "--json")
        noted = json.loads(out)
        assert (status, noted["results"]) == (0, plain["results"])
        assert "curve counts; rated_gpm is not needed beside it" in noted["notes"]

    @pytest.mark.usefixtures("at_the_demo")
    def test_pumps_in_a_column(self, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
        text = 'Pump,curve,sag_ft\nQ7-15,,3\nZ,,3\n,"0:100, 5:50",3\nQ7-15,,-3\n'
        status, out, _ = run(capsys, "calc", "lift", "--from", a_file(tmp_path, text))
        own, none, typed, wrong = rows_of(out)
        assert status == 2
        assert own["stalls_ft"] == "330.3333333"
        assert none["error"] == "pump: no pump on the list is called 'Z'"
        assert typed["stalls_ft"] == "97.0"
        assert wrong["error"] == "sag_ft: -3 is below zero"

    @pytest.mark.usefixtures("at_the_demo")
    @pytest.mark.parametrize(
        ("text", "words"),
        [
            # A row's own curve or horsepower goes before the pump for all, its own pump before theirs.
            ('pump,curve,hp,rated_gpm\n,"0:100, 5:50",,\n,,1,7\nQ7-15,,,\n', ["--pump", "Q7-15"]),
            ('pump,curve,hp,rated_gpm\n,"0:100, 5:50",,\n,,1,7\nQ7-15,,,\n', ["--hp", "3"]),
        ],
    )
    def test_a_pump_for_all_rows_is_for_those_that_say_none(
        self, text: str, words: list[str], capsys: pytest.CaptureFixture[str], tmp_path: Path
    ) -> None:
        file = a_file(tmp_path, text)
        plain = run(capsys, "calc", "pump-lift", "--from", file)
        filled = run(capsys, "calc", "pump-lift", "--from", file, *words)
        assert filled == plain
        assert plain[0] == 0

    def test_the_ends_of_an_estimate_stand_behind_it(
        self, capsys: pytest.CaptureFixture[str]
    ) -> None:
        _, out, _ = run(capsys, "calc", "lift", "--curve", "0:330,5:300", "--sag-ft", "30")
        assert "  stalls   300 ft (290 to 310)" in out.splitlines()
        _, out, _ = run(capsys, "calc", "lift", "--curve", "0:330,5:300")
        assert "low" not in out

    def test_a_calculator_without_a_curve_takes_no_pump(
        self, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert "--pump" in run(capsys, "calc", "lift", "--help")[1]
        assert "--pump" not in run(capsys, *COLUMN, "--help")[1]
        status, _, err = run(capsys, *COLUMN, "--pump", "Q7-15", "--height-ft", "3")
        assert status == 2
        assert "No such option: --pump" in err


@pytest.mark.parametrize(
    ("header", "meant"), [("cut_out", "cut_out_psi"), ("psi", "cut_out_psi"), ("rise", "rise_ft")]
)
def test_a_column_that_is_nearly_an_option_is_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, header: str, meant: str
) -> None:
    file = a_file(tmp_path, f"pumping_level_ft,{header}\n250,60\n")
    status, out, err = run(capsys, "calc", "total-head", "--from", file)
    assert (status, out) == (2, "")
    assert f"'{header}' is no option; did you mean {meant}" in err


def test_what_comes_out_can_go_in_again(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = a_file(tmp_path, "amps,awg,length_ft\n8,12,300\n")
    status, out, _ = run(capsys, "calc", "voltage-drop", "--from", file)
    header = out.splitlines()[0].split(",")
    assert status == 0
    assert len(header) == len(set(header))
    again = a_file(tmp_path, out)
    assert run(capsys, "calc", "voltage-drop", "--from", again)[0] == 0


def test_a_run_that_would_lose_all_of_the_supply_is_refused(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = ("--amps", "100", "--awg", "14", "--length-ft", "2000")
    status, _, err = run(capsys, "calc", "voltage-drop", *words)
    assert status == 2
    assert "--length-ft: 2000 ft of #14" in err


def test_a_pump_that_never_reaches_the_cut_out_is_said_to(
    capsys: pytest.CaptureFixture[str],
) -> None:
    # 100 ft at no flow is less than 60 psi, which is 138.6 ft (2.31 ft a psi).
    words = ("--curve", "0:100, 10:50", "--rated-gpm", "5", "--cut-out-psi", "60")
    status, out, _ = run(capsys, "calc", "pump-lift", *words)
    assert status == 0
    assert "it never reaches 60 psi" in out


def test_pvc_has_no_ratio_and_is_asked_for_what_it_has(
    capsys: pytest.CaptureFixture[str],
) -> None:
    status, _, err = run(capsys, "calc", "pipe-limit", "--material", "pvc", "--dr", "21")
    assert status == 2
    assert "--dr: counts for polyethylene; of PVC say schedule and nominal" in err
