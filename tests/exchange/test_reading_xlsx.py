"""Workbooks as office programs write them, and as somebody hostile does."""

import struct
import warnings
import zipfile
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pandas
import pytest
from openpyxl.styles import Font
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from reading_files import DATA, bare_workbook, mapped, records, rows_of, sheet_xml

from wellbook.errors import WellbookError
from wellbook.exchange.mapping_file import from_toml, to_toml
from wellbook.exchange.reading import data_rows, header_of, look, write_refused
from wellbook.exchange.well_record import Remark


def saved(path: Path, *rows: list[object], title: str = "Wells") -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.title = title
    for row in rows:
        book.active.append(row)
    book.save(path)
    return book


def test_values_of_all_kinds(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Well No", "Zip", "Phone", "Drilled", "Depth (ft)", "Flowing", "Set on", "Share"])
    sheet.append(
        [7, 432, 2075550147.0, date(2011, 5, 14), 97.5, True, datetime(2011, 5, 14, 13, 30), 0.15]
    )
    sheet["B2"].number_format = "00000"
    sheet["C2"].number_format = "[<=9999999]###-####;(###) ###-####"
    sheet["H2"].number_format = "0%"
    book.save(path)
    (row,) = records(path)
    assert list(row.values()) == [
        *("7", "00432", "2075550147", "2011-05-14", "97.5", "TRUE", "2011-05-14 13:30", "15%")
    ]


@pytest.mark.parametrize("mac", [False, True])
def test_dates_as_serials_in_both_calendars(tmp_path: Path, mac: bool) -> None:
    # ECMA-376 part 1, 18.17.4.1: in the 1900 system 40677 is 14 May 2011; 1904 counts 1462 less.
    path = tmp_path / "a.xlsx"
    book = openpyxl.Workbook()
    if mac:
        book.epoch = CALENDAR_MAC_1904
    sheet = book.active
    sheet.append(["id", "date drilled", "measured on"])
    for n in range(4):
        sheet.append([n, 40677 - 1462 * mac, date(2011, 5, 14)])
    book.save(path)
    from datetime import date as day

    from import_files import read

    whens = {r.record.well["drilled"].latest for r in read(path) if r.record}
    assert whens == {day(2011, 5, 14)}
    assert {r["measured on"] for r in records(path)} == {"2011-05-14"}


def test_the_sheet_with_the_known_headers_below_banners(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = openpyxl.Workbook()
    book.active.title = "Prices"
    book.active.append(["Article", "Price"])
    book.active.append(["nut", 3])
    wells = book.create_sheet("Wells 2020")
    for row in (
        ["List of wells"],
        ["of\nMay 2020"],
        [],
        ["Well No", "Town", "Depth (ft)"],
        ["B1", "Lea", 90],
    ):
        wells.append(row)
    secret = book.create_sheet("Old")
    secret.sheet_state = "hidden"
    secret.append(["Well No", "Town"])
    book.save(path)
    layout = look(path)
    assert (layout.sheet, layout.header_row) == ("Wells 2020", 4)
    assert (
        "'Prices'" in layout.said["sheet"]
        and "'Old' (2 headers known, hidden)" in layout.said["sheet"]
    )
    assert records(path) == [{"Well No": "B1", "Town": "Lea", "Depth (ft)": "90"}]
    assert look(path, "prices").headers == ("Article", "Price")
    with pytest.raises(
        WellbookError, match="no sheet 'x'; there are 'Prices', 'Wells 2020', 'Old'"
    ):
        look(path, "x")
    mapping = mapped(path)
    assert from_toml(to_toml(mapping), "m.toml") == mapping


def test_merged_and_hidden_rows(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = saved(
        path,
        ["Well No", "Town", "Depth"],
        ["1", "Lea", 90],
        ["2", None, 91],
        ["3", None, 92],
        ["4", "Bend", 93],
    )
    book.active.merge_cells("B2:B4")
    book.active.row_dimensions[3].hidden = True
    book.save(path)
    assert [r["Town"] for r in records(path)] == ["Lea", "Lea", "Lea", "Bend"]
    said = look(path).said
    assert said["hidden"].startswith("rows: 1 are hidden") and "merged" in said


def test_two_lines_of_header_with_merged_cells(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = saved(
        path,
        ["Well", None, "Casing", None],
        ["No", "Depth (ft)", "From (ft)", "To (ft)"],
        ["A1", 200, 0, 40],
    )
    book.active.merge_cells("A1:B1")
    book.active.merge_cells("C1:D1")
    book.save(path)
    mapping = mapped(path)
    assert (mapping.header_row, mapping.header_lines) == (2, 2)
    assert set(mapping.columns) == {"key", "depth_ft", "casing_from_ft", "casing_to_ft"}
    assert header_of(path, mapping)[3] == "Casing To (ft)"


def test_formulas_are_never_worked_out_and_errors_are_told(tmp_path: Path) -> None:
    def cell(place: str, inside: str, kind: str = "n") -> str:
        return f'<c r="{place}" t="{kind}">{inside}</c>'

    head = "".join(
        cell(f"{c}1", f"<is><t>{name}</t></is>", "inlineStr")
        for c, name in zip("ABC", ("id", "depth_ft", "remark column"), strict=True)
    )
    body = f'<row r="1">{head}</row>'
    for n, inside in enumerate(("<f>A1+1</f><v>90</v>", "<f>NOW()</f>", "<v>91</v>"), 2):
        body += f'<row r="{n}">{cell(f"A{n}", f"<v>{n}</v>")}{cell(f"B{n}", inside)}</row>'
    body += f'<row r="5">{cell("A5", "<v>5</v>")}{cell("B5", "<v>#REF!</v>", "e")}</row>'
    # Nobody reads this column, so what is wrong in it costs nothing.
    body += f'<row r="6">{cell("A6", "<v>6</v>")}{cell("C6", "<v>#DIV/0!</v>", "e")}</row>'
    rows = rows_of(bare_workbook(tmp_path / "a.xlsx", sheet_xml(body)))
    assert (rows[0].number, rows[0].cells[1]) == (2, "90")
    faults = {r.number: r.fault for r in rows if r.fault}
    assert faults.keys() == {3, 5}
    assert (
        faults[3].startswith("B3 is a formula without a value")
        and faults[5] == "B5 is the error #REF!"
    )


def test_styled_rows_to_the_end_of_the_sheet(tmp_path: Path) -> None:
    style = "".join(f'<row r="{n}"><c r="A{n}" s="0"/></row>' for n in range(4, 200_000))
    rows = "".join(
        f'<row r="{n}"><c r="A{n}" t="inlineStr"><is><t>{t}</t></is></c></row>'
        for n, t in ((1, "id"), (2, "B1"), (3, "B2"))
    )
    path = bare_workbook(tmp_path / "a.xlsx", sheet_xml(rows + style))
    assert [r.cells for r in rows_of(path)] == [["B1"], ["B2"]]


def test_an_office_program_s_other_ways_of_writing(tmp_path: Path) -> None:
    # Prefixed names, cells without places, rich text with a reading aid, an empty cached text.
    sheet = (
        '<x:worksheet xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><x:sheetData>'
        '<x:row><x:c t="inlineStr"><x:is><x:r><x:t>well </x:t></x:r><x:r><x:t>id</x:t></x:r>'
        '<x:rPh><x:t>no</x:t></x:rPh></x:is></x:c><x:c t="inlineStr"><x:is><x:t>town</x:t></x:is></x:c></x:row>'
        '<x:row><x:c><x:v>7</x:v></x:c><x:c t="str"><x:f>""</x:f><x:v></x:v></x:c></x:row>'
        "</x:sheetData></x:worksheet>"
    )
    (row,) = rows_of(bare_workbook(tmp_path / "a.xlsx", sheet))
    assert (row.number, [c for c in row.cells if c], row.fault) == (2, ["7"], "")


def test_the_refused_in_the_same_shape(tmp_path: Path) -> None:
    path, bad = tmp_path / "a.xlsx", tmp_path / "bad.xlsx"
    saved(
        path, ["List"], ["Well No", "Town", "Depth (ft)"], ["B1", "=1+1", "deep"], ["B2", "Lea", 90]
    )
    mapping = mapped(path)
    header = header_of(path, mapping)
    row = next(iter(data_rows(path, mapping)))
    remark = Remark(row.number, "Depth (ft)", "deep", "no number")
    cells = ["B1", "=HYPERLINK(1)", "deep"]
    write_refused(bad, path, mapping, header, [(cells, [remark])])
    sheet = openpyxl.load_workbook(bad)["Wells"]
    assert [c.value for c in sheet[2]] == ["Well No", "Town", "Depth (ft)", "reason"]
    assert [c.data_type for c in sheet[3]] == ["s"] * 4
    # The same mapping reads it, and a new proposal passes the reason over.
    assert [r.cells for r in data_rows(bad, mapping)] == [[*cells, "Depth (ft): no number"]]
    assert set(mapped(bad).columns) == set(mapping.columns)
    with pytest.raises(WellbookError, match="the file that is read"):
        write_refused(path, path, mapping, header, [])


# -- hostile -----------------------------------------------------------------------------------


def test_a_bomb_is_refused_before_it_is_inflated(tmp_path: Path) -> None:
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(bare_workbook(path, sheet_xml("")), "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet2.xml", b" " * 60_000_000)
    with pytest.raises(WellbookError, match="would swell to 60 MB"):
        look(path)


def test_a_directory_that_lies_is_seen(tmp_path: Path) -> None:
    path = bare_workbook(tmp_path / "a.xlsx", sheet_xml('<row r="1"/>' * 5_000))
    data = bytearray(path.read_bytes())
    with zipfile.ZipFile(path) as archive:
        info = archive.getinfo("xl/worksheets/sheet1.xml")
    size = struct.pack("<I", info.file_size)
    while (at := data.find(size)) >= 0:
        data[at : at + 4] = struct.pack("<I", 400)
    path.write_bytes(data)
    with pytest.raises(WellbookError, match="damaged"):
        look(path)


def test_entities_are_refused(tmp_path: Path) -> None:
    # The "billion laughs", MITRE CWE-776, in each part that is read.
    laughs = '<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>'
    for path in (
        bare_workbook(tmp_path / "a.xlsx", laughs + sheet_xml("&b;")),
        bare_workbook(tmp_path / "b.xlsx", sheet_xml(""), xl__styles=laughs + "<styleSheet/>"),
    ):
        with pytest.raises(WellbookError, match="document type"):
            look(path)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600,
            "older form (XLS); save it as XLSX or CSV",
        ),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"),
            "locked with a password",
        ),
        (b"PK\x03\x04rest", "damaged"),
        (b"<html><table><tr><td>id</td></tr></table></html>", "web page"),
        (b"%PDF-1.7\n1 0 obj", "this is a PDF"),
    ],
)
def test_what_is_no_workbook_is_one_clear_line(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "a.xlsx"
    path.write_bytes(content)
    with pytest.raises(WellbookError) as error:
        look(path)
    assert said in error.value.message and "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["mimetype", "content.xml"], "OpenDocument"),
        (["Index/Document.iwa"], "another program"),
        (["xl/workbook.bin"], "XLSB"),
        (["photo.jpg"], "ZIP file; unpack"),
    ],
)
def test_other_packages_are_told_apart(tmp_path: Path, names: list[str], said: str) -> None:
    path = tmp_path / "a.ods"
    with zipfile.ZipFile(path, "w") as archive:
        for name in names:
            archive.writestr(name, "<x/>")
    with pytest.raises(WellbookError, match=said):
        look(path)


@pytest.mark.realdata
def test_an_open_workbook_as_pandas_reads_it() -> None:
    # openwashdata/hydrogeologicalghana, CC BY 4.0.
    if not DATA.exists():
        pytest.skip("the open sets of real records are not beside this checkout")
    path = DATA / "wells" / "ghana_boreholes_raw.xlsx"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        table = pandas.read_excel(path)
    rows = records(path)
    assert len(rows) == len(table) == 12
    for name in ("Depth (m)", "Static Water LevelL (m)", "Pumping Rate (l/min)"):
        assert [float(r[name]) for r in rows] == table[name].tolist()
    assert [r["Date"] for r in rows] == [str(d.date()) for d in table["Date"]]


def test_bold_headers_and_columns_beyond_the_header(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = saved(path, ["Well No", "Town"], ["B1", "Lea", "more"])
    for cell in book.active[1]:
        cell.font = Font(bold=True)
    book.save(path)
    assert [r.cells for r in rows_of(path)] == [["B1", "Lea", "more"]]
