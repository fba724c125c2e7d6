"""Files as programs and people leave them: open quotes, rows that disagree, foreign numbers."""

import csv
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from import_files import count, read, well, written

from wellbook.cli import run
from wellbook.dates import When
from wellbook.exchange.csv_rows import file_rows
from wellbook.exchange.mapping_file import from_toml, to_toml
from wellbook.exchange.proposing import propose
from wellbook.exchange.reading import look
from wellbook.exchange.surveying import survey, with_point
from wellbook.hole.parts import Pump
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.terms import Quantity

Answer = Callable[..., dict[str, Any]]
TODAY = date(2026, 11, 25)
HEAD = "id,town,depth_ft,date_drilled\n"


def faults(path: Path) -> dict[int, bool]:
    return {r.number: bool(r.fault) for r in file_rows(path, "utf-8", ",")}


# -- quotes ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lines", "bad"),
    [
        # To the end of the file; to a quote that opens another cell; to one that is a sign of inches.
        ('1,Sutton,100,2001\n2,"Mill,200,2001\n3,Bend,300,\n4,Lea,90,\n', {3}),
        ('1,Sutton,100,2001\n2,"Mill,200,2001\n3,Bend,300,\n4,"Lea, Lower",90,\n', {3}),
        ('1,Sutton,100,2001\n2,"Mill,200,2001\n3,Bend,300,\n4,9",90,\n', {3}),
        # Quotes within quotes, and what stands behind them on the next line, which is no row.
        ('1,"Old "Mill" road",100,2001\n2,Bend,200,\n', {2}),
        ('1,"Old 6" casing,\nthen steel",100,2001\n2,Bend,200,\n', {2, 3}),
    ],
)
def test_a_quote_that_is_not_closed_costs_its_own_row(
    tmp_path: Path, lines: str, bad: set[int]
) -> None:
    path = written(tmp_path / "a.csv", HEAD + lines)
    found = faults(path)
    assert {n for n, fault in found.items() if fault} == bad
    assert len(found) == 1 + len(lines.splitlines())


def test_a_quote_without_end_in_a_long_file(tmp_path: Path) -> None:
    lines = [f"{n},Bend,100,\n" for n in range(2, 5000)]
    lines[10] = '12,"Bend,100,\n'
    found = faults(written(tmp_path / "a.csv", HEAD + "".join(lines)))
    assert len(found) == 4999 and sum(found.values()) == 1 and found[12]


def test_cells_of_several_lines_are_read_whole(tmp_path: Path) -> None:
    remark = "\n".join(["clay, gravel, sand"] * 30)
    path = written(tmp_path / "a.csv", f'{HEAD}1,"Sutton,\nQC",100,2001\n2,"{remark}",90,\n')
    assert not any(faults(path).values())
    assert [r.cells[2] for r in file_rows(path, "utf-8", ",")] == ["depth_ft", "100", "90"]


