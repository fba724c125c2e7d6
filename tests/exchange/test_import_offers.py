"""What an import says when it is done: what became of what nobody decided, and what is offered next."""

import csv
import os
from pathlib import Path

import pytest
from import_files import TODAY, count, written

from wellbook.cli import run
from wellbook.store import tables as t
from wellbook.store import wells
from wellbook.store.book import Book

HEAD = "Customer,Phone,Address,Town,Depth (ft),Equipment\n"
ROWS = "Ann Lee,555-014-0003,4 Larkspur Bend,Nettlewick,150,1/2hp 7gpm 2011\n"


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("WELLBOOK_TODAY", TODAY.isoformat())
    monkeypatch.chdir(tmp_path)
    return written(tmp_path / "list.csv", HEAD + ROWS)


def test_what_nobody_decided_is_told_with_what_was_done_and_what_can_be_done(
    path: Path, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    with book.writing() as connection:
        site = wells.add_site(connection, "me", {"road": "4 Larkspur Bend", "town": "Nettlewick"})
        wells.add_well(connection, "me", "TF-1", {"site_id": site}, today=TODAY)
    assert run(["import", str(path), "--write"]) == 0
    out = capsys.readouterr().out
    assert "nobody decided, so it was done as the last column says: 2" in out
    assert "to be decided:" not in out and "unless you decide" not in out
    assert "kept apart" in out and "kept as a note" in out and "wellbook doubles" in out
    # What is said can still be done is done so.
    (said,) = [line for line in out.splitlines() if line.startswith("to take what the text says")]
    decisions = path.with_name("list-decisions.csv")
    assert f"wellbook import {path} --decisions {decisions}," in said
    assert run(["import", str(path), "--decisions", str(decisions)]) == 0
    with decisions.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row["decision"] = "take" if row["what"] == "equipment" else ""
    with decisions.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerows(rows)
    assert run(["import", str(path), "--decisions", str(decisions), "--write"]) == 0
    assert count(book, t.component) >= 1 and count(book, t.well) == 2
    assert "nobody decided" not in capsys.readouterr().out.splitlines()[-1]


def test_where_nothing_is_new_nothing_is_offered(
    path: Path, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["import", str(path), "--write"]) == 0
    for more in ([], ["--write"]):
        capsys.readouterr()
        assert run(["import", str(path), *more]) == 0
        out = capsys.readouterr().out
        assert out.splitlines()[-1] == "nothing in this file is new, the book has all of it"
        assert "to write it" not in out and "undo" not in out
    written(path, HEAD + ROWS + "Total 1,,,,,\n")
    assert run(["import", str(path)]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == (
        "nothing in this file is new, beside what is refused or skipped"
    )


def test_a_file_beside_a_source_that_is_read_only_is_offered_where_it_can_be_written(
    path: Path, book: Book, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    stick = path.parent / "stick"
    stick.mkdir()
    source = written(stick / "list.csv", HEAD + ROWS + ",555-014-0009,,,,\n")
    may = os.access
    monkeypatch.setattr(os, "access", lambda p, how: Path(p) != stick and may(p, how))
    assert run(["import", str(source)]) == 0
    out = capsys.readouterr().out
    assert "--decisions list-decisions.csv" in out and "--rejects list-refused.csv" in out
    assert f"{stick}/list-" not in out
