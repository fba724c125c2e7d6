"""Several files of one source, names, and files of any length."""

import csv
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from import_files import count, well, written
from sqlalchemy import select

from wellbook.cli import run
from wellbook.errors import WellbookError
from wellbook.exchange.csv_rows import FileRow
from wellbook.exchange.mapping_file import from_toml
from wellbook.exchange.rows_aside import RowsAside
from wellbook.exchange.well_record import Remark
from wellbook.store import tables as t
from wellbook.store.book import Book
from wellbook.store.search import find

Answer = Callable[..., dict[str, Any]]
DATA = Path(__file__).resolve().parents[3] / "shared" / "data" / "wells"
WELLS = """\
source = "county"
table = "wells"
[columns]
key = "no"
name = "name"
depth_ft = { column = "depth", unit = "ft" }
casing_diameter_in = "width"
notes = "remarks"
"""
CASINGS = """\
source = "county"
table = "casings"
[columns]
key = "well"
casing_from_ft = { column = "top", unit = "ft" }
casing_to_ft = { column = "end", unit = "ft" }
notes = "remarks"
"""


@pytest.fixture
def county(tmp_path: Path, book: Book, answer: Answer) -> Callable[..., dict[str, Any]]:
    """Two files of one source, each with its own mapping."""
    mappings = {"wells": WELLS, "casings": CASINGS}
    for name, text in mappings.items():
        written(tmp_path / f"{name}.toml", text)

    def bring(name: str, text: str) -> dict[str, Any]:
        path = written(tmp_path / f"{name}.csv", text)
        return answer(path, "--mapping", tmp_path / f"{name}.toml")

    return bring


def test_two_files_of_one_source_speak_of_the_same_wells(county: Answer, book: Book) -> None:
    wells = "no,name,depth,width,remarks\n1,Mill,100,6,wet\n2,,200,6,\n"
    casings = "well,top,end,remarks\n1,0,20,\n1,20,40,dry\n3,0,9,\n"
    assert county("wells", wells)["written"] == 2
    said = county("casings", casings)
    assert (said["written"], said["changed"]) == (1, 2)
    assert count(book, t.well) == 3
    for name, text, rows in (("wells", wells, 2), ("casings", casings, 3)) * 2:
        assert county(name, text)["unchanged"] == rows
    _, hole = well(book, "R-1")
    assert len(hole.intervals) == 3 and hole.depth_ft() == 100
    assert hole.notes.splitlines() == ["known as Mill", "wet", "dry"]


def test_each_file_takes_back_its_own_facts_only(county: Answer, book: Book) -> None:
    county("casings", "well,top,end,remarks\n1,0,20,\n1,20,40,\n")
    county("wells", "no,name,depth,width,remarks\n1,,100,6,\n")
    county("casings", "well,top,end,remarks\n1,0,30,\n")
    _, hole = well(book, "R-1")
    assert {(i.to_ft, i.diameter_in) for i in hole.intervals} == {(30, None), (None, 6)}
    county("wells", "no,name,depth,width,remarks\n1,,120,,\n")
    _, hole = well(book, "R-1")
    assert [i.to_ft for i in hole.intervals] == [30] and hole.depth_ft() == 120


def test_the_same_number_of_another_source_is_another_well(
    tmp_path: Path, county: Answer, book: Book, answer: Answer
) -> None:
    county("wells", "no,name,depth,width,remarks\n1,,100,6,\n")
    answer(written(tmp_path / "state.csv", "id,depth_ft\n1,100\n"))
    assert count(book, t.well) == 2


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (WELLS.replace('table = "wells"\n', ""), "m.toml: table"),
        (WELLS.replace('"wells"', '"a/b"'), "m.toml: table"),
        (WELLS.replace("depth_ft =", "dephts ="), "m.toml: dephts"),
        (WELLS + 'pump.hq = "hp"\n', "m.toml: pump.hq"),
        (WELLS + 'pump.hp = { column = "p", unit = "ft" }\n', "m.toml: pump.hp"),
    ],
)
def test_a_mapping_that_will_not_do_is_refused_with_the_place(text: str, place: str) -> None:
    with pytest.raises(WellbookError) as error:
        from_toml(text, "m.toml")
    assert error.value.where == place


