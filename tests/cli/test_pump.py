"""`wellbook pump` as a user meets it: what it answers, how it fails, with which status."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from xml.etree import ElementTree

import pytest

from wellbook import cli

pytestmark = pytest.mark.usefixtures("at_the_demo")
NEW = ("add", "K-9", "--maker", "Kesp", "--hp", "3/4", "--rated-gpm", "8")


class Run:
    """Runs `wellbook pump` and keeps what it said."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def __call__(self, *words: str) -> tuple[int, str, str]:
        status = cli.run(["pump", *words])
        said = self._capsys.readouterr()
        return status, said.out, said.err


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return Run(capsys)


def test_a_model_is_added_by_points_and_shown_with_its_curve(run: Run) -> None:
    status, out, _ = run(*NEW, "--points", "0:330, 5:300, 10:230", "--volts", "230")
    assert (status, out) == (0, "pump Kesp K-9 is in the list\nNext: wellbook pump show Kesp K-9\n")
    status, out, _ = run("show", "k9")
    assert status == 0
    assert out.startswith(
        "pump Kesp K-9, 3/4 hp, 8 gpm\n  motor    230 V\n  curve    shut-off 330 ft"
    )
    assert "overheats" in out
    assert "┬" in out and "◇ rated 8 gpm" in out
    assert max(map(len, out.splitlines())) <= 100


