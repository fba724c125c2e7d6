"""Rows of own lists without a well number: one house has one well, one telephone one customer.

What the lists hold is common practice, no published source: whoever keeps a job log spells a customer
differently each time, and finds him again by house and number.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from sqlalchemy import select

from tests.exchange.import_files import count, written
from wellbook.store import tables as t
from wellbook.store import wells
from wellbook.store.book import Book

Answer = Callable[..., dict[str, Any]]
HEAD = "Date,Customer,Phone,Address,Town,Job,Depth (ft)\n"
LOG = [
    '2011-05-03,"Thrupp, Ivo",555-201-0143,12 Cold Spring Rd,Sutton,New pump,310',
    "2014-06-14,I Thrupp,(555) 201 0143,12 Cold Spring Road,Sutton,No water,",
    '2019-08-20,"Thrupp, I.",,12 Cold Spring Rd.,SUTTON,check-up,308',
]
SOLD = "2021-03-01,Oona Marsh,555-201-0199,12 Cold Spring Rd,Sutton,service,"


def wrote(folder: Path, *rows: str) -> Path:
    path = folder / "log.csv"
    path.write_text(HEAD + "".join(f"{row}\n" for row in rows), "utf-8")
    return path


def test_visits_at_one_house_are_of_one_well(tmp_path: Path, book: Book, answer: Answer) -> None:
    found = answer(wrote(tmp_path, *LOG))
    assert found["written"] == 3
    assert [count(book, x) for x in (t.well, t.customer, t.site, t.sheet)] == [1, 1, 1, 3]
    assert not found["questions"]
    with book.reading() as connection:
        person = connection.execute(select(t.customer)).one()
    assert person.name == "Thrupp, Ivo"
    assert person.notes.splitlines() == ["also written I Thrupp", "also written Thrupp, I."]
    # In another order, and with one more visit: nothing twice.
    found = answer(
        wrote(tmp_path, "2024-01-30,Ivo Thrupp,,12 COLD SPRING RD,Sutton,service,", *LOG)
    )
    assert found["changed"] == 4
    assert [count(book, x) for x in (t.well, t.customer, t.site, t.sheet)] == [1, 1, 1, 4]


def test_depths_that_differ_by_much_are_two_wells_of_one_customer(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    house = "2018-04-02,Bell Reed,,40 Hill St,Sutton,service,200"
    barn = "2019-04-03,Bell Reed,,40 Hill St,Sutton,service,520"
    assert not answer(wrote(tmp_path, house, barn))["questions"]
    assert [count(book, x) for x in (t.well, t.customer, t.site)] == [2, 1, 1]
    assert answer(wrote(tmp_path, barn, house))["unchanged"] == 2
    assert count(book, t.well) == 2


def test_another_name_at_the_house_is_asked_also_within_the_file(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = wrote(tmp_path, *LOG, SOLD)
    (question,) = answer(path, "--look")["questions"]
    assert (question["what"], question["rows"], question["decision"]) == ("well", "5", "")
    assert "that of Thrupp, Ivo" in question["question"]
    decided = tmp_path / "d.csv"
    decided.write_text(f"number,what,decision\n{question['number']},well,join\n", "utf-8")
    answer(path, "--decisions", decided)
    assert [count(book, x) for x in (t.well, t.customer, t.site, t.sheet)] == [1, 2, 1, 4]
    again = answer(wrote(tmp_path, SOLD, *reversed(LOG)))
    assert again["written"] == 0
    assert [count(book, x) for x in (t.well, t.customer, t.sheet)] == [1, 2, 4]
    answer(wrote(tmp_path, *LOG, SOLD.replace("service", "check-up")))
    assert [count(book, x) for x in (t.well, t.customer)] == [1, 2]


def test_kept_apart_they_are_two_wells(tmp_path: Path, book: Book, answer: Answer) -> None:
    answer(wrote(tmp_path, *LOG, SOLD))
    assert [count(book, x) for x in (t.well, t.customer)] == [2, 2]


def test_a_telephone_with_another_name_and_a_name_without_a_telephone_are_asked(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    rows = (
        "2021-04-03,Bell Reed,555-201-0111,40 Hill St,Sutton,service,",
        "2021-04-04,Oswin Tarrant,555-201-0111,77 Larch Ln,Sutton,service,",
        "2021-04-05,Ann Lee,,1 Oak St,Sutton,service,",
        "2021-04-06,Ann Lee,,8 Elm St,Sutton,service,",
        # Two of one name, each with a number of his own, are two.
        "2021-04-07,Ida Fenn,555-201-0121,3 Oak St,Sutton,service,",
        "2021-04-08,Ida Fenn,555-201-0122,9 Elm St,Sutton,service,",
        # A number tells that a short form is the same; which well it is, is asked.
        "2021-04-09,I. Fenn,555-201-0122,,,call,",
    )
    questions = answer(wrote(tmp_path, *rows))["questions"]
    assert [(q["what"], q["rows"]) for q in questions] == [
        ("customer", "3"),
        ("customer", "5"),
        ("well", "8"),
    ]
    assert count(book, t.customer) == 6


def test_a_well_without_an_address_is_its_customers(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = tmp_path / "a.csv"
    path.write_text("Customer,Phone,Depth (ft)\nIvo Thrupp,555-201-0143,310\n", "utf-8")
    answer(path)
    with book.reading() as connection:
        number = wells.the_customer(connection, "Thrupp")
        assert len(wells.wells_of_customer(connection, number)) == 1
    assert answer(path)["unchanged"] == 1
    assert count(book, t.site) == 1


def test_a_visit_without_an_address_is_asked_for_the_one_well_of_its_customer(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    call = "2020-09-13,Ivo Thrupp,555-201-0143,,,call re tank,"
    path = wrote(tmp_path, call, *LOG)
    (question,) = answer(path, "--look")["questions"]
    assert (question["what"], question["rows"]) == ("well", "2")
    assert "the one well of that customer" in question["question"]
    decided = tmp_path / "d.csv"
    decided.write_text(f"number,what,decision\n{question['number']},well,join\n", "utf-8")
    answer(path, "--decisions", decided)
    assert [count(book, x) for x in (t.well, t.customer, t.site, t.sheet)] == [1, 1, 1, 4]
    assert answer(wrote(tmp_path, *LOG, call))["unchanged"] == 4
    assert count(book, t.well) == 1


def test_the_number_of_a_job_is_no_number_of_a_well(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = tmp_path / "jobs.csv"
    rows = "".join(f"{1000 + n},{row}\n" for n, row in enumerate(LOG))
    path.write_text(f"Job No,{HEAD}{rows}", "utf-8")
    assert "key" not in answer(path)["columns"]
    assert [count(book, x) for x in (t.well, t.customer, t.sheet)] == [1, 1, 3]


def test_a_pump_in_the_remarks_is_offered_and_never_taken(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    path = tmp_path / "a.csv"
    text = "Customer,Phone,Depth (ft),Remarks\nIvo Thrupp,555-201-0143,310,1/2hp 7gpm 2011 @ 240\n"
    path.write_text(f"{text}Ann Lee,,97,dog bites\n", "utf-8")
    (question,) = answer(path)["questions"]
    assert (question["what"], question["rows"]) == ("equipment", "2")
    assert "pump.hp 1/2 hp" in question["proposal"]
    assert count(book, t.sheet) == 0


def test_a_changed_log_shows_depth_and_visits_that_changed(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    answer(wrote(tmp_path, *LOG))
    again = [LOG[0], LOG[1].replace("No water", "Low yield"), LOG[2].replace("08-20", "08-21")]
    again = [row.replace(",310", ",315") for row in again]
    path = wrote(tmp_path, *again)
    for more in (("--look",), ()):
        said = answer(path, *more)
        shown = [(c["field"], c["old"], c["new"]) for c in said["changes"]]
        assert ("visit 2014-06-14 notes", "No water", "Low yield") in shown
        assert ("visit 2019-08-20", "on record", "no longer said") in shown
        (depth,) = [c for c in shown if c[0] == "depth_ft" and c[2].startswith("315")]
        assert depth[1].startswith("310 ft")
    assert answer(path)["changes"] == []


def test_what_comes_to_a_customer_and_to_a_wells_notes_is_shown(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    head = "Well No,Customer,Phone,Address,Depth (ft),Notes\n"
    row = "W 39,Ida Lund,555-013-0101,1 Oak St,120,gate on the left\n"
    path = written(tmp_path / "a.csv", head + row)
    answer(path)
    with book.reading() as connection:
        tag, permit = connection.execute(select(t.well.c.tag, t.well.c.permit_no)).one()
        (notes,) = connection.execute(select(t.well.c.notes)).scalars()
    # The number of a shop's own list is no permit's.
    assert (tag, permit) == ("W-39", "") and "known as W 39" in notes
    written(path, head + row.replace("0101,", "0101 / 555-013-0102,").replace("left", "right"))
    said = answer(path)
    told = {(c["field"], c["old"], c["new"]) for c in said["changes"]}
    assert told == {
        ("ways to reach him", "", "555-013-0102"),
        ("notes", "", "gate on the right"),
    }


def test_a_town_behind_a_road_without_a_comma_is_asked_about(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    text = "Customer,Phone,Address,Depth (ft)\nIda Lund,555-013-0101,12 Mill Rd Sutton,120\n"
    text += "Ida Lund,555-013-0101,12 Mill Road,120\n"
    said = answer(written(tmp_path / "a.csv", text))
    (question,) = said["questions"]
    assert "nearly the same address, 12 Mill Rd Sutton" in question["question"]


def test_who_beside_telephones_is_the_customer_and_dry_is_told_with_its_visit(
    tmp_path: Path, book: Book, answer: Answer
) -> None:
    text = "Serviced,Who,Where,Phone,Static (ft),Work Done\n"
    text += "5/14/2019,Ida Lund,1 Oak St,555-013-0101,dry,new pump\n"
    text += "6/20/2019,Al Bend,4 Elm St,555-013-0102,40,new tank\n"
    answer(written(tmp_path / "a.csv", text))
    with book.reading() as connection:
        names = set(connection.execute(select(t.customer.c.name)).scalars())
        sheets = list(connection.execute(select(t.sheet.c.notes).order_by(t.sheet.c.id)).scalars())
    assert names == {"Ida Lund", "Al Bend"}
    assert any("Static (ft): dry" in notes for notes in sheets)