def test_a_well_is_found_by_a_name_from_a_file(county: Answer, book: Book) -> None:
    county("wells", "no,name,depth,width,remarks\n1,Old Mill,100,6,\n2,Bend,90,6,near the mill\n")
    with book.reading() as connection:
        matches = find(connection, "mil old")
        assert [(m.tag, m.known_as) for m in matches] == [("R-1", "Old Mill")]
        assert [m.tag for m in find(connection, "oldd")] == ["R-1"]
    county("wells", "no,name,depth,width,remarks\n1,New Mill,100,6,\n")
    with book.reading() as connection:
        assert find(connection, "new mill")[0].known_as == "Old Mill, New Mill"


def test_the_screen_says_what_became_of_roles(
    tmp_path: Path, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    path = str(written(tmp_path / "a.csv", "id,depth_ft\n1,100\n2,100\n"))
    for role, line in (
        ("reference", ""),
        ("ours", "in the book for reference and now the shop's own: 2 wells"),
        ("reference", "the shop's own in the book, and so they stay: 2 wells"),
    ):
        assert run(["import", path, "--as", role, "--write"]) == 0
        assert line in capsys.readouterr().out


def test_rows_of_a_well_come_back_together_in_the_order_of_the_file() -> None:
    with RowsAside() as aside:
        keys = ((2, "b"), (3, "a"), (5, "b"), (9, "10"))
        aside.put((key, FileRow(n, [str(n)])) for n, key in keys)
        wells = list(aside.wells())
        aside.refuse([Remark(9, "x", "", "bad"), Remark(3, "y", "", "bad")])
        aside.doubt([Remark(3, "y", "", "odd"), Remark(2, "z", "", "odd")])
        assert [[row.number for row in rows] for rows in wells] == [[2, 5], [3], [9]]
        assert [x.row for x in aside.refusals] == [3, 9]
        assert [x.row for x in aside.doubts] == [2]
        assert [cells for cells, _ in aside.refused()] == [["3"], ["9"]]


def test_memory_does_not_grow_with_the_rows() -> None:
    def peak(rows: int) -> int:
        tracemalloc.start()
        with RowsAside() as aside:
            cells = ((n, [str(n), "a cell"]) for n in range(rows))
            aside.put((str(n % (rows // 2)), FileRow(n, c)) for n, c in cells)
            assert sum(len(w) for w in aside.wells()) == rows
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return most

    assert peak(20_000) < 2 * peak(2_000)


def test_more_wells_than_are_written_at_once(tmp_path: Path, book: Book, answer: Answer) -> None:
    # The second row of each well stands a whole file away from the first; half the keys clash.
    keys = [f"{'A' * 24}{n}" if n % 2 else str(n) for n in range(600)]
    lines = [f"{k},0,{20 + part}\n" for part in (0, 1) for k in keys]
    path = written(tmp_path / "a.csv", "id,casing_from_ft,casing_to_ft\n" + "".join(lines))
    said = answer(path)
    assert (said["rows"], said["wells"], said["written"]) == (1200, 600, 1200)
    assert (count(book, t.well), count(book, t.bore_interval)) == (600, 1200)
    assert answer(path)["unchanged"] == 1200


@pytest.mark.realdata
def test_open_sets_of_one_source_are_the_same_wells(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    # Province of British Columbia, GWELLS, Open Government Licence - British Columbia: wells
    # (by way of gwells_geocode_and_archive_data) and screens (bcgwells-cleaning).
    if not DATA.exists():
        pytest.skip("the open sets of real records are not beside this checkout")
    numbers: list[set[str]] = []
    files = [DATA / "bc_gwells_new_wells_2021-12_a.csv", DATA / "bc_gwells_screen_even_tags.csv"]
    for file in files:
        with file.open(newline="") as opened:
            numbers.append({r["well_tag_number"] for r in csv.DictReader(opened)})
        mapping = tmp_path / f"{file.stem}.toml"
        answer(file, "--keep-mapping", mapping, "--look")
        named = mapping.read_text(encoding="utf-8").replace(
            f'source = "{file.stem}"', 'source = "GWELLS"'
        )
        written(mapping, named)
    for n in (0, 1, 0, 1):
        said = answer(files[n], "--mapping", tmp_path / f"{files[n].stem}.toml")
    assert said["unchanged"] == said["rows"]
    assert numbers[0] & numbers[1]
    assert count(book, t.well) == len(numbers[0] | numbers[1])
    both = sorted(numbers[0] & numbers[1])[0]
    with book.reading() as connection:
        row = select(t.imported_row.c.source).where(t.imported_row.c.row_key == both)
        assert len(set(connection.execute(row).scalars())) == 2
