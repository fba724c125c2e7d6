"""Several columns that say one thing, and rows of a list that are no record of it."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from import_files import count, read, well, written

from wellbook.exchange.mapping import WellMapping
from wellbook.exchange.mapping_file import from_toml, to_toml
from wellbook.exchange.proposing import propose
from wellbook.exchange.reading import look
from wellbook.store import tables as t
from wellbook.store.book import Book

Answer = Callable[..., dict[str, Any]]
HEAD = "First,Last,Home Phone,House #,Street,Town,Depth (ft),Yield,Yield Unit,Notes,Comments\n"
ROWS = (
    "Bob & Ann,Smith,555-013-4455,12,Mill Road,Sutton,310,7,gpm,gate code 9,pays cash\n"
    "Jo,Marsh,,40,Hill St,Sutton,200,20,l/min,,late payer\n"
)


def proposed(path: Path) -> WellMapping:
    return propose(look(path), "s")


def names(mapping: WellMapping) -> dict[str, tuple[str, ...]]:
    return {target: column.names for target, column in mapping.columns.items()}


def test_a_street_is_behind_its_number_and_a_unit_behind_its_yield(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = written(tmp_path / "a.csv", HEAD + ROWS)
    said = answer(path)
    assert (said["rows"], said["written"], said["refused"]) == (2, 2, 0)
    assert said["columns"]["road"]["more"] == ["Street"] and "key" not in said["columns"]
    _, hole = well(book, "Marsh")
    # 1 US gallon is 3.785411784 litres (NIST handbook 44, appendix C): 20 / 3.785411784 = 5.28.
    (flow,) = [o.value for o in hole.observations if o.quantity.value == "yield_gpm"]
    assert flow == pytest.approx(20 / 3.785411784, abs=0.05)
    _, hole = well(book, "Smith")
    assert hole.site.road == "12 Mill Road" and "gate code 9; pays cash" in hole.notes
    assert answer(path)["unchanged"] == 2


@pytest.mark.parametrize(
    ("head", "row", "wanted"),
    [
        ("Owner,Street Number,Street Name", "Ida Lund,12,Mill Rd", ("road", [1, 2])),
        ("Owner,Address,Depth,UOM", "Ida Lund,1 Mill Rd,90,m", ("depth_ft", [2, 3])),
        ("Well No,Depth,Flow,Flow Units", "7,90,8,gpm", ("yield_gpm", [2, 3])),
        ("Well No,Depth (ft),Month,Year", "7,90,3,2019", ("drilled_on", [3, 2])),
        ("Well No,Year Drilled,Drilled Month,Day", "7,2019,Mar,2", ("drilled_on", [1, 2])),
        ("Owner,Service Month,Service Year,Work Done", "Ida Lund,3,2019,new pump", ("", [])),
        ("Owner,Month,Day,Year,Work Done", "Ida Lund,3,14,2019,new pump", ("visit.on", [3, 1, 2])),
        ("Owner,Address,Notes,Notes", "Ida Lund,1 Mill Rd,dog,gate 9", ("notes", [2, 3])),
        (
            "Owner,Phone 1,Phone 2,Phone 3,Phone 4",
            "Ida Lund,555-014-0001,555-014-0002,555-014-0003,555-014-0004",
            ("customer.phone", [1, 4]),
        ),
        ("Well No,Owner,No.,Street", "A,Ida Lund,40,Elm\nB,Jo Marsh,12,Elm", ("road", [2, 3])),
        ("Date,Owner,Work done,By", "5/14/19,Ida Lund,new pump,Lu/Marit", ("visit.crew", [3])),
        ("Date,Well No,Water Level (ft),By", "5/14/19,7,45,Lu", ("measured_on", [0])),
        # A number that only rises counts the customers.
        ("No,Street,Owner", "1,Elm,Ida Lund\n2,Elm,Jo Marsh\n3,Hill,Al Toft", ("road", [1])),
        # A number that is in the street already is not put before it again.
        ("Owner,House No,Street", "Ida Lund,12,12 Mill Rd", ("road", [2])),
    ],
)
def test_columns_that_belong_together_are_known(
    tmp_path: Path, head: str, row: str, wanted: tuple[str, list[int]]
) -> None:
    path = written(tmp_path / "a.csv", f"{head}\n{row}\n")
    headers = look(path).headers
    target, places = wanted
    if target:
        assert names(proposed(path))[target] == tuple(headers[n] for n in places)


def test_houses_of_one_number_on_two_roads_are_two_wells(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    text = (
        "No.,Street,City,Owner,Depth (ft)\n12,Mill Rd,Sutton,Ida Lund,310\n"
        "12,Spring St,Sutton,Jo Marsh,200\n7,Mill Rd,Sutton,Al Toft,185\n"
    )
    said = answer(written(tmp_path / "a.csv", text))
    assert (said["written"], said["new_wells"], said["doubts"]) == (3, 3, [])
    assert well(book, "Marsh")[1].site.road == "12 Spring St"


def test_a_mapping_keeps_several_columns(tmp_path: Path) -> None:
    mapping = proposed(written(tmp_path / "a.csv", HEAD + ROWS))
    text = to_toml(mapping)
    assert 'road = ["House #", "Street"]' in text
    assert names(from_toml(text, "m.toml")) == names(mapping)


def test_a_date_of_three_columns_is_one_day(tmp_path: Path, book: Book, answer: Answer) -> None:
    text = (
        "Well No,Depth (ft),Drilled Month,Drilled Day,Drilled Year\n7,90,3,2,2001\n8,90,Mar,,2001\n"
    )
    assert answer(written(tmp_path / "a.csv", text))["written"] == 2
    assert str(well(book, "R-7")[1].drilled_on) == "2001-03-02"
    assert str(well(book, "R-8")[1].drilled_on.earliest) == "2001-03-01"


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ("7,", "no unit stands beside it in 'Yield Unit'"),
        ("7,buckets", "buckets"),
        ("0,", ""),
        (",gpm", ""),
    ],
)
def test_a_yield_without_its_unit_is_refused(tmp_path: Path, cells: str, reason: str) -> None:
    lines = "".join(f"{n},90,{n},gpm\n" for n in range(1, 8))
    text = f"Well No,Depth (ft),Yield,Yield Unit\n{lines}9,80,{cells}\n"
    row = read(written(tmp_path / "a.csv", text))[-1]
    assert reason in "".join(r.reason for r in row.refusals)
    assert (row.record is None) == bool(reason)


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("Total 214 wells,,,,,,,,,,", "totals"),
        ("TOTAL: 2,,,,,,510,,,,", "totals"),
        ("Wells: 214,,,,,,,,,,", "totals"),
        ("214 records,,,,,,,,,,", "totals"),
        ("Page 2 of 3,,,,,,,,,,", "printed page"),
        (",,,,Printed 11/02/2026,,,,,,", "printed page"),
        ("(continued),,,,,,,,,,", "printed page"),
        ("* depths in feet,,,,,,,,,,", "a note on the table"),
        ("Prepared by the office,,,,,,,,,,", "a note on the table"),
        (",Source: the shop's own papers,,,,,,,,,", "a note on the table"),
        ("All of these were there when the shop was bought,,,,,,,,,,", "a note on the table"),
        ("Sutton route,,,,,,,,,,", "heading"),
        (",,555-013-7777,,,,,,,,", "no number, name or place"),
        (HEAD.strip(), "header once more"),
        (HEAD.strip().upper(), "header once more"),
    ],
)
def test_a_row_that_is_no_record_is_counted_and_makes_nobody(
    tmp_path: Path, book: Book, answer: Answer, line: str, reason: str
) -> None:
    blank = "," * HEAD.count(",")
    said = answer(written(tmp_path / "a.csv", f"{HEAD}{ROWS}{blank}\n{line}\n{ROWS}"))
    # The lines of the second page say the same of the same wells.
    assert (said["rows"], said["written"], said["refused"]) == (5, 4, 1)
    assert reason in said["refusals"][0]["reason"] and said["refusals"][0]["row"] == 5
    assert (count(book, t.customer), count(book, t.well)) == (2, 2)


@pytest.mark.parametrize("name", ["Page Turner", "Total Care Homes", "Sum Ting", "Wells Farrow"])
def test_names_that_look_like_totals_are_names(tmp_path: Path, name: str) -> None:
    text = f"Customer,Phone,Depth (ft)\n{name},555-013-7777,90\nIda Lund,555-013-7778,80\n"
    assert all(row.record for row in read(written(tmp_path / "a.csv", text)))


def test_march_is_a_month(tmp_path: Path, book: Book, answer: Answer) -> None:
    text = (
        "Well No,Depth (ft),Date drilled\n1,90,March 2011\n2,90,14 March 2011\n3,90,Mar 14 2011\n"
    )
    assert answer(written(tmp_path / "a.csv", text))["written"] == 3
    days = [well(book, f"R-{n}")[1].drilled_on.edtf() for n in (1, 2, 3)]
    assert days == ["2011-03", "2011-03-14", "2011-03-14"]


@pytest.mark.parametrize(
    ("head", "row", "header", "target"),
    [
        ("Name,Tel #,Alt #,Addr", "Ida Lund,555-014-0001,555-014-0002,1 Mill Rd", "Alt #", "phone"),
        ("Name,Addr,City St Zip", "Ida Lund,1 Mill Rd,Sutton NE", "City St Zip", "town"),
        ("No.,Customer,Visit Date,Work Done", "1,Ida Lund,2019-05-04,new pump", "No.", ""),
        ("House #,Customer,Depth (ft)", "12,Ida Lund,90", "House #", ""),
    ],
)
def test_a_column_of_another_number_is_no_well_s(
    tmp_path: Path, head: str, row: str, header: str, target: str
) -> None:
    mapping = proposed(written(tmp_path / "a.csv", f"{head}\n{row}\n"))
    read_as = [t for t, c in mapping.columns.items() if header in c.names]
    assert bool(read_as) == bool(target) and all(target in t for t in read_as)


def test_a_question_mark_is_nobody(tmp_path: Path) -> None:
    text = "Customer,Phone,Depth (ft)\n?,?,?\nunknown,,\nIda Lund,555-013-7778,80\n"
    rows = read(written(tmp_path / "a.csv", text))
    assert [row.record is None for row in rows] == [True, True, False]
