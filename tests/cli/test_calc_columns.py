"""The columns of a file of cases: results under their own names, other units, slips, and back again."""

from __future__ import annotations

import csv
import io
import json
import shlex
import sys
from typing import Any

import pytest
from reference_files import ENGINEERING, beside_them, published

from wellbook import cli
from wellbook.calculators import calculator as desk
from wellbook.calculators.shelf import NAMES, the_calculator


class Piped:
    """`wellbook calc NAME --from -`, as a user pipes a file into it."""

    def __init__(self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self.capsys, self.monkeypatch = capsys, monkeypatch

    def __call__(self, name: str, text: str, *words: str) -> tuple[int, str, str]:
        stdin = io.TextIOWrapper(io.BytesIO(text.encode()))
        self.monkeypatch.setattr(sys, "stdin", stdin)
        status = cli.run(["calc", name, "--from", "-", *words])
        said = self.capsys.readouterr()
        return status, said.out, said.err

    def rows(self, name: str, text: str, *words: str) -> list[dict[str, str]]:
        status, out, err = self(name, text, *words)
        assert status == 0, out + err
        header = out.splitlines()[0].split(",")
        assert len(header) == len(set(header))
        return list(csv.DictReader(io.StringIO(out)))


@pytest.fixture
def piped(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Piped:
    return Piped(capsys, monkeypatch)


def as_file(name: str) -> str:
    words = shlex.split(the_calculator(name).example)
    pairs = dict(zip(words[::2], words[1::2], strict=True))
    text = io.StringIO()
    csv.writer(text).writerows(
        [["well", *(f.removeprefix("--") for f in pairs)], ["A", *pairs.values()]]
    )
    return text.getvalue()


COLUMNS = [n for n in NAMES if n != "pumping-test"]


# -- a result under its own name -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "text", "result", "value", "given"),
    [
        # 0.4335 psi a foot.
        ("column-pressure", "height_ft,column_psi\n300,7\n", "column_psi", "130.05", "7"),
        ("column-pressure", "height_ft,notes,error\n300,a,b\n", "notes", "", "a"),
        ("cable-size", "hp,length_ft,awg\n1-1/2,480,14\n", "awg", "8", "14"),
        ("recovery", "rise_ft,minutes,diameter_in,gpm\n12,30,6,9\n", "gpm", "0.587", "9"),
        ("voltage-drop", "amps,awg\n10,12\n", "awg", "12", "12"),
    ],
)
def test_a_result_stands_under_its_own_name(
    piped: Piped, name: str, text: str, result: str, value: str, given: str
) -> None:
    (row,) = piped.rows(name, text)
    assert row[result].startswith(value)
    assert row[f"given_{result}"] == given


def test_a_rating_in_warm_water_does_not_hide_behind_the_one_that_was_given(piped: Piped) -> None:
    # Machinery's Handbook, 31st ed.: PVC of 230 psi has 92 psi at 120 F.
    text = "rating_psi,material,temperature_f\n230,pvc,120\n"
    (row,) = piped.rows("pipe-limit", text)
    assert (row["given_rating_psi"], float(row["rating_psi"])) == ("230", 92)
    _, out, _ = piped("pipe-limit", text)
    (again,) = piped.rows("pipe-limit", out)
    assert again == row


@pytest.mark.parametrize("name", COLUMNS)
def test_what_comes_out_goes_in_again_and_gives_the_same(piped: Piped, name: str) -> None:
    status, out, _ = piped(name, as_file(name))
    assert status == 0
    status, again, err = piped(name, out)
    assert (status, again) == (0, out)
    assert "worked out anew" in err
    assert "did you mean" not in err


@pytest.mark.parametrize("name", COLUMNS)
def test_every_result_may_be_carried_along(piped: Piped, name: str) -> None:
    """One alone is no earlier answer: it is no slip, and hides nothing."""
    (plain,) = piped.rows(name, as_file(name))
    calculator = the_calculator(name)
    options = {o.name for o in calculator.options}
    head, row = as_file(name).splitlines()
    for result in set(calculator.results) - options:
        (beside,) = piped.rows(name, f"{head},{result}\n{row},77\n")
        assert beside.pop(f"given_{result}") == "77"
        assert beside == plain


def test_json_keeps_what_was_carried_apart(piped: Piped) -> None:
    _, out, _ = piped("column-pressure", "height_ft,column_psi,,\n300,7,x,\n", "--json")
    (case,) = json.loads(out)["cases"]
    assert case["results"]["column_psi"] == pytest.approx(130.05)
    assert case["carried"] == {"column_psi": "7", "column 3": "x"}


def test_a_header_twice_is_refused(piped: Piped) -> None:
    status, out, err = piped("column-pressure", "height_ft,note,Note\n300,a,b\n")
    assert (status, out) == (2, "")
    assert "two columns are note: 'note' and 'Note'" in err


def test_a_curve_comes_back_as_it_came(piped: Piped) -> None:
    text = "curve;level_ft\n0:333.3333333, 7.125:200;60\n"
    _, out, _ = piped("operating-point", text, "--json")
    (case,) = json.loads(out)["cases"]
    assert case["inputs"]["curve"] == "0:333.3333333, 7.125:200"


# -- another unit --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "metric", "own"),
    [
        ("column-pressure", "height_m,rise_m,cut_out_bar\n97.5,2,3.5\n",
         "height_ft,rise_ft,cut_out_psi\n97.5 m,2 m,3.5 bar\n"),
        ("pipe-limit", "rating_bar,material,temperature_c\n11,pvc,40\n",
         "rating_psi,material,temperature_f\n11 bar,pvc,40 C\n"),
        ("voltage-drop", "amps,awg,Length (m)\n10,12,100\n", "amps,awg,length_ft\n10,12,100 m\n"),
        ("tank", "volume_l,precharge_kpa,cut_in_psi,cut_out_psi,altitude_m\n300,190,30,50,800\n",
         "volume_gal,precharge_psi,cut_in_psi,cut_out_psi,altitude_ft\n300 l,190 kpa,30,50,800 m\n"),
        ("pump-lift", "hp,rated_l_min\n3/4,38\n", "hp,rated_gpm\n3/4,38 l/min\n"),
        ("bore", "diameter_mm\n150\n", "diameter_in\n150 mm\n"),
        ("column-pressure", "height_m\n320 ft\n", "height_ft\n320\n"),
    ],
)  # fmt: skip
def test_a_column_in_another_unit_is_read_in_it(
    piped: Piped, name: str, metric: str, own: str
) -> None:
    results = the_calculator(name).results
    (one,), (other,) = piped.rows(name, metric), piped.rows(name, own)
    assert {n: one[n] for n in results} == {n: other[n] for n in results}