def test_the_row_of_an_open_quote_is_told_and_kept_with_the_rejects(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = written(tmp_path / "a.csv", f'{HEAD}1,"Mill,100,2001\n2,Bend,200,\n3,Lea,300,\n')
    rejects = tmp_path / "bad.csv"
    said = answer(path, "--rejects", rejects)
    assert (said["rows"], said["written"], said["refused"]) == (3, 2, 1)
    (refusal,) = said["refusals"]
    assert (refusal["row"], refusal["column"], refusal["value"]) == (2, "town", '"Mill')
    _, row = csv.reader(rejects.read_text(encoding="utf-8").splitlines())
    assert row[:3] == ["1", '"Mill', "100"]
    assert count(book, t.well) == 2


# -- rows of one well that disagree ------------------------------------------------------------


def test_a_number_in_another_case_is_the_same_well(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = written(tmp_path / "a.csv", "id,casing_from_ft,casing_to_ft\nl 1,0,20\nL1,20,40\n")
    said = answer(path)
    assert (said["wells"], said["written"], count(book, t.well)) == (1, 2, 1)
    (doubt,) = said["doubts"]
    assert (doubt["row"], doubt["column"], doubt["value"]) == (3, "id", "L1")
    assert "'l 1' of row 2" in doubt["reason"]
    assert answer(written(path, path.read_text().replace("l 1", "L 1")))["unchanged"] == 2


def test_blanks_between_digits_tell_numbers_apart(tmp_path: Path) -> None:
    rows = read(written(tmp_path / "a.csv", "id,depth_ft\n1 23,90\n12 3,90\n"))
    assert len({r.record.key for r in rows if r.record}) == 2


@pytest.mark.parametrize(
    ("one", "two", "depth", "drilled", "kept"),
    [
        ("300,2001", "310,2003", 310, "2003", "this one is kept, of the newer date"),
        ("310,2003", "300,2001", 310, "2003", "that one is kept, of the newer date"),
        ("300,2001", "310,2001", 300, "2001", "that one is kept, the first"),
        ("300,", "310,", 300, "", "that one is kept, the first"),
        ("300,", "310,2001", 310, "2001", "this one is kept, of the newer date"),
    ],
)
def test_of_two_facts_that_stay_the_newer_is_written_and_both_are_told(
    tmp_path: Path,
    book: Book,
    answer: Answer,
    one: str,
    two: str,
    depth: float,
    drilled: str,
    kept: str,
) -> None:
    said = answer(written(tmp_path / "a.csv", f"{HEAD}1,Mill,{one}\n1,mill,{two}\n"))
    (doubt,) = [d for d in said["doubts"] if d["column"] == "depth_ft"]
    (first, _), (second, _) = one.split(","), two.split(",")
    assert (doubt["row"], doubt["value"]) == (3, second)
    assert doubt["reason"] == f"row 2 says '{first}'; {kept}"
    _, hole = well(book, "R-1")
    assert (hole.depth_ft(), hole.drilled_on.edtf()) == (depth, drilled)
    dates = {x.split(",")[1] for x in (one, two)} - {""}
    assert [d["column"] for d in said["doubts"]].count("date_drilled") == len(dates) // 2
    assert not [d for d in said["doubts"] if d["column"] == "town"]


def test_a_day_within_the_year_of_another_row_is_no_contradiction(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    said = answer(written(tmp_path / "a.csv", f"{HEAD}1,Mill,90,2001\n1,Mill,90,2001-05-14\n"))
    assert said["doubts"] == []


def test_two_pumps_of_one_day_and_two_places_are_told(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    text = "id,latitude,longitude,pump_hp\n1,44.1,-72.1,1/2\n1,44.9,-72.1,3/4\n"
    said = answer(written(tmp_path / "a.csv", text))
    assert [d["column"] for d in said["doubts"]] == ["latitude", "pump_hp"]
    _, hole = well(book, "R-1")
    pump = hole.the(Pump)
    assert pump and pump[1].hp == 0.5 and hole.site and hole.site.latitude == 44.1


@pytest.mark.parametrize("line", ["Total,,390,", "Grand total:,,390,", ",,390,", HEAD.strip()])
def test_a_line_that_is_no_well_is_refused(tmp_path: Path, line: str) -> None:
    rows = read(written(tmp_path / "a.csv", f"{HEAD}1,Mill,300,\n2,Bend,90,\n{line}\n"))
    assert [bool(r.record) for r in rows] == [True, True, False]
    assert [x.row for x in rows[-1].refusals] == [4]


# -- dates and numbers -------------------------------------------------------------------------


def test_the_order_of_dates_rests_on_a_row_that_is_named(tmp_path: Path) -> None:
    # The telling row may stand far down: the whole file is looked through.
    lines = "".join(f"{n},Mill,90,02/03/2001\n" for n in range(600))
    path = written(tmp_path / "a.csv", f"{HEAD}{lines}X,Mill,90,13/03/2001\n")
    mapping = survey(path, propose(look(path), "a"), look(path).headers)
    assert mapping.date_order == "dmy"
    assert mapping.grounds["date_order"] == "dates: day before month, since row 602 has 13/03/2001"
    text = to_toml(mapping)
    assert 'since row 602 has 13/03/2001\ndate_order = "dmy"' in text
    assert from_toml(text, "m.toml").date_order == "dmy"


def test_a_date_that_may_be_two_days_is_between_them_until_the_mapping_says(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = written(tmp_path / "a.csv", f"{HEAD}1,Mill,90,02/03/2001\n2,Mill,90,04/04/2001\n")
    mapping = tmp_path / "m.toml"
    said = answer(path, "--keep-mapping", mapping)
    assert [d["row"] for d in said["doubts"]] == [2]
    assert "row 2 has 02/03/2001" in said["grounds"]["date_order"]
    assert well(book, "R-1")[1].drilled_on.edtf() == "2001-02-03/2001-03-02"
    assert well(book, "R-2")[1].drilled_on.edtf() == "2001-04-04"
    ordered = mapping.read_text(encoding="utf-8").replace('date_order = ""', 'date_order = "mdy"')
    said = answer(path, "--mapping", written(mapping, ordered))
    assert (said["changed"], said["doubts"]) == (1, [])
    assert well(book, "R-1")[1].drilled_on == When.on(date(2001, 2, 3))


def test_rows_that_speak_against_each_other_settle_no_order(tmp_path: Path) -> None:
    text = f"{HEAD}1,Mill,90,13/03/2001\n2,Mill,90,03/13/2001\n3,Mill,90,02/03/2001\n"
    path = written(tmp_path / "a.csv", text)
    mapping = survey(path, propose(look(path), "a"), look(path).headers)
    assert mapping.date_order == ""
    assert "row 2 has 13/03/2001 and row 3 has 03/13/2001" in mapping.grounds["date_order"]
    drilled = [r.record.well["drilled"].edtf() for r in read(path) if r.record]
    assert drilled == ["2001-03-13", "2001-03-13", "2001-02-03/2001-03-02"]


def test_decimal_commas_by_the_row_that_shows_them(tmp_path: Path) -> None:
    text = "id;latitude;depth (m);yield (l/min)\n1;44,263;30,5;1.200,5\n2;44,3;45;2,125\n"
    path = written(tmp_path / "a.csv", text)
    mapping = survey(path, propose(look(path), "a"), look(path).headers)
    assert mapping.grounds["decimal"].endswith("since row 2 has 44,263")
    one, two = [r.record for r in read(path) if r.record]
    # NIST SP 811, appendix B: a foot is 0.3048 m, a US gallon 3.785 411 784 L.
    assert [r.value for r in one.readings] == [100.07, round(1200.5 / 3.785411784, 3)]
    assert [r.value for r in two.readings] == [147.64, round(2.125 / 3.785411784, 3)]
    assert one.site["latitude"] == 44.263


def test_thousands_and_decimals_are_not_guessed_between(tmp_path: Path) -> None:
    # All groups of three: as ever, thousands. Both signs: neither is taken.
    (row,) = read(written(tmp_path / "a.csv", 'id,depth_ft\n1,"1,200"\n'))
    assert row.record and row.record.readings[0].value == 1200
    rows = read(written(tmp_path / "b.csv", "id;depth_ft\n1;30,5\n2;30.5\n"))
    assert [bool(r.record) for r in rows] == [False, True]
    with pytest.raises(ValueError, match=r"1234 or 1\.234"):
        with_point("1.234")


@pytest.mark.parametrize("unit", ["m", "ft"])
def test_a_converted_length_is_kept_to_a_hundredth_of_a_foot(
    tmp_path: Path, book: Book, answer: Answer, unit: str
) -> None:
    text = f"id,depth_{unit},pump_depth_{unit}\n1,22.123,21.123\n"
    answer(written(tmp_path / "a.csv", text))
    _, hole = well(book, "R-1")
    pump = hole.the(Pump)
    wanted = (72.58, 69.3) if unit == "m" else (22.123, 21.123)
    assert pump and (hole.depth_ft(), pump[1].set_depth_ft) == wanted


def test_a_pump_depth_from_the_casing_top_is_brought_to_the_ground(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    text = "id,pump_depth_ft_btoc,casing_to_ft_btoc,stick_up_in\n1,80,60,24\n2,80,,\n"
    said = answer(written(tmp_path / "a.csv", text))
    for tag, feet in (("R-1", 78), ("R-2", 80)):
        pump = well(book, tag)[1].the(Pump)
        assert pump and pump[1].set_depth_ft == feet
    assert [i.to_ft for i in well(book, "R-1")[1].intervals] == [58]
    (doubt,) = said["doubts"]
    assert doubt["row"] == 3 and "from the casing's top" in doubt["reason"]


# -- headers -----------------------------------------------------------------------------------


def test_two_columns_of_one_name(tmp_path: Path) -> None:
    same = written(tmp_path / "a.csv", "id,depth_ft,id,depth_ft\n1,90,1,90\n")
    mapping = propose(look(same), "a")
    assert set(mapping.columns) == {"key", "depth_ft"} and not mapping.left_out
    differ = written(tmp_path / "b.csv", "id,depth_ft,id,depth_ft\n1,90,7,95\n")
    mapping = propose(look(differ), "b")
    assert set(mapping.columns) == {"key"}
    assert [name for name, _ in mapping.left_out] == ["id (2)", "depth_ft"]


def test_a_list_saved_by_a_spreadsheet(
    tmp_path: Path, book: Book, answer: Answer, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (
        "List of wells;;;;;\r\nas of May 2020;;;;;\r\n"
        "Well No;Town;Depth (m);Drilled;;\r\n"
        "B1;Zürich;30,5;13.03.2001;;\r\nB2;Genève;45,25;02.03.2001;;\r\nTotal;;75,75;;;\r\n"
    )
    path = written(tmp_path / "a.csv", text, "cp1252")
    assert run(["import", str(path)]) == 0
    out = capsys.readouterr().out
    assert "dates: day before month, since row 4 has 13.03.2001" in out
    assert "numbers: a comma before the decimals, since row 4 has 30,5" in out
    said = answer(path)
    assert (said["written"], said["refused"], said["doubtful"]) == (2, 1, 0)
    _, hole = well(book, "R-B2")
    assert hole.site and hole.site.town == "Genève"
    assert (hole.depth_ft(), hole.drilled_on.edtf()) == (148.46, "2001-03-02")
    levels = [o for o in hole.observations if o.quantity is Quantity.DEPTH_FT]
    assert len(levels) == 1


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('source "x"\n', 1),
        ('source = "a"\ntable = "b"\n[columns]\nkey = "id\n', 4),
        ('source = "a"\nsource = "b"\n', 2),
    ],
)
def test_a_mapping_that_is_no_toml_is_refused_with_its_line(
    tmp_path: Path, book: Book, answer: Answer, text: str, line: int
) -> None:
    path = written(tmp_path / "a.csv", f"{HEAD}1,Mill,90,\n")
    mapping = written(tmp_path / "m.toml", text)
    error = answer(path, "--mapping", mapping)["error"]
    assert error["where"] == f"{mapping}:{line}"
    assert error["message"].startswith("this cannot be read: ")


def test_a_file_of_another_program_is_refused_in_one_line(
    tmp_path: Path, book: Book, answer: Callable[..., dict[str, Any]]
) -> None:
    path = tmp_path / "bank.csv"
    path.write_text("Date,Description,Amount\n2024-01-15,GROCERY,-32.10\n", "utf-8")
    error = answer(path)["error"]
    assert error["where"] == "--mapping" and "only 'Date'" in error["message"]
    assert count(book, t.well) == 0


def test_columns_that_are_not_known_are_named(
    tmp_path: Path, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "a.csv"
    path.write_text("Well No,Depth (ft),Blorp,Gate Sign\n7,100,x,y\n", "utf-8")
    assert run(["import", str(path)]) == 0
    assert "not read: Blorp, Gate Sign: not known" in capsys.readouterr().out


def test_what_programs_fill_in_for_nothing_is_not_known(tmp_path: Path) -> None:
    text = "id,Depth (ft),SWL (ft),lat,long\n1,-9999,-9999.00,0,0\n2,90,unk,44.5,-72.5\n3,0,20,44.6,-72.6\n"
    rows = read(written(tmp_path / "a.csv", text))
    records = [r.record for r in rows if r.record]
    assert [[x.value for x in r.readings] for r in records] == [[], [90], [20]]
    assert [r.site.get("latitude") for r in records] == [None, 44.5, 44.6]
    assert [d.column for d in rows[0].doubts] == ["lat", "long"]


@pytest.mark.parametrize(
    ("cells", "depth", "level", "flow", "note"),
    [
        ("~310,+2,50+", 310, -2, 50, ""),
        ("~310,approx +2,50+", 310, -2, 50, ""),
        ("approx 300 ft,35?,> 5", 300, 35, 5, ""),
        ("310,dry,15-20", 310, None, None, "SWL (ft): dry; Yield (gpm): 15-20"),
        ("about 95 m,flows,<1", 311.7, None, None, "Yield (gpm): <1"),
        ("~310,~15-20,1/2+", 310, None, 0.5, "SWL (ft): ~15-20"),
    ],
)
def test_numbers_as_people_write_them(
    tmp_path: Path, cells: str, depth: float, level: float | None, flow: float | None, note: str
) -> None:
    """A head above the ground with a plus: common practice, no published source. 95 m over 0.3048."""
    path = written(tmp_path / "a.csv", f"Well No,Depth (ft),SWL (ft),Yield (gpm)\n7,{cells}\n")
    (row,) = read(path)
    record = row.record
    assert record is not None and row.doubts
    said = {r.quantity.value: r.value for r in record.readings}
    wanted = {"depth_ft": depth, "water_level_ft": level, "yield_gpm": flow}
    assert said == {name: pytest.approx(v, abs=0.05) for name, v in wanted.items() if v is not None}
    assert "; ".join(record.notes) == note
    assert record.well.get("flowing", False) == ("flows" in cells)


@pytest.mark.parametrize(
    ("level", "value", "point"),
    [
        ("43 ft btc", 43, "casing_top"),
        ("~20 bgs", 20, "ground"),
        ("12 m below ground", 39.4, "ground"),
        ("45", 45, "casing_top"),
    ],
)
def test_a_level_says_from_where_it_is_measured(
    tmp_path: Path, level: str, value: float, point: str
) -> None:
    """The letters: common practice, no published source. 12 m over 0.3048 are 39.4 ft."""
    text = f"Well No,Depth (ft),SWL (ft btoc)\n7,310 bgs,{level}\n"
    (row,) = read(written(tmp_path / "a.csv", text))
    assert row.record is not None
    depth, stands = row.record.readings
    assert (depth.value, depth.point) == (310, "ground")
    assert (stands.value, stands.point) == (pytest.approx(value, abs=0.05), point)


def test_a_ditto_mark_is_what_stands_above_it(tmp_path: Path) -> None:
    text = 'id,Address,Town,Depth (ft)\n1,4 Elm St,Sutton,90\n2,9 Elm St,"""",ditto\n3,same as above,do.,80\n'
    rows = read(written(tmp_path / "a.csv", text))
    records = [r.record for r in rows if r.record]
    assert [r.site for r in records] == [
        {"road": road, "town": "Sutton"} for road in ("4 Elm St", "9 Elm St", "9 Elm St")
    ]
    assert [r.readings[0].value for r in records] == [90, 90, 80]


def test_a_table_of_which_only_the_wells_numbers_are_known_is_none(
    tmp_path: Path, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path / "a.csv", "Well No,Layer,Colour\n7,1,grey\n8,1,red\n")
    assert run(["import", str(path)]) == 2
    assert "only 'Well No' is known" in capsys.readouterr().err


def test_an_address_in_one_cell_is_the_one_in_four(tmp_path: Path) -> None:
    one = 'Owner,Address,Depth (ft)\nIda Lund,"12 Mill Rd, Sutton, VT 05867",90\n'
    four = "Owner,Address,Town,State,Zip,Depth (ft)\nIda Lund,12 Mill Road,Sutton,VT,05867,90\n"
    files = (written(tmp_path / f"{n}.csv", text) for n, text in enumerate((one, four)))
    records = [row.record for path in files for row in read(path)]
    assert all(r is not None and r.site["town"] == "Sutton" for r in records)
    assert all(r is not None and r.site["postcode"] == "05867" for r in records)
    assert len({r.key for r in records if r is not None}) == 1
