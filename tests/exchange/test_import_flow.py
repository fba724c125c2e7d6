"""Look, decide, write: rows that feed several tables, questions, files that come again."""

import csv
import random
from pathlib import Path
from typing import Any

import pytest
from flow_files import HEAD, ROWS, Answer, listed, truth
from import_files import TODAY, count, well, written
from sqlalchemy import select

from wellbook.cli import run
from wellbook.store import tables as t
from wellbook.store import wells
from wellbook.store.book import Book
from wellbook.terms import Basis, ContactWay, Reason, SheetKind


def values(book: Book, column: Any) -> list[Any]:
    with book.reading() as connection:
        return list(connection.execute(select(column).order_by(column)).scalars())


def test_a_look_writes_nothing(tmp_path: Path, book: Book, answer: Answer) -> None:
    before = truth(book)
    said = answer(*listed(tmp_path), "--look")
    assert (said["wrote"], said["run"]) == (False, None)
    assert (said["new_customers"], said["new_properties"], said["new_wells"]) == (3, 3, 3)
    assert truth(book) == before and count(book, t.import_run) == 0


def test_one_row_feeds_several_tables(tmp_path: Path, book: Book, answer: Answer) -> None:
    said = answer(*listed(tmp_path))
    assert (said["rows"], said["written"], said["refused"]) == (5, 5, 0)
    # Two spellings of one name with one number are one customer; he has two properties.
    assert values(book, t.customer.c.name) == ["Ann Lee", "Bob Nowell", "Smith, John"]
    assert values(book, t.site.c.road) == ["12 Mill Road", "4 Larkspur Bend", "40 Hill St"]
    assert count(book, t.occupancy) == 3
    assert values(book, t.well.c.tag) == ["Q-1", "Q-2", "Q-4"]
    _, hole = well(book, "Q-1")
    visits = hole.visited(SheetKind.VISIT)
    assert [(v.start.year, v.reason) for v in visits] == [
        (2019, Reason.NO_WATER),
        (2021, Reason.CHECK_UP),
    ]
    level = hole.at_rest()
    assert level is not None and level.value == 44
    assert {o.basis for o in hole.observations if o.value in (42, 44)} == {Basis.PAPER_RECORD}
    assert sorted(values(book, t.technician.c.name)) == ["Ben", "Ida"]
    # A visit without a day is no visit; nothing of it is lost.
    assert "visit 2020-02" in well(book, "Q-4")[1].notes


