"""What every calculator of the shelf keeps to, and how an option reads what was typed."""

from __future__ import annotations

import csv
import inspect
import io
import json
import math
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from wellbook import cli
from wellbook.calculators.calculator import Calculator, Option
from wellbook.calculators.shelf import NAMES, the_calculator
from wellbook.errors import WellbookError

SETS = Path(__file__).parents[3] / "shared" / "data" / "pumptests"
FT2_PER_M2 = 1 / 0.3048**2
there = pytest.mark.skipif(
    not SETS.exists(), reason="no published pumping tests beside this checkout"
)
every_calculator = pytest.mark.parametrize("name", NAMES)
# The file of the others is one case and not a column of them.
OF_COLUMNS = [
    name
    for name in NAMES
    if not any(hasattr(o.kind, "from_rows") for o in the_calculator(name).options)
]


def example(calculator: Calculator) -> dict[str, str]:
    """The options of its example, each with what is typed; a switch with ""."""
    given: dict[str, str] = {}
    flag = ""
    for word in shlex.split(calculator.example):
        if word.startswith("--"):
            flag = word
            given[flag] = ""
        else:
            given[flag] = word
    return given


def typed(name: str, given: dict[str, str]) -> list[str]:
    words = [x for flag, value in given.items() for x in ((flag, value) if value else (flag,))]
    return ["calc", name, *words]


def refused(capsys: pytest.CaptureFixture[str], words: list[str]) -> str:
    """The one line by which a call is refused."""
    assert cli.run(words) == 2, words
    said = capsys.readouterr()
    assert said.out == ""
    (line,) = said.err.splitlines()
    return line


# -- each of them --------------------------------------------------------------------------------


@every_calculator
def test_it_is_called_what_the_shelf_calls_it(name: str) -> None:
    assert the_calculator(name).name == name


@every_calculator
def test_it_says_what_it_does_and_what_it_rests_on(name: str) -> None:
    calculator = the_calculator(name)
    assert calculator.title
    assert calculator.source
    assert inspect.getdoc(calculator.reckon)
    kinds = {p.kind for p in inspect.signature(calculator.reckon).parameters.values()}
    assert kinds == {inspect.Parameter.KEYWORD_ONLY}
    for option in calculator.options:
        assert option.help.strip(), option.name


