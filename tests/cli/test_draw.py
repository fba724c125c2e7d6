"""`wellbook draw` as a user meets it: on the screen, into a file, and where it refuses."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from wellbook import cli

pytestmark = pytest.mark.usefixtures("at_the_demo")


class Run:
    """Runs `wellbook draw` and keeps what it said."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self._capsys = capsys

    def __call__(self, *words: str) -> tuple[int, str, str]:
        status = cli.run(["draw", *words])
        said = self._capsys.readouterr()
        return status, said.out, said.err


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return Run(capsys)


def test_on_the_screen(run: Run) -> None:
    status, out, err = run("TF-0031")
    assert (status, err) == (0, "")
    assert out.startswith("TF-0031 · Orla Venterick")
    assert "224  160 psi pipe, 60 psi on top" in out
    assert "TOO DEEP by its column alone" in out
    assert max(map(len, out.splitlines())) <= 80
    # To be seen at a glance, without scrolling back for the pump.
    assert len(out.splitlines()) <= 60


def test_into_a_file(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "hole.svg"
    assert run("orla", "0131", str(file)) == (0, "", f"wellbook: TF-0031 is drawn in {file}\n")
    root = ElementTree.parse(file).getroot()
    assert root.findtext("{http://www.w3.org/2000/svg}title", "").startswith("TF-0031")
    # As `pump show --svg`: the drawing of today takes the place of yesterday's.
    assert run("TF-0031", str(file), "--on", "2015-01-01")[0] == 0
    assert "as of 2015-01-01" in file.read_text("utf-8")


def test_as_of_a_past_day(run: Run) -> None:
    _, now, _ = run("TF-0031")
    _, then, _ = run("TF-0031", "--on", "2000-01-01")
    assert "as of 2000-01-01" in then
    assert "294" in now and "294" not in then


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["TF-0031", "hole.png"], "OUT.svg: 'hole.png' is no name of a drawing; end it in .svg"),
        (["hole.svg"], "WELL: say which well is to be drawn; such as: wellbook draw TF-0031 hole"),
        (["TF-0031", "--on", "2031-01-01"], "--on: 2031-01-01 lies ahead"),
        (["TF-0031", "nowhere/at/all/x.svg"], "nowhere/at/all"),
        (["TF-9999"], "TF-9999"),
    ],
)
def test_what_cannot_be_is_one_clear_line(run: Run, words: list[str], said: str) -> None:
    status, out, err = run(*words)
    assert status != 0
    assert out == ""
    assert said in err
    assert "Traceback" not in err


def test_every_well_of_the_shop_can_be_drawn(run: Run, tmp_path: Path) -> None:
    for number in (1, 7, 24, 29, 41, 43, 48, 49, 53, 62, 63, 64):
        file = tmp_path / f"{number}.svg"
        assert run(f"TF-{number:04d}", str(file))[0] == 0
        ElementTree.parse(file)
        assert run(f"TF-{number:04d}")[0] == 0