def test_reference_wells_make_no_customers_and_no_visits(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    said = answer(*listed(tmp_path), "--as", "reference")
    assert (said["role"], said["refused"], count(book, t.well)) == ("reference", 1, 3)
    for table in (t.customer, t.occupancy, t.due):
        assert count(book, table) == 0
    assert not values(book, t.sheet.c.kind).count("visit")


def test_a_file_of_contacts_makes_customers_only(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    mapping = written(
        tmp_path / "m.toml",
        'source = "phone"\ntable = "contacts"\n[columns]\ncustomer.first_name = "First"\n'
        'customer.last_name = "Last"\ncustomer.phone = "Tel"\nroad = "Street"\ntown = "Town"\n',
    )
    text = "First,Last,Tel,Street,Town\nAnn,Lee,555-014-0001,,\nBo,Marsh,,2 Elm St,Sutton\n,,555-014-0002,,\n"
    said = answer(written(tmp_path / "c.csv", text), "--mapping", mapping)
    assert (said["kind"], said["written"], said["refused"]) == ("customers", 2, 1)
    assert (count(book, t.customer), count(book, t.site), count(book, t.well)) == (2, 1, 0)
    assert answer(tmp_path / "c.csv", "--mapping", mapping)["unchanged"] == 2


@pytest.mark.parametrize("seed", [1, 2])
def test_the_same_file_in_another_order_adds_nothing(
    tmp_path: Path, book: Book, answer: Answer, seed: int
) -> None:
    answer(*listed(tmp_path))
    before = truth(book)
    rows = list(csv.reader((HEAD + ROWS).splitlines()))
    order = list(range(len(rows[0])))
    random.Random(seed).shuffle(order)
    head, *rest = [[row[n] for n in order] for row in rows]
    rest.sort(key=lambda row: row[0])
    with (tmp_path / "list.csv").open("w", encoding="utf-16", newline="") as file:
        csv.writer(file, delimiter=";").writerows([head, *rest])
    mapping = tmp_path / "m.toml"
    text = mapping.read_text("utf-8").replace(
        "[columns]", 'encoding="utf-16"\ndelimiter=";"\n[columns]'
    )
    written(mapping, text)
    # Rows of one well in another order say the same; what stands first in it may change places.
    said = answer(tmp_path / "list.csv", "--mapping", mapping)
    assert said["written"] == 0 and said["refused"] == 0
    after = truth(book)
    for name in ("customer", "site", "well", "contact_point", "occupancy", "water_system"):
        assert after[name] == before[name], name


def test_a_changed_file_shows_and_writes_what_changed(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    answer(*listed(tmp_path))
    words = listed(tmp_path, ROWS.replace("40 Hill St", "41 Hill St"))
    for more in (("--look",), ()):
        said = answer(*words, *more)
        assert (said["changed"], said["unchanged"]) == (1, 4)
        assert [(c["field"], c["old"], c["new"]) for c in said["changes"]] == [
            ("site.road", "40 Hill St", "41 Hill St")
        ]
    assert "41 Hill St" in values(book, t.site.c.road)
    assert answer(*words)["unchanged"] == 5


def test_what_the_shop_changed_by_hand_stays(tmp_path: Path, book: Book, answer: Answer) -> None:
    answer(*listed(tmp_path))
    with book.writing() as connection:
        number = wells.the_site(connection, "40 Hill")
        wells.edit_site(connection, "Ida", number, {"road": "42 Hill Street"})
    said = answer(*listed(tmp_path, ROWS.replace("40 Hill St", "41 Hill St")))
    (doubt,) = [d for d in said["doubts"] if "it stays" in d["reason"]]
    assert (doubt["column"], doubt["value"]) == ("Address", "41 Hill St")
    assert "42 Hill Street" in values(book, t.site.c.road) and said["changes"] == []


# -- decisions ---------------------------------------------------------------------------------


def decide(path: Path, **answers: str) -> None:
    """Fill in a file of decisions: by what is asked."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row["decision"] = answers.get(row["what"], "")
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)


def test_free_text_is_taken_only_when_somebody_says_so(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    rows = "Q-9,,,,,Sutton,,1/2hp 7gpm 2011,,,,,,\n"
    words = listed(tmp_path, rows)
    answer(*words)
    _, hole = well(book, "Q-9")
    assert "1/2hp 7gpm 2011" in hole.notes and count(book, t.component) == 0
    decisions = tmp_path / "d.csv"
    answer(*words, "--decisions", decisions, "--look")
    decide(decisions, equipment="take")
    said = answer(*words, "--decisions", decisions)
    assert said["changed"] == 1 and count(book, t.component) >= 1
    # The answer is kept with the source: the same file without it changes nothing.
    assert answer(*words)["unchanged"] == 1


def test_a_well_that_is_in_the_book_is_joined_kept_apart_or_skipped(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    with book.writing() as connection:
        site = wells.add_site(connection, "me", {"road": "4 Larkspur Bend", "town": "Nettlewick"})
        wells.add_well(connection, "me", "TF-1", {"site_id": site, "driller": "D"}, today=TODAY)
    rows = "Q-4,Ann Lee,555-014-0003,,4 Larkspur Bend,Nettlewick,150,,,,,,,\n"
    words = listed(tmp_path, rows)
    said = answer(*words, "--look")
    (question,) = said["questions"]
    assert question["what"] == "well" and question["proposal"] == "join TF-1"
    decisions = tmp_path / "d.csv"
    answer(*words, "--decisions", decisions, "--look")
    decide(decisions, well="skip")
    assert answer(*words, "--decisions", decisions)["skipped"] == 1
    assert answer(*words)["skipped"] == 1
    decide(decisions, well="join TF-1")
    said = answer(*words, "--decisions", decisions)
    assert said["changed"] == 1 and count(book, t.well) == 1
    _, hole = well(book, "TF-1")
    assert hole.depth_ft() == 150 and hole.driller == "D"
    assert values(book, t.customer.c.name) == ["Ann Lee"] and count(book, t.occupancy) == 1
    assert answer(*words)["unchanged"] == 1


def test_a_customer_of_the_same_name_and_another_number(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    with book.writing() as connection:
        wells.add_customer(connection, "me", "John Smith", phones=("555-014-0000",))
    rows = 'Q-1,"SMITH, JOHN",555-014-7788,,12 Mill Road,Sutton,,,,,,,,\n'
    words = listed(tmp_path, rows)
    said = answer(*words, "--look")
    assert [q["what"] for q in said["questions"]] == ["customer"]
    decisions = tmp_path / "d.csv"
    answer(*words, "--decisions", decisions, "--look")
    decide(decisions, customer="join")
    answer(*words, "--decisions", decisions)
    assert count(book, t.customer) == 1
    assert values(book, t.customer.c.name) == ["John Smith"]
    with book.reading() as connection:
        ways = select(t.contact_point.c.value).where(t.contact_point.c.way == ContactWay.PHONE)
        assert set(connection.execute(ways).scalars()) == {"555-014-0000", "555-014-7788"}


def test_doubtful_rows_are_kept_unless_they_are_to_be_skipped(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    words = listed(tmp_path, "Q-1,,,,,Sutton,0,,,,,,,\n")
    decisions = tmp_path / "d.csv"
    answer(*words, "--decisions", decisions, "--look")
    decide(decisions, doubt="skip")
    said = answer(*words, "--decisions", decisions)
    assert (said["skipped"], said["written"], count(book, t.well)) == (1, 0, 0)


@pytest.mark.parametrize(
    ("text", "where", "reason"),
    [
        ("number,what,decision\nq1,well,perhaps\n", "d.csv:2: decision", "keep, join TAG, skip"),
        ("number,what,decision\nq1,hole,keep\n", "d.csv:2: what", "equipment, well"),
        ("number,what\nq1,well\n", "d.csv:1", "without decision"),
        ("number,what,decision\nq1,well,keep\nq1,well,skip\n", "d.csv:3", "decided twice"),
    ],
)
def test_decisions_that_cannot_be_read_are_refused_in_one_line(
    tmp_path: Path, book: Book, answer: Answer, text: str, where: str, reason: str
) -> None:
    decisions = written(tmp_path / "d.csv", text)
    error = answer(*listed(tmp_path), "--decisions", decisions)["error"]
    assert error["where"].endswith(where) and reason in error["message"]
    assert count(book, t.well) == 0


def test_a_well_to_join_that_is_not_there_writes_nothing(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    answer(*listed(tmp_path, "Q-4,,,,,Sutton,150,,,,,,,\n"))
    other = tmp_path / "other.csv"
    other.write_text("Tag,Depth (ft)\nQ-4,150\n", "utf-8")
    mapping = written(
        tmp_path / "o.toml",
        'source="o"\ntable="o"\n[columns]\ntag="Tag"\ndepth_ft={column="Depth (ft)",unit="ft"}\n',
    )
    decisions = tmp_path / "d.csv"
    answer(other, "--mapping", mapping, "--decisions", decisions, "--look")
    decide(decisions, well="join NO-1")
    error = answer(other, "--mapping", mapping, "--decisions", decisions)["error"]
    assert "no well NO-1" in error["message"] and count(book, t.import_run) == 1


# -- rejects, and later files ------------------------------------------------------------------


def test_rejects_are_mended_and_join_the_same_source(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    head = "Well No,Depth (ft),Town\n"
    path = written(tmp_path / "a.csv", f"{head}1,100,Sutton\n2,abc,Sutton\n3,90,Bend\n")
    bad = tmp_path / "bad.csv"
    said = answer(path, "--rejects", bad)
    assert (said["written"], said["refused"]) == (2, 1)
    written(bad, bad.read_text("utf-8").replace("abc", "200"))
    said = answer(bad)
    assert (said["written"], said["source"]) == (1, "a")
    whole = written(path, f"{head}1,100,Sutton\n2,200,Sutton\n3,90,Bend\n")
    assert answer(whole)["unchanged"] == 3 and count(book, t.well) == 3


def test_a_later_export_of_the_same_records_is_of_the_same_source(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    head = "Well No,Depth (ft),Town\n"
    answer(written(tmp_path / "wells-2024.csv", f"{head}1,100,Sutton\n2,90,Bend\n"))
    said = answer(
        written(tmp_path / "wells-2026.csv", f"{head}1,100,Sutton\n2,95,Bend\n3,80,Lea\n")
    )
    assert (said["unchanged"], said["changed"], said["written"]) == (1, 1, 1)
    assert "wells-2024.csv, run 1" in said["grounds"]["source"] and count(book, t.well) == 3
    # The same columns with other records are another source.
    said = answer(written(tmp_path / "other.csv", f"{head}1,50,Toft\n8,95,Toft\n9,80,Toft\n"))
    assert (said["source"], said["written"]) == ("other", 3)


def test_several_files_at_once_are_runs_of_their_own(
    tmp_path: Path, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    one = written(tmp_path / "a.csv", "id,depth_ft\n1,100\n")
    two = written(tmp_path / "b.csv", "id,depth_ft\n2,100\n")
    assert run(["import", "--write", str(one), str(two)]) == 0
    assert count(book, t.import_run) == 2
    out = capsys.readouterr().out
    assert "wellbook import undo 1" in out and "wellbook import undo 2" in out
    assert run(["import", "runs"]) == 0
    assert "a.csv" in capsys.readouterr().out


def test_a_look_ends_with_the_line_that_writes(
    tmp_path: Path, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path / "a.csv", "id,depth\n1,100\n")
    assert run(["import", str(path), "--unit", "m"]) == 0
    last = capsys.readouterr().out.splitlines()[-1]
    assert last == f"nothing was written; to write it: wellbook import {path} --unit m --write"


def test_a_folder_and_a_file_that_is_not_there_are_one_line(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    for path in (tmp_path, tmp_path / "wells"):
        error = answer(path)["error"]
        assert error["where"] == str(path) and "\n" not in error["message"]
