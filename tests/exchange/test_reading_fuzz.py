"""Whatever stands in a file: rows, or one clear line. Never a traceback, never without end."""

import io
from datetime import date
from functools import lru_cache
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from reading_files import DATA

from wellbook.errors import WellbookError
from wellbook.exchange.mapping_file import from_toml, to_toml
from wellbook.exchange.proposing import propose
from wellbook.exchange.reading import data_rows, header_of, look, write_refused
from wellbook.exchange.surveying import survey
from wellbook.exchange.well_clerk import Clerk
from wellbook.exchange.well_record import Remark

SETTINGS = settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
WORDS = st.sampled_from(
    [
        *("id", "town", "Depth (ft)", "phone", "GPS", "date drilled", "Static", "HP", "Well", ","),
        *(
            '"',
            "\n",
            "\r\n",
            ";",
            "\t",
            "#",
            "# x",
            "1",
            "90",
            "5/14/2011",
            "40677",
            "sep=;",
            "\\",
            "m",
        ),
        *(
            "207-555-0147",
            "44.1, -72.5",
            "320'",
            "\0",
            "é",
            "BEGIN:VCARD",
            "END:VCARD",
            "=1+1",
            "5s",
        ),
        *(
            "FN:Jo",
            "TEL:",
            "ENCODING=QUOTED-PRINTABLE:=",
            " ",
            "|",
            "Total",
            "1e999",
            "99999999999999",
        ),
    ]
)


def tried(path: Path) -> None:
    """Read a file as a command does, to the end; what is wrong with it is one line."""
    kept: str | None = None
    try:
        layout = look(path)
        mapping = propose(layout, "s").with_unit("ft")
        header = header_of(path, mapping)
        mapping = survey(path, mapping, header)
        mapping.check()
        clerk = Clerk(mapping, header, date(2026, 11, 25))
        numbers = []
        for row in data_rows(path, mapping):
            numbers.append(row.number)
            clerk.key(row.cells)
            clerk.row(row)
            assert row.cells
        assert numbers == sorted(set(numbers))
        told = ((r.cells, [Remark(r.number, "", "", "x")]) for r in data_rows(path, mapping))
        write_refused(path.with_name("bad"), path, mapping, header, told)
        if mapping.form != "vcard" and not any("\0" in n for n in header):
            kept = to_toml(mapping)
    except WellbookError as error:
        assert "\n" not in error.message and error.message
    # Outside of the net: what a kept mapping is refused for is no fault of the file.
    assert kept is None or from_toml(kept, "m") == mapping


@SETTINGS
@given(st.binary(max_size=3_000))
def test_any_bytes(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "a"
    path.write_bytes(data)
    tried(path)


@SETTINGS
@given(st.lists(WORDS, max_size=60).map("".join), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
def test_any_words_of_tables(tmp_path: Path, text: str, encoding: str) -> None:
    path = tmp_path / "a"
    path.write_bytes(text.encode(encoding, "replace"))
    tried(path)


@SETTINGS
@given(st.lists(st.lists(WORDS, max_size=5).map(",".join), max_size=20).map("\n".join))
def test_any_table_below_a_header(tmp_path: Path, text: str) -> None:
    path = tmp_path / "a"
    path.write_text(f"Well No,Town,Depth (ft),Date,GPS\n{text}", encoding="utf-8")
    tried(path)


@lru_cache(maxsize=1)
def a_workbook() -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Well No", "Town", "Depth (ft)", "Drilled"])
    for n in range(30):
        sheet.append([n, "Lea", 90.5 + n, date(2011, 5, 1 + n % 28)])
    sheet.merge_cells("B3:B6")
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@SETTINGS
@given(st.data())
def test_a_workbook_cut_or_changed(tmp_path: Path, data: st.DataObject) -> None:
    whole = bytearray(a_workbook())
    for at in data.draw(st.lists(st.integers(0, len(whole) - 1), max_size=8)):
        whole[at] = data.draw(st.integers(0, 255))
    end = data.draw(st.one_of(st.just(len(whole)), st.integers(0, len(whole))))
    path = tmp_path / "a.xlsx"
    path.write_bytes(bytes(whole[:end]))
    tried(path)


SHEET_WORDS = st.sampled_from(
    [
        *(
            '<row r="1">',
            "<row>",
            "</row>",
            '<row r="x">',
            '<row r="99999999">',
            '<row hidden="1">',
        ),
        *(
            '<c r="A1">',
            "<c>",
            "</c>",
            '<c r="ZZZ9" t="s">',
            '<c t="b">',
            '<c t="e">',
            '<c t="inlineStr">',
        ),
        *(
            "<v>",
            "</v>",
            "<v/>",
            "<f>",
            "</f>",
            "<is>",
            "</is>",
            "<t>",
            "</t>",
            "1",
            "id",
            "&amp;",
            "&x;",
        ),
        *("<mergeCell ref='A1:A9'/>", '<mergeCell ref="A1:B9"/>', '<c s="99">', "1e999", "nan"),
    ]
)


@SETTINGS
@given(st.lists(SHEET_WORDS, max_size=40).map("".join))
def test_any_xml_in_a_sheet(tmp_path: Path, body: str) -> None:
    from reading_files import bare_workbook, sheet_xml

    tried(bare_workbook(tmp_path / "a.xlsx", sheet_xml(body)))


@pytest.mark.realdata
@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_files_of_others_cut_or_changed(tmp_path: Path, data: st.DataObject) -> None:
    if not DATA.exists():
        pytest.skip("the open sets of real records are not beside this checkout")
    names = ("wells/bc_gwells_new_wells_2021-12_a.csv", "wells/uganda_borehole_repairs_a.csv")
    names += (
        "vcard/John_Doe_MS_OUTLOOK.vcf",
        "vcard/gmail-list.vcf",
        "levels/usgs_nwis_rdb_sample_sites.rdb",
    )
    whole = bytearray((DATA / data.draw(st.sampled_from(names))).read_bytes()[:20_000])
    for at in data.draw(st.lists(st.integers(0, len(whole) - 1), max_size=10)):
        whole[at] = data.draw(st.integers(0, 255))
    path = tmp_path / "a"
    path.write_bytes(bytes(whole[: data.draw(st.integers(0, len(whole)))]))
    tried(path)