def test_one_option_in_two_units_is_refused(piped: Piped) -> None:
    status, _, err = piped("column-pressure", "height_ft,height_m\n300,90\n")
    assert status == 2
    assert "two columns are height_ft: 'height_ft' and 'height_m'" in err


# -- slips ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "needed", "slip", "meant"),
    [
        ("pipe-limit", "rating_psi", "temp_f", "temperature_f"),
        ("pipe-limit", "rating_psi", "temp_c", "temperature_f"),
        ("pipe-limit", "rating_psi", "cutout", "cut_out_psi"),
        ("pipe-limit", "rating_psi", "cut_off_psi", "cut_out_psi"),
        ("pipe-limit", "rating_psi", "Cut off (bar)", "cut_out_psi"),
        ("voltage-drop", "amps", "len_ft", "length_ft"),
        ("voltage-drop", "amps", "len_m", "length_ft"),
        ("voltage-drop", "amps", "lenght_ft", "length_ft"),
        ("voltage-drop", "amps", "voltage", "volts"),
        ("voltage-drop", "amps", "pct", "percent"),
        ("voltage-drop", "amps", "kw", "hp"),
        ("voltage-drop", "amps", "phases", "phase"),
        ("bore", "from_ft", "dia_in", "diameter_in"),
        ("bore", "from_ft", "dia", "diameter_in"),
        ("friction", "id_in", "l_min", "gpm"),
        ("tank", "volume_gal", "alt_m", "altitude_ft"),
        ("column-pressure", "height_ft", "rise", "rise_ft"),
        ("friction", "gpm,id_in", "c_factor", "c"),
        ("friction", "gpm,id_in", "C_value", "c"),
        ("friction", "gpm,id_in", "hw_c", "c"),
        ("friction", "gpm,id_in", "Hazen-Williams C", "c"),
        ("pipe-limit", "rating_psi", "water_temp_f", "temperature_f"),
        ("voltage-drop", "amps", "percent_drop", "percent"),
        ("voltage-drop", "amps", "supply_v", "volts"),
        ("voltage-drop", "amps", "V", "volts"),
        ("voltage-drop", "amps", "ph", "phase"),
        ("operating-point", "level_ft", "check", "check_valves"),
        ("operating-point", "level_ft", "rate", "rated_gpm"),
        ("string-weight", "length_ft", "pump", "pump_lb"),
    ],
)
def test_a_slip_of_an_option_is_refused(
    piped: Piped, name: str, needed: str, slip: str, meant: str
) -> None:
    cells = ",".join("12" for _ in needed.split(","))
    status, out, err = piped(name, f"{needed},{slip}\n{cells},12\n")
    assert (status, out) == (2, "")
    assert f"'{slip}' is no option; did you mean {meant}" in err


