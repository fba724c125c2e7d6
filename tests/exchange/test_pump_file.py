"""Head-capacity points from a CSV file: units, several models, and what is wrong said by its row."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wellbook.errors import WellbookError
from wellbook.exchange.pump_file import read_pump_file

Made = Callable[[str], Path]
ONE = {"maker": "Zed", "model": "Z-5", "hp": 0.75, "rated_gpm": 5.0}


@pytest.fixture
def made(tmp_path: Path) -> Made:
    def write(text: str) -> Path:
        path = tmp_path / "curve.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.mark.parametrize(
    "header",
    ["gpm,head_ft", "GPM,Head_Ft", "Flow (gpm),Head (ft)", "flow,head", "Capacity GPM,TDH (feet)"],
)
def test_points_in_gpm_and_feet_however_they_are_headed(made: Made, header: str) -> None:
    (model,) = read_pump_file(made(f"{header}\n0,330\n5,300\n10,230\n")).models(**ONE)
    assert model.curve is not None
    assert model.curve.points == ((0, 330), (5, 300), (10, 230))
    assert (model.maker, model.hp) == ("Zed", 0.75)


@pytest.mark.parametrize(
    ("header", "flow", "head"),
    [
        ("flow_l_min,head_m", 37.85411784, 30.48),
        ("Flow (m3/h);Head (m)", 2.2712470704, 30.48),
        ("l/s\thead_m", 0.630901964, 30.48),
    ],
)
def test_other_units_are_converted(made: Made, header: str, flow: float, head: float) -> None:
    """One US gallon is 3.785411784 litres and one foot 0.3048 m (NIST SP 811, appendix B)."""
    sign = next(s for s in ",;\t" if s in header)
    text = f"{header}\n0{sign}40\n{flow}{sign}{head}\n"
    curve = read_pump_file(made(text)).models(**ONE)[0].curve
    assert curve is not None
    assert curve.points[1] == pytest.approx((10, 100), rel=1e-6)


def test_several_models_with_names_and_facts_said_once(made: Made) -> None:
    path = made(
        "Pump list of Zed,,,,,,\n"
        "Maker,Model,HP,Rated GPM,gpm,head_ft,rpm\n"
        "Zed,Z-5,3/4,5,0,500,3450\n,,,,5,370,\n,,,,7,240,\n"
        ",Z-10,0.75 hp,10,0,320,\n,,,,10,230,\n"
    )
    file = read_pump_file(path)
    assert file.not_taken == ("rpm",)
    five, ten = file.models()
    assert (five.name, five.hp, five.rated_gpm) == ("Zed Z-5", 0.75, 5)
    assert (ten.name, ten.hp, ten.rated_gpm) == ("Zed Z-10", 0.75, 10)
    assert [str(m.curve) for m in (five, ten)] == ["0:500, 5:370, 7:240", "0:320, 10:230"]
    assert [m.name for m in file.models(model="z-10")] == ["Zed Z-10"]
    assert file.the_curve(ten) == ten.curve


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty"),
        ("a,b\n1,2\n", "no row names a flow and a head"),
        ("gpm,head_ft\n", "no points below the header"),
        ("gpm,head_ft\n0,300\n5,x\n", "row 3, head_ft: 'x' is not a quantity"),
        ("gpm,head_ft\n0,300\n-5,200\n", "row 3, gpm: -5 is below zero"),
        ("gpm,head_ft\n0,300\n5,\n", "row 3: the point has no head"),
        ("gpm,head_psi\n0,300\n5,200\n", "is a pressure; this field wants feet"),
        ("gpm,head_ft\n0,300\n5,300\n", "the head does not fall"),
        ("gpm,head_ft\n0,300\n", "two points at least"),
        ("model,gpm,head_ft\nA,0,300\nA,5,200\n", "it has no Zed Z-5; it has: A"),
        ("hp,gpm,head_ft\n1,0,300\n2,5,200\n", "row 3, hp: 2 here, and 1 above, from row 2"),
        ("phases,gpm,head_ft\n2,0,300\n", "row 2, phases: 2 cannot be; write 1 or 3"),
        ('gpm,head_ft\n0,300\n"5,200\n', "a quote"),
    ],
)
def test_what_is_wrong_is_one_line_with_its_place(made: Made, text: str, says: str) -> None:
    with pytest.raises(WellbookError) as caught:
        read_pump_file(made(text)).models(**ONE)
    assert says in str(caught.value)
    assert "curve.csv" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_is_missing_is_said_with_how_to_give_it(made: Made) -> None:
    with pytest.raises(WellbookError, match=r"hp, rated_gpm missing.*--hp, --rated-gpm"):
        read_pump_file(made("gpm,head_ft\n0,300\n5,200\n")).models(maker="Zed", model="Z-5")