def test_a_file_of_one_pump_in_other_units(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "k9.csv"
    file.write_text("flow_l_min,head_m,rpm\n0,100,3450\n20,92,\n40,70,\n", "utf-8")
    status, _, err = run(*NEW, "--from", str(file))
    assert status == 0
    assert err == "wellbook: columns that say nothing here: rpm\n"
    _, out, _ = run("show", "k9", "--json")
    points = json.loads(out)["pump"]["points"]
    assert points[0] == {"gpm": 0, "head_ft": pytest.approx(328.084)}
    assert points[2] == {
        "gpm": pytest.approx(10.5669, abs=1e-4),
        "head_ft": pytest.approx(229.659, abs=1e-3),
    }


def test_a_file_of_several_comes_in_whole_or_not_at_all(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "kesp.csv"
    head = "maker,model,hp,rated_gpm,gpm,head_ft\nKesp,K-5,1,5,0,600\n,,,,5,450\n,,,,8,200\n"
    file.write_text(head + "Oskerby,O-510,1,5,0,600\n,,,,5,450\n", "utf-8")
    status, out, err = run("add", "--from", str(file))
    assert (status, out) == (2, "")
    assert "Oskerby O-510 is in the list already" in err
    assert run("list", "kesp")[0] == 1
    status, out, _ = run("add", "K-5", "--from", str(file))
    assert status == 0 and "pump Kesp K-5 is in the list" in out


def test_the_list_says_where_each_hangs(run: Run) -> None:
    status, out, _ = run("list", "quillmoor")
    assert status == 0
    row = next(line for line in out.splitlines() if "Q7-15" in line)
    assert row.split("  ")[-1] == "TF-0031"
    status, out, _ = run("list", "--json")
    shape = json.loads(out)
    assert shape["schema"] == {"name": "wellbook.pumps", "version": 1}
    assert len(shape["pumps"]) == 23
    assert {"maker", "model", "hp", "rated_gpm", "points", "shut_off_ft", "wells"} <= set(
        shape["pumps"][0]
    )


def test_a_change_names_the_wells_that_were_judged_anew(run: Run) -> None:
    status, out, _ = run("edit", "Q7-15", "--points", "0:700, 7:520, 10:300", "--notes", "tried")
    assert (status, out) == (0, "pump Quillmoor Q7-15 is changed; it hangs in TF-0031\n")
    assert run("edit", "Q7-15", "--notes", "tried")[1] == "pump Quillmoor Q7-15 is so already\n"
    _, out, _ = run("show", "Q7-15", "--json")
    pump = json.loads(out)["pump"]
    assert (pump["shut_off_ft"], pump["most_gpm"], pump["notes"]) == (700, 10, "tried")
    assert pump["service_factor"] == 1.3


def test_points_of_one_model_from_a_file_that_has_many(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "many.csv"
    file.write_text(
        "model,gpm,head_ft\nQ5-07,0,480\n,5,360\n,7,200\nQ7-15,0,690\n,7,500\n", "utf-8"
    )
    assert run("edit", "Q7-15", "--from", str(file))[0] == 0
    assert json.loads(run("show", "Q7-15", "--json")[1])["pump"]["shut_off_ft"] == 690


def test_the_curve_is_drawn_into_a_file(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "curve.svg"
    status, out, err = run("show", "Q7-15", "--svg", str(file))
    assert status == 0 and f"is drawn in {file}" in err and "head, ft" in out
    root = ElementTree.fromstring(file.read_bytes())
    assert "Quillmoor Q7-15" in (root.findtext("{http://www.w3.org/2000/svg}title") or "")


def test_a_model_without_points_says_how_to_give_them(run: Run) -> None:
    assert run(*NEW)[0] == 0
    _, out, _ = run("show", "k9")
    assert "curve    none; add it: wellbook pump edit Kesp K-9 --points" in out
    status, _, err = run("show", "k9", "--svg", "k9.svg")
    assert status == 2 and "no points to draw" in err


def test_a_bad_model_of_a_file_is_named_with_its_row(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "kesp.csv"
    head = "maker,model,hp,rated_gpm,gpm,head_ft\nKesp,K-5,1,5,0,600\n,,,,5,450\n"

    def said(*rows: str) -> str:
        file.write_text(head + "".join(f"{row}\n" for row in rows), "utf-8")
        status, out, err = run("add", "--from", str(file))
        assert (status, out, err.count("\n")) == (2, "", 1)
        assert run("list", "kesp")[0] == 1
        return err.removeprefix("wellbook: ")

    at = "kesp.csv row 4, Kesp K-18, "
    points = "points: the curve has 0 to 8 gpm, and the rated 50 gpm"
    assert said("Kesp,K-18,1,50,0,300", ",,,,8,50").startswith(at + points)
    assert said("Kesp,K-18,1,5,0,300", ",,,,8,400").startswith(at + "points: the head does not")
    assert said("Kesp,K-18,2000,5,0,300", ",,,,8,50").startswith(at + "hp: 2000 cannot be")
    assert said("Kesp,K-18,,5,0,300", ",,,,8,50").startswith(
        "kesp.csv row 4: Kesp K-18: hp missing"
    )
    assert said("Oskerby,O-510,1,5,0,300", ",,,,8,50").startswith(
        "kesp.csv row 4: Oskerby O-510 is in the list already"
    )
    # What was typed beside the file is named as it was typed; so is a change from a file.
    status, _, err = run("add", "K-5", "--from", str(file), "--hp", "-1")
    assert (status, err[:18]) == (2, "wellbook: --hp: -1")
    file.write_text("model,gpm,head_ft\nO-507,0,480\n,5,360\nO-510,0,600\n,4,500\n", "utf-8")
    _, _, err = run("edit", "O-510", "--from", str(file))
    assert err.startswith(
        "wellbook: kesp.csv row 4, Oskerby O-510, points: the curve has 0 to 4 gpm"
    )


def test_an_empty_value_takes_a_fact_out(run: Run) -> None:
    more = ("--points", "0:330, 10:230", "--volts", "230", "--phases", "1", "--notes", "tried")
    assert run(*NEW, *more, "--service-factor", "1.5", "--service-factor-a", "8")[0] == 0
    optional = ("points", "volts", "phases", "notes", "service-factor", "service-factor-a")
    for name in optional:
        assert run("edit", "K-9", f"--{name}", "")[1] == "pump Kesp K-9 is changed\n"
        assert run("edit", "K-9", f"--{name}", "")[1] == "pump Kesp K-9 is so already\n"
    pump = json.loads(run("show", "K-9", "--json")[1])["pump"]
    assert (pump["points"], pump["notes"]) == ([], "")
    assert {pump[k] for k in ("supply_v", "phases", "service_factor", "service_factor_a")} == {None}
    assert (pump["hp"], pump["rated_gpm"]) == (0.75, 8)


def test_a_suggested_command_is_quoted_for_a_shell(run: Run) -> None:
    status, out, _ = run("add", "K-9", "--maker", "O'Zed & <Co>", *NEW[4:])
    suggested = out.splitlines()[-1].removeprefix("Next: ")
    assert (status, shlex.split(suggested)) == (
        0,
        ["wellbook", "pump", "show", "O'Zed", "&", "<Co>", "K-9"],
    )
    # A shell takes none of its signs for its own.
    assert [*shlex.shlex(suggested, punctuation_chars=True)].count("&") == 0
    _, out, _ = run(*shlex.split(suggested)[2:])
    hint = next(line for line in out.splitlines() if "add it" in line).split(": ")[1]
    assert shlex.split(hint.split(" --points")[0])[3:] == ["O'Zed", "&", "<Co>", "K-9"]


@pytest.mark.parametrize(
    ("words", "status", "says"),
    [
        (("add",), 2, "MODEL: name the model, or give a file"),
        (("add", "K-9"), 2, "--maker, --hp, --rated-gpm: missing"),
        (("add", "O-510", *NEW[2:3], "oskerby", *NEW[4:]), 2, "Oskerby O-510 is in the list"),
        ((*NEW[:5], "0", *NEW[6:]), 2, "--hp: 0 cannot be"),
        ((*NEW[:5], "-1", *NEW[6:]), 2, "wellbook: --hp: -1 cannot be; it is above 0 and"),
        ((*NEW[:5], "nan", *NEW[6:]), 2, "--hp: 'nan' is not a quantity"),
        ((*NEW[:5], "1e12", *NEW[6:]), 2, "--hp: "),
        ((*NEW[:7], "7 ft"), 2, "--rated-gpm: '7 ft' is a length"),
        ((*NEW, "--points", "0:330"), 2, "--points: a curve needs two points"),
        ((*NEW, "--points", "0:330, x"), 2, "--points: 'x' is no point of a curve"),
        ((*NEW, "--points", "0:330, 5:340"), 2, "--points: the head does not fall"),
        (
            (*NEW, "--points", "0:330, 5:300"),
            2,
            "wellbook: --points: the curve has 0 to 5 gpm, and the rated 8",
        ),
        ((*NEW, "--phases", "2"), 2, "--phases: '2' cannot be"),
        ((*NEW, "--service-factor", "9"), 2, "wellbook: --service-factor: 9 cannot be"),
        ((*NEW, "--volts", "-5"), 2, "wellbook: --volts: -5 cannot be; it is above 0 and"),
        (("edit", "Q7-15", "--from", ""), 2, "nothing to change"),
        ((*NEW, "--points", "0:1,2:0", "--from", "x.csv"), 2, "--points: points are given or"),
        ((*NEW, "--from", "none.csv"), 2, "none.csv: No such file"),
        (
            (*NEW, "--service-factor-a", "9999"),
            2,
            "wellbook: --service-factor-a: 9999 cannot be",
        ),
        ((*NEW[:5], "", *NEW[6:]), 2, "--hp: missing"),
        (("edit", "O-510"), 2, "nothing to change"),
        (("edit", "O-510", "--hp", ""), 2, "wellbook: --hp: missing; a pump model has it"),
        (("edit", "O-510", "--model", " "), 2, "wellbook: --model: missing; a pump model has it"),
        (
            ("edit", "O-510", "--points", "0:9000, 9:8000"),
            2,
            "wellbook: --points: 9 gpm at 8000 ft",
        ),
        (("edit", "O-510", "--model", "O-507"), 2, "Oskerby O-507 is in the list already"),
        (("edit", "510", "--hp", "1"), 2, "fits several pump models: Oskerby O-510; Vandrel"),
        (("show", "zzz"), 1, "no pump model fits 'zzz'"),
        (("show", "O-510", "--svg", "x.csv"), 2, "--svg: 'x.csv' is no name of a drawing"),
        (("show", "O-510", "--svg", "/nowhere/x.svg"), 2, "/nowhere/x.svg: no such file"),
        (("list", "zzz"), 1, "no pumps fit"),
    ],
    ids=lambda v: " ".join(v) if isinstance(v, tuple) else "",
)
def test_a_mistake_is_one_line_and_nothing_is_written(
    run: Run, words: tuple[str, ...], status: int, says: str
) -> None:
    before = run("list", "--json")[1]
    found, out, err = run(*words)
    assert (found, out) == (status, "")
    assert says in err
    assert err.count("\n") == 1
    assert run("list", "--json")[1] == before


def test_a_calculator_takes_of_a_listed_pump_what_it_lacks(
    run: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    def lift(*words: str) -> tuple[dict[str, float | None], list[str]]:
        assert (
            cli.run(["calc", "pump-lift", "--pump", *words, "--cut-out-psi", "50", "--json"]) == 0
        )
        shape = json.loads(capsys.readouterr().out)
        return shape["results"], shape["notes"]

    run(*NEW, "--points", "0:330, 5:300, 8:260, 10:230")
    found, notes = lift("k9")
    # The rated 8 gpm come from the list too; a flow that is given goes before.
    assert found["at_rated_flow_ft"] == pytest.approx(260 - 115.5)
    assert not any("estimate" in note for note in notes)
    assert lift("k9", "--rated-gpm", "10")[0]["at_rated_flow_ft"] == pytest.approx(230 - 115.5)
    run("add", "K-8", "--maker", "Kesp", "--hp", "3/4", "--rated-gpm", "10")
    found, notes = lift("k8")
    assert notes[0].startswith("estimated from horsepower and rated flow")
    assert found["stalls_low_ft"] is not None