@pytest.mark.parametrize("slip", ["threads", "thread"])
def test_a_slip_of_yes_or_no_is_refused(piped: Piped, slip: str) -> None:
    text = f"material,schedule,nominal,{slip}\npvc,80,1,yes\n"
    status, out, err = piped("pipe-limit", text)
    assert (status, out) == (2, "")
    assert f"'{slip}' is no option; did you mean threaded" in err


# -- labels that sound like an option ------------------------------------------------------------


def with_columns(name: str, more: dict[str, str]) -> str:
    """The example as a file with more columns, in front and behind."""
    head, row = csv.reader(io.StringIO(as_file(name)))
    text = io.StringIO()
    csv.writer(text).writerows([[*more, *head], [*more.values(), *row]])
    return text.getvalue()


@pytest.mark.parametrize(
    ("name", "label", "cell"),
    [
        ("string-weight", "section", "upper"),
        ("string-weight", "section", "2"),
        ("string-weight", "pump", "the new one"),
        ("string-weight", "pipe", "1-1/4 in poly"),
        # A pipe that has its marks is not weighed by the foot; hp says what the pump weighs.
        ("string-weight", "pipe", "2"),
        ("string-weight", "pump", "2"),
        ("string-weight", "cable", "new, #10"),
        ("operating-point", "check", "done"),
        ("operating-point", "valves", "brass"),
        ("operating-point", "rate", "7"),
    ],
)
def test_a_label_is_carried(piped: Piped, name: str, label: str, cell: str) -> None:
    (plain,) = piped.rows(name, as_file(name))
    (row,) = piped.rows(name, with_columns(name, {label: cell}))
    assert row.pop(label) == cell
    assert row == plain


def test_a_slip_counts_in_the_rows_that_say_it_in_no_other_way(piped: Piped) -> None:
    """The wall of the second row stands in a column that would not be read."""
    head = "length_ft,material,nominal,awg,hp,sidr,sched\n"
    first, second = "100,pe3408,1,12,1,9,40\n", "100,pvc,1,12,1,,80\n"
    assert piped("string-weight", head + first)[0] == 0
    status, _, err = piped("string-weight", head + first + second)
    assert status == 2
    assert "'sched' is no option; did you mean schedule" in err


@beside_them
@pytest.mark.parametrize("name", COLUMNS)
def test_a_published_check_may_stand_beside_its_case(piped: Piped, name: str) -> None:
    """All that the reference file says of a check, each in a column of its name."""
    checks = published(ENGINEERING)
    (plain,) = piped.rows(name, as_file(name))
    for check in (checks[0], checks[-1]):
        more = {k: v if isinstance(v, str) else json.dumps(v) for k, v in check.items()}
        (row,) = piped.rows(name, with_columns(name, more))
        assert {k: row.pop(k) for k in more} == more
        assert row == plain


# -- what the command line fills in --------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "text", "words", "alone"),
    [
        (
            "string-weight",
            "length_ft,material,sidr,nominal,awg,pump_lb\n100,pe3408,9,1,12,40\n100,pe3408,9,1,12,\n",
            "--hp 1",
            "length_ft,material,sidr,nominal,awg,pump_lb,hp\n"
            "100,pe3408,9,1,12,40,\n100,pe3408,9,1,12,,1\n",
        ),
        (
            "pipe-limit",
            "rating_psi,cut_out_psi\n160,50\n,50\n",
            "--material pe3408 --sidr 9",
            "rating_psi,material,sidr,cut_out_psi\n160,pe3408,,50\n,pe3408,9,50\n",
        ),
        (
            "total-head",
            "pumping_level_ft,friction_ft,gpm,id_in,length_ft\n250,7,,,\n250,,10,1.38,300\n",
            "--c 120",
            "pumping_level_ft,friction_ft,gpm,id_in,length_ft,c\n250,7,,,,\n250,,10,1.38,300,120\n",
        ),
        (
            "disinfect",
            "gallons,water_ft,target_mgl,strength_percent\n300,,100,6\n,200,100,6\n",
            "--diameter-in 6",
            "gallons,water_ft,target_mgl,strength_percent,diameter_in\n300,,100,6,\n,200,100,6,6\n",
        ),
        (
            "pump-lift",
            'curve,rated_gpm\n"0:330, 5:300, 10:230",5\n,10\n',
            "--hp 3/4",
            'curve,rated_gpm,hp\n"0:330, 5:300, 10:230",5,\n,10,3/4\n',
        ),
    ],
)
def test_a_fill_is_not_for_a_row_that_says_it_in_another_way(
    piped: Piped, name: str, text: str, words: str, alone: str
) -> None:
    filled = piped.rows(name, text, *words.split())
    said = piped.rows(name, alone)
    results = (*the_calculator(name).results, "notes")
    assert [[row[r] for r in results] for row in filled] == [
        [row[r] for r in results] for row in said
    ]