@every_calculator
def test_help_shows_every_option_result_and_the_source(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    calculator = the_calculator(name)
    assert cli.run(["calc", name, "--help"]) == 0
    said = capsys.readouterr().out
    for option in calculator.options:
        assert option.flag in said
    flat = "".join(said.split())
    for shown in (*calculator.results, calculator.source, *calculator.cautions):
        assert "".join(shown.split()) in flat


@every_calculator
def test_its_example_works(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    calculator = the_calculator(name)
    assert calculator.example, "give it an example; the docs and the help show it"
    words = typed(name, example(calculator))
    assert cli.run(words) == 0, capsys.readouterr().err
    said = capsys.readouterr()
    assert said.err == ""
    assert calculator.source.split()[0] in said.out
    assert cli.run([*words, "--json"]) == 0
    shape = json.loads(capsys.readouterr().out)
    assert shape["schema"] == {"name": "wellbook.calc", "version": 1}
    assert tuple(shape["results"]) == calculator.results
    for value in shape["results"].values():
        assert not isinstance(value, float) or math.isfinite(value)


@pytest.mark.parametrize("name", OF_COLUMNS)
def test_a_row_of_a_file_gives_what_its_options_give(
    name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    calculator = the_calculator(name)
    given = example(calculator)
    assert cli.run([*typed(name, given), "--json"]) == 0
    one = json.loads(capsys.readouterr().out)["results"]
    headers = [flag.removeprefix("--").replace("-", "_") for flag in given]
    text = io.StringIO()
    csv.writer(text).writerows([["id", *headers], ["7", *(v or "yes" for v in given.values())]])
    file = tmp_path / "one.csv"
    file.write_text(text.getvalue(), "utf-8", newline="")
    assert cli.run(["calc", name, "--from", str(file)]) == 0
    (row,) = csv.DictReader(io.StringIO(capsys.readouterr().out))
    assert row["id"] == "7"
    assert row["error"] == ""
    for result, value in one.items():
        if value is None:
            assert row[result] == ""
        elif isinstance(value, float):
            assert float(row[result]) == pytest.approx(value, rel=1e-11)


@every_calculator
def test_what_is_missing_is_named(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    calculator = the_calculator(name)
    assert "--" in refused(capsys, ["calc", name])
    given = example(calculator)
    for option in calculator.options:
        if option.required:
            some = {flag: v for flag, v in given.items() if flag != option.flag}
            assert option.flag in refused(capsys, typed(name, some))


def numbers() -> Iterator[Any]:
    for name in NAMES:
        for option in the_calculator(name).options:
            if option.kind in (int, float, tuple[float, ...]) and not option.choices:
                yield pytest.param(name, option, id=f"{name} {option.flag}")


@pytest.mark.parametrize("wrong", ["nan", "-1e9", "1e12", "x", "inf"])
@pytest.mark.parametrize(("name", "option"), list(numbers()))
def test_a_number_that_cannot_be_is_refused_by_name(
    name: str, option: Option, wrong: str, capsys: pytest.CaptureFixture[str]
) -> None:
    calculator = the_calculator(name)
    line = refused(capsys, typed(name, {**example(calculator), option.flag: wrong}))
    where = line.removeprefix("wellbook: ").partition(": ")[0]
    assert set(where.split(", ")) <= {o.flag for o in calculator.options}, line


def test_none_is_called_so() -> None:
    with pytest.raises(WellbookError, match="column-pressure"):
        the_calculator("rain")


@every_calculator
def test_only_its_own_module_is_imported_for_its_help(name: str) -> None:
    code = (
        f"import sys; from wellbook import cli; cli.run(['calc', {name!r}, '--help']);"
        "from wellbook.calculators.shelf import NAMES;"
        f"others = {{f'wellbook.calculators.{{m}}' for m in NAMES.values()}}"
        f" - {{'wellbook.calculators.{NAMES[name]}'}};"
        "bad = ({'sqlalchemy', 'alembic', 'rich'} | others) & set(sys.modules);"
        "sys.exit(f'imported: {bad}' if bad else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


# -- an option -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("option", "written", "value"),
    [
        (Option("height_ft", float, ""), "97.5 m", 319.88),
        (Option("hp", float, ""), "1-1/2 hp", 1.5),
        (Option("percent", float, ""), "5%", 5),
        (Option("target_mgl", float, ""), "100 ppm", 100),
        (Option("gallons", float, ""), "10 l", 2.6417),
        (Option("volts", float, ""), "230 V", 230),
        (Option("awg", int, ""), "#12", 12),
        (Option("awg", int, ""), "12 AWG", 12),
        (Option("specific_capacity_gpm_per_ft", float, ""), "0.05 gpm/ft", 0.05),
        (Option("loss_ft", float, ""), "1e-05", 1e-05),
        (Option("readings", tuple[float, ...], ""), "50, 48; 52", (50, 48, 52)),
        (Option("threaded", bool, ""), "No", False),
        (Option("phase", int, "", choices=("1", "3")), "3", 3),
        (Option("material", str, "", choices=("galvanized_steel", "pvc")), "Galvanized Steel",
         "galvanized_steel"),
        (Option("nominal", str, "", choices=("1", "1-1/4")), "1-1/4", "1-1/4"),
    ],
)  # fmt: skip
def test_what_is_typed_is_read(option: Option, written: str, value: Any) -> None:
    read = option.read(written)
    if isinstance(value, float):
        assert read == pytest.approx(value, rel=1e-4)
    else:
        assert read == value
        assert type(read) is type(value) or isinstance(read, float)


@pytest.mark.parametrize(
    ("option", "written", "said"),
    [
        (Option("height_ft", float, ""), "7 gpm", "height_ft: '7 gpm' is a flow"),
        (Option("threaded", bool, ""), "perhaps", "threaded: 'perhaps' is neither yes nor no"),
        (Option("awg", int, ""), "12.5", "awg: '12.5' is no whole number"),
        (Option("phase", int, "", choices=("1", "3")), "2", "phase: '2' is not one of: 1, 3"),
        (Option("readings", tuple[float, ...], ""), "50,,52", "readings: '' is not a quantity"),
    ],
)
def test_what_cannot_be_read_names_the_option(option: Option, written: str, said: str) -> None:
    with pytest.raises(ValueError) as caught:
        option.read(written)
    assert str(caught.value).startswith(said)


# -- a pumping test, whose file is one case ------------------------------------------------------


def test_a_pumping_test_from_a_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    # The same readings as the option has, in seconds and metres, and back.
    file = tmp_path / "test.csv"
    file.write_text("Time (s),Drawdown m\n600,0.36881\n1200,0.49987\n2400,0.64618\n", "utf-8")
    some = ["calc", "pumping-test", "--gpm", "20", "--radius-ft", "100", "--json"]
    assert cli.run([*some, "--from", str(file)]) == 0
    from_file = json.loads(capsys.readouterr().out)["results"]
    assert cli.run([*some, "--readings", "10:1.21,20:1.64,40:2.12"]) == 0
    typed_in = json.loads(capsys.readouterr().out)["results"]
    assert from_file["transmissivity"] == pytest.approx(typed_in["transmissivity"], rel=1e-3)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "minutes,level\n1,2\n",
            "no column of drawdown_ft; it may be headed drawdown_ft, drawdown_m",
        ),
        ("drawdown_ft,x\n1,2\n", "no column of minutes; it may be headed time_min, time_s"),
        ("time,drawdown_ft\n1,2\n", "the column 'time' has no unit; head it time_min, time_s"),
        ("min,drawdown\n1,2\n", "the column 'drawdown' has no unit; head it drawdown_ft"),
        ("minutes,drawdown_ft,drawdown_m\n1,2,3\n", "two columns are drawdown_ft: drawdown_ft and"),
        ("minutes,drawdown_ft\n1,0.5\n2,deep\n", "line 3, drawdown_ft: 'deep' is not a quantity"),
        ("minutes,drawdown_ft\n1,0.5\n\n,1\n", "line 4: minutes missing"),
        ("minutes,drawdown_ft\n5,0.5\n1,0.1\n", "line 3: the time goes back"),
        ("minutes,drawdown_ft,pumped_h\n1,1,2\n2,2,3\n", "pumped_minutes: it changes"),
    ],
)
def test_a_file_that_is_no_pumping_test(
    text: str, said: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "test.csv"
    file.write_text(text, "utf-8")
    line = refused(capsys, ["calc", "pumping-test", "--gpm", "20", "--from", str(file)])
    assert line.startswith(f"wellbook: {file}: {said}")


TYPED = ["--gpm", "20", "--radius-ft", "100", "--readings", "10:1.21,20:1.64,40:2.12"]


def of_a_file(capsys: pytest.CaptureFixture[str], file: Path, *words: str) -> tuple[Any, str]:
    status = cli.run(["calc", "pumping-test", *words, "--json", "--from", str(file)])
    said = capsys.readouterr()
    assert status == 0, said.out
    return json.loads(said.out), said.err


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("minutes,drawdown_ft,gpm,radius_ft\n10,1.21,20,100\n20,1.64,20,100\n40,2.12,20,100\n", []),
        ("elapsed_min,residual_drawdown_ft,rate_gpm,Distance (ft)\n"
         "0,0,20,100\n10,1.21,,\n20,1.64,,\n40,2.12,,\n", []),
        ("minutes,drawdown_ft,flow_gpm\n10,1.21,20\n20,1.64,20\n40,2.12,20\n",
         ["--radius-ft", "100", "--gpm", "20"]),
        ("Time (min);Drawdown (ft)\n0;0\n10;1.21\n20;1.64\n40;2.12\n",
         ["--radius-ft", "100", "--gpm", "20"]),
    ],
)  # fmt: skip
def test_what_a_file_says_of_the_whole_test_is_taken(
    text: str, words: list[str], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert cli.run(["calc", "pumping-test", *TYPED, "--json"]) == 0
    typed_in = json.loads(capsys.readouterr().out)
    (tmp_path / "test.csv").write_text(text, "utf-8")
    found, err = of_a_file(capsys, tmp_path / "test.csv", *words)
    assert found["results"] == typed_in["results"]
    assert (found["inputs"], err) == (typed_in["inputs"], "")


def test_a_file_that_contradicts_what_was_typed_is_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "test.csv"
    file.write_text("minutes,drawdown_ft,gpm\n10,1.2,20\n20,1.6,20\n40,2.1,20\n", "utf-8")
    words = ["calc", "pumping-test", "--gpm", "25", "--radius-ft", "100", "--from", str(file)]
    assert refused(capsys, words) == "wellbook: --gpm: 25 here, and 20 in the file"


def test_a_column_that_is_not_used_is_named(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "test.csv"
    file.write_text("minutes,drawdown_ft,barometer\n10,1.2,29\n20,1.6,29\n40,2.1,29\n", "utf-8")
    _, err = of_a_file(capsys, file, "--gpm", "20", "--radius-ft", "100")
    assert err == "wellbook: carried along, not used: barometer\n"


@there
def test_wells_at_several_distances_are_fitted_together(capsys: pytest.CaptureFixture[str]) -> None:
    # Oude Korendijk (Kruseman and de Ridder 1994), 788 m3/day, 30 and 90 m: by an independent least
    # squares of the same file, 462.6 m2/day and 1.78e-4.
    file = SETS / "oude_korendijk_constant_rate.csv"
    found, err = of_a_file(capsys, file, "--gpm", "788 m3/d")
    assert found["results"]["transmissivity"] == pytest.approx(462.6 * FT2_PER_M2, rel=2e-3)
    assert found["results"]["storativity"] == pytest.approx(1.78e-4, rel=5e-3)
    assert "fitted together: wells at 2 distances" in found["notes"]
    assert err == ""
    again = ["calc", "pumping-test", "--gpm", "788 m3/d", "--json", "--readings"]
    assert cli.run([*again, found["inputs"]["readings"]]) == 0
    results = json.loads(capsys.readouterr().out)["results"]
    assert results["transmissivity"] == pytest.approx(found["results"]["transmissivity"])
    recovered = [
        "calc",
        "pumping-test",
        "--gpm",
        "100",
        "--method",
        "recovery",
        "--pumped-minutes",
        "9",
    ]
    assert "recovery takes one well" in refused(capsys, [*recovered, "--from", str(file)])


@there
def test_wells_without_their_distances_are_one_clear_line(
    capsys: pytest.CaptureFixture[str],
) -> None:
    words = ["calc", "pumping-test", "--gpm", "220", "--radius-ft", "824", "--from"]
    line = refused(capsys, [*words, str(SETS / "gridley_constant_rate.csv")])
    assert "the time goes back; a file is one test of one well, or has the distance of each" in line
