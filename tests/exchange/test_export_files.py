"""The workbook, the map, the contacts and the one well, read by programs that had no part in making them."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pandas
import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select, update

from tests.cli.commands import Commands
from wellbook.exchange.contact_cards import card, folded, name_parts, write_cards
from wellbook.exchange.customer_lines import CustomerLine, PlaceLine
from wellbook.exchange.map_file import bounding_box, write_map
from wellbook.exchange.office_sheets import SHEETS
from wellbook.exchange.office_workbook import write_workbook
from wellbook.exchange.readable_wells import well_lines
from wellbook.store import tables as t
from wellbook.store.book import Book, open_book
from wellbook.store.places import book_url
from wellbook.terms import Role

TODAY = date(2026, 11, 25)
HOSTILE = (
    *("=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", " =cmd|' /C calc'!A0", "a\r\nb\rc", "\x00\x1b[31m"),
    *("\N{WATER WAVE}" * 20_000, "\x01" * 9_000, "\N{WATER WAVE}" * 16_000),
    *("_x0041_", "<b>&amp;", "\ufffe", "x" * 40_000, "Ω é 水", "'quoted", '"', "1e5", "2026-01-01"),
)


@pytest.fixture
def book(shop: Path) -> Iterator[Book]:
    """The demo book, with hostile texts where the office types them."""
    made = Book(book_url(shop))
    with made.writing() as connection:
        for n, said in enumerate(HOSTILE, 1):
            connection.execute(update(t.customer).where(t.customer.c.id == n).values(notes=said))
    yield made
    made.close()


@pytest.fixture
def wellbook(at_the_demo: None, capsys: pytest.CaptureFixture[str]) -> Commands:
    return Commands(capsys)


# -- the workbook ------------------------------------------------------------------------------


@pytest.fixture
def workbook(book: Book, tmp_path: Path) -> Path:
    made = write_workbook(book, tmp_path / "office.xlsx", TODAY, None)
    assert made.cut == 3
    assert made.rows["wells"] == 93
    return tmp_path / "office.xlsx"


def test_the_workbook_has_the_rows_of_the_book(workbook: Path, book: Book) -> None:
    office = openpyxl.load_workbook(workbook)
    assert office.sheetnames == [
        *("customers", "wells", "strings", "visits", "readings", "samples", "due")
    ]
    counts = {
        "customers": t.customer,
        "wells": t.well,
        "visits": t.sheet,
        "readings": t.observation,
    }
    counts |= {"samples": t.water_sample, "strings": t.component}
    with book.reading() as connection:
        for name, table in counts.items():
            query = select(table.c.id)
            if name == "visits":
                query = query.where(table.c.status == "valid")
            many = len(connection.execute(query).all())
            assert office[name].max_row == many + 1, name
    for sheet in SHEETS:
        page = office[sheet.title]
        assert page.freeze_panes == "B2"
        assert page.auto_filter.ref
        assert [c.value for c in page[1]] == [heading for heading, _ in sheet.columns]
        widths = [page.column_dimensions[c.column_letter].width for c in page[1]]
        assert widths == [width for _, width in sheet.columns]


def test_numbers_are_numbers_and_days_are_days(workbook: Path) -> None:
    wells = openpyxl.load_workbook(workbook)["wells"]
    rows = {row[0]: row for row in wells.iter_rows(min_row=2, values_only=True)}
    names = [c.value for c in wells[1]]
    well = dict(zip(names, rows["TF-0031"], strict=True))
    assert well["depth, ft below ground"] == 428
    assert well["last visit"] == datetime(2026, 6, 2)
    assert well["pump set on"] == datetime(2018, 8, 30)
    frame = pandas.read_excel(workbook, sheet_name=None)
    assert frame["readings"]["value"].dtype == "float64"
    assert str(frame["wells"]["last visit"].dtype).startswith("datetime64")
    assert frame["wells"]["permit no."].iloc[0] == "00417"


def test_nothing_in_the_workbook_is_a_formula(workbook: Path) -> None:
    """ECMA-376 part 1, 18.3.1.4: a formula is an `f` in a cell; a text has the type s or inlineStr."""
    main = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
    with zipfile.ZipFile(workbook) as parts:
        pages = [n for n in parts.namelist() if re.fullmatch(r"xl/worksheets/sheet\d+\.xml", n)]
        assert len(pages) == len(SHEETS)
        for name in pages:
            root = ElementTree.fromstring(parts.read(name))
            assert root.find(f".//{main}f") is None
            for cell in root.iter(f"{main}c"):
                if cell.get("t") in ("s", "inlineStr"):
                    continue
                value = cell.find(f"{main}v")
                assert value is None or re.fullmatch(r"-?[0-9.]+([eE]-?[0-9]+)?", value.text or "")


def test_texts_are_what_they_were_as_far_as_a_cell_can_hold_them(workbook: Path) -> None:
    page = openpyxl.load_workbook(workbook)["customers"]
    notes = [row[7].value for row in page.iter_rows(min_row=2)]
    for said, got in zip(HOSTILE, notes, strict=False):
        # ECMA-376 part 1, 22.9.2.19: _xHHHH_ stands for a sign; the reader leaves that to us.
        plain = re.sub(r"_x([0-9A-F]{4})_", lambda m: chr(int(m[1], 16)), got)
        assert len(got.encode("utf-16-le")) <= 2 * 32_767
        if got.endswith(" … (cut)"):
            assert len(got.encode("utf-16-le")) > 2 * 32_750
            assert set(plain.removesuffix(" … (cut)")) == {said[0]}
            continue
        assert plain == said.replace("\r\n", "\n").replace("\r", "\n")
    first = page.cell(row=2, column=8)
    assert (first.data_type, first.quotePrefix) == ("s", True)


def test_the_due_sheet_says_what_the_list_of_due_work_says(
    wellbook: Commands, tmp_path: Path
) -> None:
    wellbook.fine("export", str(tmp_path / "o.xlsx"))
    listed = wellbook.json("due")["items"]
    page = openpyxl.load_workbook(tmp_path / "o.xlsx")["due"]
    rows = list(page.iter_rows(min_row=2, values_only=True))
    assert sorted((r[0], r[9]) for r in rows) == sorted((i["well"], i["reason"]) for i in listed)


def test_a_role_narrows_the_wells(book: Book, tmp_path: Path) -> None:
    with book.writing() as connection:
        connection.execute(update(t.well).where(t.well.c.id > 10).values(role="reference"))
    made = write_workbook(book, tmp_path / "ours.xlsx", TODAY, Role.OURS)
    assert made.rows["wells"] == 10
    assert write_map(book, tmp_path / "r.geojson", TODAY, Role.REFERENCE).wells == 83


def test_a_sheet_that_would_be_too_long_is_one_line_and_leaves_nothing(
    shop: Path, tmp_path: Path
) -> None:
    """In a process of its own: what the library says at its end is seen too."""
    (tmp_path / "out").mkdir()
    code = (
        "import sys\nfrom wellbook import cli\nfrom wellbook.exchange import office_workbook as w\n"
        "w._MOST_ROWS = 94\nsys.exit(cli.run(sys.argv[1:]))"
    )
    with open_book(shop).reading() as connection:
        people = len(connection.execute(select(t.customer.c.id)).all())
    for most, status in ((people + 1, 2), (people, 2), (10_000, 0)):
        words = ["--book", str(shop), "export", str(tmp_path / "out" / f"{most}.xlsx")]
        run = [sys.executable, "-c", code.replace("94", str(most)), *words]
        done = subprocess.run(run, capture_output=True, text=True)
        assert done.returncode == status, done.stderr
        if status:
            # The first sheet fits with its header; there are more readings.
            sheet = "readings" if most > people else "customers"
            assert f"the sheet {sheet} would have more than {most} rows" in done.stderr
            assert "--role ours" in done.stderr and done.stderr.count("\n") == 1
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["10000.xlsx"]


# -- the map, by our reading of RFC 7946 -------------------------------------------------------


def _check_collection(said: dict[str, Any]) -> None:
    assert said["type"] == "FeatureCollection"  # 3.3
    assert isinstance(said["features"], list)  # 3.3
    assert "crs" not in said  # 4: no other system than WGS 84
    # 7.1: the members of one type do not stand in another.
    assert not {"coordinates", "geometries", "geometry", "properties"} & set(said)
    for one in said["features"]:
        _check_feature(one)
    places = [f["geometry"]["coordinates"] for f in said["features"] if f["geometry"]]
    if not places:
        assert "bbox" not in said
        return
    west, south, east, north = said["bbox"]  # 5: two dimensions, the south-west corner first
    assert -90 <= south <= north <= 90
    for longitude, latitude in places:
        assert south <= latitude <= north
        inside = west <= longitude <= east if west <= east else not east < longitude < west  # 5.2
        assert inside


def _check_feature(one: dict[str, Any]) -> None:
    assert one["type"] == "Feature"  # 3.2
    assert {"geometry", "properties"} <= set(one)  # 3.2: both are there, null or not
    assert not {"coordinates", "geometries", "features"} & set(one)  # 7.1
    assert isinstance(one["id"], str | int | float)  # 3.2
    assert one["properties"] is None or isinstance(one["properties"], dict)  # 3.2
    if one["geometry"] is None:  # 3.2: an unlocated feature
        return
    assert set(one["geometry"]) == {"type", "coordinates"}
    assert one["geometry"]["type"] == "Point"  # 3.1.2: one position
    longitude, latitude = one["geometry"]["coordinates"]  # 3.1.1: longitude, then latitude
    assert -180 <= longitude <= 180  # 4: decimal degrees
    assert -90 <= latitude <= 90


def test_the_map_is_geojson(book: Book, tmp_path: Path) -> None:
    with book.writing() as connection:
        # Out of the world: kept by the book, and no place on a map.
        connection.execute(update(t.site).where(t.site.c.id == 1).values(latitude=142.5))
        connection.execute(update(t.well).where(t.well.c.id == 2).values(permit_no='="'))
    made = write_map(book, tmp_path / "wells.geojson", TODAY, None)
    raw = (tmp_path / "wells.geojson").read_bytes()
    assert not raw.startswith(b"\xef\xbb\xbf")  # RFC 8259, 8.1: UTF-8, no byte order mark
    said = json.loads(raw, parse_constant=pytest.fail)  # RFC 8259, 6: no NaN
    _check_collection(said)
    assert made.wells == len(said["features"]) == 93
    assert made.unlocated == sum(f["geometry"] is None for f in said["features"]) == 16
    with book.reading() as connection:
        lines = list(well_lines(connection, TODAY, None))
    by_tag = {f["properties"]["tag"]: f for f in said["features"]}
    assert len({f["id"] for f in said["features"]}) == 93
    for line in lines[1:]:
        place = by_tag[line.tag]["geometry"]
        wanted = None if line.latitude is None else [line.longitude, line.latitude]
        assert (place and place["coordinates"]) == wanted
    assert by_tag["TF-0031"]["geometry"]["coordinates"] == [-101.3236, 42.0711]
    assert by_tag["TF-0031"]["properties"]["depth_ft"] == 428
    for feature in said["features"]:
        flat = feature["properties"].values()
        assert all(x is None or isinstance(x, str | int | float) for x in flat)


def test_a_map_of_no_wells_is_geojson(file_book: Book, tmp_path: Path) -> None:
    write_map(file_book, tmp_path / "none.geojson", TODAY, None)
    _check_collection(json.loads((tmp_path / "none.geojson").read_text("utf-8")))


PLACES = {
    (0.0, 0.0): [0.0, 0.0],
    (0.0, -180.0): [-180.0, 0.0],
    (90.0, 180.0): [180.0, 90.0],
    (-90.0, -180.0): [-180.0, -90.0],
    (42.123456789, -101.1): [-101.1, 42.123456789],
    (1e-7, -1e-9): [-1e-9, 1e-7],
    (90.1, 0.0): None,
    (0.0, -180.1): None,
    (None, 0.0): None,
    (0.0, None): None,
    (None, None): None,
}
"""Latitude and longitude, and the position of RFC 7946, 3.1.1: longitude first; none for half of a place."""


def test_places_at_nought_and_at_the_edges_are_places(book: Book, tmp_path: Path) -> None:
    with book.writing() as connection:
        well = connection.execute(select(t.well.c.id, t.well.c.site_id).order_by(t.well.c.id))
        numbers = {row.site_id: row.id for row in reversed(well.all()) if row.site_id}
        some = list(zip(sorted(numbers), PLACES, strict=False))
        for number, (latitude, longitude) in some:
            values = {"latitude": latitude, "longitude": longitude}
            connection.execute(update(t.site).where(t.site.c.id == number).values(**values))
        tags = {row.id: row.tag for row in connection.execute(select(t.well.c.id, t.well.c.tag))}
    write_map(book, tmp_path / "wells.geojson", TODAY, None)
    said = json.loads((tmp_path / "wells.geojson").read_text("utf-8"))
    _check_collection(said)
    by_tag = {f["properties"]["tag"]: f["geometry"] for f in said["features"]}
    for number, place in some:
        geometry = by_tag[tags[numbers[number]]]
        assert (geometry and geometry["coordinates"]) == PLACES[place], place


@given(st.lists(st.tuples(st.floats(-90, 90), st.floats(-180, 180)), min_size=1))
def test_the_box_holds_every_place_and_goes_the_shorter_way(
    places: list[tuple[float, float]],
) -> None:
    west, south, east, north = bounding_box([a for a, _ in places], [b for _, b in places])
    assert all(south <= latitude <= north for latitude, _ in places)
    for _, longitude in places:
        assert west <= longitude <= east or (west > east and not east < longitude < west)
    plain = max(b for _, b in places) - min(b for _, b in places)
    assert (east - west) % 360 <= plain + 1e-9


# -- the contacts, by RFC 6350 and an independent reader ---------------------------------------


def test_the_contacts_are_read_by_another_program(book: Book, tmp_path: Path) -> None:
    assert write_cards(book, tmp_path / "all.vcf", TODAY) == 92
    raw = (tmp_path / "all.vcf").read_bytes()
    lines = raw.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 for line in lines)  # 3.2, in octets
    assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f]|(?<!\r)\n|\r(?!\n)", raw)
    assert raw.count(b"BEGIN:VCARD\r\nVERSION:4.0\r\n") == 92  # 6.7.9: directly after BEGIN
    cards = list(vobject.readComponents(raw.decode("utf-8")))
    with book.reading() as connection:
        people = connection.execute(select(t.customer).order_by(t.customer.c.id)).all()
    assert [c.fn.value for c in cards] == [p.name for p in people]
    assert len({c.uid.value for c in cards}) == 92
    orla = next(c for c in cards if c.fn.value == "Orla Venterick")
    assert (orla.n.value.family, orla.n.value.given) == ("Venterick", "Orla")
    assert [x.value for x in orla.contents["tel"]] == ["555-0131", "555-0109"]
    assert orla.email.value == "orla@venterick.example"
    assert (orla.adr.value.street, orla.adr.value.city) == ("4 Larkspur Bend", "Nettlewick")
    assert "TF-0031" in orla.note.value
    assert "Home after four" in orla.note.value


_LINE = re.compile(
    r"""(?P<name>[A-Za-z0-9-]+)
    (?P<params>(?:;[A-Z]+=(?:"[^"\x00-\x08\x0a-\x1f\x7f]*"|[^";:,\x00-\x08\x0a-\x1f\x7f]*))*)
    :(?P<value>[^\x00-\x08\x0a-\x1f\x7f]*)""",
    re.VERBOSE,
)
"""contentline of RFC 6350, 3.3."""
_VALUE = {
    "FN": r"(?:[^\\,;]|\\[\\,;n])+",
    "N": r"(?:(?:[^\\,;]|\\[\\,;n])*;){4}(?:[^\\,;]|\\[\\,;n])*",  # 6.2.2: five components
    "ADR": r"(?:(?:[^\\,;]|\\[\\,;n])*;){6}(?:[^\\,;]|\\[\\,;n])*",  # 6.3.1: seven
    "NOTE": r"(?:[^\\,;]|\\[\\,;n])+",
    "EMAIL": r"(?:[^\\,;]|\\[\\,;n])+",
    "TEL": r"tel:\+[0-9]{2,15}(?:;ext=[0-9]+)?|(?:[^\\,;]|\\[\\,;n])*",  # 6.4.1, RFC 3966
    "UID": r"urn:uuid:[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}",  # 6.7.6, RFC 4122
    "BEGIN": "VCARD",
    "VERSION": r"4\.0",
    "END": "VCARD",
}


def _check_card(said: str) -> None:
    """A card by the grammar of RFC 6350; 3.2: a line goes on where the next one begins with a blank."""
    lines = said.removesuffix("\r\n").replace("\r\n ", "").split("\r\n")
    names = []
    for line in lines:
        found = _LINE.fullmatch(line)
        assert found, line
        assert re.fullmatch(_VALUE[found["name"]], found["value"]), line
        assert (found["value"][:5] == "tel:+") == ("VALUE=uri" in found["params"])
        names.append(found["name"])
    assert names[:2] == ["BEGIN", "VERSION"] and names[-1] == "END"  # 6.1.1, 6.7.9
    for once in ("BEGIN", "VERSION", "END", "UID", "FN", "N"):  # 3.3: *1, or 1 where it has to be
        assert names.count(once) == 1


def test_each_card_is_as_the_grammar_wants_it(book: Book, tmp_path: Path) -> None:
    with book.writing() as connection:
        for n, said in enumerate(HOSTILE, 1):
            rows = ((t.customer, "name"), (t.site, "road"), (t.site, "town"))
            for table, column in (*rows, (t.contact_point, "value")):
                values = {column: said[:500]}
                connection.execute(update(table).where(table.c.id == n).values(**values))
    write_cards(book, tmp_path / "all.vcf", TODAY)
    cards = (tmp_path / "all.vcf").read_bytes().decode("utf-8").split("END:VCARD\r\n")
    assert len(cards) == 93 and not cards[-1]
    for one in cards[:-1]:
        _check_card(one + "END:VCARD\r\n")


def _card(**given: Any) -> str:
    empty: dict[str, Any] = {"phones": (), "emails": (), "posts": (), "places": (), "wells": ()}
    empty["e164"] = {}
    one = CustomerLine(
        **{"uid": "u", "name": "A", "notes": "", "contract_month": None, **empty, **given}
    )
    return "".join("\r\n".join(folded(line)) + "\r\n" for line in card(one, "US"))


def test_a_valid_number_is_a_uri_and_another_stays_as_it_was_written() -> None:
    """Numbers 555-0100 to 555-0199 are kept for fiction; with an area code they are of valid form."""
    phones = (
        "(207) 555-0147 ext. 12",
        "+44 20 7946 0958",
        "555-0147",
        "555-0123",
        "ask at the store",
    )
    # The last but one was completed with the area code that the shop had then.
    whole = ("+12075550147", "+442079460958", "", "+12075550123", "")
    said = _card(phones=phones, e164=dict(zip(phones, whole, strict=True)))
    assert "TEL;VALUE=uri:tel:+12075550147;ext=12\r\n" in said  # RFC 3966, 3
    assert "TEL;VALUE=uri:tel:+442079460958\r\n" in said
    assert "TEL;VALUE=text:555-0147\r\n" in said
    assert "TEL;VALUE=uri:tel:+12075550123\r\n" in said
    assert "TEL;VALUE=text:ask at the store\r\n" in said


TEXT = st.one_of(
    st.sampled_from(["a;b,c\\d", "x\r\ny\rz\nw", "BEGIN:VCARD", "\u2028", "é" * 200, "^n\"'", ""]),
    st.text(alphabet=st.characters(exclude_categories=("Cs", "Cc", "Cf")), max_size=90),
)


@given(name=TEXT, notes=TEXT, road=TEXT, post=TEXT)
def test_any_text_comes_back_from_a_card(name: str, notes: str, road: str, post: str) -> None:
    said = _card(name=name, notes=notes, posts=(post,), places=(PlaceLine(road, "", "", ""),))
    assert all(len(line.encode("utf-8")) <= 75 for line in said.split("\r\n"))
    (one,) = vobject.readComponents(said)
    assert one.fn.value == (_plain(name) or "-")
    assert one.adr_list[1].value.street == _plain(road)
    if notes:
        assert one.note.value == _plain(notes)


def _plain(text: str) -> str:
    text = re.sub(r"\r\n|\r", "\n", text)
    return re.sub("[\x85\u2028\u2029]", " ", text)


def test_a_firm_is_no_family() -> None:
    assert name_parts("Corvin A. Mossiter")[:3] == ("Mossiter", "Corvin", "A.")
    for name in (
        "Ambelow Town Hall",
        "Thistleford LLC",
        "Ida and Hob Tamsley",
        "Tamsley",
        "9 Pines",
    ):
        assert name_parts(name)[:2] == (name, "")


def test_a_long_name_takes_no_longer_than_it_is_long() -> None:
    """A pattern that tries each way of cutting a word would never end here."""
    name = "Hob " + "a" * 20_000 + "!"
    assert name_parts(name)[0] == name
    assert name_parts(name[:-1])[:2] == (name[4:-1], "Hob")


# -- one well, and what all share --------------------------------------------------------------


def test_one_well_as_a_file(wellbook: Commands, tmp_path: Path) -> None:
    file = tmp_path / "TF-0031.json"
    said = wellbook.json("export", str(file), "--well", "TF-0031")
    assert said["schema"] == {"name": "wellbook.export", "version": 1}
    well = json.loads(file.read_text("utf-8"))
    assert well["schema"] == {"name": "wellbook.well", "version": 1}
    page = wellbook.json("hole", "TF-0031")
    page.pop("schema")
    assert {name: well[name] for name in page} == page
    history = wellbook.json("history", "TF-0031")
    assert well["sheets"] == history["sheets"]
    assert len(well["parts_ever"]) == said["counts"]["parts_ever"] > len(well["string"])
    assert {o["name"] for o in well["customers_ever"]} >= {o["name"] for o in well["customers"]}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["all.csv"], "cannot be told from '.csv'"),
        (["all.zip"], "cannot be told from '.zip'"),
        (["."], "name a new folder"),
        (["well.json"], "with --well WELL"),
        (["all.xlsx", "--well", "TF-0031"], "--well"),
        (["all", "--role", "ours"], "--role"),
        (["all.vcf", "--role", "ours"], "--role"),
        (["well.json", "--well", "nobody at all"], "no well fits"),
        (["none/all.vcf"], "there is no folder"),
        (["none/all"], "there is no folder"),
    ],
)
def test_what_will_not_do_is_one_line(
    wellbook: Commands, tmp_path: Path, words: list[str], says: str
) -> None:
    target = "." if words[0] == "." else str(tmp_path / words[0])
    status = 1 if "no well" in says else 2
    assert says in wellbook.refused("export", target, *words[1:], status=status)
    assert {p.name for p in tmp_path.iterdir()} <= {"shop.book", "shop.book-wal", "shop.book-shm"}


@pytest.mark.parametrize("name", ["a.xlsx", "a.geojson", "a.vcf", "a.json", "2026.all/"])
def test_nothing_is_overwritten(wellbook: Commands, tmp_path: Path, name: str) -> None:
    words = [
        "export",
        f"{tmp_path}/{name}",
        *(["--well", "TF-0031"] if "json" in name[-4:] else []),
    ]
    words = words if name != "a.geojson" else words[:2]
    wellbook.fine(*words)
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    assert "already" in wellbook.refused(*words)
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == before


FULL = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (9_000, 9_000))
from wellbook import cli
sys.exit(cli.run(sys.argv[1:]))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no limit of this kind")
@pytest.mark.parametrize("name", ["a.xlsx", "a.geojson", "a.vcf", "a.json"])
def test_a_full_disk_is_one_line_and_leaves_nothing(shop: Path, tmp_path: Path, name: str) -> None:
    """A limit on the length of files does what a full disk does: a write fails in the middle."""
    folder = tmp_path / "out"
    folder.mkdir()
    more = ["--well", "TF-0031"] if name == "a.json" else []
    words = ["--book", str(shop), "export", str(folder / name), *more]
    done = subprocess.run([sys.executable, "-c", FULL, *words], capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    assert "nothing was written" in done.stderr
    assert done.stderr.count("\n") == 1, done.stderr
    assert list(folder.iterdir()) == []


KILLED = """
import os, sys
from wellbook import cli
os.link = lambda *_: os.kill(os.getpid(), int(sys.argv[1]))
sys.exit(cli.run(sys.argv[2:]))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="signals of its own")
@pytest.mark.parametrize("name", ["a.xlsx", "a.geojson", "a.vcf", "a.json"])
@pytest.mark.parametrize("signal", [9, 2])
def test_a_run_that_is_broken_off_leaves_no_file(
    shop: Path, tmp_path: Path, name: str, signal: int
) -> None:
    """Killed or by Ctrl-C, when all of it is written and it has not yet its name."""
    folder, room = tmp_path / "out", tmp_path / "room"
    folder.mkdir()
    room.mkdir()
    more = ["--well", "TF-0031"] if name == "a.json" else []
    words = ["--book", str(shop), "export", str(folder / name), *more]
    run = [sys.executable, "-c", KILLED, str(signal), *words]
    where = {**os.environ, "TMPDIR": str(room)}
    done = subprocess.run(run, capture_output=True, text=True, env=where)
    assert done.returncode != 0
    assert "Traceback" not in done.stderr
    assert [p.name for p in folder.iterdir() if not p.name.startswith(".")] == []
    assert list(room.iterdir()) == []
    if signal == 2:
        assert list(folder.iterdir()) == []
    done = subprocess.run([sys.executable, "-m", "wellbook", *words], capture_output=True)
    assert done.returncode == 0