def test_two_fills_that_exclude_each_other_are_refused(piped: Piped) -> None:
    status, _, err = piped("pipe-limit", "rise_ft\n5\n", "--rating-psi", "160", "--sidr", "9")
    assert status == 2
    assert "rating_psi: give this or sidr, not both" in err


# -- one column; comments; an answer of which some was taken out ---------------------------------


@pytest.mark.parametrize("sign", [";", ",", ", "])
def test_one_column_of_readings(piped: Piped, sign: str) -> None:
    # NEMA MG 1: 51, 46 and 53 A are 8 % off their average of 50.
    text = f"readings\n{sign.join(('51', '46', '53'))}\n"
    status, out, _ = piped("unbalance", text)
    assert status == 0
    (row,) = csv.DictReader(io.StringIO(out), delimiter=sign[0])
    # Blanks behind a sign that parts are no part of what it parts.
    assert (row["readings"], float(row["percent"])) == (sign[0].join(("51", "46", "53")), 8)
    assert piped("unbalance", out)[1] == out


def test_one_column_with_another_beside_it_is_told_so(piped: Piped) -> None:
    status, _, err = piped("column-pressure", "height_ft\n300,7\n")
    assert status == 2
    assert "standard input:2: height_ft: '300,7'" in err
    assert piped("column-pressure", "height_ft\n300,\n400,,\n")[0] == 0


@pytest.mark.parametrize(
    "above",
    ["# the wells of May\n", "# wells, of May\n# and June, too\n", "#of May; 2026, \n\n"],
)
@pytest.mark.parametrize("sign", [",", ";"])
def test_lines_above_the_header_are_no_rows(piped: Piped, above: str, sign: str) -> None:
    status, out, _ = piped("column-pressure", f"{above}height_ft{sign}rise_ft\n300{sign}5\n")
    assert status == 0
    assert out.startswith(f"height_ft{sign}rise_ft{sign}column_psi")


@pytest.mark.parametrize("name", COLUMNS)
def test_an_answer_without_its_remarks_is_one_still(piped: Piped, name: str) -> None:
    _, out, _ = piped(name, as_file(name))
    table = list(csv.reader(io.StringIO(out)))
    keep = [n for n, header in enumerate(table[0]) if header not in ("notes", "error")]
    some = io.StringIO()
    csv.writer(some, lineterminator="\n").writerows([[row[n] for n in keep] for row in table])
    results = the_calculator(name).results
    (row,) = piped.rows(name, some.getvalue())
    (first,) = csv.DictReader(io.StringIO(out))
    assert {n: row[n] for n in results} == {n: first[n] for n in results}
    # Of one number alone it is not known whose it is.
    if len(results) > 1:
        assert row == first


def test_a_number_beside_the_one_that_was_given_is_an_earlier_answer(piped: Piped) -> None:
    text = "rise_ft,minutes,diameter_in,gpm\n12,30,6,9\n"
    (row,) = piped.rows("recovery", text)
    some = "rise_ft,minutes,diameter_in,given_gpm,gpm\n12,30,6,9,1\n"
    assert piped.rows("recovery", some) == [row]


HONEST = (
    *("well", "name", "note", "id", "customer", "date", "Tag No", "source", "town", "permit", "depth_ft"),
    *("expected_length_ft", "expected_psi_here", "expected_percent", "made", "year", "comment", "#"),
)  # fmt: skip


@pytest.mark.parametrize("name", COLUMNS)
def test_columns_of_their_own_are_carried_and_named_once(piped: Piped, name: str) -> None:
    head, row = as_file(name).splitlines()
    more = [h for h in HONEST if h != "well"]
    status, out, err = piped(name, f"{head},{','.join(more)}\n{row}{',x' * len(more)}\n")
    assert status == 0, err
    assert err == f"wellbook: carried along, not used: well, {', '.join(more)}\n"
    (carried,) = csv.DictReader(io.StringIO(out))
    assert {carried[h] for h in more} == {"x"}


# -- a row that goes wrong -----------------------------------------------------------------------


def test_an_unexpected_error_is_that_rows_alone(
    piped: Piped, monkeypatch: pytest.MonkeyPatch
) -> None:
    sound = desk.Calculator.work_out

    def broken(self: Any, given: Any) -> Any:
        if str(given["height_ft"]) == "2":
            raise RuntimeError("a defect")
        return sound(self, given)

    monkeypatch.setattr(desk.Calculator, "work_out", broken)
    status, out, err = piped("column-pressure", "height_ft\n1\n2\n3\n")
    first, second, third = csv.DictReader(io.StringIO(out))
    assert status == 2
    assert first["column_psi"] and third["column_psi"] and not second["column_psi"]
    assert second["error"] == "cannot be worked out (RuntimeError: a defect)"
    assert "standard input:3: cannot be worked out" in err
